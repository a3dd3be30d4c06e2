//! `--expect`: a programme that has approved a set of rules and a region has
//! every other refused.

use anyhow::bail;

/// What is in force: its name in `--expect`, and its content hash.
pub(super) type InForce<'a> = [(&'a str, String)];

/// Refuses where an expected hash is not that of what is in force. `rules:`
/// or `region:` before it says of which; without, it may be either's.
///
/// # Errors
/// With what was expected and what is in force.
pub(super) fn check(expected: &[String], in_force: &InForce<'_>) -> anyhow::Result<()> {
    for wanted in expected {
        let (of, hash) = match wanted.split_once(':') {
            Some((of, hash)) => (Some(of), hash),
            None => (None, wanted.as_str()),
        };
        let known: Vec<_> = in_force.iter().map(|(name, _)| *name).collect();
        if let Some(of) = of.filter(|of| !known.contains(of)) {
            bail!("--expect {wanted}: write a hash, or {}:HASH, not {of:?}", known.join(":HASH or "));
        }
        let is = |(name, found): &(&str, String)| {
            of.is_none_or(|of| of == *name) && found.eq_ignore_ascii_case(hash)
        };
        if !in_force.iter().any(is) {
            let found: Vec<_> = in_force.iter().map(|(name, hash)| format!("{name}:{hash}")).collect();
            bail!(
                "--expect {wanted}: what is in force is {}. These are not the approved rules or region; nothing was \
                 done. `forebore rules hash` prints the hash of a set",
                found.join(" and ")
            );
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::check;

    #[test]
    fn only_what_was_expected_is_let_through() {
        let in_force = [("rules", "00aa".to_owned()), ("region", "11bb".to_owned())];
        let run =
            |wanted: &[&str]| check(&wanted.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>(), &in_force);
        for fine in [&[][..], &["00aa"], &["11BB"], &["rules:00aa", "region:11bb"]] {
            assert!(run(fine).is_ok(), "{fine:?}");
        }
        for wrong in ["22cc", "rules:11bb", "", "00a", "region:", "survey:00aa"] {
            assert!(run(&["00aa", wrong]).is_err(), "{wrong:?}");
        }
    }
}

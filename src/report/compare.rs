//! What changes between two sets of rules, for people and for machines:
//! totals first, then each site.

use serde_json::{Value, json};
use textwrap::{Options, fill};

use crate::rules::Outcome;
use crate::tune::{Because, Comparison, Side, SiteChange};
use crate::verdict::Answer;

/// What was compared.
#[derive(Debug)]
pub struct About {
    /// Name and content hash of both sides.
    pub sides: [String; 2],
    /// The stage asked.
    pub stage: &'static str,
    /// How many virtual bores were drawn at a site.
    pub bores: Option<f64>,
    /// The survey around the pegs of a table, where one was used.
    pub around: Option<String>,
}

/// From the worst.
const ANSWERS: [Answer; 4] = [Answer::NoGo, Answer::FindOut, Answer::GoIf, Answer::Go];

/// As text.
pub fn text(of: &Comparison, about: &About) -> String {
    let [a, b] = &about.sides;
    let mut text = format!("A: {a}\nB: {b}\n{} sites, before {}\n", of.sites, about.stage);
    if let Some(bores) = about.bores {
        text.push_str(&wrapped(
            "",
            &format!("Chances are from {bores:.0} virtual bores a site, fewer than an assessment draws: near a limit it may find otherwise."),
        ));
    }
    if let Some(around) = &about.around {
        text.push_str(&wrapped(
            "",
            &format!(
                "Pegs of a table: hazards, wells, needs and the signs on the ground of {around} are taken to hold at \
                 each; what was searched around its peg counts only as far as it reaches around them."
            ),
        ));
    }
    let changed = of.changed.len();
    text.push_str(&format!(
        "\n{changed} change their answer, {} only a finding, {} nothing\n",
        of.findings_only,
        of.sites.saturating_sub(changed + of.findings_only)
    ));
    if !of.unused.is_empty() {
        text.push_str(&format!("{} could not be used (listed last)\n", of.unused.len()));
    }
    text.push_str(&moves(of));
    if !of.rules.is_empty() {
        text.push_str("\nBy rule: sites whose answer it changes, sites on which it finds something else\n");
        let mut rules: Vec<_> = of.rules.iter().collect();
        rules.sort_by_key(|(_, effect)| {
            (std::cmp::Reverse(effect.decides), std::cmp::Reverse(effect.differs))
        });
        for (rule, effect) in rules {
            text.push_str(&format!("  {rule:<28}{:>8}{:>8}\n", effect.decides, effect.differs));
        }
    }
    for site in &of.changed {
        text.push_str(&site_text(site));
    }
    if !of.unused.is_empty() {
        text.push_str("\nCould not be used\n");
        for (file, why) in &of.unused {
            text.push_str(&wrapped("  ", &format!("{file}: {why}")));
        }
    }
    text
}

fn moves(of: &Comparison) -> String {
    let mut text = format!("\n{:<16}", "A \\ B");
    for to in ANSWERS {
        text.push_str(&format!("{:>16}", to.words()));
    }
    for from in ANSWERS {
        text.push_str(&format!("\n{:<16}", from.words()));
        for to in ANSWERS {
            text.push_str(&format!("{:>16}", of.moves.get(&(from, to)).copied().unwrap_or(0)));
        }
    }
    text.push('\n');
    text
}

fn site_text(site: &SiteChange) -> String {
    let [a, b] = site.answers;
    let better = if b > a { " (better: look twice)" } else { "" };
    let mut text = format!("\n{}: {} -> {}{better} [{}]\n", site.name, a.words(), b.words(), site.from);
    for because in &site.because {
        let [from, to] = &because.sides;
        let word = if because.decides { "because of" } else { "also" };
        text.push_str(&format!("  {word} {}: {} -> {}\n", because.rule, side(from), side(to)));
        if because.decides {
            let worse = if a < b { from } else { to };
            if let Some(Side { why, .. }) = worse {
                text.push_str(&wrapped("    ", why));
            }
        }
    }
    text
}

fn wrapped(indent: &str, text: &str) -> String {
    fill(text, Options::new(79).initial_indent(indent).subsequent_indent(indent)) + "\n"
}

fn side(side: &Option<Side>) -> String {
    match side {
        None => "not asked".to_owned(),
        Some(s) if s.outcome == Outcome::FindOut && s.alone == Answer::FindOut => {
            "find-out, blocks".to_owned()
        }
        Some(s) => s.outcome.word().to_owned(),
    }
}

/// As JSON.
pub fn json(of: &Comparison, about: &About) -> String {
    let moves: Vec<Value> =
        of.moves.iter().map(|((a, b), sites)| json!({ "a": a, "b": b, "sites": sites })).collect();
    let rules: Vec<Value> = of
        .rules
        .iter()
        .map(|(rule, effect)| json!({ "rule": rule, "decides": effect.decides, "differs": effect.differs }))
        .collect();
    let side = |side: &Option<Side>| match side {
        None => Value::Null,
        Some(s) => json!({ "outcome": s.outcome.word(), "alone": s.alone, "why": s.why }),
    };
    let because = |b: &Because| {
        let [from, to] = &b.sides;
        json!({ "rule": b.rule, "decides": b.decides, "a": side(from), "b": side(to) })
    };
    let changed: Vec<Value> = of
        .changed
        .iter()
        .map(|site| {
            let [a, b] = site.answers;
            let because: Vec<Value> = site.because.iter().map(because).collect();
            json!({ "site": site.name, "from": site.from, "a": a, "b": b, "because": because })
        })
        .collect();
    let unused: Vec<Value> =
        of.unused.iter().map(|(file, why)| json!({ "file": file, "why": why })).collect();
    let [a, b] = &about.sides;
    let all = json!({
        "a": a,
        "b": b,
        "stage": about.stage,
        "virtual_bores": about.bores,
        "around": about.around,
        "sites": of.sites,
        "answers_changed": of.changed.len(),
        "only_findings_changed": of.findings_only,
        "moves": moves,
        "rules": rules,
        "changed": changed,
        "unused": unused,
    });
    format!("{all:#}\n")
}

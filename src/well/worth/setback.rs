//! Taping again a distance that may be below its limit: two states, clear
//! and below; drilling brings what it does where clear, and a loss where
//! below. (Whether a distance is clear is judged by the rules, at its worse
//! end; this says only what the tape is worth.)

use super::holes::amount;
use super::observation::{Seen, Sign};
use crate::units::range::share;
use crate::well::value_of_information::{Decision, Information, NoDecision};

/// What taping again is worth, the bound to it, and the two results that can
/// turn up, `Seen::There` being a distance below the limit. Act 0 leaves the
/// peg, act 1 drills.
pub(super) fn tape_again(
    chance_below: f64,
    if_clear: f64,
    loss: f64,
    sign: Sign,
) -> Result<(Decision, Information, Vec<Seen>), NoDecision> {
    let below = share("the chance that the distance is below the limit", chance_below)?;
    let sign = sign.checked()?;
    let loss = amount("what a well too near loses", loss)?;
    let decision = Decision::new(vec![1.0 - below, below], vec![vec![0.0, 0.0], vec![if_clear, -loss]])?;
    let shows = vec![sign.shows(0.0), sign.shows(1.0)];
    let not = shows.iter().map(|p| 1.0 - p).collect::<Vec<_>>();
    let rows = [shows, not];
    let can = |row: &Vec<f64>| row.iter().zip([1.0 - below, below]).map(|(l, p)| l * p).sum::<f64>() > 0.0;
    let seen = rows.iter().zip([Seen::There, Seen::NotThere]).filter(|(row, _)| can(row)).map(|(_, s)| s);
    let seen = seen.collect();
    let known = decision.worth_of(&rows)?;
    Ok((decision, known, seen))
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    const NEVER_ERRS: Sign = Sign { sensitivity: 1.0, specificity: 1.0 };

    /// By hand: drilling brings 0.7·1000 − 0.3·2000 = 100; with the tape
    /// 0.7·1000, and so the tape 600.
    #[test]
    fn a_tape_that_never_errs_is_worth_the_loss_it_saves() {
        let (decision, known, seen) = tape_again(0.3, 1000.0, 2000.0, NEVER_ERRS).unwrap();
        assert!((known.worth - 600.0).abs() < 1e-9 && (known.chance_of_change - 0.3).abs() < 1e-12);
        assert!((decision.worth_of_knowing_all().unwrap() - 600.0).abs() < 1e-9);
        assert_eq!(seen, [Seen::There, Seen::NotThere]);
    }

    #[test]
    fn a_distance_that_cannot_be_below_need_not_be_taped() {
        let (_, known, seen) = tape_again(0.0, 1000.0, 2000.0, NEVER_ERRS).unwrap();
        assert_eq!((known.worth, known.chance_of_change, seen.len()), (0.0, 0.0, 1));
    }

    #[test]
    fn where_nobody_would_drill_the_tape_changes_nothing() {
        assert_eq!(tape_again(0.3, 0.0, 2000.0, NEVER_ERRS).unwrap().1.worth, 0.0);
        assert!(tape_again(1.3, 0.0, 2000.0, NEVER_ERRS).is_err());
    }
}

//! How much water is needed, and how much of it a well here may give.

use super::near::well_name;
use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, Missing, SiteFacts};
use crate::region::Lift;
use crate::survey::WellOutcome;
use crate::units::{Part, Unit};
use crate::well::litres_per_day;

pub(super) const WORKS: Works = &[("need_l_per_day", need), ("yield_per_need", yield_per_need)];

impl SiteFacts {
    /// The planned lift, as the region knows it; asks where it is not known.
    pub(super) fn lift(&self, sheet: &mut Sheet) -> Option<&Lift> {
        let names = || self.region().lifts.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
        let Some(planned) = sheet.take_any(self.site.plan.lift.as_ref()) else {
            sheet.ask(AskKind::Write, format!("Write down which pump or lift is planned: {}.", names()));
            return None;
        };
        let lift = self.region().lifts.get(planned);
        if lift.is_none() {
            sheet.ask(
                AskKind::Write,
                format!("Write the planned lift \"{planned}\" by a name that the region knows: {}.", names()),
            );
        }
        lift
    }

    /// Litres a day, if anybody says how many people; without bound where the
    /// end is unknown.
    pub(super) fn need_of_day(&self, sheet: &mut Sheet) -> Result<Option<Part>, Missing> {
        let need = &self.site.need;
        let each = match sheet.take_any(need.litres_per_person_day.as_ref()) {
            Some(l) => Part { low: *l, value: *l, high: *l },
            None => {
                sheet.ask(AskKind::Write, "Write down how many litres a day each person is to have.");
                Part {
                    low: self.prior("litres_per_person_day_low")?,
                    value: self.prior("litres_per_person_day")?,
                    high: self.prior("litres_per_person_day_high")?,
                }
            }
        };
        let Some(people) = sheet.take_any(need.people.as_ref()).copied() else {
            sheet.ask(AskKind::Ask, "Ask how many people will draw water here.");
            return Ok(None);
        };
        let theirs = Part { low: people * each.low, value: people * each.value, high: people * each.high };
        Ok(Some(match sheet.take_any(need.other_litres_per_day.as_ref()) {
            Some(o) => Part { low: theirs.low + o, value: theirs.value + o, high: theirs.high + o },
            None => {
                sheet.ask(
                    AskKind::Ask,
                    "Ask how many litres a day animals and gardens will take, and write it down, be it none.",
                );
                let share = self.prior("other_need_share_high")?;
                Part { high: theirs.high * (1.0 + share), ..theirs }
            }
        }))
    }
}

fn need(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.need_of_day(&mut sheet)? {
        Some(n) => sheet.number(estimate(Unit::LitrePerDay, Some(n.low), Some(n.value), Some(n.high))),
        None => Ok(sheet.unknown()),
    }
}

/// What a well here may give in a day of drawing, by what is needed. The
/// yields are those of the neighbours; a pump gives no more than its own flow.
fn yield_per_need(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let need = s.need_of_day(&mut sheet)?;
    let hours = s.prior("pumping_hours_per_day")?;
    let chosen = s.evidence("evidence_radius_m", |w| w.yield_lps.is_some())?;
    let mut known = Vec::new();
    let mut unknown = false;
    for c in &chosen {
        let dry = c.well.outcome.as_ref().is_some_and(|o| o.value == WellOutcome::Dry);
        match sheet.take_any(c.well.yield_lps.as_ref()) {
            Some(lps) => known.push((*lps, c.sure, s.weight(&c.distance)?)),
            // A dry well gave nothing, which says little of a deeper one.
            None if dry => unknown = true,
            None => {
                unknown = true;
                let ask = format!(
                    "Time how fast {} fills a bucket and how far its water falls.",
                    well_name(c.well)
                );
                sheet.ask(AskKind::Ask, ask);
            }
        }
    }
    let lift = s.lift(&mut sheet);
    if !known.iter().any(|k| k.1) {
        sheet.ask_trial_bore();
        return Ok(sheet.unknown());
    }
    let Some(need) = need else { return Ok(sheet.unknown()) };
    // Of an unknown pump nothing is known to come.
    let flow = lift.map(|l| l.flow_lps.value);
    let least = known.iter().map(|k| k.0).min_by(f64::total_cmp).filter(|_| !unknown);
    let least = least.zip(flow).map_or(0.0, |(y, f)| y.min(f));
    let most = known.iter().map(|k| k.0).max_by(f64::total_cmp).filter(|_| !unknown);
    let most = match (most, flow) {
        (Some(y), Some(f)) => Some(y.min(f)),
        (y, f) => y.or(f),
    };
    let mut values: Vec<_> = known.iter().map(|k| (flow.map_or(k.0, |f| k.0.min(f)), k.2)).collect();
    let usual = crate::ground::weighted_median(&mut values);
    let ratio = |lps: f64, of: f64| (of > 0.0).then(|| litres_per_day(lps, hours) / of);
    let low = ratio(least, need.high).or(Some(0.0));
    let value = usual.and_then(|y| ratio(y, need.value));
    let high = most.and_then(|y| ratio(y, need.low));
    sheet.number(estimate(Unit::One, low, value, high))
}

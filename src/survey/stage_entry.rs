//! Rows of the drilling log and readings of the yield test from records, the
//! same for the survey's own TOML and for tables beside it. A row that cannot
//! be used is left out with its reason.

use super::cells::Cells;
use super::entry::Entered;
use super::faults::{Fault, Faults, WrittenIn};
use super::keys::{PROGRESS_KEYS, TEST_KEYS};
use super::{LeftOut, Progress, RawRecord, TestReading};
use crate::diag::Problems;

/// The rows of a drilling log, in the order in which they were written.
pub(crate) fn progress(
    records: &[RawRecord],
    written_in: WrittenIn,
    problems: &mut Problems,
) -> Entered<Progress> {
    in_order(records, written_in, problems, row, |row| row.depth_m)
}

/// The readings of a yield test, in the order of time.
pub(crate) fn test(
    records: &[RawRecord],
    written_in: WrittenIn,
    problems: &mut Problems,
) -> Entered<TestReading> {
    in_order(records, written_in, problems, reading, |reading| reading.time_min)
}

/// Rows of which something never falls from one to the next.
fn in_order<T>(
    records: &[RawRecord],
    written_in: WrittenIn,
    problems: &mut Problems,
    one: fn(&RawRecord, &mut Faults) -> Result<T, Fault>,
    grows: fn(&T) -> f64,
) -> Entered<T> {
    let mut faults = Faults::new(written_in);
    let mut entered = Entered { used: Vec::<T>::new(), left_out: Vec::new() };
    for record in records {
        let before = entered.used.last().map(grows);
        let made = one(record, &mut faults).and_then(|row| match before.filter(|b| grows(&row) < *b) {
            Some(before) => Err(Fault::of(
                &record.from,
                "out-of-order",
                format!("{} stands after {before}", grows(&row)),
                "Write the rows in the order in which things happened; a depth or a time never grows less.",
            )),
            None => Ok(row),
        });
        match made {
            Ok(row) => entered.used.push(row),
            Err(fault) => {
                entered.left_out.push(LeftOut { from: record.from.clone(), why: fault.message.clone() });
                faults.leaves_out(fault);
            }
        }
    }
    faults.give(problems);
    entered
}

fn missing(record: &RawRecord, key: &str, help: &str) -> Fault {
    Fault::of(&record.from, "missing-key", format!("a row without {key}"), help)
}

fn row(record: &RawRecord, faults: &mut Faults) -> Result<Progress, Fault> {
    let cells = Cells::new(record, &[PROGRESS_KEYS]);
    let depth = cells.checked("depth_m")?;
    let row = Progress {
        depth_m: depth
            .ok_or_else(|| missing(record, "depth_m", "Write how deep the hole was: depth_m = 4.5."))?
            .value,
        minutes: cells.number("minutes", faults),
        material: cells.text("material").map(|m| m.value),
        hardness: cells.text("hardness").map(|h| h.value),
        fluid_loss: cells.word("fluid_loss", faults),
        fluid_loss_l_per_m: cells.number("fluid_loss_l_per_m", faults),
        water_strike: cells.yes_no("water_strike", faults),
        flows_out: cells.yes_no("flows_out", faults),
        caving: cells.yes_no("caving", faults),
        gas: cells.yes_no("gas", faults),
        ec_us_cm: cells.reading("ec_us_cm", faults),
        remark: cells.text("remark").map(|r| r.value),
        from: record.from.clone(),
    };
    Ok(row)
}

fn reading(record: &RawRecord, faults: &mut Faults) -> Result<TestReading, Fault> {
    let cells = Cells::new(record, &[TEST_KEYS]);
    let time = cells.checked("time_min")?;
    Ok(TestReading {
        time_min: time
            .ok_or_else(|| {
                missing(record, "time_min", "Write the minutes since the test began: time_min = 15.")
            })?
            .value,
        level_m: cells.number("level_m", faults),
        rate_lps: cells.number("rate_lps", faults),
        from: record.from.clone(),
    })
}

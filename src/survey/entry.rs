//! Records as written to hazards and wells, the same for the survey's own
//! TOML, for rows of tables and for features of shapes. A record that cannot
//! be used is left out with its reason and never stops the rest.

use jiff::civil::Date;

use super::cells::Cells;
use super::faults::{Fault, Faults};
use super::keys::{HAZARD_KEYS, LAYER_KEYS, POSITION_KEYS, WELL_KEYS, WRITTEN_AS};
use super::place_of::{Reference, Unusable, both, place_of, shape_of};
use super::{Hazard, HazardKind, Layer, LeftOut, LonLat, Parameter, Position, RawRecord, Shape, Well};
use crate::diag::Problems;

pub use super::faults::WrittenIn;

/// What is known before the records of one file are read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// Where the records were written.
    pub written_in: WrittenIn,
    /// The peg, from which bearings and distances are taken.
    pub peg: Option<LonLat>,
    /// Accuracy of coordinates whose record states none, metres; `None`
    /// leaves it to the region.
    pub accuracy_m: Option<f64>,
    /// The day of the visit.
    pub visited: Option<Date>,
}

/// What became of the records of one file.
#[derive(Debug, Clone)]
pub struct Entered<T> {
    /// Those that can be used, in the order of the file.
    pub used: Vec<T>,
    /// Those that cannot.
    pub left_out: Vec<LeftOut>,
}

/// Hazards from records.
pub fn hazards(records: &[RawRecord], setting: Setting, problems: &mut Problems) -> Entered<Hazard> {
    enter(records, setting, problems, |record, faults| hazard(record, setting, faults))
}

/// Wells from records.
pub fn wells(records: &[RawRecord], setting: Setting, problems: &mut Problems) -> Entered<Well> {
    enter(records, setting, problems, |record, faults| well(record, setting, faults))
}

fn enter<T>(
    records: &[RawRecord],
    setting: Setting,
    problems: &mut Problems,
    mut one: impl FnMut(&RawRecord, &mut Faults) -> Result<T, Unusable>,
) -> Entered<T> {
    let mut faults = Faults::new(setting.written_in);
    let mut entered = Entered { used: Vec::new(), left_out: Vec::new() };
    for record in records {
        match one(record, &mut faults) {
            Ok(value) => entered.used.push(value),
            Err(Unusable::NoPeg) => {}
            Err(Unusable::Faults(all)) => {
                let why = all.iter().map(|f| f.message.as_str()).collect::<Vec<_>>().join("; ");
                entered.left_out.push(LeftOut { from: record.from.clone(), why });
                all.into_iter().for_each(|fault| faults.leaves_out(fault));
            }
        }
    }
    faults.give(problems);
    entered
}

fn hazard(record: &RawRecord, setting: Setting, faults: &mut Faults) -> Result<Hazard, Unusable> {
    let cells = Cells::new(record, &[POSITION_KEYS, HAZARD_KEYS]);
    let pit_depth_m = cells.number("pit_depth_m", faults);
    let place = position(&cells, setting, faults);
    let ((kind, written_as), (position, shape)) = both(kind_of(&cells, setting.written_in), place)?;
    Ok(Hazard {
        kind,
        written_as,
        name: name(&cells),
        position,
        shape,
        pit_depth_m,
        from: record.from.clone(),
    })
}

/// The kind, and the words for it where they are not its name.
fn kind_of(cells: &Cells<'_>, written_in: WrittenIn) -> Result<(HazardKind, Option<String>), Fault> {
    let Some(written) = cells.text("kind") else {
        return Err(Fault::of(
            &cells.record.from,
            "no-kind",
            "a hazard of unknown kind",
            format!("Add kind = …, one of: {}.", HazardKind::names()),
        ));
    };
    let original = cells.text(WRITTEN_AS).map_or_else(|| written.value.clone(), |w| w.value);
    match HazardKind::from_words(&written.value) {
        Ok(kind) => Ok((kind, Some(original).filter(|words| words != kind.name()))),
        Err(error) => {
            let suggestion = HazardKind::suggested_by(&written.value)
                .map(|kind| format!("Did you mean \"{}\"? ", kind.name()));
            let mapped = match written_in {
                WrittenIn::Survey => "",
                WrittenIn::File => " Or say in the survey what the word stands for, under words of the file.",
            };
            let suggestion = suggestion.unwrap_or_default();
            let help = format!("{suggestion}Write one of: {}.{mapped}", HazardKind::names());
            Err(match cells.get("kind") {
                Some(cell) => Fault::in_cell(cell, "unknown-kind", error.to_string(), help),
                None => Fault::of(&cells.record.from, "unknown-kind", error.to_string(), help),
            })
        }
    }
}

fn well(record: &RawRecord, setting: Setting, faults: &mut Faults) -> Result<Well, Unusable> {
    let cells = Cells::new(record, &[POSITION_KEYS, WELL_KEYS]);
    let quality = Parameter::ALL.into_iter().filter_map(|parameter| {
        let reading = cells.reading(&format!("quality.{}", parameter.key()), faults)?;
        Some((parameter, reading))
    });
    let quality = quality.collect();
    let place = position(&cells, setting, faults).and_then(|(position, shape)| match shape {
        Shape::Points(points) if points.len() == 1 => Ok(position),
        _ => Err(Fault::of(
            &record.from,
            "not-a-point",
            "a well drawn as a line, an area or several points",
            "A well is one point.",
        )
        .into()),
    });
    // All values are looked at before anything is given up, so that all
    // faults are told at once.
    let elevation_m = cells.number("elevation_m", faults);
    let elevation_accuracy_m = cells.number("elevation_accuracy_m", faults);
    let made = cells.word("made", faults);
    let depth_m = cells.number("depth_m", faults);
    let water_level_m = cells.number("water_level_m", faults);
    let measured = cells.date("measured", faults);
    let season = cells.word("season", faults);
    let lowest_level_m = cells.number("lowest_level_m", faults);
    let outcome = cells.word("outcome", faults);
    let pump_broken = cells.yes_no("pump_broken", faults);
    let yield_lps = cells.number("yield_lps", faults);
    let drawdown_m = cells.number("drawdown_m", faults);
    let (position, log) = both(place, log_of(record))?;
    let well = Well {
        name: name(&cells),
        position,
        elevation_m,
        elevation_accuracy_m,
        made,
        depth_m,
        water_level_m,
        measured,
        season,
        lowest_level_m,
        outcome,
        pump_broken,
        yield_lps,
        drawdown_m,
        log,
        quality,
        from: record.from.clone(),
    };
    doubt(&well, setting, faults);
    Ok(well)
}

fn position(cells: &Cells<'_>, setting: Setting, faults: &mut Faults) -> Result<(Position, Shape), Unusable> {
    let reference = Reference { peg: setting.peg, accuracy_m: setting.accuracy_m };
    if let Some(shape) = &cells.record.shape {
        return shape_of(cells, shape, reference, faults);
    }
    let position = place_of(cells, reference, faults)?;
    let shape = Shape::Points(vec![position.at]);
    Ok((position, shape))
}

fn name(cells: &Cells<'_>) -> String {
    cells.text("name").map_or_else(String::new, |name| name.value)
}

/// The layers of a log: each with the depth of its bottom below the one
/// above. A log with a fault in it tells nothing, and a well that is read
/// without its log might be taken for one that met nothing hard.
fn log_of(record: &RawRecord) -> Result<Vec<Layer>, Unusable> {
    let (mut layers, mut faults) = (Vec::new(), Vec::new());
    let mut above_m = 0.0;
    for record in &record.log {
        match layer(record, above_m) {
            Ok(layer) => {
                above_m = layer.to_m;
                layers.push(layer);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(layers) } else { Err(Unusable::Faults(faults)) }
}

fn layer(record: &RawRecord, above_m: f64) -> Result<Layer, Fault> {
    let cells = Cells::new(record, &[LAYER_KEYS]);
    let missing = |key: &str| {
        let message = format!("a layer of the log without {key}");
        Fault::of(&record.from, "bad-log", message, "Write { to_m = 6.0, material = \"sandy clay\" }.")
    };
    let to_m = cells.checked("to_m")?.ok_or_else(|| missing("to_m"))?.value;
    if to_m <= above_m {
        return Err(Fault::of(
            &record.from,
            "bad-log",
            format!("a layer of the log ends at {to_m} m, not below {above_m} m"),
            "Write the layers from the top down; to_m is the depth of the bottom of each below ground.",
        ));
    }
    // A layer of unknown material is still a layer.
    let written = record.cells.get("material").map(|cell| super::cells::written(&cell.value));
    let material = written.filter(|m| !m.is_empty()).ok_or_else(|| missing("material"))?;
    let hardness = cells.text("hardness").map(|h| h.value);
    Ok(Layer { to_m, material, hardness, from: record.from.clone() })
}

/// Warns of values that cannot all be true.
fn doubt(well: &Well, setting: Setting, faults: &mut Faults) {
    let both = "Both were kept as written; check them, and what they were measured from.";
    let mut warn = |at: &crate::diag::Origin, code, message: String| {
        faults.warns(Fault::of(at, code, message, both));
    };
    if let (Some(level), Some(depth)) = (&well.water_level_m, &well.depth_m)
        && level.value > depth.value
    {
        let message = format!("water at {} m in a hole of {} m", level.value, depth.value);
        warn(&level.from, "level-below-hole", message);
    }
    if let (Some(lowest), Some(level)) = (&well.lowest_level_m, &well.water_level_m)
        && lowest.value < level.value
    {
        let message =
            format!("the lowest level, {} m, is above the measured one, {} m", lowest.value, level.value);
        warn(&lowest.from, "lowest-above-level", message);
    }
    if let (Some(last), Some(depth)) = (well.log.last(), &well.depth_m)
        && last.to_m > depth.value
    {
        let message = format!("a log down to {} m in a hole of {} m", last.to_m, depth.value);
        warn(&last.from, "log-below-hole", message);
    }
    if let (Some(measured), Some(visited)) = (&well.measured, setting.visited)
        && measured.value > visited
    {
        let message = format!("a level measured on {}, after the visit on {visited}", measured.value);
        warn(&measured.from, "measured-after-visit", message);
    }
}

#[cfg(test)]
#[path = "entry_tests.rs"]
mod tests;

//! A survey from its files: the TOML itself and the tables and shapes beside
//! it. Every fault of every file is found in one run.

use std::io;
use std::path::Path;
use std::sync::Arc;

use super::beside::{self, Held, Open};
use super::cells::Cells;
use super::entry::{self, Setting, WrittenIn};
use super::faults::Faults;
use super::file_options;
use super::keys::{POSITION_KEYS, RecordKind};
use super::place_of::{Reference, Unusable, place_of};
use super::sections::{self, Visit};
use super::toml_record;
use super::toml_table::{Table, no_advice};
use super::toml_text::TomlText;
use super::toml_value::Bounds;
use super::{Peg, Position, Seen, Survey, TableFile, plot, repeats, stage_sections};
use crate::diag::{Level, Origin, Problems, Sources, read_file};

/// The longest survey that is read, bytes.
const GREATEST_SURVEY: u64 = 16 << 20;

/// The longest file beside a survey that is read, bytes: the wells of a whole
/// country.
const GREATEST_BESIDE: u64 = 256 << 20;

/// Reads a survey and the files it names.
///
/// `None` only where the survey's own file has an error: it is not TOML, a
/// key is unknown or of the wrong type, `[peg]` is missing, a file it names
/// is not there or has no such column. Rows and features of other files that cannot be used are
/// left out and listed in [`Survey::left_out`].
///
/// Origins name the survey as `path` does, and other files by their paths as
/// the survey writes them.
pub fn read_survey(path: &Path, sources: &mut Sources, problems: &mut Problems) -> Option<Survey> {
    let name: Arc<str> = path.display().to_string().into();
    let folder = path.parent().unwrap_or(Path::new(""));
    let bytes = match read_file(path, GREATEST_SURVEY) {
        Ok(bytes) => bytes,
        Err(error) => {
            let what = match error.kind() {
                io::ErrorKind::NotFound => "there is no such file".to_owned(),
                _ => format!("it cannot be read: {error}"),
            };
            let help = "Name the survey's TOML file.";
            problems.error("no-survey", Origin::whole(name), what, help);
            return None;
        }
    };
    survey(&name, &bytes, &|beside: &str| read_file(&folder.join(beside), GREATEST_BESIDE), sources, problems)
}

/// Reads a survey from its bytes, opening the files it names with `open`.
pub(crate) fn survey(
    name: &Arc<str>,
    bytes: &[u8],
    open: Open<'_>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Survey> {
    let text = utf8(name, bytes, problems)?;
    sources.add(name.clone(), text);
    let toml = TomlText::new(name, text);
    let mut own = Problems::new();
    let (table, broken) = toml.parse(&mut own);
    let mut found = Problems::new();
    let mut top = Table::top(&toml, &table);
    let written = written(&mut top, &mut found);
    let files: Vec<_> = written
        .files
        .iter()
        .map(|(kind, files)| (*kind, beside::open_all(files, *kind, open, &mut found)))
        .collect();
    let asked = written.plot.is_some();
    let plot = written.plot.and_then(|plot| plot::read(plot, written.setting, open, sources, &mut found));
    let lost = asked && plot.is_none();
    top.finish(no_advice, &mut found);
    keep_true_faults(found, broken, &mut own);
    let usable = !own.any_error() && !lost;
    problems.extend(own);
    // Files are read even where the survey cannot be used, so that their
    // faults are told in the same run.
    let setting = Setting { written_in: WrittenIn::File, accuracy_m: None, ..written.setting };
    let mut held = Held::default();
    let mut theirs = Problems::new();
    for (kind, opened) in files {
        beside::read_all(opened, kind, setting, sources, &mut theirs, &mut held);
    }
    // Columns that the survey names and the file has not are its own errors.
    let usable = usable && !theirs.iter().any(|p| p.level == Level::Error && p.at.file == *name);
    problems.extend(theirs);
    let mut survey = written.survey?;
    survey.hazards.extend(held.hazards);
    survey.wells.extend(held.wells);
    survey.drilling.progress.extend(held.progress);
    survey.handover.test.extend(held.test);
    survey.left_out.extend(held.left_out);
    survey.plot = plot;
    repeats::hazards_once(&mut survey.hazards, problems);
    repeats::wells_once(&mut survey.wells, problems);
    usable.then_some(survey)
}

/// The text of the survey, which must be UTF-8.
fn utf8<'b>(name: &Arc<str>, bytes: &'b [u8], problems: &mut Problems) -> Option<&'b str> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Some(text),
        Err(error) => {
            let good = bytes.get(..error.valid_up_to()).unwrap_or_default();
            let good = std::str::from_utf8(good).unwrap_or_default();
            problems.error(
                "not-utf-8",
                Sources::spot(name, good, good.len()),
                "a character that is not UTF-8",
                "Save the file as UTF-8 text.",
            );
            None
        }
    }
}

/// What the survey's own file says.
struct Written {
    /// `None` where there is no place for the peg.
    survey: Option<Survey>,
    setting: Setting,
    files: Vec<(RecordKind, Vec<TableFile>)>,
    plot: Option<plot::Written>,
}

/// The kinds of records that may stand in files of their own.
const IN_FILES: [RecordKind; 4] =
    [RecordKind::Well, RecordKind::Hazard, RecordKind::Progress, RecordKind::Test];

fn written(top: &mut Table<'_>, problems: &mut Problems) -> Written {
    let region = top.text("region", problems);
    let Visit { date: visited, gps_accuracy_m } = sections::visit(top, problems);
    let accuracy_m = gps_accuracy_m.map(|a| a.value);
    let peg = peg(top, accuracy_m, problems);
    let setting = Setting {
        written_in: WrittenIn::Survey,
        peg: peg.as_ref().map(|p| p.at.value.at),
        accuracy_m,
        visited: visited.as_ref().map(|v| v.value),
    };
    let plot = plot::section(top, setting, problems);
    let need = sections::need(top, problems);
    let plan = sections::plan(top, problems);
    let looked_for = sections::looked_for(top, problems);
    let mut files = Vec::new();
    if let Some(mut section) = top.section("files", problems) {
        files.extend(IN_FILES.map(|kind| (kind, file_options::files(&mut section, kind, problems))));
        section.finish(no_advice, problems);
    }
    let hazards = toml_record::records(top, RecordKind::Hazard, problems);
    let hazards = entry::hazards(&hazards, setting, problems).used;
    beside::warn_far(hazards.iter().map(|h| (&h.from, h.position.at)), setting.peg, problems);
    let wells = toml_record::records(top, RecordKind::Well, problems);
    let wells = entry::wells(&wells, setting, problems).used;
    beside::warn_far(wells.iter().map(|w| (&w.from, w.position.at)), setting.peg, problems);
    let ground = sections::ground(top, problems);
    let permission = sections::permission(top, problems);
    let drilling = stage_sections::drilling(top, problems);
    let completion = stage_sections::completion(top, problems);
    let handover = stage_sections::handover(top, problems);
    let survey = peg.map(|peg| Survey {
        file: top.origin().file,
        region,
        peg,
        visited,
        need,
        plan,
        looked_for,
        hazards,
        wells,
        plot: None,
        ground,
        permission,
        drilling,
        completion,
        handover,
        left_out: Vec::new(),
    });
    Written { survey, setting, files, plot }
}

fn peg(top: &mut Table<'_>, accuracy_m: Option<f64>, problems: &mut Problems) -> Option<Peg> {
    const HOW: &str = "Write at = { lat = …, lon = …, accuracy_m = … }, or at = { easting_m = …, \
                       northing_m = …, zone = \"37S\", datum = \"WGS84\" }.";
    let before = problems.len();
    let Some(mut table) = top.section("peg", problems) else {
        if problems.len() == before {
            let at = Origin::new(top.origin().file, 1, 1);
            let help = format!("Add [peg] with a name and its place. {HOW}");
            problems.error("missing-key", at, "no [peg]", help);
        }
        return None;
    };
    let name = table.text("name", problems);
    let before = problems.len();
    let place = toml_record::peg_place(&mut table, problems);
    if place.is_none() && problems.len() == before {
        table.toml().error(table.span(), "missing-key", "a peg without its place", HOW, problems);
    }
    let elevation_m =
        table.number("elevation_m", Bounds { unit: "m", least: -500.0, most: 9_000.0 }, problems);
    let elevation_accuracy_m =
        table.number("elevation_accuracy_m", Bounds { unit: "m", least: 0.0, most: 1_000.0 }, problems);
    let from = table.origin();
    table.finish(
        |key| {
            let place = POSITION_KEYS.iter().any(|k| k.name == key);
            let taped = key == "from_peg";
            (place || taped).then(|| HOW.to_owned())
        },
        problems,
    );
    let at = peg_position(&place?, accuracy_m, problems)?;
    let name = name.unwrap_or_else(|| Seen::new("peg".to_owned(), from));
    Some(Peg { name, at, elevation_m, elevation_accuracy_m })
}

fn peg_position(
    record: &super::RawRecord,
    accuracy_m: Option<f64>,
    problems: &mut Problems,
) -> Option<Seen<Position>> {
    let mut faults = Faults::new(WrittenIn::Survey);
    let cells = Cells::new(record, &[POSITION_KEYS]);
    let place = place_of(&cells, Reference { peg: None, accuracy_m }, &mut faults);
    let place = match place {
        Ok(position) => Some(Seen::new(position, record.from.clone())),
        Err(Unusable::Faults(all)) => {
            all.into_iter().for_each(|fault| faults.leaves_out(fault));
            None
        }
        Err(Unusable::NoPeg) => None,
    };
    faults.give(problems);
    place
}

/// Where the file is not whole TOML, keys may have been lost or have come
/// under the wrong heading; what would only follow from that is not told.
fn keep_true_faults(found: Problems, broken: bool, own: &mut Problems) {
    const FOLLOWING: [&str; 6] =
        ["unknown-key", "missing-key", "no-position", "half-position", "no-kind", "no-zone"];
    let lines: Vec<usize> = own.iter().map(|p| p.at.line).collect();
    for problem in found {
        let follows = FOLLOWING.contains(&problem.code) || lines.contains(&problem.at.line);
        if !(broken && follows && problem.level == Level::Error) {
            own.push(problem);
        }
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
pub(crate) mod tests;

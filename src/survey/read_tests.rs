//! Surveys as people write them, right and wrong.
#![allow(clippy::float_cmp)]

use super::super::{
    Access, Accuracy, Consent, Flooding, Frame, HazardKind, Made, Method, Ordnance, Parameter, Season, Shape,
    WellOutcome,
};
use super::*;

/// A survey from texts, with each problem as
/// `place+length level code: message | help`.
pub(crate) fn read(text: &str, files: &[(&str, &str)]) -> (Option<Survey>, Vec<String>) {
    let open = |path: &str| match files.iter().find(|(name, _)| *name == path) {
        Some((_, text)) => Ok(text.as_bytes().to_vec()),
        None => Err(io::ErrorKind::NotFound.into()),
    };
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let survey = survey(&"survey.toml".into(), text.as_bytes(), &open, &mut sources, &mut problems);
    let line = |p: &crate::diag::Problem| {
        let place = format!("{}:{}:{}+{}", p.at.file, p.at.line, p.at.column, p.length);
        format!("{place} {:?} {}: {} | {}", p.level, p.code, p.message, p.help)
    };
    (survey, problems.iter().map(line).collect())
}

/// The least a survey can say, in three lines.
pub(crate) const PEG: &str =
    "[peg]\nname = \"Yard\"\nat = { lat = -9.41231, lon = 39.28114, accuracy_m = 4 }\n";

/// The survey must be refused for exactly these reasons, given without file
/// and help.
fn refused(text: &str, expected: &[&str]) {
    let (survey, problems) = read(text, &[]);
    let short = |p: &String| p.split(" | ").next().unwrap().trim_start_matches("survey.toml:").to_owned();
    assert_eq!(problems.iter().map(short).collect::<Vec<_>>(), expected);
    assert!(survey.is_none());
}

fn after_peg(text: &str, expected: &[&str]) {
    refused(&format!("{PEG}{text}"), expected);
}

const WHOLE: &str = r#"
region = "river-alluvium"
[peg]
name = "Lower yard"
at = { lat = -9.41231, lon = 39.28114, accuracy_m = 4 }
elevation_m = 112.0
[visit]
date = 2026-09-14
gps_accuracy_m = 6
[need]
people = 180
litres_per_person_day = 20
other_litres_per_day = 400
[plan]
methods = ["manual rotary jetting", "Hand Auger"]
lift = "direct-action hand pump"
budget = { amount = 900, currency = "usd" }
start = 2026-10-01
tower_height_m = 6
drilling_water_l_per_day = 2000
[looked_for]
"pit latrine" = 60
"graves" = 100
kraal = "unknown"
[[hazard]]
kind = "Long drop"
name = "north latrine"
from_peg = { bearing_deg = 90, distance_m = 24.5, accuracy_m = 0.5 }
pit_depth_m = 3.0
[[hazard]]
kind = "open water"
from_peg = { bearing_deg = 180, distance_m = 80 }
[[well]]
name = "school well"
at = { lat = -9.4119, lon = 39.2822 }
elevation_m = 113
made = "dug"
depth_m = 14.0
water_level_m = 9.2
measured = 2026-03-02
season = "wet"
lowest_level_m = 11
outcome = "in use"
pump_broken = false
yield_lps = 0.25
drawdown_m = 2.1
log = [ { to_m = 2.0, material = "sandy clay" }, { to_m = 6.0, material = "laterite", hardness = "hard" } ]
quality = { ec_us_cm = 640, nitrate_mg_l = 12, arsenic_mg_l = "< 0.005" }
[[well]]
at = { easting_m = 530870, northing_m = 8959540, zone = "37S", datum = "Arc 1960 Tanzania", accuracy_m = 10 }
outcome = "unknown"
[ground]
slope_pct = 3
slope_towards_deg = 120
groundwater_towards_deg = "unknown"
flooding = "some years"
outcrop_m = 400
boulders = "no"
hard_laterite = true
running_sand = "unknown"
gravel = "yes"
fissured = false
salt_water_m = 12000
working_room_m = 8
access = "cart"
unexploded_ordnance = "none known"
[permission]
permit = "applied"
land = "yes"
"#;

#[test]
fn every_key_of_the_contract_is_read() {
    let (survey, problems) = read(WHOLE, &[]);
    assert_eq!(problems, Vec::<String>::new());
    let s = survey.unwrap();
    assert_eq!(s.region.unwrap().value, "river-alluvium");
    assert_eq!(s.peg.name.value, "Lower yard");
    assert_eq!(s.peg.at.value.accuracy, Accuracy::Stated(4.0));
    assert_eq!(s.peg.at.from.to_string(), "survey.toml:5");
    assert_eq!(s.peg.elevation_m.unwrap().value, 112.0);
    assert_eq!(s.visited.unwrap().value.to_string(), "2026-09-14");
    assert_eq!(s.need.people.unwrap().value, 180.0);
    assert_eq!(s.need.litres_per_person_day.unwrap().value, 20.0);
    assert_eq!(s.need.other_litres_per_day.unwrap().value, 400.0);
    let methods: Vec<_> = s.plan.methods.iter().map(|m| m.value).collect();
    assert_eq!(methods, [Method::ManualRotaryJetting, Method::HandAuger]);
    assert_eq!(s.plan.lift.unwrap().value, "direct-action hand pump");
    let budget = s.plan.budget.unwrap().value;
    assert_eq!((budget.amount, budget.currency.as_str()), (900.0, "USD"));
    assert_eq!(s.plan.start.unwrap().value.to_string(), "2026-10-01");
    assert_eq!(s.plan.tower_height_m.unwrap().value, 6.0);
    assert_eq!(s.plan.drilling_water_l_per_day.unwrap().value, 2000.0);
    let looked: Vec<_> = s.looked_for.iter().map(|(kind, r)| (*kind, r.value)).collect();
    assert_eq!(looked, [(HazardKind::PitLatrine, 60.0), (HazardKind::Graveyard, 100.0)]);
    assert_eq!(s.ground.slope_pct.unwrap().value, 3.0);
    assert_eq!(s.ground.slope_towards_deg.unwrap().value, 120.0);
    assert_eq!(s.ground.groundwater_towards_deg, None);
    assert_eq!(s.ground.flooding.unwrap().value, Flooding::SomeYears);
    assert_eq!(s.ground.outcrop_m.unwrap().value, 400.0);
    assert!(!s.ground.boulders.unwrap().value);
    assert!(s.ground.hard_laterite.unwrap().value);
    assert_eq!(s.ground.running_sand, None);
    assert!(s.ground.gravel.unwrap().value);
    assert!(!s.ground.fissured.unwrap().value);
    assert_eq!(s.ground.salt_water_m.unwrap().value, 12000.0);
    assert_eq!(s.ground.working_room_m.unwrap().value, 8.0);
    assert_eq!(s.ground.access.unwrap().value, Access::Cart);
    assert_eq!(s.ground.ordnance.unwrap().value, Ordnance::NoneKnown);
    assert_eq!(s.permission.permit.unwrap().value, Consent::Applied);
    assert_eq!(s.permission.land.unwrap().value, Consent::Yes);
}

#[test]
fn hazards_keep_their_words_and_how_they_were_taped() {
    let s = read(WHOLE, &[]).0.unwrap();
    let latrine = &s.hazards[0];
    assert_eq!((latrine.kind, latrine.name.as_str()), (HazardKind::PitLatrine, "north latrine"));
    assert_eq!(latrine.written_as.as_deref(), Some("Long drop"));
    assert_eq!(latrine.pit_depth_m.as_ref().unwrap().value, 3.0);
    assert_eq!(latrine.position.frame, Frame::Peg);
    assert_eq!(latrine.position.taped_m, Some(24.5));
    assert_eq!(latrine.position.accuracy, Accuracy::Stated(0.5));
    assert!(latrine.position.at.lon_deg() > s.peg.at.value.at.lon_deg());
    assert_eq!(latrine.shape, Shape::Points(vec![latrine.position.at]));
    let water = &s.hazards[1];
    assert_eq!((water.written_as.as_deref(), water.position.accuracy), (None, Accuracy::UnstatedTape));
}

#[test]
fn wells_keep_every_value_with_its_place() {
    let s = read(WHOLE, &[]).0.unwrap();
    let well = &s.wells[0];
    assert_eq!(well.name, "school well");
    assert_eq!(well.position.accuracy, Accuracy::Stated(6.0), "that of the visit's receiver");
    assert_eq!(well.elevation_m.as_ref().unwrap().value, 113.0);
    assert_eq!(well.made.as_ref().unwrap().value, Made::Dug);
    assert_eq!(well.depth_m.as_ref().unwrap().value, 14.0);
    let level = well.water_level_m.as_ref().unwrap();
    assert_eq!((level.value, level.from.line, level.from.column), (9.2, 39, 17));
    assert_eq!(well.measured.as_ref().unwrap().value.to_string(), "2026-03-02");
    assert_eq!(well.season.as_ref().unwrap().value, Season::Wet);
    assert_eq!(well.lowest_level_m.as_ref().unwrap().value, 11.0);
    assert_eq!(well.outcome.as_ref().unwrap().value, WellOutcome::InUse);
    assert!(!well.pump_broken.as_ref().unwrap().value);
    assert_eq!(well.yield_lps.as_ref().unwrap().value, 0.25);
    assert_eq!(well.drawdown_m.as_ref().unwrap().value, 2.1);
    assert_eq!(well.log.len(), 2);
    assert_eq!((well.log[1].to_m, well.log[1].material.as_str()), (6.0, "laterite"));
    assert_eq!(well.log[1].hardness.as_deref(), Some("hard"));
    let arsenic = well.quality[&Parameter::Arsenic].value;
    assert_eq!((arsenic.value, arsenic.below), (0.005, true));
    assert_eq!(well.quality[&Parameter::Ec].value.value, 640.0);
}

#[test]
fn a_grid_reference_carries_the_error_of_its_datum() {
    let s = read(WHOLE, &[]).0.unwrap();
    let well = &s.wells[1];
    let frame = Frame::Datum { name: "Arc 1960 Tanzania".into(), shift_error_m: 13.0 };
    assert_eq!((&well.position.frame, &well.outcome), (&frame, &None));
    assert!((well.position.at.lat_deg() + 9.4142).abs() < 0.01, "{:?}", well.position.at);
}

#[test]
fn a_survey_of_a_peg_alone_is_whole() {
    let (survey, problems) = read("[peg]\nat = { lat = 1.5, lon = 30 }\n", &[]);
    assert_eq!(problems, Vec::<String>::new());
    let s = survey.unwrap();
    assert_eq!((s.peg.name.value.as_str(), s.peg.at.value.accuracy), ("peg", Accuracy::UnstatedCoordinate));
}

#[test]
fn a_grid_reference_without_datum_is_used_and_warned_of() {
    let (survey, problems) = read(
        "[peg]\nat = { easting_m = 549738, northing_m = 9504281, zone = \"37S\", accuracy_m = 5 }\n",
        &[],
    );
    assert_eq!(survey.unwrap().peg.at.value.frame, Frame::UnknownDatum { shift_error_m: 650.0 });
    assert_eq!(
        problems,
        [
            "survey.toml:2:6+0 Warning no-datum: no datum is stated for a grid reference | Add datum = \"WGS84\", or \
          the datum of the map it was read from. Until then it counts as off by up to 650 m, so that it clears no \
          distance shorter than that."
        ]
    );
}

#[test]
fn a_survey_without_its_peg_is_refused() {
    refused("", &["1:1+0 Error missing-key: no [peg]"]);
    refused("peg = \"unknown\"", &["1:1+0 Error missing-key: no [peg]"]);
    refused("[peg]\nname = \"Yard\"\n", &["1:1+5 Error missing-key: a peg without its place"]);
    refused("[peg]\nat = \"unknown\"\n", &["1:1+5 Error missing-key: a peg without its place"]);
    refused("[peg]\nat = { lat = 3 }\n", &["2:6+0 Error half-position: lat without lon"]);
    refused("[peg]\nat = { accuracy_m = 3 }\n", &["2:6+0 Error no-position: no position"]);
    refused("[peg]\nat = 3\n", &["2:6+1 Error wrong-type: at is a number, where a table is expected"]);
}

#[test]
fn unknown_keys_are_refused_with_the_one_that_may_be_meant() {
    let (survey, problems) =
        read(&format!("regoin = \"x\"\n{PEG}nmae = \"Yard\"\n[nede]\npeople = 3\n"), &[]);
    assert!(survey.is_none());
    assert_eq!(
        problems,
        [
            "survey.toml:5:1+4 Error unknown-key: unknown key nmae in [peg] | Did you mean name?",
            "survey.toml:1:1+6 Error unknown-key: unknown key regoin | Did you mean region?",
            "survey.toml:6:2+4 Error unknown-key: unknown key nede | Did you mean need?",
        ]
    );
}

#[test]
fn a_key_in_the_wrong_table_is_told_its_place() {
    let text =
        format!("{PEG}[[well]]\nlat = 3\nbearing_deg = 3\narsenic_mg_l = 3\nat = {{ lat = -9, lon = 39 }}\n");
    let helps: Vec<_> =
        read(&text, &[]).1.iter().map(|p| p.split(" | ").nth(1).unwrap().to_owned()).collect();
    assert_eq!(
        helps,
        [
            "Write it inside at = { … }.",
            "Write it inside from_peg = { … }.",
            "Write it inside quality = { … }."
        ]
    );
}

#[test]
fn numbers_that_are_none_and_values_of_the_wrong_kind_are_refused() {
    after_peg(
        "elevation_m = nan\n[need]\npeople = inf\nlitres_per_person_day = \"20\"\n[ground]\nboulders = 3\n",
        &[
            "4:15+3 Error not-a-number: elevation_m is not a number one can measure",
            "6:10+3 Error not-a-number: people is not a number one can measure",
            "7:25+4 Error wrong-type: litres_per_person_day is text, where a number is expected",
            "9:12+1 Error wrong-type: boulders is a number, where yes or no is expected",
        ],
    );
    after_peg(
        "[plan]\nmethods = \"hand auger\"\nlift = 4\nstart = 9\n[permission]\npermit = true\n",
        &[
            "5:11+12 Error wrong-type: methods is text, where a list is expected",
            "6:8+1 Error wrong-type: lift is a number, where text is expected",
            "7:9+1 Error wrong-type: start is a number, where a date is expected",
            "9:10+4 Error wrong-type: permit is true or false, where text is expected",
        ],
    );
}

#[test]
fn what_is_not_physically_possible_is_refused() {
    after_peg(
        "[visit]\ndate = 1066-10-14\ngps_accuracy_m = 0\n[looked_for]\nsewer = -3\n[ground]\nslope_towards_deg = 361\n",
        &[
            "5:8+10 Error out-of-range: date = 1066-10-14 is not possible",
            "6:18+1 Error out-of-range: gps_accuracy_m = 0 is not possible",
            "8:9+2 Error out-of-range: sewer = -3 is not possible",
            "10:21+3 Error out-of-range: slope_towards_deg = 361 is not possible",
        ],
    );
}

#[test]
fn a_day_that_is_not_in_the_calendar_hides_nothing_else() {
    after_peg(
        "[visit]\ndate = 2026-02-30\ndaet = 3\n",
        &[
            "5:8+10 Error bad-date: 2026-02-30 is no date: invalid date, expected day between 01 and 28",
            "6:1+4 Error unknown-key: unknown key daet in [visit]",
        ],
    );
}

#[test]
fn words_in_no_list_are_refused() {
    after_peg(
        "[plan]\nmethods = [\"hand awger\"]\n[looked_for]\nlatrin = 30\n[ground]\nflooding = \"yes\"\n",
        &[
            "5:12+12 Error unknown-word: methods = \"hand awger\" is not understood",
            "7:1+6 Error unknown-kind: \"latrin\" is not a kind of hazard known here",
            "9:12+5 Error unknown-word: flooding = \"yes\" is not understood",
        ],
    );
}

#[test]
fn one_kind_looked_for_under_two_names_is_refused() {
    after_peg(
        "[looked_for]\n\"pit latrine\" = 60\nlatrine = 30\n",
        &["6:1+7 Error repeated-key: pit latrine is said twice, first in line 5"],
    );
}

#[test]
fn a_budget_needs_amount_and_currency() {
    after_peg(
        "[plan]\nbudget = { amount = 900 }\n",
        &["5:10+16 Error missing-key: a budget without its currency"],
    );
    after_peg(
        "[plan]\nbudget = { amount = 900, currency = \"dollars\" }\n",
        &["5:37+0 Error bad-currency: \"dollars\" is not the code of a currency"],
    );
}

#[test]
fn faults_of_syntax_are_told_together_with_the_rest() {
    after_peg(
        "[need\npeople = 180\n[visit]\ndate = \n[plan]\nlift = 4\nlift = 5\n",
        &[
            "4:6+0 Error not-toml: unclosed table, expected `]`",
            "7:8+0 Error not-toml: a value is missing",
            "10:1+4 Error repeated-key: lift is written twice",
            "9:8+1 Error wrong-type: lift is a number, where text is expected",
        ],
    );
}

#[test]
fn bytes_that_are_no_text_are_refused_at_their_place() {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let nothing = |_: &str| Err(io::ErrorKind::NotFound.into());
    let bytes = b"[peg]\nname = \"caf\xe9\"\n";
    assert!(survey(&"a.toml".into(), bytes, &nothing, &mut sources, &mut problems).is_none());
    let all: Vec<_> = problems.iter().map(|p| (p.code, p.at.line, p.at.column)).collect();
    assert_eq!(all, [("not-utf-8", 2, 12)]);
}

#[test]
fn a_survey_that_is_not_there_is_said_to_be_missing() {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    assert!(read_survey(Path::new("no/such/survey.toml"), &mut sources, &mut problems).is_none());
    let first = problems.iter().next().unwrap();
    assert_eq!(
        (first.code, first.at.to_string(), first.message.as_str()),
        ("no-survey", "no/such/survey.toml".to_owned(), "there is no such file")
    );
}

//! Chances forecast from wells around, on real wells of Malawi (openwashdata,
//! CC BY 4.0): whether the water is called salty, and whether a hole drilled
//! was fit for use.
#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use std::collections::BTreeMap;

use forebore::ground::occurrence::{
    Basis, Observation, OccurrenceModel, OccurrencePrior, Options, Place, Skill,
};
use forebore::place::Plane;
use forebore::stats::{Foretold, brier};
use forebore::survey::LonLat;

type Row = BTreeMap<String, String>;

/// Rows that have a place and an answer, in the plane at the first of them.
fn seen(rows: &[Row], lon: &str, yes: impl Fn(&Row) -> Option<bool>) -> Vec<(usize, Observation)> {
    let number = |row: &Row, name: &str| row[name].parse::<f64>().ok();
    let known: Vec<(usize, LonLat, bool)> = rows
        .iter()
        .enumerate()
        .filter_map(|(i, row)| {
            let at = LonLat::new(number(row, lon)?, number(row, "latitude")?).ok()?;
            Some((i, at, yes(row)?))
        })
        .filter(|(_, at, _)| (-18.0..-9.0).contains(&at.lat_deg()))
        .collect();
    let plane = Plane::at(known[0].1);
    let observation = |(i, at, yes): (usize, LonLat, bool)| {
        let [east_m, north_m] = plane.east_north_m(at);
        (i, Observation { east_m, north_m, depth_m: None, yes: f64::from(u8::from(yes)) })
    };
    known.into_iter().map(observation).collect()
}

fn salty(row: &Row) -> bool {
    row["available_water_quality_issues"].contains("Salinity")
}

/// Nothing said of the region: a chance of one half, worth two wells.
const UNSTATED: OccurrencePrior = OccurrencePrior { chance: 0.5, worth_wells: 2.0, length_m: 1000.0 };

/// The better ranking and the better scores, and of the wells told alike as
/// many as told.
fn check_salt(observations: &[Observation]) -> Skill {
    let model = OccurrenceModel::learn(&UNSTATED, observations, Options::default()).unwrap();
    let skill = model.skill().unwrap();
    assert!(model.basis() == Basis::Learnt && skill.carries_skill, "{skill:?}");
    assert!(skill.auc.unwrap() >= 0.80 && skill.auc > skill.auc_nearest, "{skill:?}");
    assert!(skill.brier < skill.brier_base && skill.brier < skill.brier_nearest, "{skill:?}");
    let mut told: Vec<(f64, f64)> = model.left_out().iter().map(|l| (l.chance, l.yes)).collect();
    told.sort_by(|a, b| a.0.total_cmp(&b.0));
    for part in told.chunks(told.len().div_ceil(8)) {
        let mean = |of: fn(&(f64, f64)) -> f64| part.iter().map(of).sum::<f64>() / part.len() as f64;
        let (said, came) = (mean(|t| t.0), mean(|t| t.1));
        assert!((said - came).abs() < 0.08, "said {said} came {came}");
    }
    skill
}

/// Of water points with a complaint, which are called salty.
#[test]
fn salty_complaints_are_forecast_from_those_around() {
    let Some(folder) = common::open_data() else { return };
    let rows = common::rows(&folder.join("malawi_waterpoints/waterpointfunctionality.csv"));
    let wells = seen(&rows, "longitude", |row| {
        (row["water_quality_problems_available"] == "Yes").then(|| salty(row))
    });
    assert!(wells.len() >= 1700, "{}", wells.len());
    check_salt(&wells.into_iter().map(|(_, o)| o).collect::<Vec<_>>());
}

/// Of all water points. `cargo test --release --test occurrence_open_data --
/// --ignored` takes seconds.
#[test]
#[ignore = "eleven thousand wells take a minute without optimisation"]
fn salty_water_is_forecast_from_all_wells() {
    let Some(folder) = common::open_data() else { return };
    let rows = common::rows(&folder.join("malawi_waterpoints/waterpointfunctionality.csv"));
    let wells = seen(&rows, "longitude", |row| Some(salty(row)));
    assert!(wells.len() >= 11_000, "{}", wells.len());
    let skill = check_salt(&wells.into_iter().map(|(_, o)| o).collect::<Vec<_>>());
    eprintln!("{skill:#?}");
}

/// Each hole from those drilled before it and no nearer than 1 km; learnt
/// anew, from what had been drilled, every fifteen holes. Neighbours tell
/// next to nothing here, and the forecast must not pretend that they do.
#[test]
fn success_of_holes_is_told_as_the_base_rate_and_no_more() {
    let Some(folder) = common::open_data() else { return };
    let rows = common::rows(&folder.join("malawi_drilling/drillingdata.csv"));
    let date = |row: &Row| -> Option<u32> {
        let parts: Vec<u32> = row["date_of_drilling"].split('/').map_while(|p| p.parse().ok()).collect();
        let [day, month, year] = parts[..] else { return None };
        Some(10_000 * year + 100 * month + day)
    };
    let mut holes: Vec<(u32, Observation)> =
        seen(&rows, "longtude", |row| match row["borehole_suitable_further_use"].as_str() {
            "Yes" => Some(true),
            "No" => Some(false),
            _ => None,
        })
        .into_iter()
        .filter_map(|(i, o)| Some((date(&rows[i])?, o)))
        .collect();
    holes.sort_by_key(|(date, _)| *date);
    assert!(holes.len() >= 140, "{}", holes.len());
    let prior = OccurrencePrior { chance: 0.6, worth_wells: 5.0, length_m: 1000.0 };
    let model = |holes: &[(u32, Observation)]| {
        let observations: Vec<Observation> = holes.iter().map(|(_, o)| *o).collect();
        OccurrenceModel::learn(&prior, &observations, Options::default()).unwrap()
    };
    let (mut told, mut base) = (Vec::new(), Vec::new());
    for block in holes.chunks(15) {
        let before = holes.partition_point(|(date, _)| *date < block[0].0);
        let past = &holes[..before];
        let model = model(past);
        for (_, hole) in block {
            let near =
                |i: usize| (past[i].1.east_m - hole.east_m).hypot(past[i].1.north_m - hole.north_m) < 1000.0;
            let at = Place { east_m: hole.east_m, north_m: hole.north_m, depth_m: None };
            let chance = model.at_without(at, near).unwrap().chance;
            told.push(Foretold { chance, yes: hole.yes });
            let good: f64 = past.iter().map(|(_, o)| o.yes).sum();
            base.push(Foretold { chance: (3.0 + good) / (5.0 + before as f64), yes: hole.yes });
        }
    }
    assert!(brier(&told).unwrap() <= brier(&base).unwrap() + 0.001, "{:?} {:?}", brier(&told), brier(&base));
    let all = model(&holes);
    assert!(all.skill().is_some_and(|s| !s.carries_skill), "{:?}", all.skill());
    let middle = holes[holes.len() / 2].1;
    let peg = Place { east_m: middle.east_m + 5000.0, north_m: middle.north_m, depth_m: None };
    let typical = all.at(peg).unwrap();
    assert!((typical.chance - 0.59).abs() < 0.03, "{typical:?}");
    assert!(typical.band80[0] < 0.5 && typical.band80[1] > 0.65, "{typical:?}");
}

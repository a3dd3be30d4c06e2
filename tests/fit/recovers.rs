//! Figures that records were drawn with come back within their intervals.

use super::district::{self, BORES, MAP, district};
use super::lots::Lots;
use super::{Trial, figure, forebore, text, unfolded, why_not};
use serde_json::Value;

const BASEMENT: [&str; 2] = ["--region", "weathered-basement"];

fn holds(fit: &Value, name: &str, truth: f64) -> bool {
    let f = figure(fit, name).unwrap_or_else(|| panic!("{name} is not proposed\n{fit:#}"));
    let (low, high) = (f["interval"]["low"].as_f64().unwrap(), f["interval"]["high"].as_f64());
    let value = f["value"].as_f64().unwrap();
    assert!(low <= value && high.is_none_or(|h| value <= h), "{f}");
    low <= truth && high.is_none_or(|h| truth <= h)
}

/// Of eleven figures in three districts about one in twenty may miss.
#[test]
fn figures_come_back_within_their_intervals() {
    let root = |z: f64| (district::ROOT.0 + district::ROOT.1 * z).powi(2) - 0.5;
    let lps = |z: f64| (district::LN_YIELD.0 + district::LN_YIELD.1 * z).exp();
    let (least, most) = district::FALL;
    let truths = [
        ("level_prior_low_m", root(-1.96)),
        ("level_prior_mid_m", root(0.0)),
        ("level_prior_high_m", root(1.96)),
        ("swing_low_m", least + 0.025 * (most - least)),
        ("swing_high_m", least + 0.975 * (most - least)),
        ("success_prior_share", district::SUCCESS),
        ("another_peg_chance", district::SUCCESS),
        ("quality_prior_share_fluoride", district::FLUORIDE),
        ("yield_prior_low_lps", lps(-1.96)),
        ("yield_prior_high_lps", lps(1.96)),
    ];
    let mut missed = Vec::new();
    for seed in [11, 12, 13] {
        let fit = Trial::new(&district(120, 3, seed), MAP).json(&BASEMENT);
        missed.extend(truths.iter().filter(|(name, truth)| !holds(&fit, name, *truth)).map(|t| (seed, t.0)));
        for (name, _) in truths {
            let wells = figure(&fit, name).unwrap()["wells"].as_u64().unwrap();
            assert!((350..=360).contains(&wells), "{name}: {wells}");
        }
    }
    assert!(missed.len() <= 3, "{missed:?}");
}

#[test]
fn what_is_far_off_is_told_apart_and_what_is_near_is_not() {
    let fit = Trial::new(&district(120, 3, 11), MAP).json(&BASEMENT);
    let differs = |name: &str| figure(&fit, name).unwrap()["differs"].as_bool().unwrap();
    // 0.6 in force, drawn with 0.65 in 360 wells; 0.15 in force, drawn with 0.2.
    let share = figure(&fit, "success_prior_share").unwrap();
    assert_eq!((share["now"].as_f64(), share["unit"].as_str()), (Some(0.6), Some("1")));
    let inside = share["interval"]["low"].as_f64().unwrap() <= 0.6;
    assert_eq!(differs("success_prior_share"), !inside);
    // Swings of 2 to 5 m where 1 to 6 stand.
    assert!(differs("swing_low_m") && differs("swing_high_m"));
}

#[test]
fn expected_logs_are_weighed_by_where_bores_were_refused() {
    let fit = Trial::new(&district(120, 3, 11), BORES).json(&BASEMENT);
    let topics = fit["topics"].as_array().unwrap();
    let logs: Vec<&Value> = topics.iter().flat_map(|t| t["logs"].as_array().unwrap()).collect();
    let number = |v: &Value| v.as_f64().unwrap();
    let depths: Vec<f64> = logs.iter().map(|l| number(&l["refuses_m"])).collect();
    assert!(depths.len() == 4 && depths.windows(2).all(|w| w[0] < w[1]), "{depths:?}");
    let (from, to) = district::REFUSES;
    let below = |depth: f64| ((depth - from) / (to - from)).clamp(0.0, 1.0);
    let mut seen = Vec::new();
    for (i, log) in logs.iter().enumerate() {
        // A refusal is the log's that refuses nearest to it.
        let top = if i == 0 { 0.0 } else { 0.5 * (depths[i - 1] + depths[i]) };
        let end = depths.get(i + 1).map_or(1e9, |next| 0.5 * (depths[i] + next));
        let truth = below(end) - below(top);
        let ends = [&log["interval"]["low"], &log["interval"]["high"]].map(number);
        assert!(ends[0] - 0.02 <= truth && truth <= ends[1] + 0.02, "{truth}: {log}");
        seen.push(number(&log["share"]));
    }
    assert!((seen.iter().sum::<f64>() - 1.0).abs() < 0.04, "{seen:?}");
    assert!(why_not(&fit, "refusal_chance_slow_share").contains("in what ground"));
}

#[test]
fn a_range_comes_back_where_depths_were_drawn_with_one() {
    // Moving means of lots on a grid of 250 m over 12 km: wells within about
    // a kilometre are alike.
    let mut lots = Lots::new(5);
    let n = 48 + 8;
    let grid: Vec<f64> = (0..n * n).map(|_| district::normal(&mut lots)).collect();
    let mut table = "lat,lon,level\n".to_owned();
    for _ in 0..260 {
        let (x, y) = ((lots.draw() * 48.0) as usize, (lots.draw() * 48.0) as usize);
        let sum: f64 =
            (0..8).flat_map(|i| (0..8).map(move |j| (i, j))).map(|(i, j)| grid[(y + i) * n + x + j]).sum();
        let root = 3.0 + 0.5 * sum / 8.0 + 0.1 * district::normal(&mut lots);
        let (lat, lon) = (-13.0 + 0.00225 * y as f64, 33.0 + 0.00231 * x as f64);
        table.push_str(&format!("{lat:.5},{lon:.5},{:.2}\n", root * root - 0.5));
    }
    let map = "[place]\nlat = \"lat\"\nlon = \"lon\"\n[depth_to_water]\ncolumn = \"level\"\nunit = \"m\"\n";
    let fit = Trial::new(&table, map).json(&BASEMENT);
    let range = figure(&fit, "level_range_m").unwrap_or_else(|| panic!("{fit:#}"));
    let value = range["value"].as_f64().unwrap();
    assert!((500.0..=4000.0).contains(&value), "{range}");
    assert!(range["interval"]["low"].as_f64().unwrap() > 300.0, "{range}");
    assert_eq!(range["differs"], true);
    // 12 km of ground that is alike over a kilometre is not 260 wells.
    let topic = &fit["topics"][0];
    assert!(topic["squares"].as_u64().unwrap() < 60, "{}", topic["squares"]);
}

#[test]
fn depths_drawn_by_lot_have_no_range() {
    let fit = Trial::new(&district(120, 3, 14), MAP).json(&BASEMENT);
    assert!(why_not(&fit, "level_range_m").contains("no more alike"));
}

#[test]
fn the_fall_is_fitted_to_wells_read_in_both_seasons() {
    let mut lots = Lots::new(8);
    let mut table = "lat,lon,name,day,level\n".to_owned();
    for i in 0..90 {
        let place =
            format!("{:.4},{:.4},W{i}", -13.0 + 0.05 * f64::from(i / 10), 33.0 + 0.05 * f64::from(i % 10));
        let wet = 2.0 + 4.0 * lots.draw();
        let dry = wet + 3.0 + 0.5 * lots.draw();
        table.push_str(&format!("{place},2019-03-10,{wet:.2}\n{place},2019-10-20,{dry:.2}\n"));
    }
    let level = "[place]\nlat = \"lat\"\nlon = \"lon\"\n[depth_to_water]\ncolumn = \"level\"\nunit = \"m\"\n";
    let map = format!("date = \"day\"\nwell = \"name\"\n{level}");
    let fit = Trial::new(&table, &map).json(&BASEMENT);
    let swing = [figure(&fit, "swing_low_m").unwrap(), figure(&fit, "swing_high_m").unwrap()];
    assert_eq!(swing[0]["wells"], 90);
    assert!((3.0..3.2).contains(&swing[0]["value"].as_f64().unwrap()), "{}", swing[0]);
    assert!((3.3..=3.5).contains(&swing[1]["value"].as_f64().unwrap()), "{}", swing[1]);
    assert!(why_not(&fit, "season_swing_known").contains("yours to judge"));
    // Two readings of a well are one well.
    assert_eq!(figure(&fit, "level_prior_mid_m").unwrap()["wells"], 90);

    let unnamed = Trial::new(&table, &format!("date = \"day\"\n{level}")).json(&BASEMENT);
    assert!(why_not(&unnamed, "swing_low_m").contains("add well ="));
    let undated = Trial::new(&table, &map).json(&[]);
    assert!(why_not(&undated, "swing_low_m").contains("no wet and driest months"));
}

#[test]
fn a_level_of_no_known_month_is_brought_to_the_driest_and_the_interval_holds_it() {
    let map = MAP
        .replace("date = \"day\"\n", "")
        .replace("[depth_to_water_wet]\ncolumn = \"wet\"\nunit = \"m\"\n", "");
    let fit = Trial::new(&district(120, 3, 11), &map).json(&BASEMENT);
    let read = Trial::new(&district(120, 3, 11), MAP).json(&BASEMENT);
    let of =
        |fit: &Value, key: &str| figure(fit, "level_prior_mid_m").unwrap()["interval"][key].as_f64().unwrap();
    let value = |fit: &Value| figure(fit, "level_prior_mid_m").unwrap()["value"].as_f64().unwrap();
    // 1 to 6 m of fall stand in the basement: 3.5 in the middle, 0 to 6 about.
    assert!((value(&fit) - value(&read) - 3.5).abs() < 0.11);
    assert!((of(&fit, "low") - of(&read, "low")).abs() < 0.11);
    assert!((of(&fit, "high") - of(&read, "high") - 6.0).abs() < 0.11);
    let page = unfolded(&Trial::new(&district(120, 3, 11), &map).toml(&BASEMENT));
    assert!(page.contains("As read, without any fall"), "{page}");
}

#[test]
fn wells_of_one_village_that_agree_are_not_counted_as_many() {
    let mut table = "lat,lon,usable\n".to_owned();
    for i in 0..400 {
        let village = i / 10;
        let usable = if village % 3 == 0 { "no" } else { "yes" };
        table.push_str(&format!(
            "{:.4},{:.4},{usable}\n",
            -13.0 + 0.05 * f64::from(village),
            33.0 + 0.0005 * f64::from(i % 10)
        ));
    }
    let map = "[place]\nlat = \"lat\"\nlon = \"lon\"\n[success]\nyes = { usable = [\"yes\"] }\nno = { usable = [\"no\"] }\n";
    let fit = Trial::new(&table, map).json(&BASEMENT);
    let share = figure(&fit, "success_prior_share").unwrap();
    let independent = share["independent"].as_f64().unwrap();
    assert!((38.0..=42.0).contains(&independent), "{share}");
    assert!(
        share["interval"]["high"].as_f64().unwrap() - share["interval"]["low"].as_f64().unwrap() > 0.25,
        "{share}"
    );
}

#[test]
fn the_proposal_loads_passes_its_check_and_serves_an_assessment() {
    let t = Trial::new(&district(120, 3, 11), MAP);
    for (name, rest) in [("stated.toml", &BASEMENT[..]), ("unstated.toml", &[])] {
        let out = t.path(name);
        let told = text(&t.run(&[rest, &["--out", &out]].concat()));
        assert!(told.contains("figures proposed") && told.contains("not proposed"), "{told}");
        let checked = text(&forebore(&["regions", "check", &out]).output().unwrap());
        assert!(checked.contains("no error, 0 remarks"), "{checked}");
        let shown = text(&forebore(&["regions", "show", &out]).output().unwrap());
        assert!(shown.contains("(local records)") && shown.contains("of wells.csv (sha256"), "{shown}");
        let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/examples/lower-yard/survey.toml");
        let report = text(&forebore(&["assess", demo, "--region", &out]).output().unwrap());
        assert!(!report.is_empty());
    }
    // What the setting beneath says and nothing was fitted to still holds.
    let page = std::fs::read_to_string(t.path("stated.toml")).unwrap();
    let table: toml::Table = page.parse().unwrap();
    let value = |part: &str, name: &str| {
        table[part][name]["value"].as_float().or(table[part][name]["value"].as_integer().map(|i| i as f64))
    };
    assert_eq!(value("limits", "soft_cover_caution_m"), Some(20.0));
    assert_eq!(value("priors", "level_error_per_km_m"), Some(8.0));
    assert_eq!(table["season"]["driest_months"].as_array().unwrap().len(), 2);
    assert!(table.get("about").is_some_and(|a| a.as_str().unwrap().contains("saprolite")));
}

#[test]
fn the_same_records_give_the_same_bytes_wherever_they_lie_and_on_any_number_of_threads() {
    let (here, there) = (Trial::new(&district(90, 2, 3), MAP), Trial::new(&district(90, 2, 3), MAP));
    let on = |t: &Trial, threads: &str| {
        text(&t.command(&BASEMENT).env("RAYON_NUM_THREADS", threads).output().unwrap())
    };
    let first = on(&here, "1");
    assert_eq!(first, on(&here, "7"));
    assert_eq!(first, on(&there, "2"));
    assert!(!first.contains(here.folder().to_str().unwrap()));
}

//! Invented tables whose answer is known.

use serde_json::Value;

use super::{Lots, PLACE, Trial, grid};

const SUCCESS: &str = "[success]\nyes = { what = [\"yes\"] }\nno = { what = [\"no\"] }\n";

fn yes_no(yes: bool) -> String {
    if yes { "yes".to_owned() } else { "no".to_owned() }
}

fn depth_map(rest: &str) -> String {
    format!("{PLACE}[depth_to_water]\ncolumn = \"what\"\n{rest}")
}

/// Depths that follow the ground and a little chance.
fn sloping(n: usize) -> String {
    let mut lots = Lots::new(1);
    grid(n, |_, x, y| format!("{:.2}", 6.0 + 0.8 * x - 0.3 * y + lots.draw()))
}

/// Yes in the west, no in the east, with one in five the other way round.
fn halves(n: usize) -> String {
    let mut lots = Lots::new(2);
    grid(n, |_, x, _| yes_no((x < 10.0) != (lots.draw() < 0.2)))
}

#[test]
fn where_depths_go_with_the_place_the_forecast_beats_the_median() {
    let t = Trial::new("t.csv", sloping(100), &depth_map("unit = \"m\"\n"));
    for leave in ["one", "blocks:3000"] {
        let r = t.json(&["--forecast", "depth-to-water", "--leave-out", leave]);
        assert_eq!(r["n"], 100);
        let (mine, median) = (&r["mae_m"], &r["baselines"]["median"]["mae_m"]);
        assert!(mine.as_f64().unwrap() < 0.5 * median.as_f64().unwrap(), "{leave}: {mine} {median}");
        assert_eq!(r["skill"]["median"]["verdict"], "better");
        assert_eq!(r["brier"], Value::Null);
        assert_eq!(r["baselines"]["median"]["auc"], Value::Null);
    }
}

#[test]
fn depths_drawn_by_lot_give_no_skill_and_an_honest_band() {
    let mut lots = Lots::new(3);
    let table = grid(100, |_, _, _| format!("{:.2}", 2.0 + 20.0 * lots.draw()));
    let t = Trial::new("t.csv", table, &depth_map("unit = \"m\"\n"));
    let r = t.json(&["--forecast", "depth-to-water", "--leave-out", "blocks:2000"]);
    assert_ne!(r["skill"]["median"]["verdict"], "better");
    let covered = r["band80_coverage"].as_f64().unwrap();
    assert!((0.7..=0.9).contains(&covered), "{covered}");
    let text = String::from_utf8(t.run(&["--forecast", "depth-to-water"]).stdout).unwrap();
    assert!(text.contains("Does it carry skill?") && !text.contains("Yes: "), "{text}");
}

#[test]
fn where_success_goes_with_the_place_the_forecast_beats_the_base_rate() {
    let t = Trial::new("t.csv", halves(200), &format!("{PLACE}{SUCCESS}"));
    let r = t.json(&["--forecast", "success", "--leave-out", "blocks:3000"]);
    let score = |r: &Value, name: &str| r[name].as_f64().unwrap();
    assert!(score(&r, "auc") > 0.7 && score(&r, "brier") < 0.2, "{r}");
    assert!((score(&r, "base_rate") - 0.5).abs() < 0.1);
    assert_eq!(r["skill"]["base-rate"]["verdict"], "better");
    assert_eq!(r["mae_m"], Value::Null);
    assert_eq!(r["baselines"]["base-rate"]["auc"], 0.5);
    let bins = r["reliability"].as_array().unwrap();
    assert_eq!(bins.iter().map(|b| b["n"].as_u64().unwrap()).sum::<u64>(), 200);
    assert!(bins.iter().all(|b| b["band95"][0].as_f64() <= b["share"].as_f64()));
}

#[test]
fn success_drawn_by_lot_is_told_at_its_base_rate() {
    let mut lots = Lots::new(4);
    let t = Trial::new("t.csv", grid(120, |_, _, _| yes_no(lots.draw() < 0.7)), &format!("{PLACE}{SUCCESS}"));
    for leave in ["one", "blocks:2000", "forward"] {
        let r = t.json(&["--forecast", "success", "--leave-out", leave]);
        assert_ne!(r["skill"]["base-rate"]["verdict"], "better", "{leave}");
        let typical = r["typical"].as_f64().unwrap();
        assert!((0.6..0.8).contains(&typical), "{leave}: {typical}");
    }
}

/// Twins at one spot that always agree, the spots drawn by lot: one at a time
/// the twin gives the answer away.
#[test]
fn repeats_at_one_spot_do_not_leak_when_blocks_are_left_out() {
    let mut lots = Lots::new(5);
    let mut table = String::from("lat,lon,day,what\n");
    for i in 0..100 {
        let (lat, lon) = (-12.0 + 0.02 * f64::from(i / 20), 33.0 + 0.02 * f64::from(i % 20));
        let what = yes_no(lots.draw() < 0.5);
        table.push_str(&format!("{lat},{lon},2001-01-01,{what}\n{lat},{lon},2001-01-02,{what}\n"));
    }
    let t = Trial::new("t.csv", &table, &format!("{PLACE}{SUCCESS}"));
    let both = t.json(&["--forecast", "success", "--leave-out", "one", "--leave-out", "blocks:1000"]);
    assert_eq!(both["share_spot"], 200);
    assert!(both["notes"][0].as_str().unwrap().contains("200 records share their spot"), "{both}");
    assert!(both["auc"].as_f64().unwrap() > 0.95);
    let blocks = &both["beside"][0];
    assert_eq!(blocks["leave_out"], "blocks:1000");
    assert!((0.3..0.65).contains(&blocks["auc"].as_f64().unwrap()), "{}", blocks["auc"]);

    let far = Trial::new("t.csv", &table, &format!("neighbours_from_m = 500\n{PLACE}{SUCCESS}"));
    let far = far.json(&["--forecast", "success"]);
    assert!(far["auc"].as_f64().unwrap() < 0.65, "{}", far["auc"]);
}

#[test]
fn forward_never_uses_a_later_record() {
    // All no before a day and all yes from it on, here and there: who looks
    // ahead would know.
    let mut table = String::from("lat,lon,day,what\n");
    for i in 0..80 {
        let (at, what) = (i * 33 % 80, yes_no(i >= 40));
        let (lat, lon) = (-12.0 + 0.01 * f64::from(at / 20), 33.0 + 0.01 * f64::from(at % 20));
        table.push_str(&format!("{lat},{lon},2001-{:02}-{:02},{what}\n", i / 28 + 1, i % 28 + 1));
    }
    let t = Trial::new("t.csv", table, &format!("{PLACE}{SUCCESS}"));
    let r = t.json(&["--forecast", "success", "--leave-out", "forward"]);
    assert_eq!(r["n"].as_u64().unwrap() + r["skipped"].as_array().unwrap().len() as u64, 80);
    let base = r["baselines"]["base-rate"]["brier"].as_f64().unwrap();
    assert!(base > 0.25 && r["brier"].as_f64().unwrap() > 0.2, "{r}");
    assert!(r["skipped"][0]["why"].as_str().unwrap().contains("first by date"));
}

#[test]
fn refusal_follows_shallow_rock() {
    let mut lots = Lots::new(6);
    let mut table = String::from("lat,lon,day,depth,refused\n");
    for i in 0..300 {
        let (x, y) = (i % 20, i / 20);
        let (depth, refused) = match x {
            0..10 => (6.0 + 6.0 * lots.draw(), "yes"),
            _ => (22.0 + 8.0 * lots.draw(), "no"),
        };
        let (lat, lon) = (-12.0 + 0.002 * f64::from(y), 33.0 + 0.002 * f64::from(x));
        table.push_str(&format!("{lat},{lon},2001-01-01,{depth:.1},{refused}\n"));
    }
    let map = format!(
        "{PLACE}[hole_depth]\ncolumn = \"depth\"\nunit = \"m\"\n[refusal]\nyes = {{ refused = [\"yes\"] }}\nno = {{ refused = [\"no\"] }}\n"
    );
    let r = Trial::new("t.csv", table, &map).json(&["--forecast", "refusal", "--leave-out", "blocks:500"]);
    assert_eq!(r["n"], 300);
    assert_eq!(r["depths_m"][0], 5.0);
    assert!(r["brier"].as_f64() < r["baselines"]["base-rate"]["brier"].as_f64(), "{r}");
    assert!(r["auc"].as_f64().unwrap() > 0.8);
    assert_eq!(r["skill"]["base-rate"]["verdict"], "better");
}

#[test]
fn units_make_no_difference() {
    let scores = |factor: f64, unit: &str| {
        let mut lots = Lots::new(7);
        let table = grid(60, |_, x, _| format!("{:.6}", (5.0 + x + lots.draw()) / factor));
        let r = Trial::new("t.csv", table, &depth_map(&format!("unit = \"{unit}\"\n")));
        let r = r.json(&["--forecast", "depth-to-water"]);
        (r["mae_m"].as_f64().unwrap() * 1e3).round()
    };
    let metres = scores(1.0, "m");
    assert_eq!(scores(0.3048, "ft"), metres);
    assert_eq!(scores(0.01, "cm"), metres);
}

#[test]
fn a_quality_is_bad_above_its_limit_in_any_unit() {
    let table = "lat,lon,ec,f\n-12.00,33.00,0.4,<1\n-12.01,33.00,2.2,1600\n-12.02,33.00,1.2,1400\n\
                 -12.03,33.00,<3,<2000\n-12.04,33.00,NA,1501\n";
    let map = "missing = [\"NA\"]\n[place]\nlat = \"lat\"\nlon = \"lon\"\n[quality.salinity]\ncolumn = \"ec\"\n\
               unit = \"mS/cm\"\nabove = 1.5\n[quality.fluoride]\ncolumn = \"f\"\nunit = \"ug/L\"\n\
               above_limit = \"fluoride_stop_mg_l\"\n";
    let t = Trial::new("t.csv", table, map);
    let ec = t.json(&["--forecast", "quality:salinity"]);
    assert_eq!(ec["asked"], "is salinity above 1500 µS/cm?");
    assert_eq!((&ec["n"], ec["base_rate"].as_f64().unwrap()), (&Value::from(3), 0.333333));
    assert_eq!(ec["skipped"][0]["row"], 5);
    assert!(ec["skipped"][0]["why"].as_str().unwrap().contains("not told apart from its limit"), "{ec}");
    assert_eq!(ec["skipped"][1]["why"], "no salinity");
    let f = t.json(&["--forecast", "quality:fluoride"]);
    assert_eq!((&f["n"], &f["base_rate"]), (&Value::from(4), &Value::from(0.5)));
    assert!(f["notes"][0].as_str().unwrap().contains("Only 4 records"));
}

#[test]
fn points_of_geojson_are_records_too() {
    let feature = |i: usize| {
        format!(
            r#"{{"type":"Feature","geometry":{{"type":"Point","coordinates":[{},{},{}]}},"properties":{{"what":{}}}}}"#,
            33.0 + 0.01 * (i % 6) as f64,
            -12.0 - 0.01 * (i / 6) as f64,
            900 + i,
            4 + i % 6
        )
    };
    let all: Vec<String> = (0..36)
        .map(feature)
        .chain([r#"{"type":"Feature","geometry":null,"properties":{}}"#.to_owned()])
        .collect();
    let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, all.join(","));
    let map = "[depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\n";
    let r = Trial::new("t.geojson", text, map).json(&["--forecast", "depth-to-water"]);
    assert_eq!((&r["n"], &r["skipped"][0]["row"]), (&Value::from(36), &Value::from(37)));
}

#[test]
fn grid_references_are_places_too() {
    let mut table = String::from("e,n,what\n");
    (0..30).for_each(|i| {
        table.push_str(&format!("{},{},{}\n", 549_738 + 500 * i, 9_504_281 + 300 * (i % 5), 4 + i % 5))
    });
    let map = "[place]\neasting = \"e\"\nnorthing = \"n\"\nzone = \"37S\"\ndatum = \"Arc 1960\"\n\
               [depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\n";
    assert_eq!(Trial::new("t.csv", table, map).json(&["--forecast", "depth-to-water"])["n"], 30);
}

#[test]
fn the_same_input_gives_the_same_bytes_on_any_number_of_threads() {
    let t = Trial::new("t.csv", sloping(40), &depth_map("unit = \"m\"\n"));
    let args = ["backtest", &t.records, "--map", &t.map, "--forecast", "depth-to-water", "--leave-out"];
    let with = |threads: &str| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_forebore"));
        let args = [&args[..], &["blocks:2000", "--format", "json"]].concat();
        command.env("RAYON_NUM_THREADS", threads).args(args).output().unwrap().stdout
    };
    let first = with("1");
    assert!(!first.is_empty());
    assert_eq!(first, with("2"));
    assert_eq!(first, with("5"));
}

#[test]
fn the_text_tells_a_trainer_all_that_matters_and_fits_a_terminal() {
    let mut table = halves(100);
    table.push_str("-12.5,33.5,2002-01-01,perhaps\n-12.5,33.5,2002-01-02,\n");
    let t = Trial::new("t.csv", table, &format!("{PLACE}{SUCCESS}"));
    let out = t.folder().join("out.txt");
    let done = t.run(&[
        "--forecast",
        "success",
        "--leave-out",
        "blocks:2000",
        "--leave-out",
        "one",
        "--out",
        &out.display().to_string(),
    ]);
    assert_eq!((done.status.code(), done.stdout.len()), (Some(0), 0));
    let text = std::fs::read_to_string(out).unwrap();
    for wanted in [
        "100 records were each forecast",
        "2 rows were skipped",
        "1 skipped: outcome is neither yes nor no (row 102)",
        "base-rate",
        "idw8",
        "Does it carry skill?",
        "for a typical record",
        "Beside it: leave out one at a time",
        "What this does not show",
        "never clears",
    ] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
}

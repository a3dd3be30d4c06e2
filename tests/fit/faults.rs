//! Too little to fit, files that must stay, and files with faults.

use std::fs;

use super::district::{BORES, HEADINGS, MAP, district};
use super::{Trial, figure, forebore, text, unfolded, why_not};

#[test]
fn too_few_wells_propose_nothing_and_say_why() {
    let t = Trial::new(&district(12, 1, 1), MAP);
    let fit = t.json(&[]);
    for topic in fit["topics"].as_array().unwrap() {
        assert!(
            topic["figures"].as_array().unwrap().is_empty() && topic["logs"].as_array().unwrap().is_empty(),
            "{topic}"
        );
    }
    for (name, wanted) in [
        ("level_prior_low_m", "where 40 are needed (fit_least_wells_ends)"),
        ("level_range_m", "12 wells, where 60 are needed (fit_least_wells_range)"),
        ("swing_low_m", "where 40 are needed"),
        ("success_prior_share", "where 25 are needed (fit_least_wells)"),
        ("quality_prior_share_fluoride", "where 25 are needed"),
        ("yield_prior_high_lps", "where 40 are needed"),
    ] {
        let why = why_not(&fit, name);
        assert!(why.contains(wanted), "{name}: {why}");
    }
    let bores = Trial::new(&district(12, 1, 1), BORES).json(&[]);
    assert!(why_not(&bores, "expected logs").contains("where 25 are needed"));
    let page = t.toml(&["--region", "weathered-basement"]);
    assert!(
        page.contains("Not proposed: success_prior_share") && !page.contains("basis = \"local records\""),
        "{page}"
    );
}

#[test]
fn how_many_are_too_few_is_a_figure_of_the_setting() {
    let t = Trial::new(&district(30, 1, 1), MAP);
    assert!(figure(&t.json(&[]), "success_prior_share").is_some());
    let strict = t.path("strict.toml");
    fs::write(
        &strict,
        "title = \"Strict\"\nabout = \"Wants more wells.\"\n[priors.fit_least_wells]\nvalue = 80\n\
         source = \"ours\"\nbasis = \"common practice\"\n",
    )
    .unwrap();
    let why = why_not(&t.json(&["--region", &strict]), "success_prior_share");
    assert!(why.contains("where 80 are needed"), "{why}");
}

#[test]
fn a_file_that_is_there_is_never_written_over() {
    let t = Trial::new(&district(30, 1, 1), MAP);
    let out = t.path("mine.toml");
    fs::write(&out, "mine").unwrap();
    for rest in [&["--out", &out][..], &["--out", &out, "--format", "json"]] {
        let told = t.fails(rest);
        assert!(told.contains("file-exists") && told.contains("Name a new file with --out"), "{told}");
    }
    assert_eq!(fs::read_to_string(&out).unwrap(), "mine");
    // The records themselves are no exception.
    let told = t.fails(&["--out", &t.path("wells.csv")]);
    assert!(told.contains("file-exists"), "{told}");
    assert!(fs::read_to_string(t.path("wells.csv")).unwrap().starts_with(HEADINGS));
}

#[cfg(unix)]
#[test]
fn nothing_is_written_through_a_link() {
    let t = Trial::new(&district(30, 1, 1), MAP);
    let (target, link, nowhere) = (t.path("target.toml"), t.path("link.toml"), t.path("nowhere.toml"));
    fs::write(&target, "mine").unwrap();
    std::os::unix::fs::symlink(&target, &link).unwrap();
    std::os::unix::fs::symlink(t.path("not-there.toml"), &nowhere).unwrap();
    for out in [&link, &nowhere] {
        assert!(t.fails(&["--out", out]).contains("file-exists"));
    }
    assert_eq!(fs::read_to_string(&target).unwrap(), "mine");
    assert!(!t.folder().join("not-there.toml").exists());
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}

#[test]
fn a_folder_that_is_not_there_is_told_and_nothing_is_left() {
    let t = Trial::new(&district(30, 1, 1), MAP);
    let told = t.fails(&["--out", &t.path("no/such/folder.toml")]);
    assert!(told.contains("cannot write"), "{told}");
    assert_eq!(fs::read_dir(t.folder()).unwrap().count(), 2);
}

#[test]
fn every_fault_is_told_at_once_with_its_place() {
    let map = MAP
        .replace("lon = \"lon\"", "lon = \"lom\"")
        .replace("unit = \"L/s\"", "unit = \"bucket\"")
        .replace("well = \"name\"", "wel = \"name\"");
    let t = Trial::new(&district(30, 1, 1), &map);
    let out = t.path("there.toml");
    fs::write(&out, "mine").unwrap();
    let told = t.fails(&["--region", "moon", "--out", &out]);
    for wanted in [
        "file-exists",
        "no region is called moon",
        "map.toml:2:1: unknown key wel",
        "\"bucket\" is no unit known here",
    ] {
        assert!(told.contains(wanted), "{wanted}\n{told}");
    }
    // With a map that can be read: every heading that is not there.
    let map = MAP.replace("lon = \"lon\"", "lon = \"lom\"").replace("column = \"lps\"", "column = \"lpz\"");
    let told = Trial::new(&district(30, 1, 1), &map).fails(&[]);
    assert!(told.contains("no column \"lom\"") && told.contains("no column \"lpz\""), "{told}");
    assert!(told.contains("Did you mean \"lon\"?"), "{told}");
}

#[test]
fn files_that_cannot_be_read_are_told() {
    let t = Trial::new("", MAP);
    assert!(t.fails(&[]).contains("empty"));
    let out =
        forebore(&["regions", "fit", &t.path("none.csv"), "--map", &t.path("none.toml")]).output().unwrap();
    let told = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert!(told.matches("cannot-read").count() == 2, "{told}");
}

#[test]
fn a_map_that_names_nothing_that_is_fitted_is_refused() {
    let told = Trial::new(&district(30, 1, 1), "[place]\nlat = \"lat\"\nlon = \"lon\"\n").fails(&[]);
    assert!(told.contains("map-lacks") && told.contains("[depth_to_water]"), "{told}");
}

#[test]
fn a_column_known_only_afterwards_may_be_fitted_but_may_choose_no_rows() {
    let known =
        MAP.replace("[\"depth\", \"stopped\"]", "[\"depth\", \"stopped\", \"usable\", \"lps\", \"f\"]");
    assert!(figure(&Trial::new(&district(60, 1, 1), &known).json(&[]), "success_prior_share").is_some());
    let chosen = format!("{known}[keep]\nusable = [\"yes\"]\n");
    assert!(Trial::new(&district(60, 1, 1), &chosen).fails(&[]).contains("known-only-after"));
}

#[test]
fn rows_that_were_not_used_are_told_at_the_top() {
    let mut table = district(60, 1, 1);
    table.push_str("-13,33,X1,2019-10-01,deep,,,maybe,,0,,\n-13.1,,X2,2019-10-01,4,1,5,yes,0.1,0.2,9,rock\n");
    let page = unfolded(&Trial::new(&table, MAP).toml(&["--region", "weathered-basement"]));
    let top = page.split("\ntitle = ").next().unwrap();
    for wanted in
        ["outcome is neither yes nor no (row 62)", "no longitude (row 63)", "a yield of 0", "60 wells used"]
    {
        assert!(top.contains(wanted), "{wanted}\n{top}");
    }
}

#[test]
fn a_quality_the_setting_has_no_prior_for_is_told_and_not_made_up() {
    let map = MAP.replace("[quality.fluoride]", "[quality.manganese]");
    let fit = Trial::new(&district(60, 1, 1), &map).json(&[]);
    assert!(why_not(&fit, "quality_prior_share_manganese").contains("quality_prior_share_other"));
}

#[test]
fn strange_numbers_give_a_proposal_or_a_fault_and_never_a_crash() {
    let mut table = HEADINGS.to_owned();
    let odd = ["1e300", "-1e300", "0", "-0", "1e-300", "NaN", "inf", "3", "3", "9e99"];
    for i in 0..80 {
        let x = odd[i % odd.len()];
        let (lat, lon) = (i as f64 * 2.0 - 80.0, (i * 37 % 360) as f64 - 180.0);
        table.push_str(&format!("{lat},{lon},W,2019-10-01,{x},{x},{x},yes,{x},{x},{x},rock\n"));
    }
    for rest in [&[][..], &["--region", "weathered-basement"]] {
        let t = Trial::new(&table, MAP);
        let out = t.run(rest);
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(matches!(out.status.code(), Some(0 | 2)) && !said.contains("panicked"), "{said}");
        if out.status.code() == Some(0) {
            let path = t.path("out.toml");
            text(&t.run(&[rest, &["--out", &path]].concat()));
            text(&forebore(&["regions", "check", &path]).output().unwrap());
        }
    }
}

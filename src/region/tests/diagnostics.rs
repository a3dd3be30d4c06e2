//! Every kind of problem a region file can have, with its place and remedy.

use crate::diag::{Level, Problems, Sources};
use crate::region::BuiltIn;

use super::{LIMITS, PLAIN_SETTING, figure, load, load_files};

/// The problem `code` of the local file `local`: its line, column, length
/// and remedy. The region must then not be made, unless it is no error.
fn local(local: &str, code: &str) -> (usize, usize, usize, String) {
    let loaded = load("", Some(local));
    let p = loaded.sole(code);
    assert!(p.at.file.ends_with("code.toml"), "{p:?}");
    assert_eq!(p.level == Level::Error, loaded.region.is_none());
    assert!(p.help.ends_with('.') && !p.message.ends_with('.'), "{p:?}");
    (p.at.line, p.at.column, p.length, p.help.clone())
}

#[test]
fn what_is_not_toml() {
    let (line, ..) = local("currency = \"USD\"\nswing 3\n", "toml-syntax");
    assert_eq!(line, 2);
}

#[test]
fn an_unknown_key_with_what_was_meant() {
    let text = figure("limits", "kraal_stop_m", "20", "sorce = \"x\"");
    let (line, column, length, help) = local(&text, "unknown-key");
    assert_eq!((line, column, length), (5, 1, 5));
    assert!(help.contains("Did you mean source?"), "{help}");
}

#[test]
fn an_unknown_part_of_a_file() {
    let (.., help) = local("[limitss.kraal_stop_m]\nvalue = 3\n", "unknown-key");
    assert!(help.contains("Did you mean limits?"), "{help}");
}

#[test]
fn a_missing_value_source_or_basis() {
    for key in ["value", "source", "basis"] {
        let whole = figure("limits", "kraal_stop_m", "20", "");
        let text: String = whole.lines().filter(|l| !l.starts_with(key)).map(|l| format!("{l}\n")).collect();
        let (line, column, length, help) = local(&text, "missing-key");
        assert_eq!((line, column, length), (1, 9, 12));
        assert!(help.starts_with(&format!("Add {key} = ")), "{help}");
    }
}

#[test]
fn a_value_of_the_wrong_kind() {
    let (line, column, length, help) = local(&figure("limits", "kraal_stop_m", "\"20\"", ""), "wrong-type");
    assert_eq!((line, column, length), (2, 9, 4));
    assert!(help.contains("a number"), "{help}");
}

#[test]
fn every_part_of_the_wrong_kind() {
    let cases = [
        "limits = 3",
        "[limits]\nkraal_stop_m = 15",
        "title = 3",
        "distance_protects = \"yes\"",
        "[authority]\nname = \"x\"\nask = \"one thing\"",
        "[authority]\nname = \"x\"\nask = [1]",
        "[season]\nwet_months = [\"May\"]\ndriest_months = []\nsource = \"x\"\nbasis = \"published\"",
        "[season]\nwet_months = 5\ndriest_months = []\nsource = \"x\"\nbasis = \"published\"",
        "[weights]\nroad = \"much\"",
        "[switch_off]\nroad = \"no road\"",
        "[methods.\"hand auger\"]\nneeds_fluid = \"no\"",
        "[asks.tape]\nprice = 5",
        "currency = 1979-05-27",
    ];
    for text in cases {
        local(text, "wrong-type");
    }
}

#[test]
fn a_value_that_is_not_finite() {
    for value in ["nan", "inf", "-inf", "1e999"] {
        let (line, column, ..) = local(&figure("limits", "kraal_stop_m", value, ""), "not-finite");
        assert_eq!((line, column), (2, 9), "{value}");
    }
}

#[test]
fn a_negative_value() {
    assert_eq!(local(&figure("priors", "swing_low_m", "-1", ""), "negative-value").0, 2);
}

#[test]
fn words_that_are_empty() {
    local("[switch_off.road]\nreason = \" \"\n", "empty-text");
}

#[test]
fn an_unknown_unit_with_what_was_meant() {
    let text = figure("limits", "bitterness_stop_mg_l", "1", "unit = \"mg/l\"");
    assert!(
        local(&text, "unknown-unit").3.contains("Did you mean \"mg/L\"?")
            || local(&text, "unknown-unit").3.contains("Did you mean mg/L?")
    );
}

#[test]
fn an_unknown_basis_with_what_was_meant() {
    let text = figure("limits", "kraal_stop_m", "20", "").replace("\"published\"", "\"publsihed\"");
    assert!(local(&text, "unknown-basis").3.contains("Did you mean published?"));
}

#[test]
fn an_unknown_side() {
    local(&figure("limits", "kraal_stop_m", "20", "stricter = \"more\""), "unknown-direction");
}

#[test]
fn a_unit_other_than_that_of_the_defaults() {
    local(&figure("limits", "kraal_stop_m", "20", "unit = \"mm\""), "wrong-unit");
    local(
        "[lifts.\"rope pump\"]\nmax_m = { value = 9, unit = \"mm\", source = \"x\", basis = \"published\" }\n",
        "wrong-unit",
    );
}

#[test]
fn a_side_other_than_that_of_the_defaults() {
    let (.., help) =
        local(&figure("limits", "kraal_stop_m", "20", "stricter = \"less\""), "stricter-against-defaults");
    assert!(help.contains("regions/defaults/kraal.toml:3"), "{help}");
}

#[test]
fn a_limit_the_defaults_do_not_have_with_what_was_meant() {
    let (line, column, length, help) = local(&figure("limits", "kral_stop_m", "20", ""), "unknown-figure");
    assert_eq!((line, column, length), (1, 9, 11));
    assert!(help.contains("Did you mean kraal_stop_m?") && help.contains("unit and about"), "{help}");
}

#[test]
fn a_unit_that_the_name_does_not_speak_of() {
    let text = figure("limits", "shrine_stop_m", "50", "unit = \"L\"\nabout = \"Invented.\"");
    local(&text, "unit-against-name");
}

#[test]
fn a_new_figure_like_a_known_one_is_asked_about() {
    let text = figure("limits", "kral_stop_m", "50", "unit = \"m\"\nabout = \"Invented.\"");
    let (.., help) = local(&text, "new-figure");
    assert!(help.contains("Did you mean kraal_stop_m?"), "{help}");
}

#[test]
fn an_unknown_method_class_or_word() {
    let (.., help) = local("[methods.\"hand augur\"]\nneeds_fluid = false\n", "unknown-method");
    assert!(help.contains("Did you mean hand auger?"), "{help}");
    local("[methods.\"hand auger\"]\nsource = \"x\"\nsuits = { mud = \"no\" }\n", "unknown-key");
    local("[methods.\"hand auger\"]\nsource = \"x\"\nsuits = { silt = \"maybe\" }\n", "unknown-suits");
}

#[test]
fn a_method_under_two_spellings() {
    let text = "[methods.\"hand auger\"]\nneeds_fluid = false\n[methods.hand_auger]\nneeds_fluid = false\n";
    local(text, "method-twice");
}

#[test]
fn a_table_of_suits_without_its_source() {
    local("[methods.\"hand auger\"]\nsuits = { silt = \"no\" }\n", "missing-key");
}

#[test]
fn an_unknown_kind_of_finding_out() {
    let (.., help) = local("[asks.lab]\nwhat = \"send it away\"\n", "unknown-ask");
    assert!(help.contains("laboratory"), "{help}");
}

#[test]
fn months_that_are_none_or_both() {
    let season = |wet: &str, dry: &str| {
        format!(
            "[season]\nwet_months = {wet}\ndriest_months = {dry}\nsource = \"x\"\nbasis = \"published\"\n"
        )
    };
    assert_eq!(local(&season("[11, 13]", "[6]"), "not-a-month").1, 19);
    local(&season("[99999999999999999999]", "[6]"), "not-a-month");
    local(&season("[5, 6]", "[6]"), "month-wet-and-dry");
}

#[test]
fn latitudes_turned_round_or_off_the_earth() {
    for (from, to) in [("10", "-10"), ("-100", "0"), ("5", "5")] {
        let text = format!(
            "[season]\nwet_months = [1]\ndriest_months = [7]\nlat_from_deg = {from}\nlat_to_deg = {to}\nsource = \"x\"\nbasis = \"published\"\n"
        );
        local(&text, "latitudes-out-of-order");
    }
}

#[test]
fn a_weight_out_of_range() {
    local("[weights]\nroad = 11\n", "weight-out-of-range");
    local("[weights]\nroad = -1\n", "weight-out-of-range");
}

#[test]
fn a_currency_that_is_none() {
    local("currency = \"dollars\"\n", "not-a-currency");
}

#[test]
fn a_range_turned_round_names_the_other_end() {
    let (line, .., help) = local(&figure("priors", "swing_low_m", "30", ""), "range-turned-round");
    assert_eq!(line, 2);
    assert!(help.contains("regions/defaults/priors.toml:"), "{help}");
}

#[test]
fn a_middle_outside_its_range() {
    let loaded = load("", Some(&figure("priors", "level_prior_mid_m", "100", "")));
    assert!(loaded.sole("range-turned-round").message.contains("level_prior_high_m"));
}

#[test]
fn a_caution_that_asks_less_than_its_stop_in_a_setting() {
    let loaded = load(&figure("limits", "kraal_stop_m", "40", ""), None);
    let problem = loaded.sole("caution-laxer-than-stop");
    assert_eq!(problem.at.to_string(), "regions/hills.toml:4");
    assert!(loaded.region.is_none());
}

#[test]
fn a_setting_without_title_or_purpose() {
    let mut files: Vec<(&str, &str)> = BuiltIn::default().defaults().collect();
    files.push(("regions/hills.toml", "distance_protects = true\n"));
    let loaded = load_files(&files, "hills", None);
    let missing: Vec<_> = loaded.problems.iter().map(|p| (p.code, p.message.as_str())).collect();
    assert_eq!(missing, [("missing-key", "the file has no title"), ("missing-key", "the file has no about")]);
}

#[test]
fn a_limit_set_in_two_files_of_the_defaults() {
    let mut files: Vec<(&str, &str)> = BuiltIn::default().defaults().collect();
    files.push(("regions/defaults/kraal.toml", LIMITS));
    files.push(("regions/defaults/kraal2.toml", LIMITS));
    files.push(("regions/hills.toml", PLAIN_SETTING));
    let loaded = load_files(&files, "hills", None);
    let twice: Vec<_> = loaded.problems.iter().filter(|p| p.code == "set-twice").collect();
    assert_eq!(twice.len(), 4);
    assert!(twice.iter().all(|p| p.help.contains("regions/defaults/kraal.toml:")));
}

#[test]
fn defaults_that_leave_something_out() {
    let without = |name: &str| {
        let files: Vec<_> = BuiltIn::default().defaults().filter(|(path, _)| !path.ends_with(name)).collect();
        load_files(&files, super::UNSTATED, None)
    };
    for (file, what) in [
        ("methods.toml", "the method hand auger"),
        ("asks.toml", "what \"tape\" is"),
        ("seasons.toml", "the season"),
        ("prices.toml", "the currency"),
        ("priors.toml", "distance_protects"),
    ] {
        let loaded = without(file);
        assert!(loaded.region.is_none());
        let said = loaded.problems.iter().any(|p| p.code == "missing-everywhere" && p.message.contains(what));
        assert!(said, "{file}: {:#?}", loaded.problems);
    }
}

#[test]
fn a_lift_that_leaves_out_its_flow() {
    let text = "[lifts.\"bush pump\"]\nmax_m = { value = 9, source = \"Invented\", basis = \"published\" }\n";
    let loaded = load("", Some(text));
    assert!(loaded.region.is_none());
    let said =
        |what| loaded.problems.iter().any(|p| p.message == format!("no layer says the {what} of bush pump"));
    assert!(said("flow_lps") && said("price"), "{:#?}", loaded.problems);
}

#[test]
fn a_region_that_is_not_known_with_what_was_meant() {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    assert!(crate::region::load("limstone", None, &mut sources, &mut problems).is_none());
    let problem = problems.iter().next().unwrap();
    assert_eq!(problem.code, "unknown-region");
    assert!(problem.help.starts_with("Did you mean limestone?"), "{}", problem.help);
}

#[test]
fn a_file_that_is_not_there_or_not_text() {
    let folder = tempfile::tempdir().unwrap();
    let check = |bytes: Option<&[u8]>| {
        let path = folder.path().join("code.toml");
        if let Some(bytes) = bytes {
            std::fs::write(&path, bytes).unwrap();
        }
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        let region = crate::region::load("limestone", Some(&path), &mut sources, &mut problems);
        assert!(region.is_none());
        problems.iter().map(|p| (p.code, p.at.line)).collect::<Vec<_>>()
    };
    assert_eq!(check(None), [("cannot-read", 0)]);
    assert_eq!(check(Some(b"# a\n# \xff\n")), [("not-utf-8", 2)]);
    assert_eq!(check(Some(&vec![b'#'; 2_000_000])), [("too-large", 0)]);
}

#[test]
fn all_problems_of_all_files_are_told_at_once() {
    let loaded = load("[priors.swing_low_m]\nvalue = nan\n", Some("currency = 3\n[weights]\nroad = 11\n"));
    let mut codes: Vec<_> = loaded.problems.iter().map(|p| p.code).collect();
    codes.sort_unstable();
    assert_eq!(codes, ["missing-key", "missing-key", "not-finite", "weight-out-of-range", "wrong-type"]);
}

#[test]
fn every_problem_can_be_shown_with_its_line() {
    let mut problems = Problems::new();
    let mut sources = Sources::new();
    let text = "tïtle = 3\n";
    sources.add("é.toml", text);
    super::super::layer_file::read(&"é.toml".into(), text, crate::region::Layer::Local, &mut problems);
    assert!(crate::diag::render(&problems, &sources, false).contains("tïtle = 3"));
}

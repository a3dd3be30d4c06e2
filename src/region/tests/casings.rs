//! Well pipe, and the casing a pump needs.

use super::load;

const PIPE: &str = r#"
[casings."thin pipe"]
outer_mm = { value = 70, source = "Invented maker", basis = "published" }
inner_mm = { value = 66, source = "Invented maker", basis = "published" }
slot_mm = { value = 0.3, source = "Invented maker", basis = "published" }
open_share = { value = 0.04, source = "Invented maker", basis = "published" }
per_metre = { value = 7, source = "Invented maker", basis = "published" }
slotted_per_metre = { value = 11, source = "Invented maker", basis = "published" }
"#;

#[test]
fn a_pipe_of_ones_own_stands_beside_those_of_the_defaults() {
    let loaded = load("", Some(PIPE));
    let casings = &loaded.region().casings;
    assert_eq!(casings["thin pipe"].inner_mm.value, 66.0);
    assert_eq!(casings["thin pipe"].inner_mm.name, "thin pipe inner_mm");
    assert!(casings.len() > 4);
    assert!(loaded.problems.is_empty(), "{:#?}", loaded.problems);
}

#[test]
fn a_layer_above_changes_one_figure_of_a_pipe() {
    let local =
        "[casings.\"uPVC 63 mm\".per_metre]\nvalue = 5\nsource = \"Invented shop\"\nbasis = \"published\"\n";
    let loaded = load("", Some(local));
    let pipe = &loaded.region().casings["uPVC 63 mm"];
    assert_eq!((pipe.per_metre.value, pipe.outer_mm.value), (5.0, 63.0));
}

#[test]
fn a_pipe_that_lacks_a_figure_is_refused() {
    let short: String =
        PIPE.lines().filter(|l| !l.starts_with("slot_mm")).map(|l| format!("{l}\n")).collect();
    let loaded = load("", Some(&short));
    assert!(loaded.sole("missing-everywhere").message.contains("slot_mm of thin pipe"));
}

#[test]
fn a_pipe_that_cannot_be_is_refused_where_it_says_so() {
    for (right, wrong) in
        [("value = 66", "value = 70"), ("value = 0.3", "value = 0"), ("value = 0.04", "value = 1")]
    {
        let loaded = load("", Some(&PIPE.replace(right, wrong)));
        assert!(loaded.region.is_none());
        assert!(loaded.sole("no-such-pipe").at.line > 1, "{wrong}");
    }
}

#[test]
fn a_rate_of_exchange_turns_the_price_of_pipe_too() {
    let local =
        "currency = \"KES\"\n[exchange]\nvalue = 130\nsource = \"Invented bank\"\nbasis = \"published\"\n";
    let (before, after) = (load("", None), load("", Some(local)));
    let of = |l: &super::Loaded| l.region().casings["uPVC 63 mm"].slotted_per_metre.value;
    assert_eq!(of(&after), of(&before) * 130.0);
    let outer = |l: &super::Loaded| l.region().casings["uPVC 63 mm"].outer_mm.value;
    assert_eq!(outer(&after), outer(&before));
}

#[test]
fn a_pump_of_ones_own_need_not_say_what_casing_it_takes() {
    let local = r#"
[lifts."windmill"]
max_m = { value = 40, source = "Invented maker", basis = "published" }
flow_lps = { value = 0.3, source = "Invented maker", basis = "published" }
price = { value = 2000, source = "Invented maker", basis = "published" }
"#;
    let loaded = load("", Some(local));
    assert!(loaded.region().lifts["windmill"].needs_casing_mm.is_none());
    let deep = &loaded.region().lifts["deep-well hand pump"];
    assert!(deep.needs_casing_mm.as_ref().is_some_and(|f| f.value > 70.0));
}

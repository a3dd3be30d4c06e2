//! Which layer's value holds, and what is kept of the others.

use crate::diag::Level;
use crate::region::{Basis, Layer};

use super::{figure, load};

#[test]
fn a_setting_replaces_the_value_of_the_defaults_even_by_a_laxer_one() {
    let loaded = load(&figure("limits", "kraal_stop_m", "10", ""), None);
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!((limit.value, limit.set_by.layer), (10.0, Layer::Setting));
    assert!(loaded.problems.is_empty());
}

#[test]
fn what_a_layer_leaves_out_of_a_figure_is_that_of_the_layer_beneath() {
    let loaded = load(&figure("limits", "kraal_stop_m", "20", ""), None);
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!(limit.unit.name(), "m");
    assert_eq!(limit.about, "Below this distance to a kraal no well is put.");
    assert_eq!((limit.source.as_str(), limit.basis), ("Invented county code", Basis::Published));
}

#[test]
fn a_stricter_local_distance_holds() {
    let loaded = load("", Some(&figure("limits", "kraal_stop_m", "25", "")));
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!((limit.value, limit.set_by.layer), (25.0, Layer::Local));
    assert!(limit.notes.is_empty() && loaded.problems.is_empty());
}

#[test]
fn a_laxer_local_distance_is_not_taken_and_both_are_named() {
    let loaded = load("", Some(&figure("limits", "kraal_stop_m", "10", "")));
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!((limit.value, limit.set_by.layer), (15.0, Layer::Defaults));
    let note = &limit.notes[0];
    assert!(note.contains("asks 10 m") && note.contains("code.toml:2"), "{note}");
    assert!(note.contains("15 m set by regions/defaults/kraal.toml:3 is stricter and holds"), "{note}");
    assert!(note.contains("Ask the authority"), "{note}");
    assert_eq!(loaded.sole("laxer-local-value").level, Level::Note);
}

#[test]
fn the_authority_that_a_local_file_names_is_the_one_to_ask() {
    let local = format!(
        "[authority]\nname = \"Invented district water office\"\n{}",
        figure("limits", "kraal_stop_m", "10", "")
    );
    let loaded = load("", Some(&local));
    assert!(loaded.limit("kraal_stop_m").notes[0].contains("Ask Invented district water office"));
}

#[test]
fn the_local_value_is_held_against_the_setting_and_not_against_the_defaults() {
    let loaded = load(
        &[figure("limits", "kraal_stop_m", "40", ""), figure("limits", "kraal_caution_m", "60", "")].concat(),
        Some(&figure("limits", "kraal_stop_m", "25", "")),
    );
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!((limit.value, limit.set_by.layer), (40.0, Layer::Setting));
    assert!(limit.notes[0].contains("40 m set by regions/hills.toml:"));
}

#[test]
fn a_stricter_local_concentration_is_a_smaller_one() {
    let stricter = load("", Some(&figure("limits", "bitterness_stop_mg_l", "1", "")));
    assert_eq!(stricter.limit("bitterness_stop_mg_l").value, 1.0);
    let laxer = load("", Some(&figure("limits", "bitterness_stop_mg_l", "3", "")));
    assert_eq!(laxer.limit("bitterness_stop_mg_l").value, 2.0);
}

#[test]
fn a_local_value_equal_to_the_one_beneath_is_the_authoritys_own() {
    let loaded = load("", Some(&figure("limits", "kraal_stop_m", "15", "")));
    assert_eq!(loaded.limit("kraal_stop_m").set_by.layer, Layer::Local);
}

#[test]
fn a_limit_with_no_stricter_side_is_replaced_by_the_local_file() {
    let loaded = load("", Some(&figure("limits", "herd_count", "2", "")));
    assert_eq!((loaded.limit("herd_count").value, loaded.problems.len()), (2.0, 0));
}

#[test]
fn a_laxer_local_value_with_a_reason_is_taken_and_said_loudly() {
    let local = figure("limits", "kraal_stop_m", "10", "relax = \"Clay of 8 m proved by the district.\"");
    let loaded = load("", Some(&local));
    let limit = loaded.limit("kraal_stop_m");
    assert_eq!((limit.value, limit.set_by.layer), (10.0, Layer::Local));
    let note = &limit.notes[0];
    assert!(note.starts_with("RELAXED") && note.contains("from 15 m"), "{note}");
    assert!(note.contains("Clay of 8 m proved by the district"), "{note}");
    assert_eq!(loaded.sole("limit-relaxed").level, Level::Warning);
}

#[test]
fn relax_where_nothing_is_laxer_is_warned_of() {
    let stricter = load("", Some(&figure("limits", "kraal_stop_m", "20", "relax = \"no need\"")));
    assert_eq!(stricter.sole("relax-without-effect").level, Level::Warning);
    let setting = load(&figure("limits", "kraal_stop_m", "10", "relax = \"no need\""), None);
    assert!(setting.sole("relax-without-effect").help.contains("Only a local file"));
}

#[test]
fn a_local_prior_replaces_the_one_beneath() {
    let loaded = load("", Some(&figure("priors", "swing_high_m", "3", "")));
    let prior = loaded.prior("swing_high_m");
    assert_eq!((prior.value, prior.set_by.layer), (3.0, Layer::Local));
}

#[test]
fn every_value_knows_the_file_and_line_that_set_it() {
    let loaded = load(
        &figure("priors", "swing_high_m", "3", ""),
        Some(&figure("limits", "kraal_caution_m", "50", "")),
    );
    let from = |f: &crate::region::Figure| f.set_by.from.to_string();
    assert_eq!(from(loaded.limit("kraal_stop_m")), "regions/defaults/kraal.toml:3");
    assert_eq!(from(loaded.prior("swing_high_m")), "regions/hills.toml:4");
    assert!(from(loaded.limit("kraal_caution_m")).ends_with("code.toml:2"));
}

#[test]
fn the_layers_are_listed_in_order_with_the_hash_of_their_content() {
    let loaded = load("", Some("# nothing to say\n"));
    let layers = &loaded.region().layers;
    let last: Vec<_> = layers[layers.len() - 2..].iter().map(|(file, _)| file.as_str()).collect();
    assert_eq!(last[0], "regions/hills.toml");
    assert!(last[1].ends_with("code.toml"));
    assert!(layers.iter().all(|(_, hash)| hash.len() == 16), "{layers:?}");
    // printf '# nothing to say\n' | sha256sum
    assert_eq!(layers[layers.len() - 1].1, "05c1072f237a3167");
}

#[test]
fn a_local_stop_beyond_the_caution_takes_the_caution_with_it() {
    let loaded = load("", Some(&figure("limits", "kraal_stop_m", "75", "")));
    let caution = loaded.limit("kraal_caution_m");
    assert_eq!((caution.value, caution.set_by.layer), (75.0, Layer::Local));
    assert!(caution.notes[0].contains("Moved from 30 m"), "{:?}", caution.notes);
}

#[test]
fn a_caution_relaxed_below_its_stop_is_moved_back_to_it() {
    let local = figure("limits", "kraal_caution_m", "5", "relax = \"custom\"");
    let loaded = load("", Some(&local));
    assert_eq!(loaded.limit("kraal_caution_m").value, 15.0);
}

#[test]
fn a_trainers_own_limit_needs_its_unit_and_purpose_and_is_then_taken() {
    let own = figure("limits", "shrine_stop_m", "50", "unit = \"m\"\nabout = \"Distance kept to a shrine.\"");
    let loaded = load("", Some(&own));
    assert_eq!(loaded.limit("shrine_stop_m").value, 50.0);
    assert_eq!(loaded.sole("new-figure").level, Level::Note);
}

#[test]
fn a_local_file_may_say_that_distance_does_not_protect_but_not_that_it_does() {
    let cautious = load("distance_protects = true", Some("distance_protects = false"));
    assert!(!cautious.region().distance_protects);
    let bold = load("distance_protects = false", Some("distance_protects = true"));
    assert!(!bold.region().distance_protects);
    assert_eq!(bold.sole("laxer-local-value").level, Level::Warning);
}

#[test]
fn a_local_calendar_replaces_that_of_the_setting_as_a_whole() {
    let months = |wet: &str, dry: &str, more: &str| {
        format!(
            "[season]\nwet_months = {wet}\ndriest_months = {dry}\nsource = \"Invented almanac\"\nbasis = \"published\"\n{more}\n"
        )
    };
    let setting = months("[1, 2]", "[8]", "lat_from_deg = -20\nlat_to_deg = -8");
    let calendar = load(&setting, None).region().calendar.clone();
    assert_eq!(calendar.latitudes_deg, Some((-20.0, -8.0)));
    let calendar = load(&setting, Some(&months("[6, 7]", "[2, 3]", ""))).region().calendar.clone();
    assert_eq!(calendar.wet_months, [6, 7].into());
    assert_eq!(calendar.driest_months, [2, 3].into());
    assert_eq!((calendar.latitudes_deg, calendar.set_by.layer), (None, Layer::Local));
}

#[test]
fn a_layer_changes_one_class_of_ground_and_leaves_the_others() {
    let local =
        "[methods.\"hand auger\"]\nsource = \"Invented crew's record.\"\nsuits = { stiff_clay = \"no\" }\n";
    let loaded = load("", Some(local));
    let auger = &loaded.region().methods[&crate::survey::Method::HandAuger];
    assert_eq!(auger.suits["stiff_clay"].name(), "no");
    assert_eq!(auger.suits["silt"].name(), "yes");
    assert!(auger.source.starts_with("Invented crew's record. Else: "), "{}", auger.source);
}

#[test]
fn a_layer_changes_the_reach_of_a_method_and_leaves_its_prices() {
    let before = load("", None);
    let depth =
        "[methods.\"hand auger\".max_depth_m]\nvalue = 12\nsource = \"Invented\"\nbasis = \"published\"\n";
    let after = load(depth, None);
    let auger = |l: &super::Loaded| l.region().methods[&crate::survey::Method::HandAuger].clone();
    assert_eq!(auger(&after).max_depth_m.value, 12.0);
    assert_eq!(auger(&after).max_depth_m.unit.name(), "m");
    assert_eq!(auger(&after).per_metre, auger(&before).per_metre);
}

#[test]
fn a_lift_of_ones_own_is_taken_with_all_its_figures() {
    let f =
        |v: &str| format!("{{ value = {v}, source = \"Invented maker's sheet\", basis = \"published\" }}");
    let local = format!(
        "[lifts.\"bush pump\"]\nmax_m = {}\nflow_lps = {}\nprice = {}\n",
        f("40"),
        f("0.3"),
        f("900")
    );
    let loaded = load("", Some(&local));
    let pump = &loaded.region().lifts["bush pump"];
    assert_eq!((pump.max_m.value, pump.flow_lps.unit.name(), pump.price.value), (40.0, "L/s", 900.0));
}

#[test]
fn rules_switched_off_keep_reason_and_place() {
    let loaded = load("", Some("[switch_off.boundary]\nreason = \"The plot is common land.\"\n"));
    let off = &loaded.region().switched_off["boundary"];
    assert_eq!((off.reason.as_str(), off.set_by.layer), ("The plot is common land.", Layer::Local));
    assert_eq!(off.set_by.from.line, 1);
}

#[test]
fn a_later_weight_replaces_an_earlier_one() {
    let loaded = load("[weights]\narsenic = 5\nroad = 1\n", Some("[weights]\narsenic = 2\n"));
    let weights = &loaded.region().weights;
    assert_eq!((weights["arsenic"], weights["road"]), (2.0, 1.0));
}

#[test]
fn the_authority_and_what_to_ask_it_are_kept() {
    let loaded = load("", Some("[authority]\nname = \"Invented office\"\nask = [\"Is a permit needed?\"]\n"));
    let authority = loaded.region().authority.clone().unwrap();
    assert_eq!((authority.name.as_str(), authority.ask.len()), ("Invented office", 1));
}

#[test]
fn a_local_title_does_not_rename_the_setting() {
    let loaded = load("", Some("title = \"County code\"\nabout = \"Invented.\"\n"));
    assert_eq!(loaded.region().title, "Invented hills");
}

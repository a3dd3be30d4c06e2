//! Nothing that a file may hold makes the reader panic, and nothing that it
//! lets through is anything but a finite number.

use proptest::prelude::*;

use crate::diag::{Problems, Sources, render};
use crate::region::{BuiltIn, Layer};

use super::super::layer_file::read;
use super::{LIMITS, PLAIN_SETTING, load};

fn read_as(layer: Layer, text: &str) {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    sources.add("any.toml", text);
    read(&"any.toml".into(), text, layer, &mut problems);
    render(&problems, &sources, false);
}

/// One of the built-in files with a stretch of it replaced.
fn damaged() -> impl Strategy<Value = String> {
    let files: Vec<_> = BuiltIn::default().defaults().map(|(_, text)| text).collect();
    (proptest::sample::select(files), any::<prop::sample::Index>(), 0_usize..40, ".{0,12}").prop_map(
        |(text, at, length, put)| {
            let from = text.floor_char_boundary(at.index(text.len()));
            let to = text.floor_char_boundary((from + length).min(text.len())).max(from);
            format!("{}{put}{}", &text[..from], &text[to..])
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_text_is_read_without_a_panic(text in "\\PC{0,200}") {
        read_as(Layer::Local, &text);
    }

    #[test]
    fn any_bytes_are_read_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("any.toml");
        std::fs::write(&path, &bytes).unwrap();
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        BuiltIn::default().load("limestone", Some(&path), &mut sources, &mut problems);
        render(&problems, &sources, false);
    }

    #[test]
    fn a_damaged_file_is_read_without_a_panic(text in damaged()) {
        read_as(Layer::Setting, &text);
    }

    #[test]
    fn no_value_that_a_layer_brings_in_is_other_than_finite_and_not_negative(value in "[-+]?(inf|nan|[0-9]{1,4}([.][0-9]{1,3})?(e[0-9]{1,3})?)") {
        let local = format!("[limits.kraal_stop_m]\nvalue = {value}\nsource = \"Invented\"\nbasis = \"published\"\n");
        let loaded = load("", Some(&local));
        match &loaded.region {
            Some(region) => prop_assert!(region.limits.values().all(|f| f.value.is_finite() && f.value >= 0.0)),
            None => prop_assert!(loaded.problems.any_error()),
        }
    }

    #[test]
    fn a_local_file_never_makes_a_limit_laxer_by_itself(value in 0.0_f64..200.0) {
        let local = format!("[limits.kraal_stop_m]\nvalue = {value}\nsource = \"Invented\"\nbasis = \"published\"\n");
        prop_assert!(load("", Some(&local)).limit("kraal_stop_m").value >= 15.0);
    }

    #[test]
    fn the_order_in_which_the_files_of_the_defaults_are_named_does_not_matter(seed in any::<u64>()) {
        let mut files: Vec<(&str, &str)> = BuiltIn::default().defaults().collect();
        files.push(("regions/defaults/kraal.toml", LIMITS));
        files.push(("regions/hills.toml", PLAIN_SETTING));
        let turned = usize::try_from(seed % files.len() as u64).unwrap();
        let plain = super::load_files(&files, "hills", None);
        files.rotate_left(turned);
        let other = super::load_files(&files, "hills", None);
        prop_assert_eq!(&plain.region().limits, &other.region().limits);
        prop_assert_eq!(&plain.region().priors, &other.region().priors);
        prop_assert_eq!(&plain.region().methods, &other.region().methods);
    }
}

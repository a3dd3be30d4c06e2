use super::*;
use crate::tune::fit::{Base, File, Interval};

fn fitted() -> Fit {
    let figure = Proposed {
        name: "swing_low_m".to_owned(),
        unit: "m",
        value: 1.2,
        interval: Interval { low: 0.9, high: Some(1.6) },
        method: "a method".to_owned(),
        wells: 60,
        independent: Some(41.0),
        now: Some(2.0),
        now_from: Some("regions/x.toml:3:1".to_owned()),
        differs: Some(true),
    };
    let topic = Topic { about: "The fall".to_owned(), wells: 60, figures: vec![figure], ..Topic::default() };
    Fit {
        forebore: "0.1.0",
        records: File { name: "we\nlls \"x\".csv".to_owned(), hash: "00".to_owned() },
        map: File { name: "map.toml".to_owned(), hash: "11".to_owned() },
        region: Base { id: "x".to_owned(), title: "X".to_owned(), hash: "22".to_owned() },
        square_m: 2000.0,
        topics: vec![topic],
    }
}

const BASE: &str = "title = \"X\"\nabout = \"Ground.\"\ncurrency = \"EUR\"\n[priors]\nswing_low_m = { value = 2, source \
                    = \"s\", basis = \"published\" }\nswing_high_m = { value = 4, source = \"s\", basis = \
                    \"published\" }\n[limits.a_stop_m]\nvalue = 3\nsource = \"s\"\nbasis = \"published\"\n";

#[test]
fn what_is_not_fitted_is_carried_over_and_what_is_stands_once() {
    let page = toml(&fitted(), Some(BASE)).unwrap();
    let read: ::toml::Table = page.parse().unwrap();
    let value = |part: &str, name: &str| read[part][name]["value"].clone();
    assert_eq!(value("priors", "swing_low_m").as_float(), Some(1.2));
    assert_eq!(value("priors", "swing_high_m").as_integer(), Some(4));
    assert_eq!(value("limits", "a_stop_m").as_integer(), Some(3));
    assert_eq!(read["currency"].as_str(), Some("EUR"));
    assert_eq!(read["priors"]["swing_low_m"]["basis"].as_str(), Some("local records"));
}

#[test]
fn a_name_with_a_line_break_or_a_quote_breaks_neither_comment_nor_text() {
    let page = toml(&fitted(), None).unwrap();
    let read: ::toml::Table = page.parse().unwrap();
    let source = read["priors"]["swing_low_m"]["source"].as_str().unwrap();
    assert!(source.contains("we lls \"x\".csv") && source.contains("0.9 to 1.6 m"), "{source}");
}

#[test]
fn a_figure_stands_beside_the_one_in_force() {
    let page = toml(&fitted(), None).unwrap().replace("\n# ", " ");
    assert!(
        page.contains("swing_low_m: 1.2 m, 95 % interval 0.9 to 1.6 m; 60 wells that count as 41"),
        "{page}"
    );
    assert!(page.contains("In force: 2 m [regions/x.toml:3:1]. Differs by more than chance."), "{page}");
}

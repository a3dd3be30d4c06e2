//! Where the peg could go: what is left of the plot, and the best spots.

use super::free_plan::{Drawn, draw};
use super::markup::{Element, Node, el};
use super::page::{answer, code, key, section, signs_key, title, told_title};
use super::signs::swatch;
use super::tables::table;
use super::{free_plan, reasons};
use crate::report::free_ground::{FreeGround, Ground, Spot};
use crate::report::free_ground_words::{area_parts, is_better};
use crate::report::messages::Messages;
use crate::report::model::Report;
use crate::verdict::Answer;

/// The section, where the plot was looked at.
pub fn free_section(m: Messages, report: &Report) -> Option<Element> {
    let ground = report.free_ground.as_ref()?;
    let better: Vec<&Spot> = ground.spots.iter().filter(|s| is_better(s, &ground.peg)).collect();
    let part = section("picture", m.say("free.title")).with(el("p").with(looked_at(m, ground)));
    let mut beside = Vec::new();
    let drawn = draw(m, report, ground, &better);
    beside.extend(drawn.iter().map(|d| signs_key(m, &d.families)));
    beside.push(fills_key(m, !better.is_empty()));
    if let Some(Drawn { key, .. }) = drawn.as_ref().filter(|d| !d.key.is_empty()) {
        beside.push(el("p").with(format!("{} {}.", m.say("plan.numbers"), key.join(", "))));
    }
    let picture = drawn.map(|d| el("figure").with(d.picture).with(el("figcaption").all(beside)));
    let words = el("details").class("words").with(el("summary").with(m.say("page.in_words")));
    let part =
        part.perhaps(picture)
            .with(
                el("p")
                    .with(m.fill("free.stops", &[("left", &left(m, &ground.free_of_stops, ground.area_m2))])),
            )
            .with(el("p").with(
                m.fill("free.cautions", &[("left", &left(m, &ground.free_of_cautions, ground.area_m2))]),
            ))
            .with(el("p").with(
                m.fill("free.peg", &[("is", &judged(m, &ground.peg)), ("clear", &clear(m, &ground.peg))]),
            ))
            .with(spots(m, report, ground, &better));
    let widest = ground.widest.as_ref();
    let widest =
        widest.map(|s| el("p").with(m.fill("free.widest", &[("way", &way(m, s)), ("clear", &clear(m, s))])));
    Some(
        part.perhaps(widest)
            .with(el("p").class("quiet").with(caveats(m, report, ground)))
            .with(words.all(tables(m, ground))),
    )
}

fn fills_key(m: Messages, spots: bool) -> Element {
    let fill = |class: &'static str| {
        swatch(el("rect").class(class).attr("x", 1).attr("y", 1).attr("width", 30).attr("height", 16))
    };
    let fills = [
        ("p taken edge", "free.taken"),
        ("p perhaps edge", "free.perhaps"),
        ("p free edge", "free.free"),
        ("p best edge", "free.best"),
    ];
    let rows = fills.map(|(class, name)| (fill(class), m.say(name)));
    let spot = spots.then(|| (swatch(free_plan::dot([16.0, 9.0])), m.say("free.spot")));
    key(rows.into_iter().chain(spot))
}

fn looked_at(m: Messages, ground: &FreeGround) -> String {
    let area = area(m, ground.area_m2);
    match (&ground.plot_from, ground.radius_m) {
        (Some(from), _) => m.fill("free.plot", &[("area", &area), ("from", from)]),
        (None, Some(radius_m)) => m.fill("free.circle", &[("area", &area), ("radius", &m.metres(radius_m))]),
        (None, None) => m.say("free.nothing"),
    }
}

/// What is left of the plot.
fn left(m: Messages, ground: &Ground, all_m2: f64) -> String {
    let amount = |m2: f64| {
        let share = if all_m2 > 0.0 { 100.0 * m2 / all_m2 } else { 0.0 };
        match m2 {
            m2 if m2 < 0.5 => m.say("free.none"),
            m2 => format!("{} ({}\u{a0}%)", area(m, m2), m.number(share, 0)),
        }
    };
    if ground.not_known_m2 < 0.5 {
        return amount(ground.free_m2);
    }
    m.fill("free.more", &[("free", &amount(ground.free_m2)), ("more", &amount(ground.not_known_m2))])
}

fn judged(m: Messages, spot: &Spot) -> String {
    let answer = answer(m, "peg", spot.verdict);
    match spot.score {
        Some(score) => m.fill("free.judged", &[("answer", &answer), ("score", &m.number(score, 0))]),
        None => answer,
    }
}

fn way(m: Messages, spot: &Spot) -> String {
    match spot.bearing_deg {
        Some(bearing) => m.fill(
            "free.way",
            &[("distance", &m.metres(spot.move_m.max(1.0).round())), ("bearing", &m.bearing(bearing))],
        ),
        None => m.say("free.where_it_is"),
    }
}

fn clear(m: Messages, spot: &Spot) -> String {
    let state = |class: &str, clear_m: f64, of: &str| {
        let key = match class {
            "taken" if clear_m > -0.5 => "free.clear_edge",
            "taken" => "free.clear_inside",
            "not known" => "free.clear_perhaps",
            _ => "free.clear_free",
        };
        m.fill(key, &[("of", &m.say(of)), ("distance", &m.metres(clear_m.abs().round()))])
    };
    if spot.as_to_cautions != "taken" {
        return state(&spot.as_to_cautions, spot.clear_of_cautions_m, "free.of_cautions");
    }
    let stops = state(&spot.as_to_stops, spot.clear_of_stops_m, "free.of_stops");
    if spot.as_to_stops == "taken" { stops } else { m.fill("free.not_cautions", &[("clear", &stops)]) }
}

/// The spots that are better than the peg, in the order of their numbers.
fn spots(m: Messages, report: &Report, ground: &FreeGround, better: &[&Spot]) -> Element {
    if better.is_empty() {
        return el("p").with(m.say(if ground.spots.is_empty() { "free.no_spot" } else { "free.no_better" }));
    }
    let item = |spot: &&Spot| {
        let text = m.fill(
            "free.move",
            &[("way", &way(m, spot)), ("is", &judged(m, spot)), ("clear", &clear(m, spot))],
        );
        el("li").with(text).all(because(m, report, spot))
    };
    el("ol").all(better.iter().map(item))
}

/// So many rules are named at a spot; the others are counted.
const MOST_RULES: usize = 4;

/// The rules that hold a spot back, each with a way to its finding.
fn because(m: Messages, report: &Report, spot: &Spot) -> Vec<Node> {
    let key = match spot.verdict {
        Answer::Go => return Vec::new(),
        Answer::GoIf => "free.because_go_if",
        Answer::FindOut => "free.because_find_out",
        Answer::NoGo => "free.because_no_go",
    };
    let mut all: Vec<Node> = vec![format!(" {}", m.say(key)).into()];
    let mut rules: Vec<&str> = Vec::new();
    for reason in spot.reasons.iter().filter(|r| r.alone == spot.verdict) {
        if !rules.contains(&reason.rule.as_str()) {
            rules.push(&reason.rule);
        }
    }
    for (n, rule) in rules.iter().take(MOST_RULES).enumerate() {
        all.push(if n == 0 { " ".into() } else { m.say("mark.semicolon").into() });
        let to = format!("#rule-{}", reasons::id(rule));
        all.push(told_title(m, report, "a", rule).attr("href", to).into());
    }
    if let Some(more) = rules.len().checked_sub(MOST_RULES).filter(|n| *n > 0) {
        let more = m.fill("finding.more", &[("n", &more.to_string())]);
        all.push(format!("{}{more}", m.say("mark.semicolon")).into());
    }
    all.push(".".into());
    all
}

fn caveats(m: Messages, report: &Report, ground: &FreeGround) -> String {
    let mut text = m.say("free.how");
    if !ground.passed_over.is_empty() {
        let passed: Vec<String> = ground.passed_over.iter().map(|r| title(m, report, r)).collect();
        text.push_str(&format!(
            " {}",
            m.fill("free.passed_over", &[("rules", &passed.join(&m.say("mark.semicolon")))])
        ));
    }
    if ground.left_out_records > 0 {
        let n = ground.left_out_records.to_string();
        text.push_str(&format!(" {}", m.fill("free.left_out", &[("n", &n)])));
    }
    text.push_str(&format!(" {}", m.say("free.before")));
    text
}

fn tables(m: Messages, ground: &FreeGround) -> Vec<Element> {
    let required = ground.required.iter().map(|r| {
        let of = if r.free_of == "stops" { "free.of_stops" } else { "free.of_cautions" };
        let from = r.limit_from.as_deref().map_or_else(|| Node::from("–"), |from| code(from).into());
        vec![
            m.word("kind", &r.kind).into(),
            m.metres(r.distance_m).into(),
            m.say(of).into(),
            code(&r.rule).into(),
            from,
        ]
    });
    let mut all = vec![table(
        m,
        "table.free_required",
        &["col.kind", "col.distance", "col.free_of", "col.rule", "col.from"],
        required.collect(),
    )];
    let open = [(&ground.free_of_stops, "free.of_stops"), (&ground.free_of_cautions, "free.of_cautions")];
    let rows = open.iter().flat_map(|(ground, of)| {
        ground.not_searched.iter().map(|n| {
            let searched = n.searched_m.map_or_else(|| m.say("free.not_searched"), |x| m.metres(x));
            vec![
                m.word("kind", &n.kind).into(),
                searched.into(),
                m.metres(n.needed_m).into(),
                m.say(of).into(),
            ]
        })
    });
    let rows: Vec<Vec<Node>> = rows.collect();
    if !rows.is_empty() {
        let heads = ["col.kind", "col.searched", "col.search_needed", "col.free_of"];
        all.push(table(m, "table.free_search", &heads, rows));
    }
    all
}

/// An area with as many digits as it is worth.
fn area(m: Messages, m2: f64) -> String {
    let (value, digits, unit) = area_parts(m2);
    format!("{}\u{a0}{unit}", m.number(value, digits))
}

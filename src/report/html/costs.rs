//! Money: what a hole costs down to each depth and where to give up, and what
//! to find out next, the best value first.

use super::canvas::{Align, Canvas, SIZE, n, path};
use super::letters;
use super::markup::{Element, Node, el};
use super::page::{key, section, told};
use super::signs::swatch;
use super::tables::table;
use crate::report::messages::Messages;
use crate::report::model::Report;
use crate::report::well_plan::BillOfQuantities;
use crate::report::words::capital;
use crate::report::worth::{MethodWorth, NextThing, Worth};
use crate::verdict::Answer;

const WIDTH: f64 = 340.0;
const TOP: f64 = 36.0;
const HEIGHT: f64 = 220.0;
const FIELD: (f64, f64) = (34.0, 176.0);
const WORDS: f64 = 232.0;
/// Methods drawn; the table tells of all.
const METHODS_DRAWN: usize = 3;
/// Things to find out that are drawn.
const THINGS_DRAWN: usize = 6;

/// An exact amount as people say it.
pub fn whole(m: Messages, amount: &str, currency: &str) -> String {
    amount.parse::<f64>().map_or_else(|_| amount.to_owned(), |x| m.money(x, currency))
}

/// What the bill comes to, in a sentence.
pub fn bill_told(m: Messages, bill: &BillOfQuantities) -> String {
    let money = |x: &String| whole(m, x, &bill.currency);
    let with = [
        ("total", money(&bill.total[1])),
        ("low", money(&bill.total[0])),
        ("high", money(&bill.total[2])),
        ("kept", money(&bill.contingency[1])),
        ("dry", money(&bill.dry_hole[1])),
    ];
    m.fill("well.bill_told", &with.each_ref().map(|(k, v)| (*k, v.as_str())))
}

/// The section, where the report has something on money.
pub fn worth_section(m: Messages, report: &Report) -> Option<Element> {
    let worth = report.worth.as_ref()?;
    let mut part = section("picture", m.say("worth.title"))
        .with(el("p").class("quiet").with(m.say("page.forecast")))
        .with(el("p").with(act(m, worth, report.verdict == Answer::NoGo)));
    if let Some(picture) = depths(m, worth) {
        part = part
            .with(el("h3").with(m.say("costs.title")))
            .with(figure(
                picture,
                vec![el("p").with(m.say("costs.how_to_read"))].into_iter().chain(give_ups(m, worth)),
            ))
            .with(in_words(m, vec![methods_table(m, worth), money_table(m, worth), steps_table(m, worth)]));
    }
    if let Some(picture) = next(m, worth) {
        let none = worth.next.iter().all(|x| x.net <= 0.0);
        let legend =
            key([(bar_swatch("price"), m.say("next.price")), (bar_swatch("worth"), m.say("next.worth"))]);
        let beside = [Some(legend), none.then(|| el("p").with(m.say("next.none")))];
        part = part
            .with(el("h3").with(m.say("next.title")))
            .with(figure(picture, beside.into_iter().flatten()))
            .with(in_words(m, vec![next_table(m, worth)]));
    }
    Some(part)
}

fn figure(picture: Element, beside: impl IntoIterator<Item = Element>) -> Element {
    el("figure").with(picture).with(el("figcaption").all(beside))
}

fn in_words(m: Messages, parts: Vec<Element>) -> Element {
    el("details").class("words").with(el("summary").with(m.say("page.in_words"))).all(parts)
}

fn act(m: Messages, w: &Worth, no_go: bool) -> String {
    let others: Vec<String> = w
        .alternatives
        .iter()
        .map(|a| format!("{} {}", m.told(&a.what).text, m.money(a.cost, &w.currency)))
        .collect();
    let others = m.fill("worth.others", &[("others", &others.join(", "))]);
    let act = if w.act == "leave" {
        m.say("worth.leave")
    } else if w.even() {
        m.fill("worth.even", &[("method", &m.word("method", &w.act))])
    } else {
        let money = m.money(w.brings, &w.currency);
        m.fill("worth.drill", &[("method", &m.word("method", &w.act)), ("money", &money)])
    };
    if no_go { format!("{others} {act} {}", m.say("worth.no_go")) } else { format!("{others} {act}") }
}

fn drawn(w: &Worth) -> Vec<&MethodWorth> {
    w.methods.iter().filter(|method| method.steps.len() > 1).take(METHODS_DRAWN).collect()
}

/// A round number at or above a sum, for the end of a scale.
fn round_up(x: f64) -> f64 {
    let ten = 10_f64.powf(x.max(1.0).log10().floor());
    [1.0, 2.0, 4.0, 6.0, 8.0, 10.0].into_iter().map(|k| k * ten).find(|r| *r >= x).unwrap_or(x)
}

/// Cost against depth, a line a method, with the depth to give up at.
fn depths(m: Messages, w: &Worth) -> Option<Element> {
    let drawn = drawn(w);
    let steps = || drawn.iter().flat_map(|method| &method.steps);
    let deepest_m = (steps().map(|s| s.depth_m).fold(0.0, f64::max) / 5.0).ceil() * 5.0;
    let most = round_up(steps().map(|s| s.cost).fold(0.0, f64::max));
    if drawn.is_empty() || deepest_m <= 0.0 || !most.is_finite() {
        return None;
    }
    let y = |depth_m: f64| TOP + depth_m / deepest_m * HEIGHT;
    let x = |cost: f64| FIELD.0 + cost / most * FIELD.1;
    let mut canvas = Canvas::new(WIDTH, TOP + HEIGHT + 14.0);
    for part in [0.0, 0.5, 1.0] {
        let line = format!("M{} {}V{}", n(x(part * most)), n(TOP), n(TOP + HEIGHT));
        canvas.draw(el("path").class("grid").attr("d", line));
        let text = if part > 0.99 { m.money(part * most, &w.currency) } else { m.number(part * most, 0) };
        canvas.text(x(part * most), TOP - 8.0, Align::Middle, &text, "l");
    }
    let every_m = if deepest_m > 40.0 { 10.0 } else { 5.0 };
    let mut depth_m = 0.0;
    while depth_m <= deepest_m {
        let line = format!("M{} {}H{}", n(FIELD.0), n(y(depth_m)), n(FIELD.0 + FIELD.1));
        canvas.draw(el("path").class("grid").attr("d", line));
        canvas.text(FIELD.0 - 5.0, y(depth_m), Align::End, &m.number(depth_m, 0), "l");
        depth_m += every_m;
    }
    canvas.text(4.0, TOP - 24.0, Align::Start, &m.say("section.depth"), "l");
    for (number, method) in drawn.iter().enumerate() {
        let places: Vec<[f64; 2]> = method.steps.iter().map(|s| [x(s.cost), y(s.depth_m)]).collect();
        canvas.draw(el("path").class(format!("curve k{number}")).attr("d", path(&ends_only(&places), false)));
        give_up_mark(&mut canvas, m, method, &x, &y);
        if let Some([end_x, end_y]) = places.last() {
            canvas.beside(*end_x, *end_y, WORDS, &m.word("method", &method.method), "l");
        }
    }
    let told: Vec<String> = drawn.iter().map(|method| give_up(m, method)).collect();
    let about = m.fill("costs.about", &[("methods", &told.join(" "))]);
    Some(canvas.finish("costs", &m.say("costs.title"), &about, None))
}

/// A straight run of places is its two ends.
fn ends_only(places: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for place in places {
        if let [.., a, b] = kept.as_slice() {
            let turn = (b[0] - a[0]) * (place[1] - a[1]) - (b[1] - a[1]) * (place[0] - a[0]);
            if turn.abs() < 0.5 {
                kept.pop();
            }
        }
        kept.push(*place);
    }
    kept
}

fn give_up_mark(
    canvas: &mut Canvas,
    m: Messages,
    method: &MethodWorth,
    x: &impl Fn(f64) -> f64,
    y: &impl Fn(f64) -> f64,
) {
    let g = &method.give_up;
    let at = method.steps.iter().find(|s| s.depth_m >= g.depth_m).or(method.steps.last());
    let Some(step) = at.filter(|_| g.begin && g.why != "worth-it-to-reach") else { return };
    let (mx, my) = (x(step.cost), y(g.depth_m));
    let bar = format!("M{} {}H{}", n(mx - 9.0), n(my), n(mx + 9.0));
    canvas.draw(el("path").class("give-up").attr("d", bar));
    let text = m.fill("costs.give_up", &[("depth", &m.depth(g.depth_m))]);
    canvas.beside(mx + 9.0, my, WORDS, &text, "l b");
}

fn give_ups(m: Messages, w: &Worth) -> Vec<Element> {
    drawn(w).into_iter().map(|method| el("p").with(give_up(m, method))).collect()
}

/// When to give up with a method, and why, in a sentence.
pub fn give_up(m: Messages, method: &MethodWorth) -> String {
    let g = &method.give_up;
    // Two chances that are compared are told to one in a hundred.
    let percent = |c: f64| format!("{}\u{a0}%", m.number(100.0 * c, 0));
    let needed = g.needed_chance.map_or_else(|| m.say("give.no_chance"), percent);
    let with = [
        ("method", capital(&m.word("method", &method.method))),
        ("depth", m.depth(g.depth_m)),
        ("reach", m.depth(g.reach_m)),
        ("chance", percent(g.chance_left.unwrap_or(g.chance))),
        ("needed", needed),
    ];
    let with = with.each_ref().map(|(k, v)| (*k, v.as_str()));
    let key = match g.why.as_str() {
        "not-worth-beginning" => "give.not_worth",
        "worth-it-to-reach" => "give.to_reach",
        "nothing-below" => "give.nothing_below",
        _ => "give.too_few",
    };
    m.fill(key, &with)
}

fn methods_table(m: Messages, w: &Worth) -> Element {
    let money = |x: f64| m.money(x, &w.currency);
    let perhaps = |x: Option<f64>| x.map_or_else(|| m.say("worth.no_sum"), money);
    let rows = w.methods.iter().map(|method| {
        let [low, _, high] = method.cost_band80;
        let cells: Vec<Node> = vec![
            m.word("method", &method.method).into(),
            money(method.success_cost).into(),
            money(method.failure_cost).into(),
            money(method.cost_of_a_well).into(),
            format!("{} – {}", perhaps(low), perhaps(high)).into(),
            method.tries_at_most.map_or_else(|| "–".to_owned(), |t| t.to_string()).into(),
            give_up(m, method).into(),
        ];
        cells
    });
    let heads = [
        "col.method",
        "col.good_hole",
        "col.failed_hole",
        "col.working_well",
        "col.band80",
        "col.tries",
        "col.give_up",
    ];
    table(m, "table.money", &heads, rows.collect())
}

/// What to set aside, what chance it takes, and who carries a dry hole.
fn money_table(m: Messages, w: &Worth) -> Element {
    let money = |x: f64| m.money(x, &w.currency);
    let mut rows: Vec<Vec<Node>> = Vec::new();
    for method in w.methods.iter().take(METHODS_DRAWN) {
        let name = m.word("method", &method.method);
        for b in &method.break_even {
            let needed = b.needed_chance.map_or_else(|| m.say("give.no_chance"), |c| m.chance(c));
            let with = [("against", m.told(&b.against).text), ("sure", m.chance(b.sureness))];
            let with = with.each_ref().map(|(k, v)| (*k, v.as_str()));
            rows.push(vec![name.as_str().into(), m.fill("worth.break_even", &with).into(), needed.into()]);
        }
        for b in &method.budgets {
            let wells =
                m.fill("worth.budget", &[("wells", &b.wells.to_string()), ("sure", &m.chance(b.sureness))]);
            let sum = b.money.map_or_else(|| m.say("worth.no_sum"), money);
            rows.push(vec![name.as_str().into(), wells.into(), sum.into()]);
        }
        for d in &method.dry_holes {
            let terms = m.fill("worth.dry_hole", &[("terms", &m.told(&d.terms).text)]);
            let pays = [
                ("client", money(d.client_pays)),
                ("driller", money(d.driller_loses)),
                ("fair", money(d.fair_price)),
            ];
            let pays = pays.each_ref().map(|(k, v)| (*k, v.as_str()));
            rows.push(vec![name.as_str().into(), terms.into(), m.fill("worth.dry_hole_pays", &pays).into()]);
        }
    }
    table(m, "table.terms", &["col.method", "col.question", "col.answer"], rows)
}

fn steps_table(m: Messages, w: &Worth) -> Element {
    const EVERY_M: f64 = 5.0;
    let mut rows: Vec<Vec<Node>> = Vec::new();
    for method in drawn(w) {
        let told = method.steps.iter().filter(|s| (s.depth_m % EVERY_M).abs() < 1e-9);
        rows.extend(told.map(|s| {
            vec![
                m.word("method", &method.method).into(),
                m.depth(s.depth_m).into(),
                m.money(s.cost, &w.currency).into(),
                m.chance(s.open).into(),
                m.chance(s.chance).into(),
                m.money(s.ahead, &w.currency).into(),
            ]
        }));
    }
    table(
        m,
        "table.steps",
        &["col.method", "col.depth", "col.cost", "col.open", "col.well_below", "col.ahead"],
        rows,
    )
}

/// What to find out next: its price and its worth, a pair of bars each.
fn next(m: Messages, w: &Worth) -> Option<Element> {
    const BAR: (f64, f64) = (4.0, 236.0);
    const LINE: f64 = SIZE * 1.25;
    let things: Vec<&NextThing> = w.next.iter().take(THINGS_DRAWN).collect();
    if things.is_empty() {
        return None;
    }
    let most = things.iter().map(|t| t.price.max(t.worth)).fold(1.0, f64::max);
    let told: Vec<Vec<String>> = things
        .iter()
        .enumerate()
        .map(|(at, t)| {
            letters::lines(&format!("{}. {}", at + 1, m.told(&t.what).text), SIZE, WIDTH - 12.0, 3)
        })
        .collect();
    #[allow(clippy::cast_precision_loss, reason = "a handful of lines")]
    let heights: Vec<f64> = told.iter().map(|lines| lines.len() as f64 * LINE + 42.0).collect();
    let mut canvas = Canvas::new(WIDTH, heights.iter().sum::<f64>() + 4.0);
    let mut top = 2.0;
    for ((thing, lines), height) in things.iter().zip(&told).zip(&heights) {
        let words = height - 42.0;
        canvas.block(BAR.0, top + words / 2.0, Align::Start, lines, "l");
        for (sum, class, down) in [(thing.price, "price", 3.0), (thing.worth, "worth", 18.0)] {
            let (wide, at) = ((sum.max(0.0) / most * BAR.1).max(1.0), top + words + down);
            let bar = el("rect").class(format!("money {class}")).attr("x", n(BAR.0)).attr("y", n(at));
            canvas.draw(bar.attr("width", n(wide)).attr("height", 12));
            canvas.text(BAR.0 + wide + 5.0, at + 6.0, Align::Start, &m.money(sum, &w.currency), "l");
        }
        top += height;
    }
    let told: Vec<String> = things.iter().map(|t| m.told(&t.what).text).collect();
    let about = m.fill("next.about", &[("things", &told.join(" "))]);
    Some(canvas.finish("next", &m.say("next.title"), &about, None))
}

fn bar_swatch(class: &str) -> Element {
    let bar = el("rect").class(format!("money {class}")).attr("x", 1).attr("y", 3);
    swatch(bar.attr("width", 30).attr("height", 12))
}

fn next_table(m: Messages, w: &Worth) -> Element {
    let rows = w.next.iter().map(|t| {
        vec![
            told(m, "span", &t.what).into(),
            m.money(t.price, &w.currency).into(),
            m.money(t.worth, &w.currency).into(),
            m.chance(t.chance_of_change).into(),
            m.chance(t.chance_of_turning).into(),
        ]
    });
    let heads = ["col.thing", "col.price", "col.worth", "col.changes", "col.turns"];
    table(m, "next.title", &heads, rows.collect())
}

//! A page as one HTML file that needs nothing else, in the style of the
//! report.

use super::page::{Page, Part, Spot, Table};
use crate::report::html::markup::{Element, Node, el};
use crate::report::html::{STYLE, chances_came};

pub(super) fn written(page: &Page) -> String {
    let head = el("head")
        .with(el("meta").attr("charset", "utf-8"))
        .with(el("meta").attr("name", "viewport").attr("content", "width=device-width, initial-scale=1"))
        .with(el("meta").attr("name", "color-scheme").attr("content", "light dark"))
        .with(el("title").with(page.title.as_str()))
        .with(el("style").with(Node::Own(STYLE)));
    let body = el("body")
        .with(el("a").class("skip").attr("href", "#main").with("Skip to the result"))
        .with(header(page))
        .with(el("main").attr("id", "main").all(sections(page)))
        .with(el("footer").with(el("p").class("quiet").with(page.footer.as_str())));
    format!("<!DOCTYPE html>\n{}\n", el("html").attr("lang", "en").with(head).with(body))
}

fn header(page: &Page) -> Element {
    let lead = page.parts.iter().find_map(|p| if let Part::Lead(words) = p { Some(words) } else { None });
    let lead = lead.map(|words| el("p").class("head").with(words.as_str()));
    el("header").with(el("h1").with(page.title.as_str())).perhaps(lead)
}

/// What stands under each heading; what stands before the first comes first.
fn sections(page: &Page) -> Vec<Element> {
    let mut all = vec![el("section")];
    let mut pictures = false;
    for part in &page.parts {
        if let Part::Heading(words) = part {
            all.push(el("section").with(el("h2").with(words.as_str())));
            continue;
        }
        let Some(section) = all.pop() else { continue };
        all.push(match part {
            Part::Lead(_) | Part::Heading(_) => section,
            Part::Paragraph(words) => section.with(el("p").with(words.as_str())),
            Part::Items(items) => section.with(list(items)),
            Part::Warnings(items) => section.with(el("div").class("danger").with(list(items))),
            Part::Table(t) => section.with(table(t)),
            Part::Reliability(t, spots) => {
                // One picture a page: its parts have names of their own.
                let drawn = std::mem::replace(&mut pictures, true);
                section.with(if drawn { table(t) } else { picture(t, spots) })
            }
        });
    }
    all
}

fn list(items: &[String]) -> Element {
    el("ul").all(items.iter().map(|words| el("li").with(words.as_str())))
}

fn table(table: &Table) -> Element {
    let cells = |row: &Vec<String>| {
        let cell = |(k, cell): (usize, &String)| match k {
            0 => el("th").attr("scope", "row").with(cell.as_str()),
            _ => el("td").with(cell.as_str()),
        };
        el("tr").all(row.iter().enumerate().map(cell))
    };
    let heads = table.heads.iter().map(|h| el("th").attr("scope", "col").with(h.as_str()));
    let whole = el("table")
        .with(el("caption").with(table.caption.as_str()))
        .with(el("thead").with(el("tr").all(heads)))
        .with(el("tbody").all(table.rows.iter().map(cells)));
    el("div")
        .class("scroll")
        .attr("role", "region")
        .attr("tabindex", 0)
        .attr("aria-label", &table.caption)
        .with(whole)
}

/// The chances as a picture, with the same in numbers beside it.
fn picture(t: &Table, spots: &[Spot]) -> Element {
    el("figure").with(chances_came(spots)).with(el("figcaption").with(table(t)))
}

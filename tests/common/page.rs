//! What must hold of every page, whatever it tells.

use roxmltree::{Document, Node, ParsingOptions};

/// Pages are HTML and well-formed XML at once.
pub fn parsed(page: &str) -> Document<'_> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    Document::parse_with_options(page, options).unwrap_or_else(|e| panic!("{e}"))
}

/// The box that was kept for a piece of text: left, top, width, height.
type Kept = [f64; 4];

fn numbers(text: &str) -> Vec<f64> {
    text.split(' ').map(|n| n.parse().unwrap()).collect()
}

fn kept(text: Node<'_, '_>) -> Kept {
    numbers(text.attribute("data-box").expect("text without its box")).try_into().unwrap()
}

fn words(node: Node<'_, '_>) -> String {
    node.descendants().filter_map(|n| if n.is_text() { n.text() } else { None }).collect::<Vec<_>>().join(" ")
}

/// Every fault of the pictures: text over text or out of the picture, and
/// pictures without title and description.
pub fn faults_of_pictures(page: &Document<'_>) -> Vec<String> {
    // Boxes are written to a tenth of a unit.
    const ROUNDING: f64 = 0.11;
    let mut wrong = Vec::new();
    let pictures = page.descendants().filter(|n| n.has_tag_name("svg") && n.attribute("role") == Some("img"));
    for picture in pictures {
        for part in ["title", "desc"] {
            let told = picture.children().find(|n| n.has_tag_name(part)).map(words).unwrap_or_default();
            if told.trim().is_empty() {
                wrong.push(format!("a picture without its {part}"));
            }
        }
        let view = numbers(picture.attribute("viewBox").unwrap());
        let texts: Vec<(Kept, String)> =
            picture.descendants().filter(|n| n.has_tag_name("text")).map(|n| (kept(n), words(n))).collect();
        for (at, (a, told)) in texts.iter().enumerate() {
            let out = a[0] < -ROUNDING
                || a[1] < -ROUNDING
                || a[0] + a[2] > view[2] + ROUNDING
                || a[1] + a[3] > view[3] + ROUNDING;
            if out {
                wrong.push(format!("{told:?} runs out of the picture: {a:?}"));
            }
            for (b, other) in &texts[at + 1..] {
                let apart = a[0] + a[2] <= b[0] + ROUNDING
                    || b[0] + b[2] <= a[0] + ROUNDING
                    || a[1] + a[3] <= b[1] + ROUNDING
                    || b[1] + b[3] <= a[1] + ROUNDING;
                if !apart {
                    wrong.push(format!("{told:?} covers {other:?}"));
                }
            }
        }
    }
    wrong
}

/// Every fault of the page as a whole: scripts, things fetched from elsewhere,
/// names given twice, ways that lead nowhere.
pub fn faults_of_page(page: &Document<'_>) -> Vec<String> {
    let mut wrong = Vec::new();
    let ids: Vec<&str> = page.descendants().filter_map(|n| n.attribute("id")).collect();
    for (at, id) in ids.iter().enumerate() {
        if ids[at + 1..].contains(id) {
            wrong.push(format!("two places are called {id}"));
        }
    }
    if page.root_element().attribute("lang").is_none() {
        wrong.push("no language is told".to_owned());
    }
    for node in page.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        if ["script", "iframe", "object", "embed", "link", "img", "base", "form", "foreignObject"]
            .contains(&name)
        {
            wrong.push(format!("there is a <{name}>"));
        }
        for attribute in node.attributes() {
            let (key, value) = (attribute.name(), attribute.value());
            if key.starts_with("on") || key == "style" || key == "src" {
                wrong.push(format!("<{name}> has {key}"));
            }
            let references: Vec<&str> = match key {
                "aria-labelledby" | "aria-describedby" => value.split(' ').collect(),
                "href" => vec![value.strip_prefix('#').unwrap_or(value)],
                _ => value.strip_prefix("url(#").and_then(|v| v.strip_suffix(')')).into_iter().collect(),
            };
            wrong.extend(
                references
                    .iter()
                    .filter(|r| !ids.contains(r))
                    .map(|r| format!("{key} leads to {r}, which is not there")),
            );
        }
        if name == "style" {
            let css = words(node);
            if css.contains("@import") || css.contains("http") || css.replace("url(#", "").contains("url(") {
                wrong.push("the style sheet fetches something".to_owned());
            }
        }
    }
    wrong
}

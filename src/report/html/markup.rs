//! Elements and text. The names of elements and attributes stand in the code;
//! whatever a survey, a rule or a region says can only become text or the
//! value of an attribute, and both are escaped. What comes out is HTML and
//! well-formed XML at once.

use std::fmt::Display;

/// An element.
#[derive(Debug, Clone)]
pub struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    children: Vec<Node>,
}

/// An element, text, or the page's own style sheet.
#[derive(Debug, Clone)]
pub enum Node {
    /// An element.
    Element(Element),
    /// Text.
    Text(String),
    /// A part of the program that needs no escape.
    Own(&'static str),
}

/// Elements that HTML closes by themselves, and those of pictures that have
/// nothing in them.
const EMPTY: &[&str] = &["meta", "br", "hr", "path", "line", "rect", "circle", "polygon", "polyline", "use"];

/// Elements before which a line begins, so that the text can be compared line
/// by line.
const OWN_LINE: &[&str] = &[
    "html",
    "head",
    "body",
    "meta",
    "title",
    "style",
    "header",
    "main",
    "footer",
    "section",
    "nav",
    "article",
    "h1",
    "h2",
    "h3",
    "p",
    "ul",
    "ol",
    "li",
    "dl",
    "dt",
    "dd",
    "details",
    "table",
    "caption",
    "thead",
    "tbody",
    "tr",
    "figure",
    "figcaption",
    "svg",
    "g",
    "path",
    "line",
    "rect",
    "circle",
    "text",
    "defs",
    "pattern",
    "pre",
    "div",
    "clipPath",
];

/// An element of that name.
pub fn el(name: &'static str) -> Element {
    Element { name, attributes: Vec::new(), children: Vec::new() }
}

impl Element {
    /// With an attribute.
    pub fn attr(mut self, name: &'static str, value: impl Display) -> Self {
        self.attributes.push((name, value.to_string()));
        self
    }

    /// With a class.
    pub fn class(self, value: impl Display) -> Self {
        self.attr("class", value)
    }

    /// With a child at the end.
    pub fn with(mut self, child: impl Into<Node>) -> Self {
        self.children.push(child.into());
        self
    }

    /// With a child at the end, if there is one.
    pub fn perhaps<T: Into<Node>>(self, child: Option<T>) -> Self {
        match child {
            Some(child) => self.with(child),
            None => self,
        }
    }

    /// With children at the end.
    pub fn all<T: Into<Node>>(mut self, children: impl IntoIterator<Item = T>) -> Self {
        self.children.extend(children.into_iter().map(Into::into));
        self
    }

    fn write(&self, out: &mut String) {
        if OWN_LINE.contains(&self.name) && !out.is_empty() {
            out.push('\n');
        }
        out.push('<');
        out.push_str(self.name);
        for (name, value) in &self.attributes {
            out.push(' ');
            out.push_str(name);
            out.push_str("=\"");
            escape(value, out);
            out.push('"');
        }
        if EMPTY.contains(&self.name) && self.children.is_empty() {
            out.push_str("/>");
            return;
        }
        out.push('>');
        for child in &self.children {
            match child {
                Node::Element(e) => e.write(out),
                Node::Text(text) => escape(text, out),
                Node::Own(text) => out.push_str(text),
            }
        }
        out.push_str("</");
        out.push_str(self.name);
        out.push('>');
    }
}

impl Display for Element {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut out = String::new();
        self.write(&mut out);
        f.write_str(&out)
    }
}

impl From<Element> for Node {
    fn from(element: Element) -> Self {
        Node::Element(element)
    }
}

impl From<String> for Node {
    fn from(text: String) -> Self {
        Node::Text(text)
    }
}

impl From<&str> for Node {
    fn from(text: &str) -> Self {
        Node::Text(text.to_owned())
    }
}

/// Text that can be nothing but text. Characters that XML forbids, and those
/// that turn the direction of what follows them, are shown as unreadable.
fn escape(text: &str, out: &mut String) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' => out.push(c),
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}' => {
                out.push('\u{fffd}')
            }
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_text_becomes_markup(text in any::<String>(), value in any::<String>()) {
            let page = el("p").attr("title", &value).with(text.as_str()).to_string();
            let read = roxmltree::Document::parse(&page).unwrap();
            prop_assert_eq!(read.descendants().filter(|n| n.is_element()).count(), 1);
            let plain = |s: &str| s.chars().all(|c| !c.is_control() && !('\u{2000}'..='\u{2070}').contains(&c));
            if plain(&text) && !text.contains(['\u{fffe}', '\u{ffff}']) {
                prop_assert_eq!(read.root_element().text().unwrap_or_default(), text);
            }
        }
    }

    #[test]
    fn quotes_and_brackets_are_shown_as_they_are() {
        let shown = el("td").attr("title", "\"><script>").with("</td><script>alert(1)</script>").to_string();
        assert_eq!(
            shown,
            "<td title=\"&quot;&gt;&lt;script&gt;\">&lt;/td&gt;&lt;script&gt;alert(1)&lt;/script&gt;</td>"
        );
    }
}

//! The result of a back-test as a page of few kinds of parts, which every
//! format writes in its own way.

/// A page.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::report) struct Page {
    pub title: String,
    pub parts: Vec<Part>,
    pub footer: String,
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::report) enum Part {
    /// The first paragraph.
    Lead(String),
    Heading(String),
    Paragraph(String),
    Items(Vec<String>),
    Warnings(Vec<String>),
    Table(Table),
    Reliability(Table, Vec<Spot>),
}

/// A table; the first cell of a row names it.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::report) struct Table {
    pub caption: String,
    pub heads: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// A point of a picture of chances: given, came, and the ends of its band.
pub(in crate::report) type Spot = [f64; 4];

impl Table {
    pub fn new(caption: &str, heads: &[&str], rows: Vec<Vec<String>>) -> Self {
        Self { caption: caption.to_owned(), heads: heads.iter().map(|h| (*h).to_owned()).collect(), rows }
    }
}

impl Page {
    pub fn new(title: String) -> Self {
        Self { title, parts: Vec::new(), footer: String::new() }
    }

    pub fn lead(&mut self, text: String) {
        self.parts.push(Part::Lead(text));
    }

    pub fn heading(&mut self, text: &str) {
        self.parts.push(Part::Heading(text.to_owned()));
    }

    pub fn paragraph(&mut self, text: impl Into<String>) {
        self.parts.push(Part::Paragraph(text.into()));
    }

    pub fn items(&mut self, all: Vec<String>) {
        if !all.is_empty() {
            self.parts.push(Part::Items(all));
        }
    }

    pub fn warnings(&mut self, all: Vec<String>) {
        if !all.is_empty() {
            self.parts.push(Part::Warnings(all));
        }
    }

    pub fn table(&mut self, table: Table) {
        self.parts.push(Part::Table(table));
    }

    pub fn reliability(&mut self, (table, spots): (Table, Vec<Spot>)) {
        self.parts.push(Part::Reliability(table, spots));
    }

    pub fn footer(&mut self, text: String) {
        self.footer = text;
    }
}

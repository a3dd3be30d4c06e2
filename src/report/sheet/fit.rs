//! What fits on the paper: lines are reckoned with the widths of wide letters,
//! lists are cut by whole entries, and what is left out is counted.

use std::cell::Cell;

use crate::report::html::letters;
use crate::report::html::markup::{Element, el};
use crate::report::html::page::text_for;
use crate::report::messages::{Language, Messages};
use crate::report::model::Report;

/// The page inside its margins; `style.css` has the same.
const WIDTH_PT: f64 = 194.0 * MM;
const HEIGHT_PT: f64 = 280.0 * MM;
const MM: f64 = 72.0 / 25.4;
/// Between two columns.
const GAP_PT: f64 = 5.0 * MM;
/// Height of a line in parts of the size of the letters.
const LEADING: f64 = 1.25;
/// Room before the text of an entry, in parts of the size of the letters.
const INDENT: f64 = 1.7;
/// Pictures keep room for letters a little wider than any; running text is
/// reckoned with those of DejaVu Sans, the widest that the page falls back to.
const RUNNING: f64 = 0.94;
/// Lines that are as good as none.
const CLOSE: f64 = 1e-6;
/// Lines that a heading takes, its room included.
pub const HEADING: f64 = 1.65;
/// An entry has no more lines than this; the rest of it becomes dots.
const LONGEST: usize = 12;

/// The paper with letters of one size.
pub struct Paper {
    /// The reader's words.
    pub m: Messages,
    /// Size of the letters, points.
    pub size_pt: f64,
    /// Whether there are no smaller letters.
    pub smallest: bool,
    cut: Cell<bool>,
}

/// Room for text: so many lines of so many points.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    /// Lines that are left.
    pub lines: f64,
    /// Width, points.
    pub width_pt: f64,
}

/// An entry of a list.
#[derive(Debug, Clone, Default)]
pub struct Entry {
    text: String,
    own_words: bool,
    terms: String,
    answer: bool,
}

impl Entry {
    /// A sentence of the report, in the reader's words where they are known.
    pub fn told(m: Messages, english: &str) -> Self {
        let told = m.told(english);
        Self { text: told.text, own_words: told.own_words, ..Self::default() }
    }

    /// A sentence of one of those rules.
    pub fn told_for<'a>(
        m: Messages,
        report: &Report,
        rules: impl Iterator<Item = &'a String>,
        english: &str,
    ) -> Self {
        let told = text_for(m, report, rules, english);
        Self { text: told.text, own_words: told.own_words, ..Self::default() }
    }

    /// A sentence in the reader's words.
    pub fn said(text: String) -> Self {
        Self { text, ..Self::default() }
    }

    /// With its terms behind it.
    pub fn terms(mut self, terms: String) -> Self {
        self.terms = terms;
        self
    }

    /// With a line to write the answer on.
    pub fn answer(mut self) -> Self {
        self.answer = true;
        self
    }
}

impl Paper {
    /// The paper with letters of that size.
    pub fn new(m: Messages, size_pt: f64, smallest: bool) -> Self {
        Self { m, size_pt, smallest, cut: Cell::new(false) }
    }

    /// Whether anything had no room.
    pub fn cut(&self) -> bool {
        self.cut.get()
    }

    /// The whole page.
    pub fn whole(&self) -> Room {
        Room { lines: HEIGHT_PT / (self.size_pt * LEADING), width_pt: WIDTH_PT }
    }

    /// One of two columns of so many lines.
    pub fn column(&self, lines: f64) -> Room {
        Room { lines, width_pt: (WIDTH_PT - GAP_PT) / 2.0 }
    }

    /// Lines that a text takes.
    #[allow(clippy::cast_precision_loss, reason = "lines of a page")]
    pub fn lines(&self, text: &str, width_pt: f64) -> f64 {
        letters::lines(text, RUNNING * self.size_pt, width_pt, usize::MAX).len() as f64
    }

    /// A text in no more lines than that.
    pub fn short(&self, text: &str, width_pt: f64, most: usize) -> String {
        let lines = letters::lines(text, RUNNING * self.size_pt, width_pt, most);
        let short = lines.join(" ");
        if short.ends_with('…') && !text.ends_with('…') {
            self.cut.set(true);
        }
        short
    }

    /// Lines that a list takes whole.
    pub fn needed(&self, entries: &[Entry], width_pt: f64) -> f64 {
        entries.iter().map(|e| self.laid(e, width_pt).1).sum()
    }

    /// An entry as an element, with the lines it takes.
    fn laid(&self, entry: &Entry, width_pt: f64) -> (Element, f64) {
        let inside_pt = width_pt - INDENT * self.size_pt;
        let text = self.short(&entry.text, inside_pt, LONGEST);
        let whole = if entry.terms.is_empty() { text.clone() } else { format!("{text} ({})", entry.terms) };
        let mut text = el("span").with(text);
        if entry.own_words && self.m.language != Language::English {
            text = text.attr("lang", "en");
        }
        let mut item = el("li").with(text);
        if !entry.terms.is_empty() {
            item = item.with(format!(" ({})", entry.terms));
        }
        if entry.answer {
            item = item.with(el("span").class("line"));
        }
        let lines = self.lines(&whole, inside_pt) + if entry.answer { 1.2 } else { 0.0 };
        (item, lines + 0.2)
    }

    /// The list as far as there is room, and how many entries are left out
    /// as its last entry. Takes its lines from the room.
    pub fn list(&self, class: &'static str, entries: &[Entry], room: &mut Room) -> Option<Element> {
        if entries.is_empty() {
            return None;
        }
        let mut items = Vec::new();
        // Where not all fit, room is left to say how many more there are.
        let kept = if self.needed(entries, room.width_pt) <= room.lines + CLOSE { -CLOSE } else { 1.2 };
        for entry in entries {
            let (item, lines) = self.laid(entry, room.width_pt);
            if lines + kept > room.lines {
                break;
            }
            room.lines -= lines;
            items.push(item);
        }
        let left = entries.len() - items.len();
        if left > 0 {
            self.cut.set(true);
            room.lines -= 1.2;
            let key = if items.is_empty() { "sheet.all_left_out" } else { "sheet.left_out" };
            items.push(el("li").class("left").with(self.m.fill(key, &[("n", &left.to_string())])));
        }
        Some(el("ul").class(class).all(items))
    }

    /// How many more there are, for a list that is cut.
    pub fn left_out(&self, left: usize) -> String {
        self.cut.set(true);
        self.m.fill("sheet.left_out", &[("n", &left.to_string())])
    }

    /// A heading, where there is room for it and a line under it.
    pub fn heading(&self, text: String, room: &mut Room) -> Element {
        room.lines -= HEADING;
        el("h2").with(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entries(n: usize) -> Vec<Entry> {
        (0..n).map(|k| Entry::said(format!("thing {k}"))).collect()
    }

    fn paper() -> Paper {
        Paper::new(Messages::of(Language::English), 8.0, true)
    }

    #[test]
    fn what_has_no_room_is_counted() {
        let paper = paper();
        let mut room = Room { lines: 5.0, width_pt: 200.0 };
        let list = paper.list("plain", &entries(10), &mut room).map(|e| e.to_string()).unwrap_or_default();
        let shown = list.matches("thing ").count();
        assert!((1..=3).contains(&shown), "{list}");
        assert!(list.contains(&format!("{} more in the full report", 10 - shown)), "{list}");
        assert!(paper.cut() && room.lines >= 0.0);
    }

    #[test]
    fn what_has_room_is_whole() {
        let paper = paper();
        let mut room = Room { lines: 50.0, width_pt: 200.0 };
        let list = paper.list("plain", &entries(10), &mut room).map(|e| e.to_string()).unwrap_or_default();
        assert!(list.matches("thing ").count() == 10 && !list.contains("more in"), "{list}");
        assert!(!paper.cut());
    }

    #[test]
    fn a_list_without_any_room_says_how_many_there_are() {
        let mut room = Room { lines: 0.5, width_pt: 200.0 };
        let list = paper().list("plain", &entries(3), &mut room).map(|e| e.to_string()).unwrap_or_default();
        assert!(list.contains("3 in the full report"), "{list}");
    }

    #[test]
    fn an_endless_sentence_ends_in_dots_and_counts_as_cut() {
        let paper = paper();
        let mut room = Room { lines: 50.0, width_pt: 200.0 };
        let long = Entry::said("word ".repeat(2000));
        let list = paper.list("plain", &[long], &mut room).map(|e| e.to_string()).unwrap_or_default();
        assert!(list.contains('…') && paper.cut());
    }
}

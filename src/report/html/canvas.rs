//! A picture under way: shapes and text, where no text ever covers text or
//! runs out of the picture.
//!
//! Every piece of text is given a box of its own when it is set. Text that
//! finds no free place is not set; a name then gets a number, and a key beside
//! the picture says what the number stands for. The picture is 340 units wide,
//! which a phone of 360 pixels shows as they are.

use super::letters;
use super::markup::{Element, Node, el};

/// Height of letters.
pub const SIZE: f64 = 11.0;
/// From one line of text to the next, in parts of the size.
const LEADING: f64 = 1.25;
/// Bold letters are wider by so much (DejaVu Sans, from memory).
const BOLD: f64 = 1.17;
/// Room kept free around text.
const ROOM: f64 = 1.5;

/// An upright rectangle: left, top, width, height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Frame {
    /// Whether the two have more than an edge in common.
    pub fn meets(&self, other: &Frame) -> bool {
        self.x < other.x + other.w
            && other.x < self.x + self.w
            && self.y < other.y + other.h
            && other.y < self.y + self.h
    }

    /// Whether the other lies wholly inside.
    pub fn holds(&self, other: &Frame) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && other.x + other.w <= self.x + self.w
            && other.y + other.h <= self.y + self.h
    }
}

/// Which end of a text stands at the place given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// A picture under way.
#[derive(Debug)]
pub struct Canvas {
    whole: Frame,
    shapes: Vec<Node>,
    texts: Vec<Node>,
    /// What text may not cover: other text, and marks that must be seen.
    taken: Vec<Frame>,
    /// What the numbers stand for.
    pub key: Vec<String>,
}

impl Canvas {
    /// An empty picture.
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            whole: Frame { x: 0.0, y: 0.0, w: width, h: height },
            shapes: Vec::new(),
            texts: Vec::new(),
            taken: Vec::new(),
            key: Vec::new(),
        }
    }

    /// Draws a shape over those before it, under all text.
    pub fn draw(&mut self, shape: Element) {
        self.shapes.push(shape.into());
    }

    /// Keeps text off a place.
    pub fn keep_off(&mut self, place: Frame) {
        self.taken.push(place);
    }

    fn is_free(&self, place: &Frame) -> bool {
        self.whole.holds(place) && !self.taken.iter().any(|t| t.meets(place))
    }

    /// Sets a line of text with its middle line at `y`; false where something
    /// is in the way, and then nothing is set.
    pub fn text(&mut self, x: f64, y: f64, align: Align, text: &str, class: &'static str) -> bool {
        self.block(x, y, align, &[text.to_owned()], class)
    }

    /// Sets lines of text with their middle at `y`.
    pub fn block(&mut self, x: f64, y: f64, align: Align, lines: &[String], class: &'static str) -> bool {
        let place = self.room_for(x, y, align, lines, class);
        if lines.is_empty() || !self.is_free(&place) {
            return false;
        }
        self.set(place, x, align, lines, class);
        true
    }

    fn room_for(&self, x: f64, y: f64, align: Align, lines: &[String], class: &str) -> Frame {
        let bold = if class.split(' ').any(|c| c == "b") { BOLD } else { 1.0 };
        let text_w = bold * lines.iter().map(|l| letters::width(l, SIZE)).fold(0.0, f64::max);
        let w = text_w + 2.0 * ROOM;
        #[allow(clippy::cast_precision_loss, reason = "a handful of lines")]
        let h = lines.len() as f64 * SIZE * LEADING;
        let left = match align {
            Align::Start => x - ROOM,
            Align::Middle => x - w / 2.0,
            Align::End => x + ROOM - w,
        };
        Frame { x: left, y: y - h / 2.0, w, h }
    }

    fn set(&mut self, place: Frame, x: f64, align: Align, lines: &[String], class: &'static str) {
        let anchor = match align {
            Align::Start => "start",
            Align::Middle => "middle",
            Align::End => "end",
        };
        let boxed = format!("{} {} {} {}", n(place.x), n(place.y), n(place.w), n(place.h));
        let mut text = el("text").class(class).attr("text-anchor", anchor).attr("data-box", boxed);
        let mut y = place.y + SIZE;
        if let [line] = lines {
            text = text.attr("x", n(x)).attr("y", n(y)).with(line.as_str());
        } else {
            for line in lines {
                text = text.with(el("tspan").attr("x", n(x)).attr("y", n(y)).with(line.as_str()));
                y += SIZE * LEADING;
            }
        }
        self.texts.push(text.into());
        self.taken.push(place);
    }

    /// Names a place: beside it where there is room, at the end of a thin line
    /// where there is some near by, else by a number with the name in the key.
    /// `clear` is how far off the mark of the place ends.
    pub fn name(&mut self, [x, y]: [f64; 2], clear: f64, name: &str, class: &'static str) {
        let lines = letters::lines(name, SIZE, 92.0, 2);
        if lines.is_empty() || self.near([x, y], clear, &lines, class) {
            return;
        }
        // The number may stand for a name that another number tells already.
        let known = self.key.iter().position(|k| k == name);
        let number = known.map_or(self.key.len(), |at| at) + 1;
        self.near([x, y], clear, &[number.to_string()], "l b");
        if known.is_none() {
            self.key.push(name.to_owned());
        }
    }

    /// Sets text at the first free place near by; false where there is none.
    pub fn near(&mut self, [x, y]: [f64; 2], clear: f64, lines: &[String], class: &'static str) -> bool {
        let h = self.room_for(x, y, Align::Start, lines, class).h;
        for away in [0.0, 7.0, 16.0, 28.0] {
            let (side, up) = (clear + ROOM + 1.0 + away, clear + h / 2.0 + away);
            let slant = std::f64::consts::FRAC_1_SQRT_2;
            let places = [
                (x + side, y, Align::Start),
                (x - side, y, Align::End),
                (x, y - up, Align::Middle),
                (x, y + up, Align::Middle),
                (x + side * slant, y - up * slant, Align::Start),
                (x + side * slant, y + up * slant, Align::Start),
                (x - side * slant, y - up * slant, Align::End),
                (x - side * slant, y + up * slant, Align::End),
            ];
            for (tx, ty, align) in places {
                if self.block(tx, ty, align, lines, class) {
                    if away > 0.0 {
                        self.lead([x, y], self.room_for(tx, ty, align, lines, class));
                    }
                    return true;
                }
            }
        }
        false
    }

    /// Sets text beside a mark at the height `y`, moved up or down as far as
    /// it must, with a thin line to the mark.
    pub fn beside(&mut self, mark_x: f64, y: f64, x: f64, text: &str, class: &'static str) -> bool {
        let lines = letters::lines(text, SIZE, (self.whole.w - x - 2.0 * ROOM) / BOLD, 3);
        let steps = (0..60_u32).flat_map(|k| {
            let by = f64::from(k) * 4.0;
            [by, -by]
        });
        for by in steps {
            if self.block(x, y + by, Align::Start, &lines, class) {
                let line = el("path").class("lead");
                self.draw(line.attr("d", format!("M{} {}L{} {}", n(mark_x), n(y), n(x - 3.0), n(y + by))));
                return true;
            }
        }
        false
    }

    fn lead(&mut self, [x, y]: [f64; 2], to: Frame) {
        let (tx, ty) = (x.clamp(to.x, to.x + to.w), y.clamp(to.y, to.y + to.h));
        let line = el("path").class("lead");
        self.draw(line.attr("d", format!("M{} {}L{} {}", n(x), n(y), n(tx), n(ty))));
    }

    /// The picture, with its title and what it shows in words.
    pub fn finish(self, id: &'static str, title: &str, about: &str, defs: Option<Element>) -> Element {
        let (title_id, about_id) = (format!("{id}-title"), format!("{id}-about"));
        el("svg")
            .attr("viewBox", format!("0 0 {} {}", n(self.whole.w), n(self.whole.h)))
            .attr("role", "img")
            .attr("aria-labelledby", format!("{title_id} {about_id}"))
            .with(el("title").attr("id", title_id).with(title))
            .with(el("desc").attr("id", about_id).with(about))
            .perhaps(defs)
            .all(self.shapes)
            .all(self.texts)
    }
}

/// A number of the picture: to a tenth of a unit.
pub fn n(x: f64) -> String {
    let text = format!("{x:.1}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A path through places.
pub fn path(places: &[[f64; 2]], closed: bool) -> String {
    let mut d = String::new();
    for (at, [x, y]) in places.iter().enumerate() {
        d.push(if at == 0 { 'M' } else { 'L' });
        d.push_str(&format!("{} {}", n(*x), n(*y)));
    }
    if closed && !places.is_empty() {
        d.push('Z');
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_not_set_over_text() {
        let mut canvas = Canvas::new(200.0, 100.0);
        assert!(canvas.text(10.0, 50.0, Align::Start, "first", "l"));
        assert!(!canvas.text(20.0, 54.0, Align::Start, "second", "l"));
        assert!(canvas.text(20.0, 80.0, Align::Start, "second", "l"));
    }

    #[test]
    fn text_stays_inside() {
        let mut canvas = Canvas::new(60.0, 100.0);
        assert!(!canvas.text(10.0, 50.0, Align::Start, "much too long a line", "l"));
        assert!(!canvas.text(10.0, 2.0, Align::Start, "a", "l"));
    }

    #[test]
    fn a_name_without_room_gets_a_number() {
        let mut canvas = Canvas::new(150.0, 60.0);
        canvas.name([75.0, 30.0], 4.0, "a fairly long name of a latrine", "l");
        canvas.name([75.0, 32.0], 4.0, "another long name of a latrine", "l");
        canvas.name([76.0, 32.0], 4.0, "a third long name of a latrine", "l");
        assert!(!canvas.key.is_empty());
    }
}

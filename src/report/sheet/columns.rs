//! Parts of the sheet in two columns: put where all of them have room; where
//! that cannot be, lists give way, those that can wait first.

use super::fit::{HEADING, Room};
use crate::report::html::markup::Element;

/// What gives way where there is too little room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// Nothing: it stands whole.
    No,
    /// It is cut when all that can wait has been.
    Late,
    /// It can wait.
    First,
}

/// A part of the sheet.
pub struct Part<'a> {
    /// Lines that it takes whole.
    pub needed: f64,
    /// Whether it gives way.
    pub gives: Gives,
    /// Makes it in a room.
    pub make: Box<dyn Fn(&mut Room) -> Element + 'a>,
}

/// What is left of a part that was cut: its heading and how much is left out.
const LEAST: f64 = HEADING + 1.3;

/// The parts in two columns, each in its order, the first in the left one.
pub fn arrange(parts: &[Part<'_>], room: Room) -> [Vec<Element>; 2] {
    let splits = 1_u32.checked_shl(u32::try_from(parts.len()).unwrap_or(0)).unwrap_or(1);
    let column = |split: u32, right: bool| -> Vec<&Part<'_>> {
        parts.iter().enumerate().filter(|(n, _)| is_right(split, *n) == right).map(|(_, p)| p).collect()
    };
    let lost = |split: u32| lost(&column(split, false), &column(split, true), room.lines);
    let all = (0..splits).step_by(2).map(|split| (lost(split), split));
    let best = all.min_by(|a, b| a.0.total_cmp(&b.0)).map_or(0, |(_, split)| split);
    [false, true].map(|right| filled(&column(best, right), room))
}

/// Whether a part stands on the right in a split.
fn is_right(split: u32, part: usize) -> bool {
    u32::try_from(part).is_ok_and(|n| split.checked_shr(n).is_some_and(|s| s & 1 == 1))
}

/// How bad a split is: above all lines that run over the page, then those cut
/// from lists, then those cut from lists that can wait, then the length of the
/// longer column.
fn lost(left: &[&Part<'_>], right: &[&Part<'_>], lines: f64) -> f64 {
    const GRAVER: f64 = 1000.0;
    let of = |column: &[&Part<'_>]| {
        let over = (sum(column, |p| p.needed) - lines).max(0.0);
        let first = over.min(sum(column, |p| p.spare(Gives::First)));
        let late = (over - first).min(sum(column, |p| p.spare(Gives::Late)));
        ((over - first - late) * GRAVER + late) * GRAVER + first
    };
    let longer = sum(left, |p| p.needed).max(sum(right, |p| p.needed));
    of(left) + of(right) + longer / GRAVER
}

fn sum(column: &[&Part<'_>], of: impl Fn(&Part<'_>) -> f64) -> f64 {
    column.iter().map(|p| of(p)).sum()
}

impl Part<'_> {
    /// Lines that can be cut from it, where it gives way so.
    fn spare(&self, gives: Gives) -> f64 {
        if self.gives == gives { (self.needed - LEAST).max(0.0) } else { 0.0 }
    }
}

/// A column: lists get what is left in their order, those that can wait last;
/// each that follows keeps its least.
fn filled(column: &[&Part<'_>], room: Room) -> Vec<Element> {
    let least = |p: &Part<'_>| if p.gives == Gives::No { p.needed } else { p.needed.min(LEAST) };
    let mut left = room.lines - sum(column, least);
    let mut lines: Vec<f64> = column.iter().map(|p| least(p)).collect();
    for gives in [Gives::Late, Gives::First] {
        for (part, lines) in column.iter().zip(&mut lines).filter(|(p, _)| p.gives == gives) {
            let more = (part.needed - *lines).min(left).max(0.0);
            *lines += more;
            left -= more;
        }
    }
    let rooms = lines.into_iter().map(|lines| Room { lines: lines + 1e-6, width_pt: room.width_pt });
    column.iter().zip(rooms).map(|(part, mut room)| (part.make)(&mut room)).collect()
}

#[cfg(test)]
#[allow(clippy::indexing_slicing)]
mod tests {
    use super::*;
    use crate::report::html::markup::el;

    fn part(needed: f64, gives: Gives) -> Part<'static> {
        Part {
            needed,
            gives,
            make: Box::new(move |room| el("p").with(format!("{needed} in {:.0}", room.lines))),
        }
    }

    fn arranged(parts: &[Part<'_>], lines: f64) -> [Vec<String>; 2] {
        arrange(parts, Room { lines, width_pt: 100.0 }).map(|c| c.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn parts_are_put_where_all_have_room() {
        let parts = [part(10.0, Gives::No), part(12.0, Gives::Late), part(9.0, Gives::No)];
        let [left, right] = arranged(&parts, 20.0);
        assert_eq!(left, ["<p>10 in 10</p>", "<p>9 in 9</p>"]);
        assert_eq!(right, ["<p>12 in 12</p>"]);
    }

    #[test]
    fn what_can_wait_is_cut_first() {
        let parts = [part(18.0, Gives::Late), part(10.0, Gives::No), part(30.0, Gives::First)];
        let [left, right] = arranged(&parts, 20.0);
        assert_eq!(left, ["<p>18 in 18</p>"]);
        assert_eq!(right, ["<p>10 in 10</p>", "<p>30 in 10</p>"]);
    }
}

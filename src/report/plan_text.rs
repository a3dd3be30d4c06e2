//! The plan of a peg in characters, for a wide terminal: north up, a key
//! beside it.

use geo::{Contains, MultiPolygon, Point};

use super::free_ground::FreeGround;
use super::free_ground_words::way;
use super::map_plan::{MapPlan, PlanHazard};
use super::model::Report;
use crate::place::free_ground::EastNorth;

/// Rows from the peg to the edge; a row is as high as two columns are wide.
const HALF_ROWS: i32 = 9;
const HALF_COLUMNS: i32 = 20;

/// Columns between the plan and its key.
const GAP: usize = 3;

/// Hazards that have a letter.
const LETTERS: &str = "abcdefghijkl";

/// What lies around is shown at least so far, metres.
const LEAST_M: f64 = 20.0;

/// The plan, line by line, none wider than `width`; `None` where there is
/// nothing to draw.
pub fn lines(report: &Report, width: usize) -> Option<Vec<String>> {
    let (plan, ground) = (report.map.as_ref()?, report.free_ground.as_ref()?);
    let row_m = row_m(plan);
    let mut canvas = Canvas::new(row_m);
    let inside = |of: &MultiPolygon<f64>, [x, y]: EastNorth| of.contains(&Point::new(x, y));
    canvas.fill(|at| match () {
        () if inside(&plan.free, at) => '.',
        () if inside(&plan.not_known, at) => '?',
        () => ' ',
    });
    if ground.plot_from.is_some() {
        canvas.trace(plan.plot_edge.edges(), '+');
    }
    let mut shown: Vec<&PlanHazard> = plan.hazards.iter().filter(|h| canvas.sees(h)).collect();
    shown.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
    let lettered: Vec<_> = LETTERS.chars().zip(&shown).collect();
    // The nearest on top.
    for (letter, hazard) in lettered.iter().rev() {
        canvas.trace(hazard.flat.edges(), *letter);
    }
    let spots: Vec<_> = ('1'..='9').zip(ground.spots.iter()).collect();
    for (digit, spot) in spots.iter().rev() {
        let [sin, cos] =
            spot.bearing_deg.map_or([0.0, 0.0], |b| [b.to_radians().sin(), b.to_radians().cos()]);
        canvas.put([spot.move_m * sin, spot.move_m * cos], *digit);
    }
    canvas.put([0.0, 0.0], 'X');
    let more = shown.len().saturating_sub(lettered.len());
    let key = key(ground, &lettered, &spots, more, row_m);
    Some(canvas.beside(&key, width))
}

fn key(
    ground: &FreeGround,
    lettered: &[(char, &&PlanHazard)],
    spots: &[(char, &super::free_ground::Spot)],
    more: usize,
    row_m: f64,
) -> Vec<String> {
    let mut key = vec![format!("north is up; a row is {row_m} m, a column {} m", row_m / 2.0)];
    key.push("X the peg".to_owned());
    for (letter, h) in lettered {
        let asked = match h.required_m {
            [Some(stop), _] => format!("; {stop:.0} m asked"),
            [None, Some(caution)] => format!("; {caution:.0} m wanted"),
            [None, None] => String::new(),
        };
        key.push(format!("{letter} {} {:.0} m{asked}", h.name, h.distance_m));
    }
    if more > 0 {
        key.push(format!("  {more} more hazards are not drawn"));
    }
    key.extend(spots.iter().map(|(digit, s)| format!("{digit} {}: {}", way(s), s.verdict.words())));
    if ground.plot_from.is_some() {
        key.push("+ edge of the plot".to_owned());
    }
    key.push(". free of what stops a well".to_owned());
    key.push("? the same, if a search finds nothing".to_owned());
    key
}

/// Metres a row, so that plot and all fit.
fn row_m(plan: &MapPlan) -> f64 {
    let far = |edge: &[EastNorth; 2]| edge.iter().map(|p| p[0].abs().max(p[1].abs())).fold(0.0, f64::max);
    let reach_m = plan.plot_edge.edges().iter().map(far).fold(LEAST_M, f64::max);
    round_step(reach_m / f64::from(HALF_ROWS))
}

/// The next greater of a few round numbers and their tens.
pub(super) fn round_step(least: f64) -> f64 {
    let ten = 10_f64.powf(least.max(0.01).log10().floor());
    [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 8.0]
        .into_iter()
        .map(|s| s * ten)
        .find(|s| *s >= least)
        .unwrap_or(10.0 * ten)
}

struct Canvas {
    row_m: f64,
    rows: Vec<Vec<char>>,
}

impl Canvas {
    fn new(row_m: f64) -> Self {
        let columns = (2 * HALF_COLUMNS + 1).unsigned_abs() as usize;
        Self { row_m, rows: vec![vec![' '; columns]; (2 * HALF_ROWS + 1).unsigned_abs() as usize] }
    }

    fn fill(&mut self, what: impl Fn(EastNorth) -> char) {
        let row_m = self.row_m;
        for (north, row) in (-HALF_ROWS..).zip(&mut self.rows) {
            for (east, cell) in (-HALF_COLUMNS..).zip(row.iter_mut()) {
                *cell = what([f64::from(east) * row_m / 2.0, -f64::from(north) * row_m]);
            }
        }
    }

    fn cell(&self, [east, north]: EastNorth) -> Option<(usize, usize)> {
        // Saturates far outside, and falls out of the canvas there.
        let column = (east / self.row_m * 2.0).round() as i32;
        let row = (-north / self.row_m).round() as i32;
        let row = usize::try_from(row.checked_add(HALF_ROWS)?).ok()?;
        let column = usize::try_from(column.checked_add(HALF_COLUMNS)?).ok()?;
        self.rows.get(row)?.get(column)?;
        Some((row, column))
    }

    fn put(&mut self, at: EastNorth, what: char) {
        if let Some((row, column)) = self.cell(at)
            && let Some(cell) = self.rows.get_mut(row).and_then(|r| r.get_mut(column))
        {
            *cell = what;
        }
    }

    fn sees(&self, hazard: &PlanHazard) -> bool {
        hazard.flat.edges().iter().any(|edge| self.steps(edge).any(|at| self.cell(at).is_some()))
    }

    fn trace(&mut self, edges: &[[EastNorth; 2]], what: char) {
        for edge in edges {
            let places: Vec<_> = self.steps(edge).collect();
            places.into_iter().for_each(|at| self.put(at, what));
        }
    }

    /// Places along the part of an edge that may be seen, half a column apart.
    fn steps(&self, [a, b]: &[EastNorth; 2]) -> impl Iterator<Item = EastNorth> + use<> {
        let [a, b] = [*a, *b];
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = dx.hypot(dy);
        let reach_m = self.row_m * f64::from(HALF_ROWS + HALF_COLUMNS);
        let middle = if length > 0.0 { -(a[0] * dx + a[1] * dy) / (length * length) } else { 0.0 };
        let half = if length > 0.0 { reach_m / length } else { 0.0 };
        let (from, to) = ((middle - half).clamp(0.0, 1.0), (middle + half).clamp(0.0, 1.0));
        // Saturates; the part seen is a few hundred columns long at the most.
        let count = ((to - from) * length / (self.row_m / 4.0)).ceil().clamp(1.0, 2_000.0) as u32;
        (0..=count).map(move |n| {
            let t = from + (to - from) * f64::from(n) / f64::from(count);
            [a[0] + t * dx, a[1] + t * dy]
        })
    }

    /// The canvas with a key beside it.
    fn beside(&self, key: &[String], width: usize) -> Vec<String> {
        let columns = (2 * HALF_COLUMNS + 1).unsigned_abs() as usize;
        let room = width.saturating_sub(columns + GAP);
        let mut lines = Vec::new();
        for n in 0..self.rows.len().max(key.len()) {
            let drawn: String = self.rows.get(n).map_or_else(String::new, |r| r.iter().collect());
            let said: String = key.get(n).map_or_else(String::new, |k| fit(k, room));
            lines.push(format!("{drawn:<columns$}{:GAP$}{said}", "").trim_end().to_owned());
        }
        while lines.last().is_some_and(String::is_empty) {
            lines.pop();
        }
        lines
    }
}

/// A text that is too long ends in a dot more.
pub(super) fn fit(text: &str, room: usize) -> String {
    if text.chars().count() <= room {
        return text.to_owned();
    }
    let kept: String = text.chars().take(room.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

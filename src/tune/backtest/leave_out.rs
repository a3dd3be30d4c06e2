//! Which records may be used to forecast which: every forecast is made from
//! others only, and what is learnt for it is learnt from these.
//!
//! - *one*: all records but the one forecast.
//! - *blocks*: the ground is cut into squares; whole squares are left out, in
//!   at most twenty groups of squares far and near (ten with more than 4,000
//!   records), so that a record is never forecast from its own square. A record at the edge of its square may
//!   still have neighbours across the edge.
//! - *forward*: each record from those of earlier days; with more than 300, in
//!   twenty steps of time, each step from what was known before it. The first
//!   records only serve to forecast the others.
//!
//! In all of them records nearer than the map's `neighbours_from_m` are not
//! used either.

use jiff::civil::Date;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use crate::tune::records::Record;

/// Most groups of records that are left out together: what is learnt is
/// learnt once for each.
const MOST_FOLDS: usize = 20;
/// With more records than this, half as many groups: each leaves out a tenth,
/// and the rest are plenty.
const MANY: usize = 4000;
/// Up to so many records time goes forward day by day.
const DAY_BY_DAY: usize = 300;
/// How many of the first records, and which share of all, only serve to
/// forecast later ones.
const WARM_UP: (usize, usize) = (20, 5);
/// Records within this are of one spot, metres.
pub(super) const SAME_SPOT_M: f64 = 25.0;

/// How records are left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LeaveOut {
    /// One at a time.
    One,
    /// Squares of that side, metres.
    Blocks(f64),
    /// Those of the same day and later.
    Forward,
}

impl LeaveOut {
    /// Reads `one`, `blocks:METRES` or `forward`.
    ///
    /// # Errors
    /// When it is none of them.
    pub fn parse(text: &str) -> Result<Self, String> {
        let side =
            |m: &str| m.trim().trim_end_matches('m').parse::<f64>().ok().filter(|m| (1.0..=1e6).contains(m));
        match text.trim().split_once(':') {
            None if text.trim() == "one" => Ok(Self::One),
            None if text.trim() == "forward" => Ok(Self::Forward),
            Some(("blocks", m)) => side(m)
                .map(Self::Blocks)
                .ok_or_else(|| "blocks:METRES needs a side from 1 to 1000000 m".to_owned()),
            _ => Err("use one, blocks:METRES (such as blocks:1000) or forward".to_owned()),
        }
    }

    /// As it is written.
    pub fn name(self) -> String {
        match self {
            Self::One => "one".to_owned(),
            Self::Blocks(m) => format!("blocks:{m}"),
            Self::Forward => "forward".to_owned(),
        }
    }
}

/// What is left out with what.
pub struct Plan {
    leave: LeaveOut,
    neighbours_from_m: f64,
    at: Vec<[f64; 2]>,
    /// The group of each record; `None`: it is not forecast.
    fold: Vec<Option<usize>>,
    folds: usize,
    dates: Vec<Option<Date>>,
    /// The first day of each group, for *forward*.
    starts: Vec<Date>,
    tree: RTree<GeomWithData<[f64; 2], usize>>,
}

impl Plan {
    /// The plan for these records.
    pub fn of(records: &[Record], leave: LeaveOut, neighbours_from_m: f64) -> Self {
        let at: Vec<[f64; 2]> = records.iter().map(|r| r.at).collect();
        let tree = RTree::bulk_load(at.iter().enumerate().map(|(i, at)| GeomWithData::new(*at, i)).collect());
        let dates = records.iter().map(|r| r.date).collect();
        let mut plan = Self {
            leave,
            neighbours_from_m,
            fold: Vec::new(),
            folds: 0,
            starts: Vec::new(),
            dates,
            tree,
            at,
        };
        match leave {
            LeaveOut::One => plan.fold = (0..records.len()).map(Some).collect(),
            LeaveOut::Blocks(side_m) => plan.fold = blocks(&plan.at, side_m),
            LeaveOut::Forward => plan.forward(),
        }
        plan.folds = plan.fold.iter().flatten().max().map_or(0, |m| m + 1);
        plan
    }

    fn forward(&mut self) {
        let mut days: Vec<Date> = self.dates.iter().flatten().copied().collect();
        days.sort_unstable();
        let warm = WARM_UP.0.min(days.len().div_ceil(WARM_UP.1));
        let Some(last_warm) = warm.checked_sub(1).and_then(|w| days.get(w)).copied() else { return };
        let later: Vec<Date> = days.into_iter().filter(|d| *d > last_warm).collect();
        let step = if later.len() <= DAY_BY_DAY { 1 } else { later.len().div_ceil(MOST_FOLDS) };
        self.starts = later.iter().step_by(step).copied().collect();
        self.starts.dedup();
        let starts = &self.starts;
        let fold = |date: &Option<Date>| starts.partition_point(|s| Some(*s) <= *date).checked_sub(1);
        self.fold = self.dates.iter().map(fold).collect();
    }

    /// How records are left out.
    pub fn leave(&self) -> LeaveOut {
        self.leave
    }

    /// Records nearer than this are not used, metres.
    pub fn neighbours_from_m(&self) -> f64 {
        self.neighbours_from_m
    }

    /// The records that are forecast.
    pub fn tested(&self) -> Vec<usize> {
        self.fold.iter().enumerate().filter(|(_, f)| f.is_some()).map(|(i, _)| i).collect()
    }

    /// The groups of records that are left out together.
    pub fn folds(&self) -> Vec<Vec<usize>> {
        let mut folds = vec![Vec::new(); self.folds];
        for (i, fold) in self.fold.iter().enumerate() {
            if let Some(list) = fold.and_then(|f| folds.get_mut(f)) {
                list.push(i);
            }
        }
        folds.retain(|f| !f.is_empty());
        folds
    }

    /// Whether what is learnt for record `i` may be learnt from record `j`.
    pub fn may_teach(&self, i: usize, j: usize) -> bool {
        let fold = |k: usize| self.fold.get(k).copied().flatten();
        match self.leave {
            LeaveOut::One => i != j,
            LeaveOut::Blocks(_) => fold(i) != fold(j),
            LeaveOut::Forward => {
                let start = fold(i).and_then(|f| self.starts.get(f));
                let day = self.dates.get(j).and_then(Option::as_ref);
                start.zip(day).is_some_and(|(start, day)| day < start)
            }
        }
    }

    /// Whether record `i` may be forecast from record `j`: as before, and far
    /// enough.
    pub fn may_use(&self, i: usize, j: usize) -> bool {
        self.may_teach(i, j) && (self.neighbours_from_m <= 0.0 || self.far_enough(i, j))
    }

    /// Whether they are not nearer than the map allows.
    pub fn far_enough(&self, i: usize, j: usize) -> bool {
        self.distance_m(i, j) >= self.neighbours_from_m
    }

    fn distance_m(&self, i: usize, j: usize) -> f64 {
        match (self.at.get(i), self.at.get(j)) {
            (Some([a, b]), Some([x, y])) => (x - a).hypot(y - b),
            _ => f64::INFINITY,
        }
    }

    /// The `k` nearest records that record `i` may be forecast from, nearest
    /// first.
    pub fn nearest(&self, i: usize, k: usize) -> Vec<usize> {
        let Some(at) = self.at.get(i) else { return Vec::new() };
        self.tree.nearest_neighbor_iter(*at).map(|g| g.data).filter(|j| self.may_use(i, *j)).take(k).collect()
    }

    /// Records that teach `i` and yet are too near to it to be used.
    pub fn too_near(&self, i: usize) -> Vec<usize> {
        let Some(at) = self.at.get(i).filter(|_| self.neighbours_from_m > 0.0) else { return Vec::new() };
        let within = self.tree.locate_within_distance(*at, self.neighbours_from_m * self.neighbours_from_m);
        within.map(|g| g.data).filter(|j| self.may_teach(i, *j) && !self.far_enough(i, *j)).collect()
    }

    /// How many records share their spot with another.
    pub fn sharing_a_spot(&self) -> usize {
        let shares =
            |at: &[f64; 2]| self.tree.locate_within_distance(*at, SAME_SPOT_M * SAME_SPOT_M).nth(1).is_some();
        self.at.iter().filter(|at| shares(at)).count()
    }

    /// For each record a number that those of one square share: the squares
    /// of *blocks*, or of 1 km.
    pub fn squares(&self) -> Vec<(i64, i64)> {
        let side_m = if let LeaveOut::Blocks(side_m) = self.leave { side_m } else { 1000.0 };
        self.at.iter().map(|at| square(*at, side_m)).collect()
    }
}

fn square([x, y]: [f64; 2], side_m: f64) -> (i64, i64) {
    ((x / side_m).floor() as i64, (y / side_m).floor() as i64)
}

/// Squares in groups of about equal numbers of records, the squares of one
/// group mixed over the ground: taken in the order of a number made of where
/// they lie, each to the group that has fewest.
fn blocks(at: &[[f64; 2]], side_m: f64) -> Vec<Option<usize>> {
    let mut members: std::collections::BTreeMap<(i64, i64), Vec<usize>> = std::collections::BTreeMap::new();
    for (i, at) in at.iter().enumerate() {
        members.entry(square(*at, side_m)).or_default().push(i);
    }
    let mut squares: Vec<_> = members.into_iter().collect();
    squares.sort_by_key(|((x, y), _)| mixed(x.wrapping_mul(0x1_0000_0001) ^ y.rotate_left(17)));
    let most = if at.len() > MANY { MOST_FOLDS / 2 } else { MOST_FOLDS };
    let mut sizes = vec![0_usize; most.min(squares.len())];
    let mut fold = vec![None; at.len()];
    for (_, members) in squares {
        let Some(least) = (0..sizes.len()).min_by_key(|k| sizes.get(*k).copied()) else { break };
        if let Some(size) = sizes.get_mut(least) {
            *size += members.len();
        }
        for i in members {
            if let Some(f) = fold.get_mut(i) {
                *f = Some(least);
            }
        }
    }
    fold
}

/// A number whose bits depend on all of `n`'s (Steele, Lea & Flood 2014,
/// Fast splittable pseudorandom number generators; from memory).
fn mixed(n: i64) -> u64 {
    let mut z = (n as u64).wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tune::records::Outcome;

    fn record(x: f64, y: f64, day: Option<i8>) -> Record {
        let date = day.and_then(|d| Date::new(2026, 1, d).ok());
        Record {
            row: 0,
            at: [x, y],
            lat_deg: 0.0,
            well: None,
            elevation_m: None,
            date,
            outcome: Outcome::Is(true),
        }
    }

    #[test]
    fn the_ways_of_leaving_out_are_read() {
        assert_eq!(LeaveOut::parse("blocks:1000"), Ok(LeaveOut::Blocks(1000.0)));
        assert_eq!(LeaveOut::parse("one").map(LeaveOut::name), Ok("one".to_owned()));
        for wrong in ["blocks", "blocks:0", "blocks:-5", "blocks:inf", "all", ""] {
            assert!(LeaveOut::parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn no_record_is_forecast_from_its_own_square() {
        let records: Vec<Record> =
            (0..400).map(|k| record(f64::from(k % 20) * 333.0, f64::from(k / 20) * 333.0, None)).collect();
        let plan = Plan::of(&records, LeaveOut::Blocks(1000.0), 0.0);
        let squares = plan.squares();
        for i in 0..records.len() {
            let near = plan.nearest(i, 8);
            assert_eq!(near.len(), 8);
            assert!(near.iter().all(|j| squares[*j] != squares[i]));
        }
        assert_eq!(plan.folds().len(), 20);
        assert!(plan.folds().iter().all(|f| (9..=36).contains(&f.len())));
    }

    #[test]
    fn forward_uses_earlier_days_alone_and_the_first_records_only_teach() {
        let records: Vec<Record> =
            (0..25).map(|k| record(f64::from(k), 0.0, Some(i8::try_from(k).unwrap() + 1))).collect();
        let plan = Plan::of(&records, LeaveOut::Forward, 0.0);
        assert_eq!(plan.tested(), (5..25).collect::<Vec<_>>());
        for i in plan.tested() {
            assert!(plan.nearest(i, 99).iter().all(|j| records[*j].date < records[i].date));
            assert!(plan.nearest(i, 99).len() >= 5);
        }
    }

    #[test]
    fn records_too_near_are_not_used() {
        let records: Vec<Record> = [0.0, 10.0, 20.0, 500.0, 2000.0].map(|x| record(x, 0.0, None)).to_vec();
        let plan = Plan::of(&records, LeaveOut::One, 400.0);
        assert_eq!(plan.nearest(0, 9), [3, 4]);
        assert_eq!(plan.too_near(0).len(), 2);
        assert_eq!(plan.sharing_a_spot(), 3);
    }
}

//! The peg moved: where does a finding that rests on hazards turn?
//!
//! Distances are worked out anew from the new place, neighbours chosen anew,
//! and less is known there than at the old peg:
//!
//! - a search of so many metres around the old peg reaches the move less far;
//! - what was taped from the old peg lies where the compass said, so that the
//!   error of its bearing counts (`bearing_error_deg`);
//! - a distance paced from the peg may be the move greater or less;
//! - slope and floods are those of the level, clear ground around the old peg
//!   and are not known beyond it.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::{Change, Found, Trials, Turn};
use crate::facts::{AskKind, Fact, FactSource, Shared, Site, SiteFacts, Value};
use crate::place::{self, UnstatedAccuracy, separation};
use crate::rules::Finding;
use crate::survey::{Accuracy, Frame, Position};
use crate::verdict::{Answer, answer_of};

/// Directions tried.
const BEARINGS: u32 = 16;

/// Distances tried first, metres; then whole metres between the last that
/// does not turn the finding and the first that does. Farther off it is
/// another peg, to be surveyed for itself.
const RINGS_M: [u32; 5] = [3, 6, 12, 24, 48];

/// Facts about where hazards lie.
fn of_hazards(fact: &str) -> bool {
    let others = ["overhead_line_margin_m", "pit_near", "pit_to_water_m", "least_travel_time_days"];
    fact.starts_with("nearest_") || others.contains(&fact)
}

/// Distances that were paced from the peg.
const PACED: [&str; 2] = ["outcrop_m", "salt_water_m"];

/// The facts of a peg; `None` where none can stand.
type Peg = Option<Rc<dyn FactSource>>;

/// Pegs around the old one; each is made once, for whatever rule asks first.
pub(super) struct Moves<'a> {
    trials: &'a Trials<'a>,
    shared: Option<Arc<Shared>>,
    pegs: RefCell<BTreeMap<(u32, u32), Peg>>,
}

impl<'a> Moves<'a> {
    pub(super) fn of(trials: &'a Trials<'a>) -> Self {
        Self { trials, shared: elsewhere(&trials.site), pegs: RefCell::default() }
    }

    fn peg(&self, metres: u32, point: u32) -> Peg {
        let make = || {
            let moved = Moved::new(&self.trials.site, self.shared.as_ref()?, bearing(point), metres.into())?;
            Some(Rc::new(moved) as Rc<dyn FactSource>)
        };
        self.pegs.borrow_mut().entry((metres, point)).or_insert_with(make).clone()
    }

    /// The shortest move of whole metres that turns the finding and brings no
    /// new stop; of several the one with the best answer.
    pub(super) fn smallest(&self, turn: &Turn<'_>) -> Option<Found> {
        if !turn.trials.stage.before_the_hole() {
            return None;
        }
        let mut hazards = turn.about.reads.iter().filter(|r| of_hazards(r));
        // Of what nobody knows here nothing is known elsewhere either.
        if !hazards.any(|h| turn.trials.facts.fact(h).is_some_and(|f| f.value != Value::Unknown)) {
            return None;
        }
        let mut bad = 0;
        let mut good = RINGS_M.into_iter().find(|ring| {
            let some = self.that_turn(turn, *ring).next().is_some();
            bad = if some { bad } else { *ring };
            some
        })?;
        while good - bad > 1 {
            let middle = u32::midpoint(bad, good);
            let some = self.that_turn(turn, middle).next().is_some();
            *(if some { &mut good } else { &mut bad }) = middle;
        }
        let better = |a: &There, b: &There| b.answer.cmp(&a.answer).then(b.grade.total_cmp(&a.grade));
        let best = self.that_turn(turn, good).min_by(better)?;
        let change = Change::Move { bearing_deg: bearing(best.point), distance_m: good.into() };
        Some(Found { change, price: turn.trials.ask_price(AskKind::Tape.name()) })
    }

    /// The directions in which a move so far turns the finding and brings no
    /// new stop.
    fn that_turn(&self, turn: &Turn<'_>, metres: u32) -> impl Iterator<Item = There> {
        (0..BEARINGS).filter_map(move |point| {
            let facts = self.peg(metres, point)?;
            let turned = turn.turned(&facts)?;
            let found = turn.trials.others(&facts);
            let was = |rule: &str| {
                let now = turn.trials.assessment.findings.iter().find(|f| f.rule.id == rule);
                now.map_or(Answer::Go, answer_of)
            };
            let stops = |f: &Finding| answer_of(f) == Answer::NoGo && was(&f.rule.id) > Answer::NoGo;
            let answer = found.iter().map(answer_of).min().unwrap_or(Answer::FindOut);
            let grade = turned.grade.unwrap_or(0.0);
            (!found.iter().any(stops)).then_some(There { point, answer, grade })
        })
    }
}

/// What is found at a moved peg.
struct There {
    /// The direction of the move.
    point: u32,
    /// The answer there.
    answer: Answer,
    /// The grade of the finding that was to be turned.
    grade: f64,
}

fn bearing(point: u32) -> f64 {
    f64::from(point) * 360.0 / f64::from(BEARINGS)
}

/// The facts of the peg moved so.
pub(super) fn moved(site: &SiteFacts, bearing_deg: f64, distance_m: f64) -> Option<Rc<dyn FactSource>> {
    let shared = elsewhere(site)?;
    Some(Rc::new(Moved::new(site, &shared, bearing_deg, distance_m)?))
}

/// A peg some way off the one that was surveyed.
struct Moved {
    facts: SiteFacts,
    distance_m: f64,
}

impl Moved {
    fn new(site: &SiteFacts, shared: &Arc<Shared>, bearing_deg: f64, distance_m: f64) -> Option<Self> {
        let mut new: Site = site.site().clone();
        let at = &mut new.peg.at.value.at;
        *at = place::destination(*at, bearing_deg, distance_m)?;
        new.peg.elevation_m = None;
        new.looked_for.values_mut().for_each(|l| l.value = (l.value - distance_m).max(0.0));
        let room_m = new.ground.working_room_m.as_ref().map_or(0.0, |r| r.value) - distance_m;
        match &mut new.ground.working_room_m {
            Some(room) if room_m > 0.0 => room.value = room_m,
            room => {
                *room = None;
                new.ground.slope_pct = None;
                new.ground.slope_towards_deg = None;
                new.ground.flooding = None;
            }
        }
        Some(Self { facts: SiteFacts::for_peg(shared.clone(), Arc::new(new)), distance_m })
    }
}

impl FactSource for Moved {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        let fact = self.facts.fact(name)?;
        match &fact.value {
            Value::Estimate(e) if PACED.contains(&name) => {
                let wide = e
                    .clone()
                    .perhaps_down_to(e.low().map(|l| (l - self.distance_m).max(0.0)))
                    .perhaps_up_to(e.high().map(|h| h + self.distance_m));
                Some(Rc::new(Fact { value: Value::Estimate(wide), ..(*fact).clone() }))
            }
            _ => Some(fact),
        }
    }
}

/// Hazards and wells as they are known to one who stands elsewhere.
fn elsewhere(site: &SiteFacts) -> Option<Arc<Shared>> {
    let shared = site.shared();
    let prior = |name: &str| shared.region.priors.get(name).map(|f| f.value);
    let unstated = UnstatedAccuracy {
        coordinate_m: prior("unstated_accuracy_m")?,
        tape_share: prior("unstated_tape_error_share")?,
        tape_least_m: prior("tape_least_error_m")?,
    };
    let compass = prior("bearing_error_deg")?.to_radians().sin();
    let (mut hazards, mut wells) = (shared.hazards.clone(), shared.wells.clone());
    hazards.iter_mut().for_each(|h| sideways(&mut h.position, &unstated, compass));
    wells.iter_mut().for_each(|w| sideways(&mut w.position, &unstated, compass));
    Some(Arc::new(Shared::new(hazards, wells, shared.region.clone())))
}

/// Adds what the compass leaves open to what was taped from the peg.
fn sideways(position: &mut Position, unstated: &UnstatedAccuracy, compass: f64) {
    if position.frame != Frame::Peg {
        return;
    }
    let taped_m = position.taped_m.unwrap_or(0.0);
    let half_m = |p: &Position| {
        let part = separation(p, p, taped_m, unstated);
        part.high - part.value
    };
    let metre = Position { accuracy: Accuracy::Stated(1.0), ..position.clone() };
    position.accuracy = Accuracy::Stated((half_m(position) + taped_m * compass) / half_m(&metre));
}

//! From records to what is judged: each record as a peg nobody has drilled at
//! yet, with what was observed of it before, and as a well among the
//! neighbours of others.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use crate::facts::Site;
use crate::region::Region;
use crate::survey::plain::{DateRead, PlainTable, unit_factor};
use crate::survey::{
    Accuracy, Completion, Drilling, Frame, Ground, HandOver, Need, Parameter, Peg, Permission, Plan,
    Position, Reading, Seen, Well, WellOutcome,
};
use crate::units::Unit;

use crate::tune::records::columns::{Columns, Why};
use crate::tune::records::map::{NumberColumn, Quality};
use crate::tune::records::map_survey::{Observed, Set};
use crate::tune::records::{Map, Outcome, Record, Records};

/// The records of a table as pegs and as wells, in their order.
pub struct Pegs {
    pub(super) sites: Vec<Arc<Site>>,
    pub(super) wells: Vec<Well>,
    /// Whether each came to a success.
    pub(super) success: Vec<bool>,
    /// Keys of the survey that the map names.
    pub(super) keys: Vec<&'static str>,
    /// Cells of the survey that could not be read: how many of each key, and
    /// the first row and why.
    pub(super) unread: BTreeMap<&'static str, (usize, usize, Why)>,
}

/// The pegs and wells of those records.
pub fn read_pegs(table: &PlainTable<'_>, map: &Map, records: &Records, region: &Region) -> Pegs {
    let from = Reader { columns: Columns { table, map }, table, map };
    let mut pegs = Pegs {
        sites: Vec::new(),
        wells: from.wells(records),
        success: records.all.iter().map(|r| r.outcome == Outcome::Is(true)).collect(),
        keys: map.survey.iter().map(|o| o.key.name).collect(),
        unread: BTreeMap::new(),
    };
    let mut sites: Vec<Site> = records.all.iter().map(|r| from.bare(r)).collect();
    for observed in &map.survey {
        from.observe(observed, records, region, &mut sites, &mut pegs.unread);
    }
    pegs.sites = sites.into_iter().map(Arc::new).collect();
    pegs
}

struct Reader<'a> {
    columns: Columns<'a, 'a>,
    table: &'a PlainTable<'a>,
    map: &'a Map,
}

impl Reader<'_> {
    fn origin(&self, record: &Record) -> crate::diag::Origin {
        self.table.from(record.line).cloned().unwrap_or_else(|| crate::diag::Origin::whole("records"))
    }

    /// All of one table were placed in one way: what its datum is off by they
    /// are all off by.
    fn position(record: &Record) -> Position {
        Position {
            at: record.place,
            accuracy: Accuracy::UnstatedCoordinate,
            frame: Frame::Wgs84,
            taped_m: None,
        }
    }

    /// A peg of which nothing is known but its place.
    fn bare(&self, record: &Record) -> Site {
        let from = self.origin(record);
        Site {
            peg: Peg {
                name: Seen::new(format!("row {}", record.row), from.clone()),
                at: Seen::new(Self::position(record), from.clone()),
                elevation_m: record.elevation_m.map(|m| Seen::new(m, from)),
                elevation_accuracy_m: None,
            },
            visited: None,
            need: Need::default(),
            plan: Plan::default(),
            looked_for: BTreeMap::new(),
            ground: Ground::default(),
            permission: Permission::default(),
            drilling: Drilling::default(),
            completion: Completion::default(),
            handover: HandOver::default(),
            left_out: Vec::new(),
            moved_m: 0.0,
        }
    }

    /// Puts one column of the survey into the sites.
    fn observe(
        &self,
        observed: &Observed,
        records: &Records,
        region: &Region,
        sites: &mut [Site],
        unread: &mut BTreeMap<&'static str, (usize, usize, Why)>,
    ) {
        let (key, number) = (observed.key, &observed.number);
        let Ok(index) = self.table.column(&number.column.value) else { return };
        let missing: Vec<String> = self.map.missing.iter().chain(&number.missing).cloned().collect();
        let numbers = match key.set {
            Set::Number(..) => self.columns.numbers(number, key.name),
            _ => Vec::new(),
        };
        let days = match key.set {
            Set::Day(_) => self.table.dates(index, &missing, self.map.dates),
            _ => Vec::new(),
        };
        let texts = self.table.texts(index, &missing);
        for (record, site) in records.all.iter().zip(sites) {
            let line = record.line;
            let Some(text) = texts.get(line).copied().flatten() else { continue };
            let at = self.table.spot(line, index).unwrap_or_else(|| self.origin(record));
            let wrong = match key.set {
                Set::Number(unit, least, most, place) => match numbers.get(line) {
                    Some(Ok(x)) if (least..=most).contains(x) => {
                        *place(site) = Some(Seen::new(*x, at));
                        None
                    }
                    Some(Ok(x)) => Some(format!("{} is outside {least} to {most}", unit.show(*x))),
                    Some(Err(why)) => Some(why.clone()),
                    None => None,
                },
                Set::Day(place) => match days.get(line) {
                    Some(DateRead::Is(day)) => {
                        *place(site) = Some(Seen::new(*day, at));
                        None
                    }
                    Some(DateRead::Not(why)) => Some(why.clone()),
                    _ => None,
                },
                Set::Word(set) => {
                    let same = |(word, _): &&(String, String)| crate::survey::plain::holds_choice(text, word);
                    let meant = observed.words.iter().find(same).map_or(text, |(_, meant)| meant.as_str());
                    let known = key.name != "lift" || region.lifts.contains_key(meant);
                    (!known || !set(site, meant, &at)).then(|| format!("\"{meant}\" is not understood"))
                }
            };
            if let Some(why) = wrong {
                unread.entry(key.name).or_insert((0, record.row, why)).0 += 1;
            }
        }
    }

    fn wells(&self, records: &Records) -> Vec<Well> {
        let column = |n: &Option<NumberColumn>, what: &str| {
            n.as_ref().map(|n| self.columns.numbers(n, what)).unwrap_or_default()
        };
        let depths = column(&self.map.hole_depth, "depth of the hole");
        let levels = column(&self.map.depth_to_water, "depth to water");
        let refused = match &self.map.refusal {
            Some(refusal) => self.columns.yes_no(refusal, "refusal"),
            None => Vec::new(),
        };
        let quality = self.quality();
        let days = self.days();
        let each = |record: &Record| {
            let (line, from) = (record.line, self.origin(record));
            let number = |all: &[Result<f64, Why>]| {
                all.get(line).and_then(|x| x.as_ref().ok()).filter(|x| **x >= 0.0).copied()
            };
            let told = &self.map.neighbours;
            let outcome: Option<WellOutcome> = match record.outcome {
                Outcome::Is(true) => told.worked,
                _ if refused.get(line) == Some(&Ok(true)) => Some(WellOutcome::RefusedOnRock),
                _ => told.failed,
            };
            let depth_m = number(&depths);
            // A level at the bottom of the hole is none.
            let level = number(&levels).filter(|l| depth_m.is_none_or(|d| *l < d));
            let seen = |x: f64| Seen::new(x, from.clone());
            Well {
                name: format!("row {}", record.row),
                position: Self::position(record),
                elevation_m: record.elevation_m.map(seen),
                elevation_accuracy_m: None,
                made: told.made.map(|m| Seen::new(m, from.clone())),
                depth_m: depth_m.map(seen),
                water_level_m: level.map(seen),
                measured: days.get(line).copied().flatten().map(|d| Seen::new(d, from.clone())),
                season: None,
                lowest_level_m: None,
                outcome: outcome.map(|o| Seen::new(o, from.clone())),
                pump_broken: None,
                yield_lps: None,
                drawdown_m: None,
                log: Vec::new(),
                quality: quality
                    .iter()
                    .filter_map(|(parameter, all)| {
                        let value = number(all)?;
                        Some((*parameter, Seen::new(Reading { value, below: false }, from.clone())))
                    })
                    .collect(),
                from: from.clone(),
            }
        };
        records.all.iter().map(each).collect()
    }

    /// Qualities that are numbers of a parameter that surveys know.
    fn quality(&self) -> Vec<(Parameter, Vec<Result<f64, Why>>)> {
        let parameter = |name: &str, number: &NumberColumn| {
            let plain = name.to_lowercase().replace(['-', ' '], "_");
            let named = Parameter::ALL
                .into_iter()
                .find(|p| p.key().starts_with(&plain) && p.key().as_bytes().get(plain.len()) == Some(&b'_'));
            let salt = || unit_factor(&number.unit, Unit::MicrosiemensPerCm, "").map(|_| Parameter::Ec);
            named.or_else(salt)
        };
        let of = |(name, quality): (&String, &Quality)| match quality {
            Quality::Above { number, .. } => {
                Some((parameter(name, number)?, self.columns.numbers(number, name)))
            }
            Quality::Words(_) => None,
        };
        self.map.quality.iter().filter_map(of).collect()
    }

    /// The days of the outcomes, where the map names them.
    fn days(&self) -> Vec<Option<Date>> {
        let column = self.map.date.as_ref().and_then(|c| self.table.column(&c.value).ok());
        let Some(index) = column else { return Vec::new() };
        let day = |d: DateRead| if let DateRead::Is(day) = d { Some(day) } else { None };
        self.table.dates(index, &self.map.missing, self.map.dates).into_iter().map(day).collect()
    }
}

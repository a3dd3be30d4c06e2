//! How deep does the water stand in the driest month, and over what distance
//! do wells resemble each other in it?
//!
//! A level of the driest months stands as it is. Any other is brought to the
//! driest month by the middle of the range that the season allows (the fall
//! that is proposed, or the setting's); the interval reaches from the low end
//! with the least fall to the high end with the greatest, because the fall is
//! the same for all wells and more of them do not tell it better.

use super::Fitting;
use super::result::{Interval, Topic};
use super::swing::{ReadIn, depth, read_in};
use super::wells::{Figure, Values, square_of, squares};
use super::yields::quantile_method;
use crate::ground::water_table::{RangeProfile, Reading, WaterTablePrior, range_profile};
use crate::tune::records::{Record, Records};
use crate::units::Unit;

const RANGE: &str = "level_range_m";
const NAMES: [(&str, f64); 3] =
    [("level_prior_low_m", 0.025), ("level_prior_mid_m", 0.5), ("level_prior_high_m", 0.975)];

/// A well's level, and its ends and middle in the driest month.
struct Level {
    row: Record,
    read_m: f64,
    when: ReadIn,
    dry_m: [f64; 3],
}

impl Fitting<'_> {
    pub(super) fn levels(&self, records: &Records, fall: Option<(f64, f64)>) -> Topic {
        let mut topic = self.topic("The depth to water in the driest month", records);
        let levels = self.dry_levels(records, fall);
        topic.wells = levels.len();
        topic.notes.push(
            "Holes that ended dry are not among these: where many did, the water stands deeper than the wells say."
                .to_owned(),
        );
        let profile = self.profile(&levels);
        // Squares narrower than the way over which wells resemble each other
        // would count one piece of ground several times.
        let alike_m = profile.as_ref().ok().and_then(|p| p.low_m).unwrap_or(0.0);
        let side_m = self.square_m.max(alike_m);
        let square = |l: &Level| square_of(l.row.at, side_m);
        if alike_m > self.square_m {
            topic.squares = squares(levels.iter().map(square)).0;
            topic.notes.push(format!(
                "Wells resemble each other over {} at the least, so that squares of that side are used here: {}.",
                Unit::Metre.show(super::rounded(alike_m, Unit::Metre)),
                topic.squares
            ));
        }
        let count = |when| levels.iter().filter(|l| l.when == when).count();
        topic.notes.push(format!(
            "Read in a driest month {}, in a wet month {}, in another or one not known {}.",
            count(ReadIn::Dry),
            count(ReadIn::Wet),
            count(ReadIn::Other)
        ));
        let dry_only = Values::of(
            levels.iter().filter(|l| l.when == ReadIn::Dry).map(|l| (l.read_m.max(0.0), square(l))),
        );
        let independent = |v: &Values| v.estimate(0.025).map_or(0.0, |f| f.independent);
        let enough_dry = independent(&dry_only) >= self.least_ends;
        let values: [Values; 3] = match enough_dry {
            true => {
                topic.notes.push("Fitted to those of a driest month alone.".to_owned());
                [dry_only.clone(), dry_only.clone(), dry_only]
            }
            false => [0, 1, 2].map(|k| {
                Values::of(levels.iter().map(|l| (l.dry_m.get(k).map_or(0.0, |d| d.max(0.0)), square(l))))
            }),
        };
        if !enough_dry && count(ReadIn::Dry) < levels.len() {
            topic.notes.push(self.fall_note(fall));
            let as_read = Values::of(levels.iter().map(|l| (l.read_m.max(0.0), square(l))));
            if let [Some(low), Some(mid), Some(high)] = [0.025, 0.5, 0.975].map(|p| as_read.quantile(p)) {
                topic.notes.push(format!(
                    "As read, without any fall: {low:.1} m, {mid:.1} m and {high:.1} m where 2.5 %, 50 % and \
                     97.5 % of wells read less."
                ));
            }
        }
        self.level_priors(&mut topic, &values);
        self.range(&mut topic, profile);
        topic
    }

    fn fall_note(&self, fall: Option<(f64, f64)>) -> String {
        let (low, high) = fall.unwrap_or_else(|| self.fall_in_force());
        format!(
            "Levels of wet months were lowered by {:.1} m ({low} to {high} m, {}), those of other or unknown \
             months by as much (0 to {high} m); the intervals hold both ends of that.",
            f64::midpoint(low, high),
            if fall.is_some() { "the fall proposed here" } else { "the fall of the setting" }
        )
    }

    fn fall_in_force(&self) -> (f64, f64) {
        let of = |name| self.prior(name).unwrap_or(0.0);
        (of("swing_low_m"), of("swing_high_m"))
    }

    /// One level of each well: of the driest month where there is one, else
    /// the latest.
    fn dry_levels(&self, records: &Records, fall: Option<(f64, f64)>) -> Vec<Level> {
        let (low, high) = fall.unwrap_or_else(|| self.fall_in_force());
        let mid = f64::midpoint(low, high);
        let of_well = |well: Vec<&Record>| {
            let when = |r: &&Record| read_in(r, &self.region.calendar);
            let row = well.into_iter().max_by(|a, b| when(b).cmp(&when(a)).then(a.date.cmp(&b.date)))?;
            let (when, read_m) = (when(&row), depth(row)?);
            let falls = match when {
                ReadIn::Dry => [0.0; 3],
                ReadIn::Wet => [low, mid, high],
                ReadIn::Other => [0.0, mid, high],
            };
            Some(Level { row: row.clone(), read_m, when, dry_m: falls.map(|f| read_m + f) })
        };
        self.by_well(records).into_iter().filter_map(of_well).collect()
    }

    fn level_priors(&self, topic: &mut Topic, [least, mid, most]: &[Values; 3]) {
        let all = NAMES.map(|n| n.0).join(", ");
        let of = |p: f64| -> Option<Figure> {
            let (low, figure, high) = (least.estimate(p)?, mid.estimate(p)?, most.estimate(p)?);
            let interval = Interval { low: low.interval.low, high: high.interval.high };
            Some(Figure { interval, ..figure })
        };
        let Some(figures) = NAMES.iter().map(|(_, p)| of(*p)).collect::<Option<Vec<Figure>>>() else {
            topic.not(&all, "no well tells it.");
            return;
        };
        let independent = figures.iter().map(|f| f.independent).fold(f64::INFINITY, f64::min);
        if independent < self.least_ends {
            topic.not(&all, self.too_few(mid.len(), independent, self.least_ends, "fit_least_wells_ends"));
            return;
        }
        let ends = figures.first().zip(figures.last()).map(|(a, b)| (a.value, b.value));
        if ends.is_none_or(|(low, high)| high - low < 0.1) {
            topic.not(&all, "the water stands at the same depth in all wells: that is no range.");
            return;
        }
        for (figure, (name, p)) in figures.iter().zip(NAMES) {
            self.propose(topic, name, figure, mid.len(), quantile_method(p));
        }
    }

    /// What the wells say of the range, where they are enough; else why not.
    fn profile(&self, levels: &[Level]) -> Result<RangeProfile, String> {
        if (levels.len() as f64) < self.least_range {
            return Err(format!(
                "{} wells, where {:.0} are needed (fit_least_wells_range).",
                levels.len(),
                self.least_range
            ));
        }
        let prior = |name: &str| self.prior(name).ok_or_else(|| format!("the region sets no {name}."));
        let [low, mid, high] = NAMES.map(|(name, _)| prior(name));
        let prior_of = WaterTablePrior::of_band(low?, mid?, high?, prior(RANGE)?);
        let error_sd_m = self.map.error_m.map_or_else(|| prior("level_reading_error_m"), Ok)?;
        let reading = |l: &Level| {
            let ([east_m, north_m], [_, depth_m, _]) = (l.row.at, l.dry_m);
            Reading { east_m, north_m, depth_m, error_sd_m, elevation_m: l.row.elevation_m }
        };
        let readings: Vec<Reading> = levels.iter().map(reading).collect();
        let found = prior_of.and_then(|p| range_profile(&p, &readings)).map_err(|e| format!("{e}."))?;
        found.filter(|f| f.nearness_tells).ok_or_else(|| {
            "wells near each other are no more alike than wells far apart, by more than the two figures that a \
             range takes are worth (Akaike): the records tell no range."
                .to_owned()
        })
    }

    fn range(&self, topic: &mut Topic, profile: Result<RangeProfile, String>) {
        let found = match profile {
            Ok(found) => found,
            Err(why) => return topic.not(RANGE, why),
        };
        let radius_m = self.prior("forecast_radius_m").unwrap_or(f64::INFINITY);
        let (low, shared) = (found.low_m.unwrap_or(0.0), 100.0 * found.shared);
        topic.notes.push(format!(
            "Wells within the range share {shared:.0} % of the variance of the depths (on the scale of their root); \
             the rest is each well's own. No prior holds that share: forecasts from few wells start from one half."
        ));
        let Some(high) = found.high_m.filter(|_| found.range_m <= radius_m) else {
            let metres = |x: f64| Unit::Metre.show(super::rounded(x, Unit::Metre));
            let why = format!(
                "the likeliest range is {} (95 % interval {} to {}), and forecasts look no farther than {} \
                 (forecast_radius_m): that is a trend across districts and not what neighbours share. Fit to one \
                 district, or to wells that stand closer.",
                metres(found.range_m),
                metres(low),
                found.high_m.map_or("more".to_owned(), metres),
                metres(radius_m)
            );
            return topic.not(RANGE, why);
        };
        let interval = Interval { low, high: Some(high) };
        // The likelihood itself allows for wells that stand close together.
        let figure = Figure { value: found.range_m, interval, independent: f64::NAN };
        let method = "likeliest range of an exponential variogram with a nugget, interval by profile likelihood, \
                      nearness of wells allowed for";
        self.propose(topic, RANGE, &figure, found.wells, method.to_owned());
    }
}

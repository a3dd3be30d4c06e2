//! The ground at the peg in characters, for a wide terminal: what the nearest
//! log met by depth, where the water stands in the wet and in the driest
//! month, how deep the well must go and the best method can.

use super::map_plan::PlanWell;
use super::model::{Fact, FactValue, Report};
use super::plan_text::{fit, round_step};

/// Rows of depth at the most.
const ROWS: f64 = 18.0;

/// Columns of the depth and of the material.
const DEPTH: usize = 6;
const MATERIAL: usize = 36;

/// A log farther off than this pictures no other ground, metres.
const FARTHEST_M: f64 = 500.0;

/// What is marked at a depth.
struct Mark {
    depth_m: f64,
    text: String,
}

/// The section, line by line, none wider than `width`; `None` where neither
/// ground nor water is known.
pub fn lines(report: &Report, width: usize) -> Option<Vec<String>> {
    let log =
        report.map.iter().flat_map(|p| &p.wells).find(|w| !w.log.is_empty() && w.distance_m <= FARTHEST_M);
    let fact = |name: &str| report.facts.get(name);
    let said = [
        ("wet_level_m", "wet-season water"),
        ("dry_level_m", "driest-month water"),
        ("needed_depth_m", "the well must reach"),
        ("method_reach_m", "the best method reaches"),
    ];
    let mut marks: Vec<Mark> = said
        .iter()
        .filter_map(|(name, what)| {
            let fact = fact(name)?;
            let depth_m = middle(fact)?;
            Some(Mark { depth_m, text: format!("{what}: {}", fact.text) })
        })
        .collect();
    let log_m = log.and_then(|w| w.log.last()).map(|l| l.to_m);
    let deepest_m = marks.iter().map(|m| m.depth_m).chain(log_m).fold(0.0, f64::max);
    if deepest_m <= 0.0 {
        return None;
    }
    marks.sort_by(|a, b| a.depth_m.total_cmp(&b.depth_m));
    let step_m = round_step(deepest_m / ROWS);
    let water = Water { wet_low_m: fact("wet_level_m").and_then(|f| f.low), dry: fact("dry_level_m") };
    let needed_m = fact("needed_depth_m").and_then(middle);
    let mut lines = vec![head(log, width)];
    let mut top_m = 0.0;
    let mut last: Option<&str> = None;
    while top_m < deepest_m + step_m / 2.0 && lines.len() < 24 {
        let bottom_m = top_m + step_m;
        let middle_m = top_m + step_m / 2.0;
        let layer = log.and_then(|w| w.log.iter().find(|l| l.to_m > middle_m)).map(|l| l.material.as_str());
        let material = match layer {
            Some(now) if last == Some(now) => "  \"",
            Some(now) => now,
            None => "",
        };
        last = layer;
        let well = if needed_m.is_some_and(|n| middle_m < n) { '|' } else { ' ' };
        let here: Vec<&str> = marks
            .iter()
            .filter(|m| m.depth_m >= top_m && m.depth_m < bottom_m)
            .map(|m| m.text.as_str())
            .collect();
        let line = format!(
            "{:>DEPTH$}  {:<MATERIAL$}  {}{}  {}",
            format!("{top_m} m"),
            fit(material, MATERIAL),
            water.at(middle_m),
            well,
            here.join("; ")
        );
        lines.push(fit(line.trim_end(), width));
        top_m = bottom_m;
    }
    Some(lines)
}

fn head(log: Option<&PlanWell>, width: usize) -> String {
    let ground = match log {
        Some(w) => format!("ground in {}, {:.0} m off", w.name, w.distance_m),
        None => "no log is near".to_owned(),
    };
    let line = format!(
        "{:>DEPTH$}  {:<MATERIAL$}  ~ water all year, - in some months, | the well",
        "depth",
        fit(&ground, MATERIAL)
    );
    fit(&line, width)
}

/// The value of a fact, or the middle of its band.
fn middle(fact: &Fact) -> Option<f64> {
    match (&fact.value, fact.low, fact.high) {
        (FactValue::Number(value), ..) => Some(*value),
        (_, Some(low), Some(high)) => Some(f64::midpoint(low, high)),
        _ => None,
    }
}

/// Where the water stands.
struct Water<'a> {
    wet_low_m: Option<f64>,
    dry: Option<&'a Fact>,
}

impl Water<'_> {
    /// Below the farthest driest-month level there is water all year; above the
    /// shallowest wet-season level there is none; between, in some months.
    fn at(&self, depth_m: f64) -> char {
        match (self.dry.and_then(|d| d.high), self.wet_low_m.or(self.dry.and_then(|d| d.low))) {
            (Some(dry_m), _) if depth_m >= dry_m => '~',
            (_, Some(wet_m)) if depth_m < wet_m => ' ',
            (None, None) => '?',
            _ => '-',
        }
    }
}

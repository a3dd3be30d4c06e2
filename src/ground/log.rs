//! A well's log as classes of ground with depth, metres below ground.

use super::dictionary::read_material;
use super::material::{Classes, MaterialClass};
use crate::diag::Origin;
use crate::survey::Well;

/// One layer, or the part of it above or below the water.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadLayer {
    /// Its top.
    pub top_m: f64,
    /// Its bottom, below its top.
    pub bottom_m: f64,
    /// What it may be.
    pub classes: Classes,
    /// Where it was written.
    pub from: Origin,
}

/// A layer with words that are not understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnreadLayer {
    /// The layer's words as written.
    pub written: String,
    /// Those that are not understood.
    pub words: Vec<String>,
    /// Where it was written.
    pub from: Origin,
}

/// A well's log, layers from the ground down, without gaps.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Log {
    /// The layers; empty: no log.
    pub layers: Vec<ReadLayer>,
    /// What the report must say was not understood.
    pub unread: Vec<UnreadLayer>,
}

/// The depths between which the water table of a well moves: its shallowest
/// and its deepest, metres below ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterBand {
    /// Above this the ground is surely dry.
    pub shallow_m: f64,
    /// Below this the ground is surely wet.
    pub deep_m: f64,
}

impl Log {
    /// Reads a well's log. Sand is dry above the water and wet below it;
    /// where the water table is not known it may be either.
    pub fn read(well: &Well, water: Option<WaterBand>) -> Self {
        let mut log = Self::default();
        let mut top_m = 0.0;
        for layer in &well.log {
            if !(layer.to_m.is_finite() && layer.to_m > top_m) {
                continue;
            }
            let meaning = read_material(&layer.material, layer.hardness.as_deref());
            if !meaning.unread.is_empty() || meaning.classes.is_unknown() {
                let written = match &layer.hardness {
                    Some(hardness) => format!("{}, {hardness}", layer.material),
                    None => layer.material.clone(),
                };
                log.unread.push(UnreadLayer { written, words: meaning.unread, from: layer.from.clone() });
            }
            for (top_m, bottom_m, classes) in split_at_water(top_m, layer.to_m, meaning.classes, water) {
                log.layers.push(ReadLayer { top_m, bottom_m, classes, from: layer.from.clone() });
            }
            top_m = layer.to_m;
        }
        log
    }

    /// How deep the log reaches; 0 without a log.
    pub fn end_m(&self) -> f64 {
        self.layers.last().map_or(0.0, |l| l.bottom_m)
    }

    /// Whether there is no log.
    pub fn is_empty(&self) -> bool {
        self.layers.is_empty()
    }

    /// The layers that begin above `depth_m`, with their thickness down to
    /// it.
    pub fn above(&self, depth_m: f64) -> impl Iterator<Item = (&ReadLayer, f64)> {
        self.layers
            .iter()
            .filter(move |l| l.top_m < depth_m)
            .map(move |l| (l, l.bottom_m.min(depth_m) - l.top_m))
    }
}

/// The parts of a layer above, within and below the band of the water table.
fn split_at_water(
    top_m: f64,
    bottom_m: f64,
    classes: Classes,
    water: Option<WaterBand>,
) -> Vec<(f64, f64, Classes)> {
    let dry: Classes = [MaterialClass::SandDry].into_iter().collect();
    let wet: Classes = [MaterialClass::SandWet].into_iter().collect();
    let Some(water) = water.filter(|_| !classes.and(dry.or(wet)).is_empty() && !classes.is_unknown()) else {
        return vec![(top_m, bottom_m, classes)];
    };
    let shallow = water.shallow_m.clamp(top_m, bottom_m);
    let deep = water.deep_m.clamp(shallow, bottom_m);
    [
        (top_m, shallow, classes.without(wet).or(dry)),
        (shallow, deep, classes.or(dry).or(wet)),
        (deep, bottom_m, classes.without(dry).or(wet)),
    ]
    .into_iter()
    .filter(|(top, bottom, _)| bottom > top)
    .collect()
}

#[cfg(test)]
pub(crate) mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::survey::{Accuracy, Frame, Layer, LonLat, Position};

    /// A well with that log and nothing else known.
    pub(crate) fn well(log: &[(f64, &str)]) -> Well {
        let from = Origin::new("wells.csv", 2, 0);
        Well {
            name: "school well".to_owned(),
            position: Position {
                at: LonLat::new(39.0, -9.0).unwrap(),
                accuracy: Accuracy::Stated(3.0),
                frame: Frame::Wgs84,
                taped_m: None,
            },
            elevation_m: None,
            elevation_accuracy_m: None,
            made: None,
            depth_m: None,
            water_level_m: None,
            measured: None,
            season: None,
            lowest_level_m: None,
            outcome: None,
            pump_broken: None,
            yield_lps: None,
            drawdown_m: None,
            log: log
                .iter()
                .map(|(to_m, material)| Layer {
                    to_m: *to_m,
                    material: (*material).to_owned(),
                    hardness: None,
                    from: from.clone(),
                })
                .collect(),
            quality: BTreeMap::new(),
            from,
        }
    }

    fn ids(log: &Log) -> Vec<(f64, f64, String)> {
        log.layers.iter().map(|l| (l.top_m, l.bottom_m, l.classes.to_string())).collect()
    }

    #[test]
    fn sand_is_dry_above_the_water_and_wet_below_it() {
        let water = Some(WaterBand { shallow_m: 3.0, deep_m: 5.0 });
        let log = Log::read(&well(&[(8.0, "sand")]), water);
        assert_eq!(
            ids(&log),
            [
                (0.0, 3.0, "dry sand".to_owned()),
                (3.0, 5.0, "dry sand or wet sand".to_owned()),
                (5.0, 8.0, "wet sand".to_owned())
            ]
        );
    }

    #[test]
    fn sand_beside_an_unknown_water_table_may_be_either() {
        let log = Log::read(&well(&[(2.0, "clay"), (8.0, "sand")]), None);
        assert_eq!(ids(&log)[1], (2.0, 8.0, "dry sand or wet sand".to_owned()));
    }

    #[test]
    fn words_that_are_not_understood_are_kept_for_the_report() {
        let log = Log::read(&well(&[(2.0, "zork"), (8.0, "sand")]), None);
        assert!(log.layers[0].classes.is_unknown());
        assert_eq!(log.unread[0].words, ["zork"]);
    }

    #[test]
    fn a_layer_is_cut_at_the_depth_asked_for() {
        let log = Log::read(&well(&[(2.0, "clay"), (8.0, "silt")]), None);
        let thickness: Vec<_> = log.above(5.0).map(|(_, t)| t).collect();
        assert_eq!(thickness, [2.0, 3.0]);
    }
}

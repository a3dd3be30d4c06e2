//! The signs of the pictures: marks and lines of the plan, fills of the
//! section.
//!
//! No sign is told by colour alone: each family has a form of its own. Colours
//! are those that people with any kind of colour sight tell apart: Okabe & Ito
//! 2008, "Color Universal Design" (from memory); the style sheet holds them.
//! Fills follow the habit of geological maps: dots for sand, dashes for clay,
//! rings for gravel, bricks for limestone, crosses for hard rock (FGDC Digital
//! Cartographic Standard for Geologic Map Symbolization, section 37, from
//! memory).

use super::canvas::{n, path};
use super::markup::{Element, el};
use crate::survey::HazardKind;

/// What a sign stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// The peg.
    Peg,
    /// A source of faecal germs.
    Faecal,
    /// Another source of fouling.
    Fouling,
    /// Open water.
    Water,
    /// A building or another thing built.
    Built,
    /// A road.
    Road,
    /// An overhead line.
    Overhead,
    /// A buried pipe or cable.
    Buried,
    /// The edge of the plot.
    Boundary,
    /// A well that gives water, or of which nothing bad is known.
    Well,
    /// A well that failed.
    FailedWell,
}

impl Family {
    /// That of a kind of hazard, by its name.
    pub fn of(kind: &str) -> Self {
        match HazardKind::ALL.into_iter().find(|k| k.name() == kind) {
            Some(k) if k.is_faecal() => Family::Faecal,
            Some(k) if k.can_foul() => Family::Fouling,
            Some(HazardKind::OpenWater) => Family::Water,
            Some(HazardKind::Road) => Family::Road,
            Some(HazardKind::OverheadLine) => Family::Overhead,
            Some(HazardKind::BuriedService) => Family::Buried,
            Some(HazardKind::Boundary) => Family::Boundary,
            _ => Family::Built,
        }
    }

    /// That of a well, by what became of it.
    pub fn of_well(outcome: Option<&str>) -> Self {
        match outcome {
            None | Some("in use") => Family::Well,
            Some(_) => Family::FailedWell,
        }
    }

    /// Its key in the catalogue and in the style sheet.
    pub fn key(self) -> &'static str {
        match self {
            Family::Peg => "peg",
            Family::Faecal => "faecal",
            Family::Fouling => "fouling",
            Family::Water => "water",
            Family::Built => "built",
            Family::Road => "road",
            Family::Overhead => "overhead",
            Family::Buried => "buried",
            Family::Boundary => "boundary",
            Family::Well => "well",
            Family::FailedWell => "failed",
        }
    }

    fn is_line(self) -> bool {
        matches!(self, Family::Road | Family::Overhead | Family::Buried | Family::Boundary)
    }

    /// The mark of a point.
    pub fn mark(self, [x, y]: [f64; 2]) -> Element {
        // A line of which one place was written down is a short piece of it.
        if self.is_line() {
            return self.line(&format!("M{} {}h16", n(x - 8.0), n(y)));
        }
        let around = |places: &[[f64; 2]]| {
            let places: Vec<[f64; 2]> = places.iter().map(|[dx, dy]| [x + dx, y + dy]).collect();
            path(&places, true)
        };
        let ring = |r: f64| {
            format!("M{} {}a{r} {r} 0 1 0 {} 0a{r} {r} 0 1 0 {} 0Z", n(x - r), n(y), n(2.0 * r), n(-2.0 * r))
        };
        let d = match self {
            Family::Peg => {
                format!("{}M{} {}h16M{} {}v16", ring(5.0), n(x - 8.0), n(y), n(x), n(y - 8.0))
            }
            Family::Faecal => around(&[[-3.5, -3.5], [3.5, -3.5], [3.5, 3.5], [-3.5, 3.5]]),
            Family::Fouling => around(&[[0.0, -5.0], [5.0, 0.0], [0.0, 5.0], [-5.0, 0.0]]),
            Family::Water => around(&[[-4.5, -3.5], [4.5, -3.5], [0.0, 4.5]]),
            Family::Well => format!("{}{}", ring(4.5), ring(1.5)),
            Family::FailedWell => {
                format!(
                    "{}M{} {}l6.4 6.4M{} {}l6.4 -6.4",
                    ring(4.5),
                    n(x - 3.2),
                    n(y - 3.2),
                    n(x - 3.2),
                    n(y + 3.2)
                )
            }
            _ => around(&[[-4.0, 3.5], [-4.0, -1.5], [0.0, -4.5], [4.0, -1.5], [4.0, 3.5]]),
        };
        el("path").class(format!("m {}", self.key())).attr("d", d)
    }

    /// A line.
    pub fn line(self, d: &str) -> Element {
        el("path").class(format!("s {}", self.key())).attr("d", d)
    }

    /// An area.
    pub fn area(self, d: &str) -> Element {
        el("path").class(format!("a {}", self.key())).attr("d", d)
    }

    /// A small picture for the key.
    pub fn swatch(self) -> Element {
        let sign = if self.is_line() { self.line("M1 9h30") } else { self.mark([16.0, 9.0]) };
        swatch(sign)
    }
}

/// A small picture beside words that say the same.
pub fn swatch(sign: Element) -> Element {
    el("svg").class("sw").attr("viewBox", "0 0 32 18").attr("aria-hidden", "true").with(sign)
}

/// What the plan refers to: its frame and its hatching.
pub fn plan_defs(side: f64) -> Element {
    let frame = el("rect").attr("width", n(side)).attr("height", n(side));
    el("defs").with(el("clipPath").attr("id", "plan-frame").with(frame)).with(
        el("pattern")
            .attr("id", "keep-off")
            .attr("patternUnits", "userSpaceOnUse")
            .attr("width", 6)
            .attr("height", 6)
            .attr("patternTransform", "rotate(45)")
            .with(el("path").class("hatch").attr("d", "M0 0v6")),
    )
}

/// A group of classes of ground that one fill stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fill {
    /// Topsoil and fill.
    Soil,
    /// Sand.
    Sand,
    /// Running sand.
    RunningSand,
    /// Silt.
    Silt,
    /// Clay.
    Clay,
    /// Gravel.
    Gravel,
    /// Boulders.
    Boulders,
    /// Laterite.
    Laterite,
    /// Rock weathered to soil.
    Saprolite,
    /// Sandstone.
    Sandstone,
    /// Limestone.
    Limestone,
    /// Hard rock and all that refused whoever met it.
    Rock,
    /// What no log shows.
    Unseen,
}

impl Fill {
    /// Every fill, in the order in which they are stacked: the softest first.
    pub const ALL: [Fill; 13] = [
        Fill::Soil,
        Fill::Clay,
        Fill::Silt,
        Fill::Sand,
        Fill::RunningSand,
        Fill::Gravel,
        Fill::Boulders,
        Fill::Laterite,
        Fill::Saprolite,
        Fill::Sandstone,
        Fill::Limestone,
        Fill::Rock,
        Fill::Unseen,
    ];

    /// That of a class, by its words.
    pub fn of(ground: &str) -> Self {
        match ground {
            "topsoil" | "fill" => Fill::Soil,
            "dry sand" | "wet sand" => Fill::Sand,
            "running sand" => Fill::RunningSand,
            "silt" => Fill::Silt,
            "soft clay" | "stiff clay" => Fill::Clay,
            "fine gravel" | "coarse gravel" => Fill::Gravel,
            "boulders" => Fill::Boulders,
            "soft laterite" | "hard laterite" => Fill::Laterite,
            "saprolite" => Fill::Saprolite,
            "soft sandstone" | "hard sandstone" => Fill::Sandstone,
            "limestone" => Fill::Limestone,
            "hard rock" => Fill::Rock,
            _ => Fill::Unseen,
        }
    }

    /// Its key in the catalogue, and the end of the id of its pattern.
    pub fn key(self) -> &'static str {
        match self {
            Fill::Soil => "soil",
            Fill::Sand => "sand",
            Fill::RunningSand => "running-sand",
            Fill::Silt => "silt",
            Fill::Clay => "clay",
            Fill::Gravel => "gravel",
            Fill::Boulders => "boulders",
            Fill::Laterite => "laterite",
            Fill::Saprolite => "saprolite",
            Fill::Sandstone => "sandstone",
            Fill::Limestone => "limestone",
            Fill::Rock => "rock",
            Fill::Unseen => "unseen",
        }
    }

    /// Strokes of its pattern, in a square of 12 units.
    fn strokes(self) -> &'static str {
        match self {
            Fill::Soil => "M3 3v4M9 8v4",
            Fill::Sand => "M2 2h.1M8 3h.1M5 7h.1M11 9h.1M1 11h.1",
            Fill::RunningSand => "M0 3q3 -3 6 0t6 0M3 8h.1M9 10h.1",
            Fill::Silt => "M2 3h.1M6 3h4M8 9h.1M1 9h4",
            Fill::Clay => "M1 3h6M6 9h6",
            Fill::Gravel => "M2 4a2 2 0 1 0 4 0a2 2 0 1 0 -4 0M8 9a2 2 0 1 0 4 0a2 2 0 1 0 -4 0",
            Fill::Boulders => "M1 6a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0",
            Fill::Laterite => "M2 2l3 3M5 2l-3 3M8 8l3 3M11 8l-3 3",
            Fill::Saprolite => "M2 4h4M4 2v4M9 10h.1M10 3h.1M3 10h.1",
            Fill::Sandstone => "M0 6h12M3 3h.1M9 3h.1M3 10h.1M9 10h.1",
            Fill::Limestone => "M0 6h12M0 0h12M4 0v6M10 6v6",
            Fill::Rock => "M1 4h5M3.5 1.5v5M7 10h5M9.5 7.5v5",
            Fill::Unseen => "",
        }
    }

    /// Its pattern.
    pub fn pattern(self) -> Element {
        el("pattern")
            .attr("id", format!("f-{}", self.key()))
            .attr("patternUnits", "userSpaceOnUse")
            .attr("width", 12)
            .attr("height", 12)
            .with(el("rect").class(format!("g {}", self.key())).attr("width", 12).attr("height", 12))
            .with(el("path").class("gs").attr("d", self.strokes()))
    }

    /// A small picture for the key; the pattern stands in the section.
    pub fn swatch(self) -> Element {
        let fill = format!("url(#f-{})", self.key());
        let sign = el("rect").class("edge").attr("x", 1).attr("y", 1).attr("width", 30).attr("height", 16);
        swatch(sign.attr("fill", fill))
    }
}

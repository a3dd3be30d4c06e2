//! The formulas of the sheet by their names, each with its source. The
//! reckoning itself stands in the module of each.

use crate::region::Basis;

/// A formula as the sheet names it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Formula {
    /// Its name.
    pub name: &'static str,
    /// How it reads.
    pub reads: &'static str,
    /// Where it is from.
    pub source: &'static str,
    /// How well founded it is.
    pub basis: Basis,
}

const fn formula(name: &'static str, reads: &'static str, source: &'static str, basis: Basis) -> Formula {
    Formula { name, reads, source, basis }
}

const GEOMETRY: &str = "geometry";

pub(super) const SIZE: Formula = formula(
    "size of what is bought or made",
    "as stated",
    "The region's tables of methods and pipe",
    Basis::CommonPractice,
);
pub(super) const DAILY: Formula = formula(
    "water in a day",
    "V = 3600·q·t",
    "MacDonald, Barker & Davies 2008 reckon so (0.145 L/s over 12 h are 6.25 m³)",
    Basis::Published,
);
pub(super) const STACK: Formula = formula(
    "depths below the driest level",
    "level + drawdown + submergence, then the screen, then the sump",
    "Common practice; the screen is kept in the layer and below the driest level",
    Basis::CommonPractice,
);
pub(super) const ENTRANCE: Formula = formula(
    "entrance velocity",
    "v = Q/(π·D·L·f·(1 − b))",
    "US Army TI 814-01 (1998), Water Supply, p. 5-16",
    Basis::Published,
);
pub(super) const ANNULUS: Formula =
    formula("volume of the annulus", "V = π/4·(D² − d²)·L·(1 + w)", GEOMETRY, Basis::Published);
pub(super) const BULK: Formula = formula("mass by volume", "m = V·ρ", GEOMETRY, Basis::Published);
pub(super) const GROUT: Formula = formula(
    "cement in grout",
    "m = V/(1/ρ_c + w/ρ_w)",
    "Volumes of cement and water add up; common practice",
    Basis::CommonPractice,
);
pub(super) const PACK_GRAIN: Formula = formula(
    "grain of the pack",
    "D₅₀ = 4 to 6 times d₅₀ of the ground",
    "Common rule, as in Driscoll 1986, Groundwater and Wells; recalled",
    Basis::FromMemory,
);
pub(super) const SLOT: Formula = formula(
    "slot by what it holds back",
    "slot = the size than which 1 − (share held back) is finer",
    "Sustainable Sanitation and Water Management Toolbox, page on wells; a straight line of log size by share between d₁₀ and d₆₀ by common practice",
    Basis::CommonPractice,
);
pub(super) const CONCRETE: Formula = formula(
    "concrete by parts",
    "each part = V·1.54·part/(sum of parts)",
    "Common practice of estimating concrete by volume",
    Basis::CommonPractice,
);
pub(super) const BARS: Formula =
    formula("bars both ways", "L = 2·A/spacing, m = L·π/4·d²·ρ", GEOMETRY, Basis::Published);
pub(super) const DRILLING_WATER: Formula = formula(
    "drilling water",
    "n·π/4·d²·L + pits, and what thickened fluid loses",
    "Common practice: at least three volumes of the hole and the pits",
    Basis::CommonPractice,
);
pub(super) const LOSS: Formula = formula(
    "loss into open ground",
    "Q = 2πKLH/ln(L/r), by the fluid's own viscosity",
    "Hvorslev (1951), Bulletin 36, Waterways Experiment Station, Vicksburg",
    Basis::Published,
);
pub(super) const SETTLING: Formula = formula(
    "settling of a grain",
    "w = R·g·D²/(18ν + √(0.75·R·g·D³))",
    "Ferguson & Church (2004), J. Sedimentary Research 74, 933–937; viscosity by Pitt (2000), SPE Drilling & Completion 15",
    Basis::Published,
);
pub(super) const UPHOLE: Formula = formula(
    "uphole velocity",
    "v = Q/A of the annulus or the pipe, at least twice the settling of the grain",
    "Common practice; geometry",
    Basis::CommonPractice,
);
pub(super) const SUPPORT: Formula = formula(
    "support of the wall",
    "Δp = ρ_m·g·z_f − ρ_w·g·(z − d)",
    "Weight of the two columns; at least 1 to 2 m of head by common practice",
    Basis::CommonPractice,
);
pub(super) const DEVELOPMENT: Formula = formula(
    "time of development",
    "as stated",
    "Common practice: until the water is clear and free of sand",
    Basis::CommonPractice,
);
pub(super) const WELL_WATER: Formula =
    formula("water in the well", "V = π/4·d²·L·n", GEOMETRY, Basis::Published);
pub(super) const CHLORINE: Formula = formula(
    "dose of chlorine",
    "m = C·V/a",
    "Alberta Agriculture, Water Wells That Last, module 6; WHO/UNHCR (1997)",
    Basis::Published,
);

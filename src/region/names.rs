//! Names that region files use for things other parts of the program know:
//! classes of ground and kinds of finding out. They stand here as words, so
//! that reading a region needs nothing of those parts.

/// Ids of the classes of ground that a method's `suits` speaks of.
pub const MATERIAL_CLASSES: [&str; 18] = [
    "topsoil",
    "fill",
    "sand_dry",
    "sand_wet",
    "running_sand",
    "silt",
    "soft_clay",
    "stiff_clay",
    "fine_gravel",
    "coarse_gravel",
    "boulders",
    "soft_laterite",
    "hard_laterite",
    "saprolite",
    "soft_sandstone",
    "hard_sandstone",
    "limestone",
    "hard_rock",
];

/// Kinds of finding out that `[asks]` prices.
pub const ASK_KINDS: [&str; 9] =
    ["write", "look", "ask", "tape", "dip", "office", "field kit", "laboratory", "trial bore"];

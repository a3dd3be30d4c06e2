//! What soil and rock are by hand: the ribbon a moist sample makes, the thumb
//! in clay, hammer and knife on rock.

use std::fmt;

use super::material::{Classes, MaterialClass};

/// A texture named in one of the tables of ribbon lengths, sandier first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Texture {
    /// Sand.
    Sand,
    /// Loamy sand.
    LoamySand,
    /// Clayey sand.
    ClayeySand,
    /// Sandy loam.
    SandyLoam,
    /// Light sandy clay loam.
    LightSandyClayLoam,
    /// Loam.
    Loam,
    /// Sandy clay loam.
    SandyClayLoam,
    /// Clay loam.
    ClayLoam,
    /// Light clay.
    LightClay,
    /// Medium or heavy clay.
    HeavyClay,
    /// Clay of any kind.
    Clay,
}

impl Texture {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Texture::Sand => "sand",
            Texture::LoamySand => "loamy sand",
            Texture::ClayeySand => "clayey sand",
            Texture::SandyLoam => "sandy loam",
            Texture::LightSandyClayLoam => "light sandy clay loam",
            Texture::Loam => "loam",
            Texture::SandyClayLoam => "sandy clay loam",
            Texture::ClayLoam => "clay loam",
            Texture::LightClay => "light clay",
            Texture::HeavyClay => "medium or heavy clay",
            Texture::Clay => "clay",
        }
    }

    /// The classes of ground it may be. A ribbon grades clay alone: a loam may
    /// drill and yield as silt or as clay. Source: common practice.
    pub fn classes(self) -> Classes {
        use MaterialClass::{SandDry, SandWet, Silt, SoftClay, StiffClay};
        let classes: &[MaterialClass] = match self {
            Texture::Sand => &[SandDry, SandWet],
            Texture::LoamySand | Texture::ClayeySand => &[SandDry, SandWet, Silt],
            Texture::SandyLoam | Texture::Loam => &[Silt],
            Texture::LightSandyClayLoam | Texture::SandyClayLoam | Texture::ClayLoam => {
                &[Silt, SoftClay, StiffClay]
            }
            Texture::LightClay | Texture::HeavyClay | Texture::Clay => &[SoftClay, StiffClay],
        };
        classes.iter().copied().collect()
    }
}

impl fmt::Display for Texture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// One row of a table: ribbons from and up to that many millimetres, both
/// ends included.
type RibbonRow = (f64, f64, Texture);

/// A ribbon longer than every table's last row.
const ANY_LENGTH: f64 = f64::MAX;

/// Source: Agriculture Victoria, "Determining soil texture using ribboning",
/// up to 25 mm; above: Northcote 1979, from memory (25 to 40 mm also by the
/// government of New South Wales, "Determining soil texture").
const VICTORIA: [RibbonRow; 10] = [
    (0.0, 0.0, Texture::Sand),
    (0.0, 5.0, Texture::LoamySand),
    (5.0, 15.0, Texture::ClayeySand),
    (15.0, 20.0, Texture::SandyLoam),
    (20.0, 25.0, Texture::LightSandyClayLoam),
    (25.0, 25.0, Texture::Loam),
    (25.0, 40.0, Texture::SandyClayLoam),
    (40.0, 50.0, Texture::ClayLoam),
    (50.0, 75.0, Texture::LightClay),
    (75.0, ANY_LENGTH, Texture::HeavyClay),
];

/// Source: wateright.net, "Estimating soil texture". Nothing is said between
/// 40 and 50 mm.
const WATERIGHT: [RibbonRow; 5] = [
    (0.0, 15.0, Texture::Sand),
    (15.0, 25.0, Texture::SandyLoam),
    (25.0, 25.0, Texture::Loam),
    (25.0, 40.0, Texture::ClayLoam),
    (50.0, ANY_LENGTH, Texture::Clay),
];

/// What a ribbon says by two published tables, which disagree: both are told.
#[derive(Debug, Clone, PartialEq)]
pub struct Ribbon {
    /// Its length as measured, millimetres.
    pub length_mm: f64,
    /// The textures it may be by the table of Agriculture Victoria.
    pub victoria: Vec<Texture>,
    /// The textures it may be by the table of wateright.net; none between its rows.
    pub wateright: Vec<Texture>,
}

impl Ribbon {
    /// Reads a ribbon of that length, measured to within `error_mm`; `None`
    /// where one of them is below zero or not finite.
    pub fn read(length_mm: f64, error_mm: f64) -> Option<Self> {
        if !(length_mm.is_finite() && length_mm >= 0.0 && error_mm.is_finite() && error_mm >= 0.0) {
            return None;
        }
        let (shortest, longest) = ((length_mm - error_mm).max(0.0), length_mm + error_mm);
        let by = |table: &[RibbonRow]| {
            table.iter().filter(|(from, to, _)| *from <= longest && shortest <= *to).map(|r| r.2).collect()
        };
        Some(Self { length_mm, victoria: by(&VICTORIA), wateright: by(&WATERIGHT) })
    }

    /// Whether the tables name a texture in common.
    pub fn tables_agree(&self) -> bool {
        self.victoria.iter().any(|t| self.wateright.contains(t))
    }

    /// The classes of ground it may be by either table.
    pub fn classes(&self) -> Classes {
        self.victoria.iter().chain(&self.wateright).fold(Classes::NONE, |all, t| all.or(t.classes()))
    }
}

/// Clay by thumb and finger, softer first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClayByThumb {
    /// A finger goes in 25 mm.
    VerySoft,
    /// A finger goes in 10 mm.
    Soft,
    /// The thumb dents it easily.
    Firm,
    /// The thumb dents it slightly.
    Stiff,
    /// Only the thumbnail dents it.
    VeryStiff,
}

impl ClayByThumb {
    /// Undrained shear strength, kilopascals: from and below. Source: BS 5930
    /// and ISO 14688, from memory.
    pub fn shear_strength_kpa(self) -> (f64, f64) {
        match self {
            ClayByThumb::VerySoft => (0.0, 20.0),
            ClayByThumb::Soft => (20.0, 40.0),
            ClayByThumb::Firm => (40.0, 75.0),
            ClayByThumb::Stiff => (75.0, 150.0),
            ClayByThumb::VeryStiff => (150.0, 300.0),
        }
    }

    /// The classes of ground it may be: firm clay may drill as either.
    /// Source: common practice.
    pub fn classes(self) -> Classes {
        use MaterialClass::{SoftClay, StiffClay};
        let classes: &[MaterialClass] = match self {
            ClayByThumb::VerySoft | ClayByThumb::Soft => &[SoftClay],
            ClayByThumb::Firm => &[SoftClay, StiffClay],
            ClayByThumb::Stiff | ClayByThumb::VeryStiff => &[StiffClay],
        };
        classes.iter().copied().collect()
    }
}

/// Rock by hammer and knife, weaker first.
///
/// Source: International Society for Rock Mechanics, suggested methods 1978,
/// as quoted by the Texas Department of Transportation, Geotechnical Manual,
/// table 4-4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HammerGrade {
    /// The thumbnail dents it.
    R0,
    /// It crumbles under the pick's point; a knife peels it.
    R1,
    /// A knife peels it with difficulty; the pick's point dents it a little.
    R2,
    /// One firm blow of the hammer breaks it.
    R3,
    /// It takes more than one blow.
    R4,
    /// It takes many blows.
    R5,
    /// The hammer only chips it.
    R6,
}

/// Whether a hand method gets through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandDrillable {
    /// It does.
    Yes,
    /// At times, slowly.
    Marginal,
    /// It does not.
    No,
}

impl HammerGrade {
    /// Every grade.
    pub const ALL: [HammerGrade; 7] = [
        HammerGrade::R0,
        HammerGrade::R1,
        HammerGrade::R2,
        HammerGrade::R3,
        HammerGrade::R4,
        HammerGrade::R5,
        HammerGrade::R6,
    ];

    /// Unconfined compressive strength, megapascals: from, and up to where
    /// there is an upper end.
    pub fn strength_mpa(self) -> (f64, Option<f64>) {
        match self {
            HammerGrade::R0 => (0.0, Some(1.0)),
            HammerGrade::R1 => (1.0, Some(5.0)),
            HammerGrade::R2 => (5.0, Some(25.0)),
            HammerGrade::R3 => (25.0, Some(50.0)),
            HammerGrade::R4 => (50.0, Some(100.0)),
            HammerGrade::R5 => (100.0, Some(250.0)),
            HammerGrade::R6 => (250.0, None),
        }
    }

    /// The grade of rock of that strength, the harder one on the line between
    /// two; `None` where it is below zero or not finite.
    pub fn of_strength(mpa: f64) -> Option<Self> {
        if !(mpa.is_finite() && mpa >= 0.0) {
            return None;
        }
        Self::ALL.into_iter().rev().find(|g| g.strength_mpa().0 <= mpa)
    }

    /// Whether a hand method gets through. Source: common practice.
    pub fn hand_drillable(self) -> HandDrillable {
        match self {
            HammerGrade::R0 => HandDrillable::Yes,
            HammerGrade::R1 => HandDrillable::Marginal,
            _ => HandDrillable::No,
        }
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn ribbon(mm: f64) -> Ribbon {
        Ribbon::read(mm, 0.0).unwrap()
    }

    #[test]
    fn both_tables_call_18_mm_sandy_loam() {
        let read = ribbon(18.0);
        assert_eq!(
            (read.victoria.as_slice(), read.wateright.as_slice()),
            ([Texture::SandyLoam].as_slice(), [Texture::SandyLoam].as_slice())
        );
        assert!(read.tables_agree());
    }

    #[test]
    fn the_tables_disagree_on_12_mm() {
        let read = ribbon(12.0);
        assert_eq!(
            (read.victoria.as_slice(), read.wateright.as_slice()),
            ([Texture::ClayeySand].as_slice(), [Texture::Sand].as_slice())
        );
        assert!(!read.tables_agree());
        assert!(read.classes().contains(MaterialClass::SandWet));
    }

    #[test]
    fn one_table_is_silent_between_40_and_50_mm() {
        assert_eq!(ribbon(45.0).victoria, [Texture::ClayLoam]);
        assert!(ribbon(45.0).wateright.is_empty());
    }

    #[test]
    fn what_does_not_ribbon_is_sand() {
        assert_eq!(ribbon(0.0).wateright, [Texture::Sand]);
        assert!(ribbon(0.0).victoria.contains(&Texture::Sand));
    }

    #[test]
    fn a_rough_measurement_names_every_texture_it_may_be() {
        let read = Ribbon::read(18.0, 4.0).unwrap();
        assert_eq!(read.victoria, [Texture::ClayeySand, Texture::SandyLoam, Texture::LightSandyClayLoam]);
    }

    #[test]
    fn no_length_is_left_without_a_class() {
        for tenths in 0..2000 {
            assert!(!ribbon(f64::from(tenths) / 10.0).classes().is_empty());
        }
        assert_eq!(Ribbon::read(-1.0, 0.0), None);
        assert_eq!(Ribbon::read(f64::NAN, 0.0), None);
        assert_eq!(Ribbon::read(1.0, f64::INFINITY), None);
    }

    #[test]
    fn rock_a_knife_peels_is_marginal_for_hand_methods() {
        assert_eq!(HammerGrade::R1.strength_mpa(), (1.0, Some(5.0)));
        assert_eq!(HammerGrade::R1.hand_drillable(), HandDrillable::Marginal);
        assert_eq!(HammerGrade::R2.hand_drillable(), HandDrillable::No);
    }

    /// 725 psi, a limit of the quoted table, is 5.00 MPa.
    #[test]
    fn a_strength_on_the_line_is_the_harder_grade() {
        let mpa: f64 = 725.0 * 0.006_894_757;
        assert!((mpa - 5.0).abs() < 0.005);
        assert_eq!(HammerGrade::of_strength(5.0), Some(HammerGrade::R2));
        assert_eq!(HammerGrade::of_strength(0.0), Some(HammerGrade::R0));
        assert_eq!(HammerGrade::of_strength(1e9), Some(HammerGrade::R6));
        assert_eq!(HammerGrade::of_strength(f64::NAN), None);
    }

    #[test]
    fn grades_and_consistencies_join_without_a_gap() {
        for pair in HammerGrade::ALL.windows(2) {
            assert_eq!(pair[0].strength_mpa().1, Some(pair[1].strength_mpa().0));
        }
        use ClayByThumb::{Firm, Soft, Stiff, VerySoft, VeryStiff};
        for pair in [VerySoft, Soft, Firm, Stiff, VeryStiff].windows(2) {
            assert_eq!(pair[0].shear_strength_kpa().1, pair[1].shear_strength_kpa().0);
        }
    }
}

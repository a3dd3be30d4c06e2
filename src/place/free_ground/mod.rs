//! Where may a well stand? The plot, less the ground that lies nearer to some
//! trouble than must be kept, and of what is left the part that was searched;
//! with the spot that is farthest from trouble.
//!
//! Everything is in the level plane at the peg: metres east and north of it,
//! true to a tenth of a millimetre within 2 km. **Decided by distance**
//! ([`Layout::class_of`], [`Layout::clearance_m`]); polygons are for drawing
//! and for areas. They lie on the safe side: a disc to be kept clear is drawn
//! as a polygon around it, a disc that was searched as one inside it.
//!
//! Boolean operations on polygons are those of crate `geo` (`i_overlay`).

mod buffer;
mod shape;
mod spots;

use geo::{Area, BooleanOps, MultiPolygon, Polygon, unary_union};

pub use shape::FlatShape;
pub use spots::Spot;

/// East and north of the peg, metres.
pub type EastNorth = [f64; 2];

/// Something to keep away from.
#[derive(Debug, Clone)]
pub struct Trouble {
    /// Where it is.
    pub shape: FlatShape,
    /// So far from it a well must stand, metres; what the errors of position
    /// may add is in it.
    pub keep_m: f64,
}

/// What a spot is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Not on the plot, or nearer to some trouble than must be kept.
    Taken,
    /// Far enough from all trouble that is known, where not everything was
    /// searched for.
    NotKnown,
    /// Far enough from all trouble, and everything was searched for.
    Free,
}

/// A plot with what lies on and around it.
#[derive(Debug, Clone)]
pub struct Layout {
    /// The plot.
    pub plot: MultiPolygon<f64>,
    /// Its edges.
    edge: FlatShape,
    /// What to keep away from.
    pub troubles: Vec<Trouble>,
    /// Within this distance of the peg a spot is free of what was searched
    /// for; `None` where something was not searched for at all.
    pub known_m: Option<f64>,
}

/// The ground that is left of a plot.
#[derive(Debug, Clone)]
pub struct FreeGround {
    /// Far enough from all trouble, and searched.
    pub free: MultiPolygon<f64>,
    /// Far enough from all known trouble, and not searched.
    pub not_known: MultiPolygon<f64>,
    /// Area of the plot, m².
    pub plot_m2: f64,
}

impl FreeGround {
    /// Area of the free ground, m².
    pub fn free_m2(&self) -> f64 {
        self.free.unsigned_area()
    }

    /// Area of the ground that is not known, m².
    pub fn not_known_m2(&self) -> f64 {
        self.not_known.unsigned_area()
    }
}

impl Layout {
    /// A layout; polygons that overlap become one, holes stay.
    pub fn new(plot: &[Polygon<f64>], troubles: Vec<Trouble>, known_m: Option<f64>) -> Self {
        let whole: Vec<_> = plot.iter().map(shape::whole).collect();
        let plot = unary_union(&whole);
        let edge = FlatShape::of_rings(&plot);
        let known_m = known_m.filter(|m| *m >= 0.0);
        Self { plot, edge, troubles, known_m }
    }

    /// A layout on the disc of that radius around the peg.
    pub fn round(radius_m: f64, troubles: Vec<Trouble>, known_m: Option<f64>) -> Self {
        Self::new(&[buffer::disc_inside([0.0, 0.0], radius_m)], troubles, known_m)
    }

    /// The same plot with other things on and around it.
    pub fn with(&self, troubles: Vec<Trouble>, known_m: Option<f64>) -> Self {
        Self { troubles, known_m: known_m.filter(|m| *m >= 0.0), ..self.clone() }
    }

    /// How far `place` is from what would take it, metres: the edge of the
    /// plot, or the nearest trouble less what must be kept from it; below zero
    /// where it is taken. Searches are left out.
    pub fn clearance_m(&self, place: EastNorth) -> f64 {
        let troubles = self.troubles.iter().map(|t| t.shape.distance_m(place) - t.keep_m);
        troubles.fold(self.inside_m(place), f64::min)
    }

    /// What `place` is.
    pub fn class_of(&self, place: EastNorth) -> Class {
        let [east, north] = place;
        let clear_m = self.clearance_m(place);
        if clear_m.is_nan() || clear_m < 0.0 {
            Class::Taken
        } else if self.known_m.is_some_and(|m| east.hypot(north) <= m) {
            Class::Free
        } else {
            Class::NotKnown
        }
    }

    /// How far `place` is inside the plot; below zero outside.
    fn inside_m(&self, place: EastNorth) -> f64 {
        let to_edge = self.edge.line_distance_m(place);
        if shape::inside(&self.plot, place) { to_edge } else { -to_edge }
    }

    /// Only the troubles that reach the plot, so that the rest costs nothing.
    pub fn pruned(mut self) -> Self {
        use geo::BoundingRect;
        let Some(bounds) = self.plot.bounding_rect() else { return self };
        let (low, high) = ([bounds.min().x, bounds.min().y], [bounds.max().x, bounds.max().y]);
        self.troubles.retain_mut(|t| t.shape.keep_near(low, high, t.keep_m));
        self
    }

    /// The ground that is left, as polygons.
    pub fn free_ground(&self) -> FreeGround {
        let plot_m2 = self.plot.unsigned_area();
        let kept: Vec<Polygon<f64>> =
            self.troubles.iter().flat_map(|t| buffer::around(&t.shape, t.keep_m)).collect();
        let left =
            if kept.is_empty() { self.plot.clone() } else { self.plot.difference(&unary_union(&kept)) };
        let none = MultiPolygon::new(Vec::new());
        match self.known_m {
            Some(radius_m) if radius_m > 0.0 => {
                let searched = buffer::disc_inside([0.0, 0.0], radius_m);
                FreeGround {
                    free: left.intersection(&searched),
                    not_known: left.difference(&searched),
                    plot_m2,
                }
            }
            _ => FreeGround { free: none, not_known: left, plot_m2 },
        }
    }
}

/// The ground around a shape that must be kept clear, as polygons.
pub fn setback(shape: &FlatShape, keep_m: f64) -> MultiPolygon<f64> {
    unary_union(&buffer::around(shape, keep_m))
}

#[cfg(test)]
mod tests;

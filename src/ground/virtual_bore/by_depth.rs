//! What ground virtual bores meet at each depth: the chance of each class,
//! metres below ground. They are the same draws that are drilled, so a picture
//! of the ground and the chance of success never tell two stories.

use super::ground::{DrawnGround, Grounds};
use super::inputs::{InputFault, VirtualBoreInputs};
use crate::ground::MaterialClass;
use crate::stats::Random;

/// What may lie at a depth; all chances together are 1.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundAtDepth {
    /// Top of the slice, metres.
    pub top_m: f64,
    /// Its bottom.
    pub bottom_m: f64,
    /// The chance of each class in its middle, the likeliest first; none of
    /// them zero.
    pub classes: Vec<(MaterialClass, f64)>,
    /// The chance of ground that refused every hole that met it.
    pub refuses: f64,
    /// The chance that no log shows what lies there.
    pub unseen: f64,
}

/// The ground in slices of `step_m` down to `to_m`.
///
/// # Errors
/// When the inputs are not such that a bore could be drawn from them.
pub fn ground_by_depth(
    inputs: &VirtualBoreInputs,
    step_m: f64,
    to_m: f64,
) -> Result<Vec<GroundAtDepth>, InputFault> {
    inputs.check()?;
    let grounds = Grounds::new(inputs).ok_or(InputFault::NoGround)?;
    let slices: Vec<(f64, f64)> = (0u32..)
        .map(|k| (f64::from(k) * step_m, f64::from(k + 1) * step_m))
        .take_while(|(_, bottom_m)| step_m > 0.0 && *bottom_m <= to_m)
        .collect();
    // A count for each class, then of ground that refuses, then of the unseen.
    const ENDS: usize = MaterialClass::ALL.len();
    let mut counts = vec![[0_u32; ENDS + 2]; slices.len()];
    let mut ground = DrawnGround::default();
    for bore in 0..inputs.bores {
        grounds.draw(&mut Random::of_draw(inputs.seed, u64::from(bore)), &mut ground);
        for ((top_m, bottom_m), counts) in slices.iter().zip(&mut counts) {
            let middle_m = f64::midpoint(*top_m, *bottom_m);
            let place = match class_at(&ground, middle_m) {
                Some(class) => class as usize,
                None if middle_m <= ground.seen_to_m => ENDS,
                None => ENDS + 1,
            };
            if let Some(count) = counts.get_mut(place) {
                *count += 1;
            }
        }
    }
    let bores = f64::from(inputs.bores.max(1));
    Ok(slices
        .iter()
        .zip(&counts)
        .map(|((top_m, bottom_m), counts)| {
            let share = |place: usize| f64::from(counts.get(place).copied().unwrap_or_default()) / bores;
            let mut classes: Vec<(MaterialClass, f64)> = MaterialClass::ALL
                .into_iter()
                .map(|class| (class, share(class as usize)))
                .filter(|(_, chance)| *chance > 0.0)
                .collect();
            classes.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            GroundAtDepth {
                top_m: *top_m,
                bottom_m: *bottom_m,
                classes,
                refuses: share(ENDS),
                unseen: share(ENDS + 1),
            }
        })
        .collect())
}

/// The class of a drawn ground at a depth; `None` where it refuses.
fn class_at(ground: &DrawnGround, depth_m: f64) -> Option<MaterialClass> {
    let layer = ground.layers.partition_point(|l| l.bottom_m <= depth_m);
    ground.layers.get(layer)?.class
}

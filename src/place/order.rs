//! In which order to ask about many places: what was read from memory for one
//! is then at hand for the next.

use crate::survey::LonLat;

/// The places' numbers in an order in which neighbours mostly follow one
/// another. Asking a [`super::PlaceIndex`] of a million shapes in this order
/// takes two thirds of the time, the ordering included.
pub fn visiting_order(places: &[LonLat]) -> Vec<usize> {
    let mut order: Vec<(u64, usize)> = places.iter().map(|at| along(*at)).zip(0..).collect();
    order.sort_unstable();
    order.into_iter().map(|(_, i)| i).collect()
}

/// How far along a curve through all longitudes and latitudes a place is: the
/// bits of both by turns (Morton order).
fn along(at: LonLat) -> u64 {
    let cells = f64::from(u32::MAX);
    let east = (at.lon_deg() + 180.0) / 360.0 * cells;
    let north = (at.lat_deg() + 90.0) / 180.0 * cells;
    spread(east as u32) | spread(north as u32) << 1
}

/// The bits of `x` with a 0 after each.
fn spread(x: u32) -> u64 {
    let steps = [
        (16, 0x0000_FFFF_0000_FFFF),
        (8, 0x00FF_00FF_00FF_00FF),
        (4, 0x0F0F_0F0F_0F0F_0F0F),
        (2, 0x3333_3333_3333_3333),
        (1, 0x5555_5555_5555_5555),
    ];
    steps.into_iter().fold(u64::from(x), |x, (shift, mask)| (x | x << shift) & mask)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_are_spread_by_turns() {
        assert_eq!(spread(0b1011), 0b100_0101);
        assert_eq!(spread(u32::MAX), 0x5555_5555_5555_5555);
    }

    #[test]
    fn every_place_is_visited_once_and_neighbours_together() {
        let at = |lon, lat| LonLat::new(lon, lat).unwrap();
        let places =
            [at(33.0, -14.0), at(-60.0, 5.0), at(33.001, -14.001), at(180.0, 90.0), at(-60.001, 5.0)];
        let order = visiting_order(&places);
        let mut all = order.clone();
        all.sort_unstable();
        assert_eq!(all, [0, 1, 2, 3, 4]);
        let place_of = |i| order.iter().position(|o| *o == i).unwrap();
        assert_eq!(place_of(0_usize).abs_diff(place_of(2)), 1);
        assert_eq!(place_of(1).abs_diff(place_of(4)), 1);
    }
}

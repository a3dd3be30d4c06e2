//! The ground by depth.

use super::*;

fn two_logs() -> VirtualBoreInputs {
    let mut inputs = inputs(vec![log(3.0, &[(4.0, SoftClay), (10.0, SandWet)]), log(1.0, &[(6.0, SandWet)])]);
    inputs.logs[0].ends_in_soft_ground = false;
    inputs
}

#[test]
fn all_that_may_lie_at_a_depth_is_one() {
    for slice in ground_by_depth(&two_logs(), 0.5, 30.0).unwrap() {
        let sum = slice.classes.iter().map(|c| c.1).sum::<f64>() + slice.refuses + slice.unseen;
        assert!((sum - 1.0).abs() < 1e-9, "{sum} at {} m", slice.top_m);
    }
}

#[test]
fn a_log_counts_by_its_weight() {
    let inputs = two_logs();
    let slices = ground_by_depth(&inputs, 1.0, 20.0).unwrap();
    let chance = |slice: &GroundAtDepth, class| slice.classes.iter().find(|c| c.0 == class).unwrap().1;
    assert!((chance(&slices[1], SoftClay) - 0.75).abs() < by_luck(0.75, &inputs));
    assert!((chance(&slices[1], SandWet) - 0.25).abs() < by_luck(0.25, &inputs));
}

#[test]
fn below_a_log_that_was_refused_the_ground_refuses() {
    let slices = ground_by_depth(&two_logs(), 1.0, 20.0).unwrap();
    assert_eq!((slices[15].refuses, slices[15].unseen), (1.0, 0.0));
}

#[test]
fn below_the_deepest_log_nothing_is_seen() {
    let slices = ground_by_depth(&inputs(vec![log(1.0, &[(6.0, SandWet)])]), 1.0, 20.0).unwrap();
    assert_eq!((slices[5].unseen, slices[6].unseen), (0.0, 1.0));
}

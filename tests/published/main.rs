//! Figures that others published, reckoned again. The source stands beside
//! each; "from memory" where it was recalled and not read again, "reckoned
//! apart" where only the inputs are published and the result comes from
//! another program.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::float_cmp)]

mod bounds;
#[path = "../common/mod.rs"]
mod common;
mod contamination;
mod design;
mod flow;
mod ground;
mod kriging;
mod money;
mod oude_korendijk;
mod pumping;
mod well;

/// Asserts that `got` is within a share of `wanted`.
#[track_caller]
fn near(got: f64, wanted: f64, share: f64) {
    assert!((got / wanted - 1.0).abs() <= share, "{got} is not {wanted} within {share}");
}

/// Asserts that `got` is within an amount of `wanted`.
#[track_caller]
fn close(got: f64, wanted: f64, amount: f64) {
    assert!((got - wanted).abs() <= amount, "{got} is not {wanted} within {amount}");
}

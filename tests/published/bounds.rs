//! No figure, however absurd, makes a NaN, an infinity or a panic.

use forebore::ground::microbes::{self, BetweenGrains};
use forebore::ground::nitrate::{NitrogenBalance, PeopleOnLand};
use forebore::ground::season::remaining_fall_m;
use forebore::ground::travel_time::{Seepage, fixed_radius_m};
use forebore::units::{OutOfRange, Part};
use forebore::well::annulus::Annulus;
use forebore::well::bailer::WideWell;
use forebore::well::beta::{Beta, KnownHole};
use forebore::well::chlorine::{product_g, shaft_water_l};
use forebore::well::cost_per_success::{self, HoleCosts};
use forebore::well::darcy::{self, Layer, Layered};
use forebore::well::dupuit::Strip;
use forebore::well::entrance::{self, Screen};
use forebore::well::fit::{self, DrawdownReading};
use forebore::well::ghyben_herzberg::{self, OverSalt};
use forebore::well::grain;
use forebore::well::hvorslev::OpenLength;
use forebore::well::recovery::{self, RecoveryReading};
use forebore::well::settling::{self, Fluid, Grains};
use forebore::well::specific_capacity::{self, OneReading};
use forebore::well::steps::{self, Pumping, Step};
use forebore::well::theis::{Aquifer, MatchPoint, well_function};
use forebore::well::thiem::{self, AtDistance};
use forebore::well::uphole::Rise;
use forebore::well::value_of_information::Trial;
use forebore::well::wall_support::OpenHole;
use forebore::well::water::Water;
use forebore::well::well_yield::{OtherWell, PumpedWell};
use forebore::well::{cooper_jacob, cooper_jacob::LevelReading};
use proptest::prelude::*;

/// Figures of every size and sign, the absurd ones among them.
fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => 0.0..1.0,
        4 => 0.0..1e3,
        2 => prop::num::f64::ANY,
        2 => prop::sample::select(vec![
            0.0, -0.0, 1.0, -1.0, 0.5, 1e-300, 1e-30, 1e30, 1e300, f64::MAX, f64::MIN_POSITIVE, f64::NAN,
            f64::INFINITY, f64::NEG_INFINITY,
        ]),
    ]
}

fn sound(got: Result<f64, OutOfRange>) {
    match got {
        Ok(value) => assert!(value.is_finite(), "{value}"),
        Err(refused) => assert!(refused.value.is_none_or(f64::is_finite), "{refused}"),
    }
}

fn all_sound(figures: &[f64]) {
    assert!(figures.iter().all(|x| x.is_finite()), "{figures:?}");
}

fn part_sound(got: Result<Part, OutOfRange>) {
    if let Ok(part) = got {
        all_sound(&[part.low, part.value, part.high]);
    }
}

fn pumping_is_sound(f: [f64; 8]) {
    let [a, b, c, d, e, g, h, i] = f;
    sound(well_function(a));
    sound(cooper_jacob::transmissivity_over_time_m2_per_day(a, b));
    sound(cooper_jacob::transmissivity_over_distance_m2_per_day(a, b));
    sound(cooper_jacob::storativity(a, b, c));
    let point = MatchPoint { rate_m3_per_day: a, distance_m: b, drawdown_m: c, time_day: d, w: e, u: g };
    if let Ok(aquifer) = Aquifer::from_match_point(&point) {
        all_sound(&[aquifer.transmissivity_m2_per_day(), aquifer.storativity()]);
    }
    let (one, two) = (AtDistance { distance_m: b, level_m: c }, AtDistance { distance_m: d, level_m: e });
    sound(thiem::confined_transmissivity_m2_per_day(a, &one, &two));
    sound(thiem::unconfined_rate_m3_per_day(a, &one, &two));
    sound(thiem::unconfined_conductivity_m_per_day(a, &one, &two));
    sound(thiem::unconfined_height_m(a, b, c, &two));
    sound(specific_capacity::logan_confined_m2_per_day(a, b));
    sound(specific_capacity::logan_unconfined_m_per_day(a, b, c));
    sound(specific_capacity::driscoll_m2_per_day(a, b, true));
    let reading = OneReading { rate_m3_per_day: a, drawdown_m: b, time_day: c, radius_m: d, storativity: e };
    if let Ok(jacob) = specific_capacity::jacob(&reading) {
        all_sound(&[jacob.transmissivity_m2_per_day, jacob.u]);
    }
    let Ok(aquifer) = Aquifer::new(a, b) else { return };
    sound(aquifer.drawdown_m(c, d, e));
    sound(specific_capacity::of_aquifer_m2_per_day(&aquifer, c, d));
    sound(steps::residual_drawdown_m(&aquifer, c, d, e, g));
    if let Ok(late) = cooper_jacob::drawdown(&aquifer, c, d, e) {
        all_sound(&[late.drawdown_m, late.u]);
    }
    let well = PumpedWell {
        aquifer,
        unconfined_m: Some(g).filter(|x| *x > 0.5),
        radius_m: c,
        well_loss_day2_per_m5: d,
        bias: e,
        others: vec![OtherWell { distance_m: h, rate_m3_per_day: i }],
    };
    sound(well.yield_for(g, i).map(|y| y.rate_m3_per_day + y.u));
    sound(well.drawdown(h, i).map(|s| s.total_m + s.aquifer_m));
    if let Ok(wide) = WideWell::new(aquifer, c, d)
        && let Ok(bailed) = wide.bailed(e, g)
    {
        all_sound(&[bailed.greatest_drawdown_m, bailed.half_risen_day, bailed.three_quarters_risen_day]);
    }
}

fn tests_are_sound(f: [f64; 8]) {
    let [a, b, c, d, e, g, h, i] = f;
    let pairs = [(a, b), (c, d), (e, g), (h, i), (b, c)];
    let levels = pairs.map(|(time_day, drawdown_m)| LevelReading { time_day, drawdown_m });
    if let Ok(line) = cooper_jacob::late_line(a, b, &levels) {
        all_sound(&[line.transmissivity_m2_per_day, line.transmissivity_se_m2_per_day, line.storativity]);
    }
    let rises =
        pairs.map(|(since_stop_day, drawdown_left_m)| RecoveryReading { since_stop_day, drawdown_left_m });
    if let Ok(line) = recovery::recovery_line(a, b, 0.0, &rises) {
        all_sound(&[line.transmissivity_m2_per_day, line.transmissivity_se_m2_per_day, line.left_for_ever_m]);
    }
    sound(recovery::risen_share(a, b));
    let steps = vec![Step { from_day: 0.0, rate_m3_per_day: a }, Step { from_day: b, rate_m3_per_day: c }];
    let Ok(pumping) = Pumping::new(steps) else { return };
    let readings =
        pairs.map(|(time_day, drawdown_m)| DrawdownReading { distance_m: d, time_day, drawdown_m });
    let fits = [fit::fit_theis(&pumping, &readings), fit::fit_theis_with_well_loss(&pumping, &readings)];
    for fit in fits.into_iter().flatten() {
        all_sound(&[fit.transmissivity_m2_per_day, fit.storativity, fit.rmse_m, fit.well_loss_day2_per_m5]);
        all_sound(&[fit.ln_transmissivity_se, fit.ln_storativity_se, fit.well_loss_se_day2_per_m5]);
    }
}

fn ground_is_sound(f: [f64; 8]) {
    let [a, b, c, d, e, g, h, i] = f;
    sound(darcy::velocity_m_per_day(a, b, c));
    sound(darcy::discharge_m3_per_day(a, b, c));
    let layers = [(a, b), (c, d)].map(|(thickness_m, conductivity)| Layer { thickness_m, conductivity });
    if let Ok(both) = Layered::of(&layers) {
        all_sound(&[both.along, both.across]);
        sound(both.at_angle(e));
    }
    let strip = Strip {
        conductivity_m_per_day: a,
        length_m: b,
        near_height_m: c,
        far_height_m: d,
        recharge_m_per_day: e,
    };
    sound(strip.height_m(g));
    sound(strip.flow_m2_per_day(g));
    sound(strip.divide_m().map(|at| at.unwrap_or(0.0)));
    sound(grain::hazen(a, b).map(|k| k.m_per_day));
    sound(grain::uniformity(a, b));
    sound(grain::kozeny_carman_m_per_day(a, b, &Water { density_kg_m3: c, viscosity_pa_s: d }));
    sound(Water::at(a).map(|w| w.kinematic_viscosity_m2_per_s()));
    sound(ghyben_herzberg::interface_m(a, b, c));
    let over = OverSalt { table_above_sea_m: a, drawdown_m: b, bottom_below_sea_m: c };
    sound(over.cone().map(|cone| cone.rise_m + cone.steady_rise_m));
    sound(remaining_fall_m(a, b));
    let part = |low: f64, more: f64| Part { low, value: low + more, high: low + 2.0 * more };
    if let Ok(water) = Seepage::new(part(a, b), part(c, d), part(e, g)) {
        part_sound(water.velocity_m_per_day());
        part_sound(water.distance_in_m(h));
        if let Ok(t) = water.time_over(i) {
            all_sound(&[t.fastest_day, t.likely_day.unwrap_or(0.0), t.slowest_day.unwrap_or(0.0)]);
        }
    }
    sound(fixed_radius_m(a, b, c, d));
    sound(microbes::die_off_log10(a, b));
    sound(microbes::log10_per_day(a));
    sound(microbes::days_for_nine_tenths(a));
    let between = BetweenGrains {
        porosity: a,
        grain_mm: b,
        microbe_m: c,
        sticking_share: d,
        temperature_c: e,
        viscosity_pa_s: g,
        velocity_m_per_day: h,
    };
    sound(between.removal_log10(i, a));
    let balance = NitrogenBalance {
        waste_depth: a,
        waste_n_mg_l: b,
        lost_share: c,
        recharge_depth: d,
        recharge_n_mg_l: e,
    };
    sound(balance.n_mg_l());
    let people = PeopleOnLand {
        n_kg_per_person_year: a,
        people_per_ha: b,
        leached_share: c,
        waste_l_per_person_day: d,
        recharge_mm_per_year: e,
    };
    sound(people.n_mg_l());
}

fn well_is_sound(f: [f64; 8]) {
    let [a, b, c, d, e, g, ..] = f;
    if let Ok(screen) = Screen::new(a, b, c) {
        sound(screen.velocity_m_per_s(d, e));
        sound(screen.rate_lps(d, e));
        sound(screen.length_m(d, e));
    }
    sound(entrance::limit_in_ground_m_per_s(a));
    sound(Annulus::new(a, b).and_then(|ring| ring.volume_l(c, d)));
    sound(product_g(a, b, c));
    sound(shaft_water_l(a, b));
    sound(settling::ferguson_church_m_per_s(a, b, c, Grains::Spheres));
    if let Ok(fluid) = Fluid::new(a, b) {
        sound(fluid.settling_m_per_s(c, d, Grains::Natural));
        sound(fluid.stokes(c, d).map(|w| w.m_per_s));
    }
    sound(Fluid::by_marsh_funnel(a, b).map(|m| m.viscosity_pa_s()));
    if let Ok(rise) = Rise::between(a, b) {
        sound(rise.lift(c, d).map(|lift| lift.net_m_per_s + lift.needed_lps));
    }
    if let Ok(open) = OpenLength::new(a, b) {
        sound(open.loss_m3_per_day(c, d));
        sound(open.slug_conductivity_m_per_day(c, d));
    }
    let hole = OpenHole { fluid_kg_m3: a, fluid_depth_m: b, table_depth_m: c };
    sound(hole.support_kpa(d));
    if let Ok(costs) = HoleCosts::new(a, b) {
        sound(costs.per_success(c));
        sound(costs.break_even_chance(d).map(|p| p.unwrap_or(0.0)));
        sound(costs.siting_worth(c, e));
        sound(costs.budget(3, c, e).map(|budget| budget.money));
    }
    sound(cost_per_success::chance_of_successes_at_least(7, a, 3));
    if let Ok(beta) = Beta::new(a, b) {
        all_sound(&[beta.mean(), beta.sd(), beta.failures_per_success().unwrap_or(0.0)]);
        sound(beta.quantile(c));
        sound(beta.below(c));
        sound(beta.after_neighbours(&[KnownHole { distance_m: d, good: true }], e).map(|after| after.mean()));
    }
    let trial =
        Trial { chance: a, benefit: b, success_cost: c, failure_cost: d, sensitivity: e, specificity: g };
    if let Ok(known) = trial.worth() {
        all_sound(&[known.worth, known.value_without, known.worth_of_knowing_all, known.chance_of_change]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn formulas_never_leave_the_numbers(f in prop::array::uniform8(figure())) {
        pumping_is_sound(f);
        ground_is_sound(f);
        well_is_sound(f);
    }
}

proptest! {
    // A fit takes milliseconds without optimisation.
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn fits_never_leave_the_numbers(f in prop::array::uniform8(figure())) {
        tests_are_sound(f);
    }
}

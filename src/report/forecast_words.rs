//! The forecast in sentences: depths to half a metre, chances to 5 %.

use super::forecast::{Banded, Forecast, Level, Method, Quality, Refusal, Weight};
use super::forecast_flow::{FlowSource, GroundwaterFlow};
use super::words::capital;

/// The heading; a forecast is never what clears a peg.
pub const HEADING: &str = "What is to be expected (a forecast: it clears nothing)";

/// How many wells are named in a sentence.
const WELLS_NAMED: usize = 3;

/// How many methods are told of at length.
const METHODS_TOLD: usize = 3;

/// Paragraphs: what it is about, and the sentences.
pub fn paragraphs(f: &Forecast, flow: Option<&GroundwaterFlow>) -> Vec<(String, String)> {
    let mut out = vec![("Water in the driest month".to_owned(), level(&f.level))];
    out.extend(f.methods.iter().take(METHODS_TOLD).map(|m| {
        let refusal = f.refusal.iter().find(|r| r.method == m.method);
        (capital(&m.method), method(m, refusal))
    }));
    let rest: Vec<String> =
        f.methods.iter().skip(METHODS_TOLD).map(|m| format!("{}: {}", m.method, chance(m.success))).collect();
    if !rest.is_empty() {
        out.push(("Other methods, holes that are a success".to_owned(), format!("{}.", rest.join(", "))));
    }
    if let Some(flow) = flow {
        out.push(("Flow of the groundwater".to_owned(), flow_of(flow)));
    }
    out.push(("Water quality".to_owned(), quality(&f.quality)));
    out.push(("How this was reckoned".to_owned(), basis(f)));
    out
}

fn level(l: &Level) -> String {
    let b = &l.dry_year_m;
    let mut text = format!(
        "In a dry year it stands about {} below ground, eight times in ten between {}. {} ",
        metres(b.median),
        between(b.band80),
        skill(l)
    );
    text.push_str(&match l.basis.as_str() {
        "prior" => String::new(),
        "pooled" => format!(
            "Nearness tells nothing here, so this is the spread of all {} wells, dry year included.",
            l.wells
        ),
        _ => format!(
            "Without wells one would expect about {} in an average year (between {}); with them {} (between {}). {}",
            metres(l.without_wells_m.median),
            between(l.without_wells_m.band80),
            metres(l.average_year_m.median),
            between(l.average_year_m.band80),
            made_from(&l.weights)
        ),
    });
    if let Some(swing) = l.observed_swing_m {
        text.push_str(&format!(
            " Wells read in both seasons ({}) show a swing of {} in a year.",
            l.swing_wells.join(", "),
            between(swing)
        ));
    }
    text.trim().to_owned()
}

fn skill(l: &Level) -> String {
    match (&l.skill, l.wells) {
        (_, 0) => "No well's level is known: this is only what the setting leads one to expect.".to_owned(),
        (None, 1) => "It rests on one well, which cannot be tested against others.".to_owned(),
        (None, n) => format!("{n} wells are too few to tell how well they forecast each other."),
        (Some(s), _) => {
            let errors = format!(
                "Each well here, forecast from the others, is missed by {:.1} m on average; by the median of the others \
                 it is missed by {:.1} m",
                s.mae_m, s.mae_median_m
            );
            if s.carries_skill {
                format!("{errors}.")
            } else {
                format!("{errors}: neighbours were not seen to forecast better than that.")
            }
        }
    }
}

fn made_from(weights: &[Weight]) -> String {
    if weights.is_empty() {
        return "No well is near enough to count.".to_owned();
    }
    let named: Vec<String> = weights
        .iter()
        .take(WELLS_NAMED)
        .map(|w| format!("{} ({:.0} %, {:.0} m away)", w.well, 100.0 * w.weight, w.distance_m))
        .collect();
    let wells: f64 = weights.iter().map(|w| w.weight).sum();
    let rest = ((1.0 - wells) * 100.0).clamp(0.0, 100.0);
    format!("It is made from {}; {rest:.0} % is the setting's.", named.join(", "))
}

fn method(m: &Method, refusal: Option<&Refusal>) -> String {
    let mut text = format!(
        "{} of holes are a success (with so few logs it may be {} to {}).",
        about(m.success),
        chance_number(m.success_band80[0]),
        chance(m.success_band80[1])
    );
    let ways = [
        (m.refused, "refused by the ground"),
        (m.dry, "no water-bearing ground below the dry level within reach"),
        (m.thin_screen, "too little such ground for a screen"),
        (m.low_yield, "too little water"),
        (m.poor_quality, "water of poor quality"),
    ];
    let fails: Vec<String> =
        ways.iter().filter(|w| w.0 >= 0.005).map(|(s, what)| format!("{what} {}", chance(*s))).collect();
    if !fails.is_empty() {
        text.push_str(&format!(" The others: {}.", fails.join(", ")));
    }
    if let Some(d) = &m.depth_of_success_m {
        text.push_str(&format!(
            " A success is {} deep, eight in ten between {}{}.",
            metres(d.median),
            between(d.band80),
            m.yield_of_success_lps.as_ref().map_or(String::new(), gives)
        ));
    }
    if let Some(r) = refusal {
        text.push_str(&past(r));
    }
    if m.unseen >= 0.05 {
        text.push_str(&format!(" {} hang on ground that no log shows.", capital(&chance(m.unseen))));
    }
    text
}

fn gives(y: &Banded) -> String {
    format!(", and gives {:.2} L/s at most ({:.2} to {:.2} L/s)", y.median, y.band80[0], y.band80[1])
}

/// The chance to get past some depths, as far as the method itself goes.
fn past(r: &Refusal) -> String {
    const EVERY_M: f64 = 5.0;
    let at: Vec<String> = r
        .past
        .iter()
        .filter(|p| p.depth_m > 0.0 && (p.depth_m / EVERY_M).fract() == 0.0)
        .take(6)
        .map(|p| format!("{:.0} m {}", p.depth_m, chance(p.chance)))
        .collect();
    if at.is_empty() {
        return String::new();
    }
    format!(
        " Chance to get past a depth before the ground refuses it: {} (its own limit is {:.0} m).",
        at.join(", "),
        r.max_depth_m
    )
}

/// Where it likely flows to, and what lies up-gradient.
fn flow_of(f: &GroundwaterFlow) -> String {
    let mut text = match (f.towards_deg, f.half_band_deg, &f.no_plane) {
        (Some(to), Some(half), _) => format!(
            "By the levels of {} wells it flows towards {to:.0}° from north, nineteen times in twenty within {half:.0}° \
             of that.",
            f.wells.len()
        ),
        (_, _, Some(why)) => {
            format!("No direction can be told from the levels: {}.", why.trim_end_matches('.'))
        }
        _ => "No direction can be told from the levels.".to_owned(),
    };
    if let Some(stated) = f.stated_towards_deg {
        text.push_str(&format!(" The survey states {stated:.0}°"));
        text.push_str(if f.contradicts_stated {
            ", which the levels exclude: one of them is wrong, and both are allowed for."
        } else {
            "."
        });
    }
    let up: Vec<String> =
        f.sources.iter().filter(|s| s.up_gradient != "no").take(SOURCES_NAMED).map(side).collect();
    if !up.is_empty() {
        text.push_str(&format!(" Up-gradient or perhaps so: {}.", up.join("; ")));
    }
    text
}

/// How many sources of fouling are named.
const SOURCES_NAMED: usize = 4;

fn side(s: &FlowSource) -> String {
    let mut text = format!(
        "{}, {:.0} m away, {}",
        s.name,
        s.distance_m,
        match s.up_gradient.as_str() {
            "surely" => "surely",
            _ => "perhaps",
        }
    );
    if let Some(c) = s.chance {
        text.push_str(&format!(" (by the plane {})", chance(c)));
    }
    if let Some(fastest) = s.fastest_days {
        text.push_str(&format!(", germs {} on the way in the fastest ground there may be", days(fastest)));
        if let Some(likely) = s.likely_days {
            text.push_str(&format!(" and {} at the likely figures", days(likely)));
        }
    }
    text
}

/// Two figures are all that such times are worth.
fn days(d: f64) -> String {
    match d {
        d if d < 1.0 => "less than a day".to_owned(),
        d if d < 10.0 => format!("{d:.0} days"),
        d if d < 3650.0 => format!("{:.0} days", two_figures(d)),
        _ => "more than ten years".to_owned(),
    }
}

fn two_figures(x: f64) -> f64 {
    let by = 10_f64.powf(x.log10().floor() - 1.0);
    (x / by).round() * by
}

/// What tested wells say, and what only the setting does.
fn quality(all: &[Quality]) -> String {
    let over = |q: &Quality| {
        let unit = crate::units::Unit::from_name(&q.unit);
        let limit = unit.map_or_else(|| q.value.to_string(), |u| u.show(q.value));
        format!("{} above {limit} {}", q.name, chance(q.chance))
    };
    let tested: Vec<String> = all
        .iter()
        .filter(|q| q.wells > 0)
        .map(|q| {
            let wells = if q.wells == 1 { "1 well".to_owned() } else { format!("{} wells", q.wells) };
            let skill = match &q.skill {
                Some(s) if !s.carries_skill => "; near wells forecast no better than all of them",
                _ => "",
            };
            format!("{} ({} to {}; {wells}{skill})", over(q), chance_number(q.band80[0]), chance(q.band80[1]))
        })
        .collect();
    let untested: Vec<String> = all.iter().filter(|q| q.wells == 0).map(over).collect();
    let mut text = String::new();
    if !tested.is_empty() {
        text.push_str(&format!("Chance that the water exceeds a limit: {}.", tested.join(", ")));
    }
    if !untested.is_empty() {
        text.push_str(&format!(
            " Of these no well was tested, and this is what the setting leads one to expect: {}.",
            untested.join(", ")
        ));
    }
    text.trim().to_owned()
}

fn basis(f: &Forecast) -> String {
    let wanted = format!(
        "A success gives {:.2} L/s ({}) for {:.0} hours in the driest month of a dry year",
        f.wanted.rate_lps,
        if f.wanted.of_need { "what the users need" } else { "the least for a hand pump" },
        f.wanted.pumping_hours
    );
    let lift = f.wanted.lift_max_m.map_or(String::new(), |l| format!(", lifted from {l:.0} m at most"));
    format!(
        "{} virtual bores (seed {}), drawn from {} and the setting's expected logs; all of them are worth about {:.1} \
         bores at the peg, of which the setting's are {:.0} %. {wanted}{lift}.",
        f.virtual_bores,
        f.seed,
        match f.logs {
            0 => "no neighbour's log".to_owned(),
            1 => "one log".to_owned(),
            n => format!("{n} logs"),
        },
        f.worth_bores,
        100.0 * f.expected_share
    )
}

fn to_half(m: f64) -> f64 {
    (2.0 * m).round() / 2.0
}

fn metres(m: f64) -> String {
    format!("{} m", to_half(m))
}

fn between(band: [f64; 2]) -> String {
    format!("{} m and {} m", to_half(band[0]), to_half(band[1]))
}

fn chance_number(c: f64) -> String {
    format!("{:.0}", (c * 20.0).round() * 5.0)
}

/// To 5 %, but never "0 %" or "100 %" of what may happen.
fn chance(c: f64) -> String {
    match c {
        c if c <= 0.0 => "0 %".to_owned(),
        c if c < 0.025 => "under 5 %".to_owned(),
        c if c >= 1.0 => "100 %".to_owned(),
        c if c > 0.975 => "over 95 %".to_owned(),
        c => format!("{} %", chance_number(c)),
    }
}

fn about(c: f64) -> String {
    if (0.025..=0.975).contains(&c) { format!("About {}", chance(c)) } else { capital(&chance(c)) }
}

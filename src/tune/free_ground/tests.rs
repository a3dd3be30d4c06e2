//! Free ground against the rules themselves: run at many spots, they find
//! what the map says.

use std::rc::Rc;
use std::sync::Arc;

use proptest::prelude::*;

use super::required::Bench;
use super::*;
use crate::diag::{Problems, Sources};
use crate::facts::hangs_on_distance;
use crate::place::free_ground::Class;
use crate::region;
use crate::rules::{Finding, Outcome};
use crate::survey::read_survey;

struct Yard {
    survey: Survey,
    region: Arc<Region>,
    rules: RuleSet,
    judge: Judge,
    facts: Rc<SiteFacts>,
}

impl Yard {
    fn read(text: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("survey.toml");
        std::fs::write(&path, text).unwrap();
        let mut problems = Problems::new();
        let survey = read_survey(&path, &mut Sources::new(), &mut problems);
        let survey = survey.unwrap_or_else(|| panic!("{problems:?}\n{text}"));
        let region = region::load("river-alluvium", None, &mut Sources::new(), &mut Problems::new()).unwrap();
        let rules = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
        let (judge, region) = (Judge::new(&rules), Arc::new(region));
        let facts = Rc::new(SiteFacts::of_survey(&survey, region.clone()));
        Self { survey, region, rules, judge, facts }
    }

    fn free_ground(&self) -> FreeGround {
        free_ground(&Inputs {
            survey: &self.survey,
            region: &self.region,
            rules: &self.rules,
            judge: &self.judge,
            facts: &self.facts,
            stage: Stage::Mobilisation,
        })
        .unwrap()
    }

    fn required(&self) -> Vec<Requirement> {
        let limits = Rc::new(self.region.limits.clone());
        let (judge, rules, region, facts) = (&self.judge, &self.rules, &self.region, &self.facts);
        Bench { judge, rules, region, stage: Stage::Mobilisation, facts, limits: &limits }.required()
    }

    /// What the rules that go by the distance to one kind find.
    fn by_distance(&self, facts: Rc<dyn FactSource>) -> Vec<Finding> {
        let hangs = |id: &str| {
            let about = self.rules.find(id).unwrap().about.as_ref().unwrap();
            about.reads.iter().any(|f| HazardKind::ALL.iter().any(|k| hangs_on_distance(f, *k)))
        };
        let limits = Rc::new(self.region.limits.clone());
        self.judge.judge(Stage::Mobilisation, &facts, &limits, |id| {
            self.region.switched_off.contains_key(id) || !hangs(id)
        })
    }
}

fn open(f: &Finding) -> bool {
    matches!(f.outcome, Outcome::Stop | Outcome::Broken) || (f.outcome == Outcome::FindOut && f.blocks)
}

const PEG: &str = "[peg]\nname = \"Yard\"\nat = { lat = -9.41231, lon = 39.28114, accuracy_m = 4 }\n";

/// Signs of slow ground, so that the rule on fast ground does not apply.
const SIGNS: &str = "[ground]\ngravel = false\nfissured = false\nboulders = false\n[plan]\ntower_height_m = 4.0\n\
                     [[well]]\nname = \"bore\"\nfrom_peg = { bearing_deg = 80, distance_m = 4, accuracy_m = 0.2 }\n\
                     made = \"trial bore\"\ndepth_m = 20\nwater_level_m = 5\nmeasured = 2026-05-14\n\
                     log = [{ to_m = 20, material = \"fine sand\" }]\n";

fn looked_for(radius_m: f64) -> String {
    let line = |k: HazardKind| format!("\"{}\" = {radius_m:.1}\n", k.name());
    format!("[looked_for]\n{}", HazardKind::ALL.map(line).concat())
}

const SQUARE: &str = "[plot]\naccuracy_m = 1\ncorners = [{ bearing_deg = 45, distance_m = 80 }, \
                      { bearing_deg = 135, distance_m = 80 }, { bearing_deg = 225, distance_m = 80 }, \
                      { bearing_deg = 315, distance_m = 80 }]\n";

#[test]
fn what_the_rules_ask_is_where_they_change_their_mind() {
    let yard = Yard::read(&format!("{PEG}{SIGNS}"));
    let required = yard.required();
    let of = |kind, level| required.iter().find(|r| r.kind == kind && r.level == level).map(|r| r.distance_m);
    let limit = |name: &str| yard.region.limits[name].value;
    assert_eq!(of(HazardKind::PitLatrine, Level::Stops), Some(limit("pit_latrine_stop_m")));
    assert_eq!(of(HazardKind::PitLatrine, Level::Cautions), Some(limit("pit_latrine_caution_m")));
    assert_eq!(of(HazardKind::OpenWater, Level::Stops), None);
    assert_eq!(of(HazardKind::OpenWater, Level::Cautions), Some(limit("open_water_caution_m")));
    // With a tower of four metres the margin decides.
    assert_eq!(of(HazardKind::OverheadLine, Level::Stops), Some(limit("overhead_line_margin_stop_m") + 4.0));
    assert_eq!(
        of(HazardKind::OverheadLine, Level::Cautions),
        Some(limit("overhead_line_margin_caution_m") + 4.0)
    );
    for r in &required {
        let named = r.limit.as_ref().unwrap();
        assert!((named.value + r.added_m - r.distance_m).abs() < 1e-9, "{r:?}");
    }
    let kinds: std::collections::BTreeSet<_> = required.iter().map(|r| r.kind).collect();
    assert_eq!(kinds.len(), HazardKind::ALL.len(), "every kind has a rule");
}

#[test]
fn without_the_tower_s_height_a_line_must_be_farther_than_anything_reaches() {
    let yard = Yard::read(&format!("{PEG}{}", SIGNS.replace("tower_height_m = 4.0", "")));
    let required = yard.required();
    let line =
        required.iter().find(|r| r.kind == HazardKind::OverheadLine && r.level == Level::Stops).unwrap();
    assert_eq!(line.limit.as_ref().unwrap().name, "overhead_line_far_m");
}

#[test]
fn ground_where_water_runs_fast_asks_more_of_every_faecal_source() {
    let yard = Yard::read(&format!("{PEG}{}", SIGNS.replace("gravel = false", "gravel = true")));
    let required = yard.required();
    let latrine =
        required.iter().find(|r| r.kind == HazardKind::PitLatrine && r.level == Level::Stops).unwrap();
    assert_eq!(latrine.rule, "fast-ground");
    let road = required.iter().find(|r| r.kind == HazardKind::Road && r.level == Level::Stops).unwrap();
    assert_eq!(road.rule, "road");
}

#[test]
fn a_kind_that_nobody_searched_for_leaves_the_plot_not_known() {
    let all = looked_for(900.0).replace("\"sewer\" = 900.0\n", "");
    let ground = Yard::read(&format!("{PEG}{SQUARE}{SIGNS}{all}")).free_ground();
    let [stops, _] = &ground.levels;
    assert!(stops.ground.free_m2() == 0.0 && stops.ground.not_known_m2() > 12_000.0);
    assert_eq!(stops.not_searched.iter().map(|n| n.kind).collect::<Vec<_>>(), [HazardKind::Sewer]);
    let searched = Yard::read(&format!("{PEG}{SQUARE}{SIGNS}{}", looked_for(900.0))).free_ground();
    assert!((searched.levels[0].ground.free_m2() - 12_800.0).abs() < 1.0);
    assert!(searched.levels[0].not_searched.is_empty());
}

#[test]
fn a_blocked_plot_has_no_spot() {
    let latrine = "[[hazard]]\nkind = \"pit latrine\"\nfrom_peg = { bearing_deg = 10, distance_m = 3, accuracy_m = 0.2 }\n";
    let small = SQUARE.replace("distance_m = 80", "distance_m = 6");
    let ground = Yard::read(&format!("{PEG}{small}{SIGNS}{}{latrine}", looked_for(900.0))).free_ground();
    assert!(ground.spots.is_empty() && ground.widest.is_none());
    assert!(ground.levels[0].ground.free_m2() <= 0.0);
    assert!(ground.peg.clear_of_stops_m < 0.0);
}

#[test]
fn the_edge_of_a_stated_plot_is_a_boundary() {
    let ground = Yard::read(&format!("{PEG}{SQUARE}{SIGNS}{}", looked_for(900.0))).free_ground();
    let [stops, cautions] = &ground.levels;
    assert_eq!(stops.layout.class_of([55.0, 0.0]), Class::Free);
    assert_eq!(cautions.layout.class_of([55.0, 0.0]), Class::Taken);
    let circle = Yard::read(&format!("{PEG}{SIGNS}{}", looked_for(900.0))).free_ground();
    assert_eq!(circle.levels[1].layout.class_of([49.0, 0.0]), Class::Free);
    assert_eq!((circle.radius_m, circle.stated), (Some(50.0), None));
}

#[test]
fn better_known_ground_is_never_less() {
    let latrine = |accuracy_m: f64| {
        format!(
            "[[hazard]]\nkind = \"pit latrine\"\nat = {{ lat = -9.41231, lon = 39.2815, accuracy_m = {accuracy_m} }}\n"
        )
    };
    let free = |accuracy_m, searched_m| {
        let text = format!("{PEG}{SQUARE}{SIGNS}{}{}", looked_for(searched_m), latrine(accuracy_m));
        let ground = Yard::read(&text).free_ground();
        ground.levels.map(|l| l.ground.free_m2())
    };
    let [best, worse, unsearched] = [free(1.0, 900.0), free(12.0, 900.0), free(1.0, 120.0)];
    assert!(worse[0] < best[0] && worse[1] < best[1]);
    assert!(unsearched[0] < best[0] && unsearched[1] <= best[1]);
}

#[derive(Debug, Clone)]
struct Found {
    kind: HazardKind,
    taped: bool,
    bearing_deg: f64,
    distance_m: f64,
    accuracy_m: f64,
}

impl Found {
    fn text(&self) -> String {
        let Found { kind, bearing_deg, distance_m, accuracy_m, .. } = self;
        let place = if self.taped {
            format!(
                "from_peg = {{ bearing_deg = {bearing_deg}, distance_m = {distance_m}, accuracy_m = {accuracy_m} }}"
            )
        } else {
            let peg = crate::survey::LonLat::new(39.28114, -9.41231).unwrap();
            let at = crate::place::destination(peg, *bearing_deg, *distance_m).unwrap();
            format!("at = {{ lat = {}, lon = {}, accuracy_m = {accuracy_m} }}", at.lat_deg(), at.lon_deg())
        };
        format!("[[hazard]]\nkind = \"{}\"\n{place}\n", kind.name())
    }
}

fn found() -> impl Strategy<Value = Found> {
    (prop::sample::select(HazardKind::ALL.to_vec()), any::<bool>(), 0.0..360.0, 0.5..150.0, 0.1..6.0)
        .prop_map(|(kind, taped, bearing_deg, distance_m, accuracy_m)| Found {
            kind,
            taped,
            bearing_deg,
            distance_m,
            accuracy_m,
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Both ways: where the map says free, and there is room for the error of
    /// setting out, no distance stops the spot or leaves it open; where it
    /// says taken or not known, one does.
    #[test]
    fn the_map_says_what_the_rules_find(
        hazards in prop::collection::vec(found(), 0..4), searched_m in 30.0..500.0,
    ) {
        let hazards: String = hazards.iter().map(Found::text).collect();
        let yard = Yard::read(&format!("{PEG}{SQUARE}{SIGNS}{}{hazards}", looked_for(searched_m)));
        let ground = yard.free_ground();
        let moved = Moved::of_survey(&yard.survey, yard.region.clone()).unwrap();
        let layout = &ground.levels[0].layout;
        for east in [-50.0, -31.0, -12.0, -3.0, 7.0, 20.0, 44.0] {
            for north in [-49.0, -27.0, -8.0, 4.0, 17.0, 39.0] {
                let far_m = f64::hypot(east, north);
                let at = ground.plane.lon_lat([east, north]).unwrap();
                let findings = yard.by_distance(Rc::new(moved.at(at)));
                let bad: Vec<_> = findings.iter().filter(|f| open(f)).map(|f| (&f.rule.id, &f.why)).collect();
                let class = layout.class_of([east, north]);
                if class == Class::Free && layout.clearance_m([east, north]) >= moved.setting_out_m(far_m) {
                    prop_assert!(bad.is_empty(), "({east}, {north}): {bad:?}");
                }
                if class != Class::Free {
                    prop_assert!(!bad.is_empty(), "({east}, {north}) is {class:?}");
                }
            }
        }
        // And at the peg, on the peg's own facts.
        let own = yard.by_distance(yard.facts.clone());
        prop_assert_eq!(layout.class_of([0.0, 0.0]) == Class::Free, !own.iter().any(open));
    }

    #[test]
    fn a_spot_that_is_offered_stands_where_it_says(
        hazards in prop::collection::vec(found(), 0..5), searched_m in 60.0..500.0,
    ) {
        let hazards: String = hazards.iter().map(Found::text).collect();
        let ground = Yard::read(&format!("{PEG}{SQUARE}{SIGNS}{}{hazards}", looked_for(searched_m))).free_ground();
        for spot in ground.spots.iter().chain(&ground.widest) {
            for (level, class) in ground.levels.iter().zip(spot.class) {
                prop_assert_eq!(level.layout.class_of(spot.east_north_m), class);
            }
            prop_assert!(spot.class[0] != Class::Taken);
            let again = crate::place::destination(ground.plane.place(), spot.bearing_deg.unwrap(), spot.far_m).unwrap();
            prop_assert!(distance_m(again, spot.at) < 1e-3);
        }
        let scores: Vec<_> = ground.spots.iter().map(|s| s.verdict.answer).collect();
        prop_assert!(scores.windows(2).all(|w| w[0] >= w[1]));
    }
}

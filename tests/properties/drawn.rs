//! The pictures of random surveys: no text over text, none cut, nothing that a
//! survey says becomes markup.

use std::rc::Rc;
use std::sync::Arc;

use forebore::diag::Sources;
use forebore::facts::{FactSource, SiteFacts};
use forebore::place;
use forebore::region::Region;
use forebore::report::{self, html};
use forebore::survey::{LonLat, Shape, Survey};
use forebore::tune::free_ground::{Inputs, free_ground};
use proptest::prelude::*;

use super::common::page::{faults_of_page, faults_of_pictures, parsed};
use super::levelled::plan;
use super::random::{Plan2, spot};
use super::{JUDGE, STAGE, any_region, judge, rules};

/// What may be drawn of a survey besides points: names of any length and
/// script, lines and areas of any size.
#[derive(Debug, Clone)]
struct Looks {
    names: Vec<String>,
    shapes: Vec<(u8, f64, f64)>,
}

fn looks() -> impl Strategy<Value = Looks> {
    let name = prop_oneof!["[a-zé' ]{0,60}", "\\PC{0,40}", Just("<b>&\"'".to_owned())];
    let shape = (0..3_u8, 0.0..360.0_f64, prop_oneof![1.0..80.0_f64, 80.0..5e4_f64]);
    (prop::collection::vec(name, 12), prop::collection::vec(shape, 12))
        .prop_map(|(names, shapes)| Looks { names, shapes })
}

fn dressed(plan: &Plan2, looks: &Looks) -> Survey {
    let mut survey = plan.survey();
    for ((hazard, name), (kind, bearing_deg, size_m)) in
        survey.hazards.iter_mut().zip(&looks.names).zip(&looks.shapes)
    {
        hazard.name.clone_from(name);
        let at = hazard.position.at;
        let away = |by: f64| -> LonLat { place::destination(at, bearing_deg + by, *size_m).unwrap() };
        hazard.shape = match kind {
            0 => Shape::Points(vec![at]),
            1 => Shape::Lines(vec![vec![at, away(0.0), away(140.0)]]),
            _ => Shape::Polygons(vec![vec![vec![at, away(0.0), away(60.0), at]]]),
        };
    }
    for (well, name) in survey.wells.iter_mut().zip(looks.names.iter().rev()) {
        well.name.clone_from(name);
    }
    survey
}

fn page(survey: Survey, region: &Arc<Region>, language: html::Language) -> String {
    let survey = Arc::new(survey);
    let site = Rc::new(SiteFacts::of_survey(&survey, region.clone()));
    let facts: Rc<dyn FactSource> = site.clone();
    let assessment = judge(&facts, region);
    let ground = JUDGE.with(|judge| {
        let stage = STAGE;
        free_ground(&Inputs { survey: &survey, region, rules: rules(), judge, facts: &site, stage })
    });
    let report = report::build(&report::Inputs {
        survey: &survey,
        survey_sources: &Sources::new(),
        region,
        rules: rules(),
        facts: &facts,
        site: Some(&site),
        free_ground: ground.as_ref().ok(),
        assessment: &assessment,
    });
    html::render(&report, language)
}

fn languages() -> impl Strategy<Value = html::Language> {
    prop_oneof![Just(html::Language::English), Just(html::Language::French)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..super::config() })]

    #[test]
    fn no_text_of_a_picture_covers_another_or_is_cut(
        plan in plan(), more in prop::collection::vec(spot(), 0..8), looks in looks(), region in any_region(),
        language in languages()
    ) {
        let mut plan = plan;
        plan.hazards.extend(more);
        let page = page(dressed(&plan, &looks), &region, language);
        let read = parsed(&page);
        let wrong: Vec<String> = faults_of_pictures(&read).into_iter().chain(faults_of_page(&read)).collect();
        prop_assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        prop_assert!(page.len() < 500_000, "{} bytes", page.len());
    }
}

//! `forebore assess`: the main job.

use std::path::PathBuf;
use std::process::ExitCode;
use std::rc::Rc;
use std::sync::Arc;

use clap::{Args as ClapArgs, ValueEnum};

use super::{Format, Lang, UNUSABLE, expect, output};
use crate::diag::{Problems, Sources};
use crate::facts::{FactSource, SiteFacts};
use crate::region::{self, Region};
use crate::report;
use crate::rules::Judge;
use crate::survey::{self, Stage};
use crate::tune::flips;
use crate::tune::free_ground::{Inputs as FreeGroundInputs, free_ground};
use crate::verdict::{Answer, assess};

#[derive(Debug, ClapArgs)]
pub(super) struct Args {
    /// The survey file
    survey: PathBuf,
    /// The setting: a name from `forebore regions list`, or a file
    #[arg(long, value_name = "NAME|FILE")]
    region: Option<String>,
    /// A local file of limits that the authority sets
    #[arg(long, value_name = "FILE")]
    local: Option<PathBuf>,
    /// A folder of rules laid over the built-in ones
    #[arg(long, value_name = "DIR")]
    rules: Option<PathBuf>,
    /// The decision at hand: desk-study, site-visit, trial-bore, mobilisation, drilling, completion or hand-over
    #[arg(long, value_parser = stage, default_value = "mobilisation")]
    stage: Stage,
    /// Refuse unless the rules or the region have this content hash (see `forebore rules hash`)
    #[arg(long, value_name = "HASH")]
    expect: Vec<String>,
    /// The format of the report
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// The language of the HTML report and the field sheet; the other formats are in English
    #[arg(long, value_enum, default_value = "en")]
    lang: Lang,
    /// Write the report to this file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Columns of the text report; from 100 on it has a plan and a section
    #[arg(long, value_name = "COLUMNS")]
    width: Option<usize>,
    /// Exit with 1 when the verdict is worse than this
    #[arg(long, value_enum, value_name = "VERDICT")]
    fail_unless: Option<AtLeast>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum AtLeast {
    Go,
    GoIf,
}

pub(super) fn stage(text: &str) -> Result<Stage, String> {
    Stage::from_name(text).ok_or_else(|| {
        let names = Stage::ALL.map(|s| s.name().replace(' ', "-"));
        format!("use one of: {}", names.join(", "))
    })
}

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let mut problems = Problems::new();
    let mut survey_sources = Sources::new();
    let mut sources = Sources::new();
    let survey = survey::read_survey(&args.survey, &mut survey_sources, &mut problems);
    let setting = args.region.clone().or_else(|| survey.as_ref()?.region.as_ref().map(|r| r.value.clone()));
    let setting = setting.as_deref().unwrap_or(region::UNSTATED);
    let region = region::load(setting, args.local.as_deref(), &mut sources, &mut problems);
    let rules = super::rules::load(args.rules.as_deref(), &mut sources, &mut problems);
    if let (Some(region), Some(rules)) = (&region, &rules) {
        super::rules::check_named(region, rules, &mut problems);
    }
    sources.extend(&survey_sources);
    output::report(&problems, &sources);
    let (Some(survey), Some(region), Some(rules)) = (survey, region, rules) else {
        anstream::eprintln!("The input could not be used; nothing was assessed.");
        return Ok(ExitCode::from(UNUSABLE));
    };
    expect::check(&args.expect, &[("rules", rules.hash()), ("region", region.hash())])?;

    let region: Arc<Region> = Arc::new(region);
    let site = Rc::new(SiteFacts::of_survey(&survey, region.clone()));
    let facts: Rc<dyn FactSource> = site.clone();
    let judge = Judge::new(&rules);
    let assessment = assess(&judge, &facts, &region, args.stage);
    let ground = free_ground(&FreeGroundInputs {
        survey: &survey,
        region: &region,
        rules: &rules,
        judge: &judge,
        facts: &site,
        stage: args.stage,
    });
    let mut report = report::build(&report::Inputs {
        survey: &survey,
        survey_sources: &survey_sources,
        region: &region,
        rules: &rules,
        facts: &facts,
        site: Some(&site),
        free_ground: ground.as_ref().ok(),
        assessment: &assessment,
    });
    let language = match args.lang {
        Lang::En => report::html::Language::English,
        Lang::Fr => report::html::Language::French,
    };
    let flips = flips::flips(&flips::Trials::new(&judge, &region, &site, &assessment));
    report::flips::add(&mut report, &flips, &region.currency);
    let text = match args.format {
        Format::Text => {
            let shown = args.out.is_none() && output::to_terminal();
            let width = args.width.or_else(|| output::terminal_width().filter(|_| shown));
            report::text::render_wide(&report, shown, width.unwrap_or(0))
        }
        Format::Markdown => report::markdown::render(&report),
        Format::Html => report::html::render(&report, language),
        Format::Sheet => report::sheet::render(&report, language),
        Format::Json => report::json::render(&report),
        Format::GeoJson => report::geojson::render(&report),
    };
    match &args.out {
        Some(path) => output::write(path, &text)?,
        None => output::print(&text)?,
    }
    let wanted = match args.fail_unless {
        Some(AtLeast::Go) => Answer::Go,
        Some(AtLeast::GoIf) => Answer::GoIf,
        None => Answer::NoGo,
    };
    Ok(if report.verdict >= wanted { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

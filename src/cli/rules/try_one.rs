//! `forebore rules try`: one rule on one survey, step by step.

use std::path::PathBuf;
use std::process::ExitCode;
use std::rc::Rc;
use std::sync::Arc;

use anyhow::bail;
use clap::Args as ClapArgs;
use textwrap::{Options, fill};

use super::{RegionArgs, load, rule_hint, unusable};
use crate::cli::assess::stage;
use crate::cli::output;
use crate::diag::{Origin, Problems, Sources, nearest_word};
use crate::facts::{FACTS, FactSource, SiteFacts, Value};
use crate::rules::{Did, Finding, Judge, Outcome, Rule, Step};
use crate::survey::{self, Stage};
use crate::tune::{Bench, Stretch, Swept};
use crate::verdict::answer_of;

#[derive(Debug, ClapArgs)]
pub(in crate::cli) struct Args {
    /// The rule's name
    rule: String,
    /// The survey file
    survey: PathBuf,
    #[command(flatten)]
    region: RegionArgs,
    /// A folder of rules laid over the built-in ones
    #[arg(long, value_name = "DIR")]
    rules: Option<PathBuf>,
    /// The decision at hand: desk-study, site-visit, trial-bore, mobilisation, drilling, completion or hand-over
    #[arg(long, value_parser = stage, default_value = "mobilisation")]
    stage: Stage,
    /// Vary one fact or limit and show where the answer changes: NAME=FROM..TO; for a fact of words NAME alone
    #[arg(long, value_name = "NAME=FROM..TO", value_parser = Sweep::parse, allow_hyphen_values = true)]
    sweep: Vec<Sweep>,
}

/// What is to be varied.
#[derive(Debug, Clone)]
struct Sweep {
    name: String,
    ends: Option<(f64, f64)>,
}

impl Sweep {
    fn parse(text: &str) -> Result<Self, String> {
        let Some((name, ends)) = text.split_once('=') else {
            return Ok(Self { name: text.to_owned(), ends: None });
        };
        let number = |t: &str| t.trim().parse::<f64>().ok().filter(|x| x.is_finite());
        let ends = ends.split_once("..").and_then(|(from, to)| Some((number(from)?, number(to)?)));
        // Beyond these no depth, price or concentration lies, and sums of
        // them stay numbers.
        match ends.filter(|(from, to)| from < to && from.abs().max(to.abs()) <= 1e9) {
            Some(ends) => Ok(Self { name: name.to_owned(), ends: Some(ends) }),
            None => {
                Err("write NAME=FROM..TO with two rising numbers, such as nearest_pit_latrine_m=0..60".into())
            }
        }
    }
}

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let survey = survey::read_survey(&args.survey, &mut sources, &mut problems);
    let stated = survey.as_ref().and_then(|s| s.region.as_ref().map(|r| r.value.clone()));
    let region = args.region.load(stated.as_deref(), &mut sources, &mut problems);
    let set = load(args.rules.as_deref(), &mut sources, &mut problems);
    let (Some(survey), Some(region), Some(set)) = (survey, region, set) else {
        return unusable(&problems, &sources);
    };
    output::report(&problems, &sources);
    let Some(rule) = set.find(&args.rule) else {
        if let Some(off) = set.switched_off.get(&args.rule) {
            bail!("the rule {} is switched off at {}: {}", args.rule, off.from, off.reason);
        }
        bail!("there is no rule {}; {}", args.rule, rule_hint(&args.rule, &set));
    };
    let region = Arc::new(region);
    let facts: Rc<dyn FactSource> = Rc::new(SiteFacts::of_survey(&survey, region.clone()));
    let (judge, limits) = (Judge::new(&set), Rc::new(region.limits.clone()));
    let bench = Bench { judge: &judge, rule: &rule.id, stage: args.stage, facts: &facts, limits: &limits };

    let mut text = format!("{} [{}]\n{}\n", rule.id, rule.file, rule.title());
    text.push_str(&format!(
        "on {} in {}, before {}\n",
        survey.peg.name.value,
        region.title,
        args.stage.name()
    ));
    if let Ok(about) = &rule.about
        && !about.stages.contains(&args.stage)
    {
        text.push_str("It is not asked at this stage; this is what it would find.\n");
    }
    if let Some(off) = region.switched_off.get(&rule.id) {
        text.push_str(&format!("The region switches it off: {} [{}]\n", off.reason, off.set_by.from));
    }
    if let Some((finding, steps)) = judge.trace(&rule.id, args.stage, &facts, &limits) {
        text.push_str(&told(rule, &finding, &steps));
    }
    for sweep in &args.sweep {
        text.push_str(&swept(&bench, sweep, rule)?);
    }
    output::print(&text)?;
    Ok(ExitCode::SUCCESS)
}

/// The script's lines that did something, with what they did.
fn told(rule: &Rule, finding: &Finding, steps: &[Step]) -> String {
    let mut text = String::new();
    let mut at_line = 0;
    let mut told: Vec<&str> = Vec::new();
    let mut say = |at: &Origin, what: &str| {
        if at.line != at_line {
            at_line = at.line;
            let line = at.line.checked_sub(1).and_then(|n| rule.text.lines().nth(n)).unwrap_or_default();
            let cut: String = line.trim().chars().take(72).collect();
            text.push_str(&format!("\n{:>4}  {cut}\n", at.line));
        }
        text.push_str(&wrapped("        ", what));
    };
    for Step { at, did } in steps {
        match did {
            Did::Fact(name, fact) => {
                let value = match &fact.value {
                    Value::Estimate(e) => e.to_string(),
                    Value::Word(word) => format!("{word:?}"),
                    Value::Unknown => "nobody observed it".to_owned(),
                };
                let from: Vec<_> = fact.from.iter().take(3).map(Origin::to_string).collect();
                let from = if from.is_empty() { String::new() } else { format!(" [{}]", from.join(", ")) };
                say(at, &format!("read {name}: {value}{from}"));
            }
            // A limit is told where it is first read: texts read it again.
            Did::Limit(figure) if told.contains(&figure.name.as_str()) => {}
            Did::Limit(figure) => {
                told.push(&figure.name);
                let value = figure.unit.show(figure.value);
                say(at, &format!("limit {} = {value} [{}]", figure.name, figure.set_by.from));
            }
            Did::Asked { question, answer } => say(at, &format!("{question} {answer}")),
        }
    }
    let grade = finding.grade.map_or_else(String::new, |g| format!(", grade {g:.0}"));
    let outcome = outcome(finding.outcome, finding.blocks);
    say(&finding.at, &format!("=> {outcome}{grade}; alone it would make {}", answer_of(finding).words()));
    text.push('\n');
    text.push_str(&wrapped("", &finding.why));
    if !finding.to_do.is_empty() {
        text.push_str(&wrapped("", &format!("What to do: {}", finding.to_do)));
    }
    text
}

fn outcome(outcome: Outcome, blocks: bool) -> String {
    match outcome {
        Outcome::FindOut if blocks => "find-out, and the stage waits for it".to_owned(),
        Outcome::FindOut => "find-out, as a condition".to_owned(),
        other => other.word().to_owned(),
    }
}

fn wrapped(indent: &str, text: &str) -> String {
    fill(text, Options::new(79).initial_indent(indent).subsequent_indent(&format!("{indent}  "))) + "\n"
}

fn swept(bench: &Bench<'_>, sweep: &Sweep, rule: &Rule) -> anyhow::Result<String> {
    let name = sweep.name.as_str();
    let about = rule.about.as_ref().ok();
    let reads = about.map(|a| [a.reads.clone(), a.limits.clone()].concat()).unwrap_or_default();
    let Some(kind) = bench.swept(name) else {
        let known = FACTS.iter().map(|d| d.name).chain(bench.limits.keys().map(String::as_str));
        let near = nearest_word(name, reads.iter().map(String::as_str).chain(known));
        let hint = near.map_or_else(String::new, |n| format!("; did you mean {n}?"));
        bail!("there is no fact or limit {name}{hint}");
    };
    if !reads.iter().any(|r| r == name) {
        bail!("{} does not read {name}; it reads {}", rule.id, reads.join(", "));
    }
    let (ends, head) = match (kind, sweep.ends) {
        (Swept::Words(_), _) => ((0.0, 0.0), format!("{name}, word by word")),
        (_, None) => bail!("say from where to where: --sweep {name}=FROM..TO"),
        (Swept::Fact(unit), Some((from, to))) => {
            let span = format!("from {} to {}", unit.show(from), unit.show(to));
            ((from, to), format!("{name} {span}, as well known as in the survey"))
        }
        (Swept::Limit(unit), Some((from, to))) => {
            let span = format!("from {} to {}", unit.show(from), unit.show(to));
            ((from, to), format!("the limit {name} {span}"))
        }
    };
    let mut text = format!("\nSweep of {head}, all else as it is\n");
    for Stretch { from, to, outcome: found, blocks, at } in bench.sweep(name, ends.0, ends.1) {
        let span = if from == to { from } else { format!("{from} to {to}") };
        text.push_str(&format!("  {span:<28} {} (line {})\n", outcome(found, blocks), at.line));
    }
    Ok(text)
}

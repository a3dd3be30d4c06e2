//! What a back-test of the rules found, in words and tables.

use super::page::{Page, Table};
use super::parts::{
    band, cell, few, gains, left_out, near, percent, provenance, reliability, scores, skipped,
    verdict_of_skill,
};
use crate::tune::backtest::judged::{
    ChanceTest, Confusion, Difference, LimitStep, LimitSweep, RuleSkill, RulesTest, Share, Without,
};
use crate::verdict::Answer;

/// The whole page.
pub(super) fn page(r: &RulesTest) -> Page {
    let mut page = Page::new("Back-test of the rules".to_owned());
    page.lead(
        "Back-test of the rules: does a site they let through come to a success more often than one they \
         hold back?"
            .to_owned(),
    );
    let observed = match r.observed.as_slice() {
        [] => "the place alone".to_owned(),
        keys => format!("the place, {}", keys.join(", ")),
    };
    page.paragraph(format!(
        "{} records were each judged as the peg they were before drilling, by {} rules at the stage {}; {} of \
         them came to a success. Known of each peg: {observed}. Its neighbours: the nearest {} other records; \
         left out: {}.{} Region: {}. {} rows were skipped.",
        r.records.n,
        r.rules_asked,
        r.stage,
        counted(&r.records),
        r.neighbours_most,
        left_out(&r.leave_out),
        near(r.neighbours_from_m),
        r.region,
        r.skipped.len()
    ));
    page.items(skipped(&r.skipped));
    if !r.notes.is_empty() {
        page.heading("Bear in mind");
        page.warnings(r.notes.clone());
    }
    answers(&mut page, r);
    rules(&mut page, r);
    without(&mut page, r);
    limits(&mut page, r);
    match &r.chance {
        Some(chance) => chances(&mut page, chance),
        None => {
            page.heading("Is the chance of success right?");
            page.paragraph("No record was told a chance.");
        }
    }
    for other in &r.beside {
        page.heading(&format!("Beside it: leave out {}", left_out(&other.leave_out)));
        page.table(confusion("All rules as they stand", &other.verdicts));
        page.paragraph(told(&other.verdicts.let_through));
        page.table(confusion("Only rules that decided", &other.said));
        page.paragraph(told(&other.said.let_through));
        if let Some(chance) = &other.chance {
            page.table(scores(&chance.scores, &chance.baselines));
            page.paragraph(skill(chance));
        }
    }
    page.heading("What this does not show");
    page.items(shows_not(r));
    let p = &r.provenance;
    let hashes =
        [("records", p.records.as_str()), ("map", &p.map), ("region", &p.region), ("rules", &p.rules)];
    page.footer(provenance(r.forebore, &hashes));
    page
}

fn answers(page: &mut Page, r: &RulesTest) {
    page.heading("What the rules answered, and what came");
    page.table(confusion("All rules as they stand", &r.verdicts));
    page.paragraph(told(&r.verdicts.let_through));
    page.heading("What the rules said that decided");
    page.paragraph(
        "Of most records little was written down before drilling, so that most rules only ask. This reads only \
         those that found clear, caution or stop; what is not known counts for nothing here, as it never may \
         in an assessment.",
    );
    page.table(confusion("Only rules that decided", &r.said));
    page.paragraph(told(&r.said.let_through));
    page.paragraph(format!(
        "share: of successes. few: fewer than {:.0} records, of which a share says little. The 95 % bands are \
         those of independent records; where neighbours share their fate they are too narrow.",
        r.few
    ));
}

fn confusion(caption: &str, c: &Confusion) -> Table {
    let heads = ["answer", "records", "success", "failure", "share", "95 % band", ""];
    let rows = c.answers.iter().map(|row| {
        let s = &row.records;
        let name = row.answer.map_or("no rule decided", Answer::words);
        vec![
            name.to_owned(),
            s.n.to_string(),
            s.successes.to_string(),
            (s.n - s.successes).to_string(),
            cell(s.share, percent),
            if s.n > 0 { band(s.band95) } else { "-".to_owned() },
            few(s.few && s.n > 0),
        ]
    });
    Table::new(caption, &heads, rows.collect())
}

/// "12 of 30 (40 %)".
fn counted(s: &Share) -> String {
    match s.share {
        Some(share) => format!("{} of {} ({})", s.successes, s.n, percent(share)),
        None => "none of 0".to_owned(),
    }
}

/// What the comparison of the let-through with the held-back says.
fn told(d: &Difference) -> String {
    let groups =
        format!("Let through (GO, GO IF): {}; held back: {}.", counted(&d.first), counted(&d.second));
    let points = d.difference.zip(d.band95).map(|(d, [low, high])| {
        format!(" Difference {} points (95 %: {} to {}).", signed(d), signed(low), signed(high))
    });
    let means = match d.verdict {
        "tells" => " What is let through does better, by more than chance gives.",
        "tells the wrong way" => " What is let through does worse, by more than chance gives.",
        "too few" => " One of the two is so few that nothing can be compared.",
        "one group only" => " There is nothing to compare.",
        _ => " Not told apart: by this the rules do not sort these records.",
    };
    format!("{groups}{}{means}", points.unwrap_or_default())
}

/// Percentage points with their sign.
fn signed(share: f64) -> String {
    let text = format!("{:+.0}", 100.0 * share);
    if text == "-0" || text == "+0" { "0".to_owned() } else { text.replace('-', "−") }
}

fn rules(page: &mut Page, r: &RulesTest) {
    page.heading("What each rule found");
    let heads = ["rule", "clear", "caution", "stop", "find out", "n/a", "broken"];
    let words = ["clear", "caution", "stop", "find-out", "does-not-apply", "broken"];
    let decided: Vec<&RuleSkill> = r.rules.iter().filter(|rule| rule.decided > 0).collect();
    let row = |rule: &&RuleSkill| {
        let count = |word: &&str| rule.found.get(*word).map_or(0, |s| s.n).to_string();
        std::iter::once(rule.rule.clone()).chain(words.iter().map(count)).collect()
    };
    if !decided.is_empty() {
        page.table(Table::new("Records of each outcome", &heads, decided.iter().map(row).collect()));
    }
    let silent: Vec<&RuleSkill> = r.rules.iter().filter(|rule| rule.decided == 0).collect();
    let broken = silent.iter().filter(|rule| rule.found.contains_key("broken")).count();
    if broken > 0 {
        page.warnings(vec![format!("{broken} rules are broken and judged nothing.")]);
    }
    if !silent.is_empty() {
        let names: Vec<&str> = silent.iter().map(|rule| rule.rule.as_str()).collect();
        page.paragraph(format!(
            "{} of {} rules decided on no record; nothing is learnt of them here: {}.",
            silent.len(),
            r.rules.len(),
            names.join(", ")
        ));
    }
    page.heading("Does each rule tell anything?");
    let compared: Vec<&RuleSkill> =
        decided.into_iter().filter(|rule| rule.tells.difference.is_some()).collect();
    if compared.is_empty() {
        page.paragraph("No rule both cleared some records and warned of or stopped others.");
        return;
    }
    let heads = ["rule", "cleared", "warned or stopped", "difference (points)", "95 %", "reading"];
    let row = |rule: &&RuleSkill| {
        let d = &rule.tells;
        let [low, high] = d.band95.unwrap_or_default();
        vec![
            rule.rule.clone(),
            counted(&d.first),
            counted(&d.second),
            cell(d.difference, signed),
            format!("{} to {}", signed(low), signed(high)),
            d.verdict.to_owned(),
        ]
    };
    page.table(Table::new(
        "Successes of what a rule cleared, and of what it warned of or stopped",
        &heads,
        compared.iter().map(row).collect(),
    ));
    let enough = compared.iter().filter(|rule| rule.tells.verdict != "too few").count();
    let by_chance = match enough {
        0 => "No rule has records enough in both groups to be compared.".to_owned(),
        n => format!(
            "Of {n} compared, one in twenty would seem to tell, one way or the other, though it does not."
        ),
    };
    page.paragraph(format!(
        "A rule tells something here if what it cleared did better than what it warned of or stopped, by more \
         than chance gives. {by_chance} A rule that guards health or safety is not there to tell successes."
    ));
}

fn without(page: &mut Page, r: &RulesTest) {
    page.heading("What would change without each rule");
    let nothing = Without::default();
    let changing: Vec<&RuleSkill> =
        r.rules.iter().filter(|rule| rule.without != nothing || rule.said_without != nothing).collect();
    if changing.is_empty() {
        page.paragraph("No answer hangs on one rule alone.");
        return;
    }
    let heads = ["rule", "answers", "let through", "deciding", "let through"];
    let held = |w: &Without| match w.let_through {
        0 => "0".to_owned(),
        n => format!("{n}, {} well", w.let_through_successes),
    };
    let row = |rule: &&RuleSkill| {
        vec![
            rule.rule.clone(),
            rule.without.changed.to_string(),
            held(&rule.without),
            rule.said_without.changed.to_string(),
            held(&rule.said_without),
        ]
    };
    page.table(Table::new("Answers that would be better", &heads, changing.iter().map(row).collect()));
    page.paragraph(
        "answers: better without that rule, all rules read; let through: those of them held back by it alone, and \
         how many went well. deciding: the same where only rules that decided are read. What goes well among \
         those is a well that the rule would have cost; what fails is a hole it would have saved.",
    );
}

fn limits(page: &mut Page, r: &RulesTest) {
    page.heading("How much hangs on each limit");
    if r.limits.is_empty() {
        page.paragraph("No rule that decided read a limit.");
        return;
    }
    let inert = |l: &&LimitSweep| l.steps.iter().all(|s| s.findings == 0);
    for limit in r.limits.iter().filter(|l| !inert(l)) {
        page.paragraph(format!(
            "{} = {} ({}), read by {} on {} records that it decided:",
            limit.limit,
            value(limit.value, limit.unit),
            limit.rules.join(", "),
            if limit.rules.len() == 1 { "that rule" } else { "these rules" },
            limit.n
        ));
        page.table(sweep(limit));
    }
    let still: Vec<&str> = r.limits.iter().filter(inert).map(|l| l.limit.as_str()).collect();
    if !still.is_empty() {
        page.paragraph(format!(
            "No finding changes anywhere from half to twice these: {}.",
            still.join(", ")
        ));
    }
    page.paragraph(
        "Each limit alone is changed; the facts stay as they are. \"cleared\" counts the records that every rule \
         reading the limit clears. A limit is not to be set by such a table: one that happens to sort these \
         records may sort the next ones worse.",
    );
}

fn sweep(limit: &LimitSweep) -> Table {
    let heads = ["limit", "findings", "answers", "deciding", "cleared", "came", "95 % band", ""];
    let row = |s: &LimitStep| {
        let some = s.cleared.n > 0;
        vec![
            format!("{}× {}", s.factor, value(s.value, limit.unit)),
            s.findings.to_string(),
            s.answers.to_string(),
            s.said.to_string(),
            s.cleared.n.to_string(),
            cell(s.cleared.share, percent),
            if some { band(s.cleared.band95) } else { "-".to_owned() },
            few(s.cleared.few && some),
        ]
    };
    let caption = format!("{}: what changes with it, and what came of what is cleared", limit.limit);
    Table::new(&caption, &heads, limit.steps.iter().map(row).collect())
}

fn value(value: f64, unit: &str) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match unit {
        "1" | "count" | "money" => text.to_owned(),
        unit => format!("{text} {unit}"),
    }
}

fn chances(page: &mut Page, c: &ChanceTest) {
    page.heading("Is the chance of success right?");
    page.table(scores(&c.scores, &c.baselines));
    page.paragraph(format!(
        "The chance is that of the assessment, from {:.0} virtual bores at each of {} records{}. Brier and log \
         score: the less the better; the log score counts a chance as no nearer to 0 or 1 than {}. Area: the \
         chance that a success was given more than a failure; 0.5 is drawing lots. base-rate: the share of all \
         other records; nearest: as the nearest other; idw8: the share of the eight nearest, weighted by \
         1/distance².",
        c.virtual_bores,
        c.n,
        if c.untold > 0 { format!(" ({} were told none)", c.untold) } else { String::new() },
        c.log_score_clip
    ));
    page.paragraph(skill(c));
    if let (Some(typical), Some(base)) = (c.typical, c.base_rate) {
        page.paragraph(format!(
            "It says {} for a typical record; {} came to a success.",
            percent(typical),
            percent(base)
        ));
    }
    page.heading("Of what was given a chance, how much came");
    page.reliability(reliability(&c.reliability));
}

fn skill(c: &ChanceTest) -> String {
    match verdict_of_skill(&c.skill) {
        Some((verdict, squares)) => format!("{verdict} {}", gains(&c.skill, squares)),
        None => "Too few records, or all in one place: it cannot be told.".to_owned(),
    }
}

fn shows_not(r: &RulesTest) -> Vec<String> {
    let mut lines = vec![
        "It speaks of wells like these records: other ground, other drillers or other methods (machine-drilled \
         against hand-drilled) may differ. Records of wells that were never drilled are missing: what somebody \
         had already held back does not stand in the table."
            .to_owned(),
        "What counts as a success is what the map says. A rule that keeps water clean or people safe guards \
         against what such a table does not tell; that it sorts no successes is no reason to drop it."
            .to_owned(),
        "What the map does not name was not observed here, though the drillers may have known it.".to_owned(),
    ];
    if r.leave_out == "one" && r.beside.iter().all(|b| b.leave_out == "one") && r.neighbours_from_m <= 0.0 {
        lines.push(
            "Left out one at a time, a record may be judged from its next-door neighbour, and from one that was \
             drilled later. Leave out blocks, or go forward in time, to see how much."
                .to_owned(),
        );
    }
    lines
}

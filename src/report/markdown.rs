//! The report as Markdown (CommonMark with tables).

use super::model::Report;
use super::{flips, forecast_words, free_ground_words, plan_words, words};

/// The report as Markdown.
pub fn render(report: &Report) -> String {
    let mut out = Vec::new();
    let mut line = |text: String| out.push(text);
    line(format!("# {}: {}", escape(&report.peg.name), report.verdict.words()));
    line(String::new());
    let visited = report.peg.visited.as_ref().map_or(String::new(), |d| format!(", visited {d}"));
    line(format!(
        "{} · stage {} · setting {}{visited}",
        words::place(report),
        report.stage,
        escape(&report.peg.region)
    ));
    line(String::new());
    line(format!("**{}** ({})", words::meaning(report), words::score(report)));
    line(String::new());
    let (heading, points) = words::deciding(report);
    if !points.is_empty() {
        line(format!("## {heading}"));
        line(String::new());
        for p in points {
            line(format!("- {} (`{}`)", escape(&p.text), p.rule));
        }
        line(String::new());
    }
    if !report.asks.is_empty() {
        line(format!("## {}", words::asks_heading(report)));
        line(String::new());
        for (i, ask) in report.asks.iter().enumerate() {
            line(format!("{}. {} *({})*", i + 1, escape(&ask.ask), escape(&words::ask_terms(ask))));
        }
        line(String::new());
    }
    let told = flips::told(report);
    if !told.is_empty() {
        line(format!("## {}", flips::HEADING));
        line(String::new());
        line(flips::ABOUT.to_owned());
        line(String::new());
        for (title, changes) in told {
            line(format!("- **{}**", escape(&title)));
            for change in changes {
                line(format!("  - {}", escape(&change)));
            }
        }
        line(String::new());
    }
    for (title, findings) in words::groups(report) {
        line(format!("## {title}"));
        line(String::new());
        for f in findings {
            line(format!("### {} (`{}`)", escape(&f.title), f.rule));
            line(String::new());
            line(escape(&f.why));
            line(String::new());
            if !f.to_do.is_empty() {
                line(format!("**Do:** {}", escape(&f.to_do)));
                line(String::new());
            }
            for e in &f.evidence {
                line(format!("- seen: {}", escape(&words::evidence(e, &f.limits))));
            }
            for l in &f.limits {
                line(format!("- limit: {}", escape(&words::limit(l))));
            }
            line(format!("- rule: `{}`; source: {} ({})", f.rule_line, escape(&f.source), f.basis));
            line(String::new());
        }
    }
    if let Some(forecast) = &report.forecast {
        line(format!("## {}", forecast_words::HEADING));
        line(String::new());
        for (about, text) in forecast_words::paragraphs(forecast, report.groundwater_flow.as_ref()) {
            line(format!("- **{}**: {}", escape(&about), escape(&text)));
        }
        line(String::new());
    }
    if let Some(ground) = &report.free_ground {
        line(format!("## {}", free_ground_words::HEADING));
        line(String::new());
        for (about, text) in free_ground_words::paragraphs(ground) {
            line(format!("- **{}**: {}", escape(&about), escape(&text)));
        }
        line(String::new());
    }
    for (heading, told) in plan_words::sections(report) {
        line(format!("## {heading}"));
        line(String::new());
        for (about, text) in told {
            line(format!("- **{}**: {}", escape(&about), escape(&text)));
        }
        line(String::new());
    }
    for (title, outcome) in [("What is clear", "clear"), ("What does not concern this peg", "does-not-apply")]
    {
        let list = words::with_outcome(report, outcome);
        if !list.is_empty() {
            line(format!("## {title}"));
            line(String::new());
            line("| rule | what was found |".to_owned());
            line("|---|---|".to_owned());
            for f in list {
                line(format!("| {} | {} |", escape(&f.title), escape(&f.why)));
            }
            line(String::new());
        }
    }
    if !report.switched_off.is_empty() {
        line("## Rules switched off".to_owned());
        line(String::new());
        for off in &report.switched_off {
            line(format!("- `{}`: {} ({})", off.rule, escape(&off.reason), escape(&off.set_by)));
        }
        line(String::new());
    }
    line("## Cautions for those who dig, drill and drink".to_owned());
    line(String::new());
    for c in &report.cautions {
        line(format!("- {}", escape(&c.text)));
    }
    line(String::new());
    line("## Who decides".to_owned());
    line(String::new());
    line(escape(&report.authority.defers));
    line(String::new());
    if let Some(name) = &report.authority.name {
        line(format!("Here that is: {}.", escape(name)));
        line(String::new());
    }
    for ask in &report.authority.ask {
        line(format!("- {}", escape(ask)));
    }
    let p = &report.provenance;
    line(String::new());
    line(format!(
        "forebore {}; content of survey `{}`, region `{}`, rules `{}`.",
        report.forebore, p.survey, p.region, p.rules
    ));
    let mut text = out.join("\n");
    while text.contains("\n\n\n") {
        text = text.replace("\n\n\n", "\n\n");
    }
    text + "\n"
}

/// Text from a survey or rule is shown as it is, never as markup.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    let mut last = ' ';
    while let Some(c) = chars.next() {
        let inside_word = last.is_alphanumeric() && chars.peek().is_some_and(|n| n.is_alphanumeric());
        match c {
            '\\' | '`' | '*' | '[' | '<' | '|' | '#' => out.extend(['\\', c]),
            '_' if !inside_word => out.extend(['\\', c]),
            '\n' | '\r' => out.push(' '),
            _ => out.push(c),
        }
        last = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn what_people_wrote_is_never_markup() {
        assert_eq!(
            escape("a *bold* <b>claim</b> | _so_ dry_level_m\n# x"),
            "a \\*bold\\* \\<b>claim\\</b> \\| \\_so\\_ dry_level_m \\# x"
        );
    }
}

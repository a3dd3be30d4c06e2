//! The report for a terminal, readable at 80 columns.

use anstyle::{AnsiColor, Style};
use textwrap::{Options, WordSplitter, fill};

use super::model::Report;
use super::{forecast_words, plan_words, words};
use crate::verdict::Answer;

/// Columns that are filled at the most.
const WIDTH: usize = 79;

/// The report as text; with styles only where asked.
pub fn render(report: &Report, styled: bool) -> String {
    let mut page = Page { out: String::new(), styled };
    page.head(report);
    page.answer(report);
    if !report.asks.is_empty() {
        page.heading(words::asks_heading(report));
        for (i, ask) in report.asks.iter().enumerate() {
            page.item(&format!("{:>2}. ", i + 1), &ask.ask);
            page.item("    ", &format!("({})", words::ask_terms(ask)));
        }
    }
    for (title, findings) in words::groups(report) {
        page.heading(title);
        for f in findings {
            page.bold(&format!("- {} ({})", f.title, f.rule));
            page.item("    ", &f.why);
            page.item("    Do: ", &f.to_do);
            for e in &f.evidence {
                page.item("    seen  ", &words::evidence(e, &f.limits));
            }
            for l in &f.limits {
                page.item("    limit ", &words::limit(l));
            }
            page.item("    rule  ", &format!("{} Source: {} ({})", f.rule_line, f.source, f.basis));
        }
    }
    if let Some(forecast) = &report.forecast {
        page.heading(forecast_words::HEADING);
        for (about, text) in forecast_words::paragraphs(forecast, report.groundwater_flow.as_ref()) {
            page.item("- ", &format!("{about}: {text}"));
        }
    }
    for (heading, told) in plan_words::sections(report) {
        page.heading(heading);
        for (about, text) in told {
            page.item("- ", &format!("{about}: {text}"));
        }
    }
    let clear = words::with_outcome(report, "clear");
    if !clear.is_empty() {
        page.heading("What is clear");
        for f in clear {
            page.item("- ", &format!("{}: {}", f.title, f.why));
        }
    }
    let aside = words::with_outcome(report, "does-not-apply");
    if !aside.is_empty() {
        page.heading("What does not concern this peg");
        for f in aside {
            page.item("- ", &format!("{}: {}", f.title, f.why));
        }
    }
    if !report.switched_off.is_empty() {
        page.heading("Rules switched off");
        for off in &report.switched_off {
            page.item("- ", &format!("{}: {} [{}]", off.rule, off.reason, off.set_by));
        }
    }
    page.heading("Cautions for those who dig, drill and drink");
    for c in &report.cautions {
        page.item("! ", &c.text);
    }
    page.heading("Who decides");
    page.item("", &report.authority.defers);
    if let Some(name) = &report.authority.name {
        page.item("", &format!("Here that is: {name}."));
    }
    for ask in &report.authority.ask {
        page.item("- ", ask);
    }
    page.out.push('\n');
    let p = &report.provenance;
    page.item(
        "",
        &format!(
            "forebore {}; content of survey {}, region {}, rules {}.",
            report.forebore, p.survey, p.region, p.rules
        ),
    );
    page.out
}

/// Words are never broken, nor parted at a hyphen: a date or a file's name
/// stays whole.
fn options() -> Options<'static> {
    Options::new(WIDTH).word_splitter(WordSplitter::NoHyphenation)
}

struct Page {
    out: String,
    styled: bool,
}

impl Page {
    fn styled(&mut self, style: Style, text: &str) {
        if self.styled {
            self.out.push_str(&format!("{style}{text}{style:#}"));
        } else {
            self.out.push_str(text);
        }
    }

    fn line(&mut self, style: Style, text: &str) {
        let text = fill(text, options().subsequent_indent("  "));
        self.styled(style, &text);
        self.out.push('\n');
    }

    fn bold(&mut self, text: &str) {
        self.line(Style::new().bold(), text);
    }

    fn heading(&mut self, text: &str) {
        self.out.push('\n');
        self.line(Style::new().bold().underline(), text);
    }

    /// A paragraph behind a mark, its other lines indented as far.
    fn item(&mut self, mark: &str, text: &str) {
        if text.is_empty() {
            return;
        }
        let indent = " ".repeat(mark.chars().count());
        self.out.push_str(&fill(text, options().initial_indent(mark).subsequent_indent(&indent)));
        self.out.push('\n');
    }

    fn head(&mut self, report: &Report) {
        self.bold(&format!("{} at {}", report.peg.name, words::place(report)));
        let visited = report.peg.visited.as_ref().map_or(String::new(), |d| format!(", visited {d}"));
        self.item("", &format!("Stage: {}. Setting: {}{visited}.", report.stage, report.peg.region));
        self.out.push('\n');
    }

    fn answer(&mut self, report: &Report) {
        let colour = match report.verdict {
            Answer::NoGo => AnsiColor::Red,
            Answer::FindOut => AnsiColor::Magenta,
            Answer::GoIf => AnsiColor::Yellow,
            Answer::Go => AnsiColor::Green,
        };
        let style = Style::new().bold().fg_color(Some(colour.into()));
        self.styled(style, &format!("  ==> {} <==", report.verdict.words()));
        self.out.push_str("\n\n");
        self.item("", &words::meaning(report));
        self.item("", &format!("({})", words::score(report)));
        let (heading, points) = words::deciding(report);
        if !points.is_empty() {
            self.heading(heading);
            for p in points {
                self.item("- ", &format!("{} ({})", p.text, p.rule));
            }
        }
    }
}

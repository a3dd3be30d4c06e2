//! Every finding: those that need attention in groups, the gravest first, then
//! what is clear and what does not concern the peg.

use std::collections::BTreeSet;

use super::markup::{Element, el};
use super::page::{code, section, told};
use super::reasons;
use crate::report::messages::Messages;
use crate::report::model::{Finding, Report};
use crate::verdict::Answer;

/// The sections of findings.
pub fn sections(m: Messages, report: &Report) -> Vec<Element> {
    let cautions = if report.verdict >= Answer::GoIf { "group.go_if" } else { "group.besides" };
    #[allow(clippy::type_complexity, reason = "a table of seven rows")]
    let groups: [(&str, &dyn Fn(&Finding) -> bool); 7] = [
        ("group.stop", &|f| f.outcome == "stop"),
        ("group.broken", &|f| f.outcome == "broken"),
        ("group.find_out", &|f| f.outcome == "find-out" && f.blocks),
        (cautions, &|f| f.outcome == "caution"),
        ("group.later", &|f| f.outcome == "find-out" && !f.blocks),
        ("group.clear", &|f| f.outcome == "clear"),
        ("group.aside", &|f| f.outcome == "does-not-apply"),
    ];
    let mut named = BTreeSet::new();
    let mut all: Vec<Element> = Vec::new();
    for (heading, belongs) in groups {
        let mut part = section("findings", m.say(heading));
        let mut any = false;
        for f in report.findings.iter().filter(|f| belongs(f)) {
            any = true;
            // Two rules of one name would be one place on the page.
            let first = named.insert(reasons::id(&f.rule));
            part = part.with(reasons::finding(m, f, first));
        }
        if any {
            all.push(part);
        }
    }
    all.extend(switched_off(m, report));
    all
}

fn switched_off(m: Messages, report: &Report) -> Option<Element> {
    let items = report.switched_off.iter().map(|off| {
        el("li")
            .with(code(&off.rule))
            .with(m.say("mark.colon"))
            .with(told(m, "span", &off.reason))
            .with(" ")
            .with(code(&off.set_by))
    });
    (!report.switched_off.is_empty()).then(|| section("off", m.say("group.off")).with(el("ul").all(items)))
}

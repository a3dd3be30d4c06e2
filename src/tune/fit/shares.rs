//! What share of holes gives a usable well, and of wells bad water?

use super::result::Topic;
use super::wells::{Square, share, square_of};
use super::{Fitting, Reading};
use crate::tune::records::map::Quality;
use crate::tune::records::{Forecast, Outcome, Records};

const METHOD: &str = "share counted, Wilson's interval";

impl Fitting<'_> {
    pub(super) fn success(&self, records: &Records) -> Topic {
        let mut topic = self.topic("Holes that give a usable well, by the words of the map", records);
        topic.notes.push(
            "What was drilled by a machine, or only where somebody expected water, tells little of holes drilled \
             by hand: look at who drilled these and why there."
                .to_owned(),
        );
        self.rate(&mut topic, records, &["success_prior_share", "another_peg_chance"]);
        topic
    }

    pub(super) fn qualities(&self, reading: &mut Reading<'_, '_>) -> Vec<Topic> {
        let names: Vec<String> = self.map.quality.keys().cloned().collect();
        let each = |name: String| {
            let records = reading.forecast(&Forecast::Quality(name.clone()))?;
            let what = match self.map.quality.get(&name) {
                Some(Quality::Above { shown, .. }) => format!("Wells with {name} above {shown}"),
                _ => format!("Wells with bad {name}, by the words of the map"),
            };
            let mut topic = self.topic(&what, &records);
            let prior = format!("quality_prior_share_{name}");
            if self.region.priors.contains_key(&prior) {
                self.rate(&mut topic, &records, &[&prior]);
            } else {
                let why = "the setting has no prior of its own for it: quality_prior_share_other stands for all \
                           that have none.";
                topic.not(&prior, why);
            }
            Some(topic)
        };
        names.into_iter().filter_map(each).collect()
    }

    fn rate(&self, topic: &mut Topic, records: &Records, names: &[&str]) {
        let case = |r: &crate::tune::records::Record| match r.outcome {
            Outcome::Is(yes) => Some((yes, square_of(r.at, self.square_m))),
            _ => None,
        };
        let cases: Vec<(bool, Square)> = records.all.iter().filter_map(case).collect();
        let all = names.join(" and ");
        let Some(figure) = share(&cases) else {
            topic.not(&all, "no row tells it.");
            return;
        };
        if figure.independent < self.least {
            topic.not(&all, self.too_few(cases.len(), figure.independent, self.least, "fit_least_wells"));
            return;
        }
        let yes = cases.iter().filter(|c| c.0).count();
        topic.notes.insert(0, format!("Counted: {yes} of {}.", cases.len()));
        let method = match yes == 0 || yes == cases.len() {
            true => "middle of Wilson's interval, because all wells tell the same",
            false => METHOD,
        };
        for name in names {
            self.propose(topic, name, &figure, cases.len(), method.to_owned());
        }
    }
}

//! What a fault's weight is made of, line by line.

use crate::book::FaultId;
use crate::job::EntryId;
use crate::reasoning::Judgement;
use crate::reasoning::weights::{Factor, factors};

use super::page::Page;
use super::words::Wording;

impl Wording<'_> {
    /// The factors of a fault's weight; empty if its share is all there is.
    pub fn factors(&self, judgement: &Judgement, fault: FaultId) -> Page {
        let mut page = Page::new();
        let all = factors(self.book, self.job, &judgement.evidence, fault);
        if all.len() < 2 {
            return page;
        }
        page.line(0, "its weight is made of:");
        for factor in &all {
            page.line(1, self.factor(factor));
        }
        if self.book.at_once > 1 {
            page.line(1, "and of every set that holds it beside others");
        }
        page
    }

    fn factor(&self, factor: &Factor) -> String {
        match factor {
            Factor::Share { share, all } => format!("share {} of {} in this book", plain(*share), plain(*all)),
            Factor::Odds(rule) => {
                let label = &self.book.rule(rule.rule).label;
                let odds = if rule.factor >= 1.0 {
                    format!("{} to 1 for it", plain(rule.factor))
                } else {
                    format!("{} to 1 against it", plain(1.0 / rule.factor))
                };
                match rule.passed_over_for {
                    Some(stronger) => {
                        format!(
                            "rule `{label}`, {odds}, does not count: it rests on an entry that `{}` counts already",
                            self.book.rule(stronger).label
                        )
                    }
                    None => format!("rule `{label}`: {odds}"),
                }
            }
            Factor::Circuit(says) => self.circuit_says(says),
            Factor::Test { entry, chance, elsewhere } => format!(
                "{}: {} of such vehicles show that, {} if it were something else",
                self.numbered(*entry),
                percent(*chance),
                percent(*elsewhere)
            ),
            Factor::Joint { entries, holds, chance } => {
                let entries: Vec<String> = entries.iter().map(|id| (id.place() + 1).to_string()).collect();
                let what = if *holds {
                    "what it shows over several tests is there"
                } else {
                    "what it shows over several tests is not there"
                };
                format!("{what} (entries {}): {} of such vehicles", entries.join(", "), percent(*chance))
            }
        }
    }

    fn numbered(&self, id: EntryId) -> String {
        let said = self.job.entry(id).map_or(String::new(), |entry| format!(" ({})", self.entry(entry)));
        format!("entry {}{said}", id.place() + 1)
    }
}

/// Two decimals at most.
fn plain(number: f64) -> String {
    format!("{}", (number * 100.0).round() / 100.0)
}

/// A chance in percent, one decimal below 10 %.
fn percent(chance: f64) -> String {
    let percent = chance * 100.0;
    if percent >= 9.95 { format!("{percent:.0} %") } else { format!("{percent:.1} %") }
}

//! What was found at each stage: proofs whole, faults that one thing rules out together, what is open, what quarrels.

use indexmap::IndexMap;

use crate::output::page::Page;
use crate::output::words::{Wording, about};
use crate::reasoning::history::Course;
use crate::reasoning::{FaultVerdict, Judgement, Verdict};

use super::{ReportStage, RuledOut, StillOpen, lines_of};

impl Wording<'_> {
    /// Before each repair, then since the last one.
    pub(super) fn stages(&self, course: &Course) -> Vec<ReportStage> {
        let mut all: Vec<ReportStage> = Vec::new();
        for stage in &course.stages {
            let heading = format!("What was found before {} was repaired", self.book.fault(stage.fault).name);
            all.push(Wording { book: self.book, job: &stage.job }.stage(heading, &stage.judgement));
        }
        let heading = if course.stages.is_empty() { "What was found" } else { "Since the repair" };
        all.push(self.stage(heading.into(), &course.last));
        all
    }

    fn stage(&self, heading: String, judgement: &Judgement) -> ReportStage {
        let nothing_entered = judgement.verdicts.iter().all(|verdict| verdict.reasons.is_empty());
        let found = |wanted: &'static [Verdict]| {
            judgement.verdicts.iter().filter(move |v| !nothing_entered && wanted.contains(&v.verdict))
        };
        let chains = found(&[Verdict::Proved, Verdict::Conflict, Verdict::OnlyOneLeft]);
        let mut conflicts = Page::new();
        judgement.conflicts.iter().for_each(|conflict| {
            conflicts.page(0, &self.conflict(conflict));
        });
        ReportStage {
            heading,
            outcome: self.outcome(judgement),
            chains: chains.map(|v| (self.book.fault(v.fault).name.clone(), lines_of(&self.reasons(v)))).collect(),
            ruled_out: self.ruled_out_groups(found(&[Verdict::RuledOut])),
            open: found(&[Verdict::Open, Verdict::OnlyOneLeft]).map(|verdict| self.still_open(verdict)).collect(),
            conflicts: lines_of(&conflicts),
            standing: self.standing(judgement),
        }
    }

    fn still_open(&self, verdict: &FaultVerdict) -> StillOpen {
        let word = if verdict.verdict == Verdict::OnlyOneLeft { "the only one left, not proved" } else { "open" };
        StillOpen {
            fault: self.book.fault(verdict.fault).name.clone(),
            standing: format!("{word}, {}", about(verdict.weight)),
        }
    }

    /// Faults that one thing rules out stand together, with the proof of the first.
    fn ruled_out_groups<'v>(&self, verdicts: impl Iterator<Item = &'v FaultVerdict>) -> Vec<RuledOut> {
        let mut groups: IndexMap<String, RuledOut> = IndexMap::new();
        for verdict in verdicts {
            let why = self.main_reason(verdict).unwrap_or_else(|| "for no reason that can be told".into());
            let name = self.book.fault(verdict.fault).name.clone();
            match groups.get_mut(&why) {
                Some(group) => group.faults.push(name),
                None => {
                    let main = verdict.reasons.iter().find(|reason| !reason.only_weighs());
                    let alone = FaultVerdict { reasons: main.into_iter().cloned().collect(), ..verdict.clone() };
                    let proof = lines_of(&self.reasons(&alone));
                    groups.insert(why.clone(), RuledOut { why, faults: vec![name], proof });
                }
            }
        }
        groups.into_values().collect()
    }
}

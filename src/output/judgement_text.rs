//! A judgement for people: what it comes to, every fault with its reasons, conflicts, what to mind.

use indexmap::IndexMap;

use crate::book::FaultId;
use crate::reasoning::conflict::ConflictKind;
use crate::reasoning::suspects::retake;
use crate::reasoning::{Conflict, Disturbed, FaultVerdict, Judgement, Outcome, Reason, Verdict};
use crate::reasoning::{Facts, describe};

use super::page::Page;
use super::words::{Wording, about};

/// The words that stand on every first screen, worksheet and report.
pub const SAFETY: &str = "Local codes and licensed practice come first; `proved` does not mean safe to drive.";

impl Wording<'_> {
    fn fault(&self, id: FaultId) -> &str {
        &self.book.fault(id).name
    }

    fn faults(&self, ids: &[FaultId]) -> String {
        ids.iter().map(|id| self.fault(*id)).collect::<Vec<_>>().join(", ")
    }

    /// The whole judgement.
    pub fn judgement(&self, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        for repair in &judgement.evidence.repairs {
            let state = if repair.verified.is_some() { "Repaired and verified" } else { "Repaired, not yet verified" };
            page.line(0, format!("{state}: {}.", self.fault(repair.fault)));
        }
        let open = self.open_ends(judgement);
        if !judgement.evidence.repairs.is_empty() && open.is_empty() {
            page.line(0, "The job is done; what follows is judged from the entries since the repair.");
        }
        page.line(0, self.outcome(judgement)).gap();
        for conflict in &judgement.conflicts {
            page.page(0, &self.conflict(conflict)).gap();
        }
        if !judgement.conflicts.is_empty() {
            page.page(0, &self.quarrels(judgement)).gap();
        }
        for verdict in [Verdict::Proved, Verdict::Conflict, Verdict::OnlyOneLeft, Verdict::Open, Verdict::RuledOut] {
            let mut faults: Vec<&FaultVerdict> = judgement.verdicts.iter().filter(|v| v.verdict == verdict).collect();
            if faults.is_empty() {
                continue;
            }
            if verdict == Verdict::Open {
                // Likeliest first; what differs only by rounding stays in book order.
                faults.sort_by_key(|v| std::cmp::Reverse((v.weight * 1e9).round() as u64));
            }
            page.line(0, format!("{}:", heading(verdict)));
            if verdict == Verdict::RuledOut {
                page.page(1, &self.ruled_out(&faults)).gap();
                continue;
            }
            for fault in faults {
                page.line(1, self.verdict_line(fault));
                if verdict == Verdict::Proved || verdict == Verdict::Conflict {
                    page.page(2, &self.reasons(fault));
                }
            }
            page.gap();
        }
        for silent in &judgement.evidence.silent_circuits {
            page.line(0, self.silent(silent));
        }
        page.line(0, self.standing(judgement));
        page
    }

    /// Faults that are ruled out, those with one reason together.
    fn ruled_out(&self, faults: &[&FaultVerdict]) -> Page {
        let mut groups: IndexMap<String, Vec<FaultId>> = IndexMap::new();
        for verdict in faults {
            groups.entry(self.shared_reason(verdict).unwrap_or_default()).or_default().push(verdict.fault);
        }
        self.grouped(&groups)
    }

    /// Faults by what is said of them: one fault and its words, or the words and all their faults.
    pub(super) fn grouped(&self, groups: &IndexMap<String, Vec<FaultId>>) -> Page {
        let mut page = Page::new();
        for (said, faults) in groups {
            match faults.as_slice() {
                [one] => page.line(0, format!("{}: {said}", self.fault(*one))),
                several => page.line(0, format!("{said}: {}", self.faults(several))),
            };
        }
        page
    }

    /// The first reason that isn't a matter of odds.
    pub(super) fn main_reason(&self, verdict: &FaultVerdict) -> Option<String> {
        let reason = verdict.reasons.iter().find(|reason| !reason.only_weighs())?;
        Some(self.reason_text(verdict.fault, reason))
    }

    /// The same without the fault's own name, so that all that fell for one reason can stand together.
    pub(super) fn shared_reason(&self, verdict: &FaultVerdict) -> Option<String> {
        match verdict.reasons.iter().find(|reason| !reason.only_weighs())? {
            Reason::Circuit(says) if says.faults == [verdict.fault] => Some(self.circuit_says_with("it", says)),
            reason => Some(self.reason_text(verdict.fault, reason)),
        }
    }

    /// A reason in one sentence.
    pub(crate) fn reason_text(&self, fault: FaultId, reason: &Reason) -> String {
        match reason {
            Reason::ShowsFails(nth, choice) => self.shows_fails(fault, *nth, choice),
            other => self.reason_in_short(other),
        }
    }

    fn shows_fails(&self, fault: FaultId, nth: usize, choice: &crate::reasoning::Choice) -> String {
        let shows = self
            .book
            .fault(fault)
            .shows
            .get(nth)
            .map_or(String::new(), |shows| self.source_words(shows.condition.span));
        let entries = choice.entries();
        let word = if entries.len() == 1 { "entry" } else { "entries" };
        format!("it would show {shows}, and that is not so ({word} {})", numbers(&entries))
    }

    /// One sentence on what the job comes to.
    pub fn outcome(&self, judgement: &Judgement) -> String {
        let named = |verdict| self.faults(&judgement.with(verdict).collect::<Vec<_>>());
        match judgement.outcome {
            Outcome::Proved => format!("Proved: {}.", named(Verdict::Proved)),
            Outcome::Open => {
                let open = judgement.with(Verdict::Open).count();
                let ruled_out = judgement.with(Verdict::RuledOut).count();
                format!("Open: {open} of {} faults may be there, {ruled_out} ruled out.", judgement.verdicts.len())
            }
            Outcome::OnlyOneLeft => format!("The only one left: {}. It is not proved.", named(Verdict::OnlyOneLeft)),
            Outcome::NotCoveredOrWrongEntry => {
                "No fault of this book is left: an entry is wrong, or this book does not cover it.".into()
            }
            Outcome::Conflict => format!("Conflict: entries quarrel over {}.", named(Verdict::Conflict)),
            Outcome::NoFaultSeen => "No fault seen: every fault is ruled out and nothing is out of order.".into(),
        }
    }

    fn verdict_line(&self, verdict: &FaultVerdict) -> String {
        let name = self.fault(verdict.fault);
        match verdict.verdict {
            Verdict::Open | Verdict::OnlyOneLeft => format!("{name}, {}", about(verdict.weight)),
            _ => name.to_string(),
        }
    }

    pub(crate) fn reason_in_short(&self, reason: &Reason) -> String {
        match reason {
            Reason::Implied(rule, _) => format!("implied by `{}`", self.book.rule(*rule).label),
            Reason::RuledOutBy(rule, _) => format!("ruled out by `{}`", self.book.rule(*rule).label),
            Reason::OneOfOthers(rule, _) => format!("`{}` says that it is another", self.book.rule(*rule).label),
            Reason::ShowsFails(_, choice) => {
                format!("it would show something else than entries {}", numbers(&choice.entries()))
            }
            Reason::CannotExplain(complaint) => {
                format!("it cannot explain the complaint `{}`", self.book.complaint(*complaint).name)
            }
            Reason::Elimination(proved) => {
                format!("{} is proved, and the book knows {} at once", self.faults(proved), self.at_once())
            }
            Reason::NoSetLeft => "no set of faults with it explains all entries".into(),
            Reason::Repaired(_) => "repaired, and verified".into(),
            Reason::AwaitsVerify => "repaired, not yet verified".into(),
            Reason::Rivals(others) => format!("proved beside {}", self.faults(others)),
            Reason::OnlyOneLeft => "all others are ruled out".into(),
            Reason::Circuit(says) => self.circuit_says(says),
            Reason::Odds(rule, _, factor) => {
                format!("`{}` makes it {}", self.book.rule(*rule).label, odds_words(*factor))
            }
        }
    }

    fn at_once(&self) -> String {
        if self.book.at_once == 1 { "only one fault".into() } else { format!("at most {} faults", self.book.at_once) }
    }

    /// Every reason of a verdict, with its proof.
    pub fn reasons(&self, verdict: &FaultVerdict) -> Page {
        let mut page = Page::new();
        for reason in &verdict.reasons {
            self.reason(&mut page, verdict.fault, reason);
        }
        page
    }

    fn reason(&self, page: &mut Page, fault: FaultId, reason: &Reason) {
        match reason {
            Reason::Implied(rule, choice) => self.by_rule(page, *rule, choice, "implies it"),
            Reason::RuledOutBy(rule, choice) => self.by_rule(page, *rule, choice, "rules it out"),
            Reason::OneOfOthers(rule, choice) => self.by_rule(page, *rule, choice, "implies one of others"),
            Reason::Odds(rule, choice, factor) => {
                self.by_rule(page, *rule, choice, &format!("makes it {}", odds_words(*factor)));
            }
            Reason::ShowsFails(nth, choice) => {
                let Some(shows) = self.book.fault(fault).shows.get(*nth) else { return };
                page.line(
                    0,
                    format!("it {}, and that is not so ({})", self.source_words(shows.span), self.place(shows.span)),
                );
                let facts = self.facts();
                page.page(1, &self.steps(&describe::proof(&facts, &shows.condition, choice)));
            }
            Reason::Circuit(says) => {
                page.line(0, self.circuit_says(says)).line(1, self.circuit_of(says));
                for entry in says.entries() {
                    page.line(1, self.entry_in_full(entry));
                }
            }
            Reason::Repaired(choices) => {
                page.line(0, "repaired, and verified:");
                let facts = self.facts();
                for (condition, choice) in self.book.fault(fault).verify.iter().zip(choices) {
                    page.page(1, &self.steps(&describe::proof(&facts, condition, choice)));
                }
            }
            other => {
                page.line(0, self.reason_in_short(other));
            }
        }
    }

    fn by_rule(&self, page: &mut Page, rule: crate::book::RuleId, choice: &crate::reasoning::Choice, does: &str) {
        let rule = self.book.rule(rule);
        page.line(0, format!("rule `{}` {does} ({})", rule.label, self.place(rule.span)));
        let facts = self.facts();
        page.page(1, &self.steps(&describe::proof(&facts, &rule.condition, choice)));
        if let Some(because) = &rule.because {
            page.line(1, format!("because {because}"));
        }
        if let Some(source) = &rule.source {
            page.line(1, format!("source: {source}"));
        }
    }

    /// All entries of the job, those before a repair included.
    pub(crate) fn facts(&self) -> Facts<'_> {
        Facts::of(self.book, self.job, self.job.epoch(), |_| true)
    }

    /// A conflict with its entries and what to do first.
    pub fn conflict(&self, conflict: &Conflict) -> Page {
        let mut page = Page::new();
        page.line(
            0,
            match &conflict.kind {
                ConflictKind::Contested(fault) => {
                    format!("{} is both proved and ruled out. These can't all be right:", self.fault(*fault))
                }
                ConflictKind::Rivals(faults) => format!(
                    "{} are proved, and the book knows {} at once. These can't all be right:",
                    self.faults(faults),
                    self.at_once()
                ),
                ConflictKind::NoneLeft => {
                    "No fault of the book fits these together. One of them is wrong, or the book does not cover it:"
                        .into()
                }
            },
        );
        for complaint in &conflict.complaints {
            page.line(1, format!("complaint: {}", self.book.complaint(*complaint).name));
        }
        for entry in &conflict.entries {
            page.line(1, self.entry_in_full(*entry));
        }
        if let ConflictKind::Rivals(faults) = &conflict.kind {
            page.line(
                1,
                format!("if both are really there, the book may need `at most {} faults at once`", faults.len()),
            );
        }
        if let Some((id, entry)) = retake(self.book, self.job, conflict).and_then(|id| Some((id, self.job.kept(id)?))) {
            page.line(1, format!("take again first: {} (entry {})", self.indication(entry.indication), id.place() + 1));
        }
        page
    }

    /// What stands beside the book's faults.
    pub fn standing(&self, judgement: &Judgement) -> String {
        let not_covered = judgement.hypotheses.last().map_or(0.0, |h| h.weight);
        let covered = if judgement.outcome == Outcome::Proved {
            "Should the repair not help, it is something this book does not cover.".to_string()
        } else {
            format!("Something this book does not cover: {}.", about(not_covered))
        };
        match judgement.disturbed.first() {
            None if judgement.outcome == Outcome::NoFaultSeen => {
                "Nothing seen so far says that there is a fault at all.".into()
            }
            None => format!("Nothing seen so far says that there is a fault at all. {covered}"),
            Some(reason) => format!("There is a fault: {}. {covered}", self.disturbed(reason)),
        }
    }

    fn disturbed(&self, reason: &Disturbed) -> String {
        match reason {
            Disturbed::OutOfTolerance(entry) => format!("{} is out of tolerance", self.short_entry(*entry)),
            Disturbed::NotSound(entry) => format!("{} is not what a sound vehicle shows", self.short_entry(*entry)),
            Disturbed::Complaint(complaint) => {
                format!("the complaint `{}` is not gone", self.book.complaint(*complaint).name)
            }
            Disturbed::Proof(rule) => format!("rule `{}` applies", self.book.rule(*rule).label),
            Disturbed::Circuit(circuit, entry) => {
                format!(
                    "circuit `{}` would not show {} with nothing wrong",
                    self.book.circuit(*circuit).name,
                    self.short_entry(*entry)
                )
            }
        }
    }

    fn short_entry(&self, id: crate::job::EntryId) -> String {
        self.job.kept(id).map_or(String::new(), |entry| self.entry(&entry))
    }
}

fn heading(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Proved => "Proved",
        Verdict::RuledOut => "Ruled out",
        Verdict::Open => "Open",
        Verdict::OnlyOneLeft => "The only one left",
        Verdict::Conflict => "In conflict",
    }
}

fn odds_words(factor: f64) -> String {
    let shown = |value: f64| format!("{}", (value * 100.0).round() / 100.0);
    if factor >= 1.0 {
        format!("likelier, {} to 1", shown(factor))
    } else {
        format!("less likely, 1 to {}", shown(1.0 / factor))
    }
}

fn numbers(entries: &[crate::job::EntryId]) -> String {
    entries.iter().map(|id| (id.place() + 1).to_string()).collect::<Vec<_>>().join(", ")
}

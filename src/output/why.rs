//! Answers to `why`, `why not`, `what decides`, `what if`.

use indexmap::IndexMap;

use crate::book::{Conclusion, ConditionRef, FaultId, RuleId};
use crate::reasoning::truth::Truth;
use crate::reasoning::{Judgement, Verdict, describe};

use super::judgement_json::verdict_word;
use super::page::Page;
use super::words::{Wording, about, holds};

/// A verdict as it is said.
pub fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::RuledOut => "ruled out",
        Verdict::OnlyOneLeft => "open, the only one left; not proved",
        Verdict::Conflict => "in conflict",
        other => verdict_word(other),
    }
}

/// How far down in `what decides` a rule stands that only says that it is another.
const POINTS_ELSEWHERE: u8 = 4;

impl Wording<'_> {
    /// Why a fault is judged as it is.
    pub fn why(&self, judgement: &Judgement, fault: FaultId) -> Page {
        let mut page = Page::new();
        let Some(verdict) = judgement.of(fault) else { return page };
        let declared = self.book.fault(fault);
        page.line(0, format!("{}: {}", declared.name, verdict_words(verdict.verdict)));
        if let Some(description) = &declared.description {
            page.line(1, description);
        }
        page.page(1, &self.reasons(verdict));
        match verdict.verdict {
            Verdict::Open | Verdict::OnlyOneLeft => {
                page.line(
                    1,
                    format!("{}, by the book's shares and what was seen; an estimate, no proof", about(verdict.weight)),
                );
                if verdict.reasons.iter().all(|reason| reason.only_weighs()) {
                    page.line(1, "nothing entered so far rules it out or proves it");
                }
                page.page(1, &self.missing_proofs(fault));
            }
            Verdict::Proved => {
                if let Some(remedy) = &declared.remedy {
                    page.line(1, format!("remedy: {remedy}"));
                }
            }
            Verdict::Conflict => {
                for conflict in &judgement.conflicts {
                    page.page(1, &self.conflict(conflict));
                }
            }
            Verdict::RuledOut => {}
        }
        page
    }

    /// Why a fault is not proved: what speaks against it, and what its proofs lack.
    pub fn why_not(&self, judgement: &Judgement, fault: FaultId) -> Page {
        let mut page = Page::new();
        let Some(verdict) = judgement.of(fault) else { return page };
        page.line(0, format!("{}: {}", self.book.fault(fault).name, verdict_words(verdict.verdict)));
        if verdict.verdict == Verdict::Proved {
            page.page(1, &self.reasons(verdict));
            return page;
        }
        page.page(1, &self.reasons(verdict));
        page.page(1, &self.missing_proofs(fault));
        page
    }

    /// Each rule that could prove a fault, with what it lacks.
    fn missing_proofs(&self, fault: FaultId) -> Page {
        let mut page = Page::new();
        let facts = self.facts();
        for id in self
            .rules_for(fault, |conclusion, fault| matches!(conclusion, Conclusion::Implies(f) if f.contains(&fault)))
        {
            let rule = self.book.rule(id);
            let steps = describe::survey(&facts, &rule.condition);
            if steps.iter().all(|step| step.truth() == Truth::True) {
                continue;
            }
            page.line(0, format!("rule `{}` would prove it ({}):", rule.label, self.place(rule.span)));
            page.page(1, &self.steps(&steps));
        }
        if page.is_empty()
            && self.rules_for(fault, |c, f| matches!(c, Conclusion::Implies(list) if list.contains(&f))).is_empty()
        {
            page.line(0, "no rule of this book proves it; it can only be left as the only one");
        }
        page
    }

    fn rules_for(&self, fault: FaultId, bears: fn(&Conclusion, FaultId) -> bool) -> Vec<RuleId> {
        self.book.rule_ids().filter(|id| self.book.rule(*id).conclusions.iter().any(|c| bears(c, fault))).collect()
    }

    /// Everything that would decide a fault and is not decided yet.
    pub fn what_decides(&self, judgement: &Judgement, fault: FaultId) -> Page {
        let mut page = Page::new();
        let declared = self.book.fault(fault);
        if let Some(verdict) = judgement.of(fault) {
            page.line(0, format!("{}: {}", declared.name, verdict_words(verdict.verdict)));
        }
        let facts = self.facts();
        let mut bearing: Vec<_> = self
            .book
            .conditions()
            .filter_map(|(which, condition)| {
                let steps = describe::survey(&facts, condition);
                let truth = steps.iter().map(describe::Step::truth).fold(Truth::True, Truth::and);
                self.bearing(which, fault, truth).map(|(weight, what)| (weight, what, truth, steps))
            })
            .collect();
        bearing.sort_by_key(|(weight, ..)| *weight);
        for (weight, what, truth, steps) in bearing {
            page.line(1, format!("{what}: {}", holds(truth)));
            // Of the many that only could point elsewhere the words would drown what matters.
            if weight < POINTS_ELSEWHERE || truth == Truth::True {
                page.page(2, &self.steps(&steps));
            }
        }
        if page.lines().len() <= 1 {
            page.line(1, "nothing in this book decides it");
        }
        page
    }

    /// What a condition does to a fault, or would do where it is not known yet, and how far up that stands: proofs first,
    /// then what rules out, then odds.
    fn bearing(&self, which: ConditionRef, fault: FaultId, truth: Truth) -> Option<(u8, String)> {
        match which {
            ConditionRef::Rule(id) => {
                let rule = self.book.rule(id);
                let (weight, does, would) = rule.conclusions.iter().find_map(|conclusion| match conclusion {
                    Conclusion::Implies(list) if list.contains(&fault) => Some((0, "proves it", "prove it")),
                    Conclusion::RulesOut(list) if list.contains(&fault) => Some((1, "rules it out", "rule it out")),
                    Conclusion::ImpliesOneOf(list) if list.contains(&fault) => {
                        Some((3, "says that it is one of few", "say that it is one of few"))
                    }
                    Conclusion::ImpliesOneOf(_) => {
                        Some((POINTS_ELSEWHERE, "says that it is another", "say that it is another"))
                    }
                    Conclusion::Odds(list, _) if list.contains(&fault) => {
                        Some((5, "changes its odds", "change its odds"))
                    }
                    _ => None,
                })?;
                let does = if truth == Truth::True { does.to_string() } else { format!("would {would}") };
                Some((weight, format!("rule `{}` {does} ({})", rule.label, self.place(rule.span))))
            }
            ConditionRef::Shows(owner, nth) if owner == fault => {
                let shows = self.book.fault(fault).shows.get(nth)?;
                let what = self.source_words(shows.condition.span);
                let often = shows.chance.map_or(String::new(), |(m, n)| format!(" in {m} of {n}"));
                let means = match (truth, shows.chance.is_some()) {
                    (Truth::True, _) => format!("it shows {what}{often}"),
                    (_, true) => format!("it would show {what}{often}; where it does not, it is less likely"),
                    (_, false) => format!("it would show {what}; where it does not, it is ruled out"),
                };
                Some((2, format!("{means} ({})", self.place(shows.span))))
            }
            _ => None,
        }
    }

    /// What changed between two judgements, fault by fault.
    pub fn changes(&self, before: &Judgement, after: &Judgement) -> Page {
        let mut groups: IndexMap<String, Vec<FaultId>> = IndexMap::new();
        for (old, new) in before.verdicts.iter().zip(&after.verdicts) {
            if old.verdict == new.verdict {
                continue;
            }
            let why = self.shared_reason(new).unwrap_or_default();
            let why = why.strip_prefix(verdict_words(new.verdict)).map_or(format!(", {why}"), str::to_string);
            let why = if why == ", " { String::new() } else { why };
            let was = if new.verdict == Verdict::Open {
                format!(" (was {})", verdict_words(old.verdict))
            } else {
                String::new()
            };
            groups.entry(format!("{}{was}{why}", verdict_words(new.verdict))).or_default().push(new.fault);
        }
        self.grouped(&groups)
    }
}

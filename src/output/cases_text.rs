//! Cases for people: why a case failed, what the cases of a book reach, what was drafted for the rest.

use crate::book::{Book, FaultId};
use crate::job::NoticeKind;
use crate::lint::cases::coverage::{Coverage, FaultTried};
use crate::lint::cases::draft::Undrafted;
use crate::lint::cases::mutants::{Fate, Mutation};
use crate::lint::cases::{CaseResult, Missed};
use crate::reasoning::{Judgement, Verdict};
use crate::source::Span;
use crate::syntax::tree::ExpectedVerdict;

use super::page::Page;
use super::why::verdict_words;
use super::words::{Wording, counted};

/// What was found instead of each expectation that did not come true, with its reasons, and lines that decide
/// nothing. Only the faults that were expected otherwise: the rest of the book is left out.
pub fn found(result: &CaseResult) -> Page {
    let mut said: Vec<Page> = Vec::new();
    for miss in &result.misses {
        let Some(moment) = result.moments.get(miss.moment) else { continue };
        let wording = Wording { book: &result.book, job: &moment.job };
        let missed = wording.missed(&moment.judgement, miss.what);
        if !said.contains(&missed) {
            said.push(missed);
        }
    }
    let mut page = Page::new();
    for missed in &said {
        page.page(0, missed);
    }
    let telling = |kind| matches!(kind, NoticeKind::Idle | NoticeKind::Removed | NoticeKind::Replaced);
    for (span, notice) in result.notices.iter().filter(|(_, notice)| telling(notice.kind)) {
        page.line(0, format!("{}: {}", result.book.sources.place(*span), notice.text));
    }
    page
}

impl Wording<'_> {
    fn missed(&self, judgement: &Judgement, what: Missed) -> Page {
        let mut page = Page::new();
        match what {
            Missed::Fault(fault, wanted) => return self.otherwise(judgement, fault, wanted),
            Missed::Conflict => page.line(0, self.outcome(judgement)),
            Missed::NoFaultPresent => page.line(0, self.standing(judgement)),
        };
        page
    }

    /// Why a fault is not what it was expected to be.
    fn otherwise(&self, judgement: &Judgement, fault: FaultId, wanted: ExpectedVerdict) -> Page {
        let Some(found) = judgement.of(fault) else { return Page::new() };
        let open = matches!(found.verdict, Verdict::Open | Verdict::OnlyOneLeft);
        match wanted {
            ExpectedVerdict::Proved | ExpectedVerdict::Conflict => self.why_not(judgement, fault),
            ExpectedVerdict::RuledOut if open => self.what_decides(judgement, fault),
            _ => {
                let mut page = Page::new();
                let name = &self.book.fault(fault).name;
                page.line(0, format!("{name}: {}", verdict_words(found.verdict)));
                page.page(1, &self.reasons(found));
                page
            }
        }
    }
}

/// What the cases of a book reach.
pub fn coverage(book: &Book, coverage: &Coverage) -> Page {
    let mut page = Page::new();
    page.line(0, format!("coverage of {} by {}:", book.file, counted(coverage.cases, "case", "cases")));
    rules(&mut page, book, coverage);
    comparisons(&mut page, book, coverage);
    faults(&mut page, book, &coverage.faults);
    page
}

fn rules(page: &mut Page, book: &Book, coverage: &Coverage) {
    let applied = coverage.rules.iter().filter(|rule| rule.applied > 0).count();
    page.line(1, format!("rules: {applied} of {} applied", coverage.rules.len()));
    for id in coverage.untried_rules() {
        let rule = book.rule(id);
        page.line(2, format!("{}: never applied: {}", book.sources.place(rule.span), rule.label));
    }
}

fn comparisons(page: &mut Page, book: &Book, coverage: &Coverage) {
    let both = coverage.comparisons.iter().filter(|one| one.both_sides()).count();
    page.line(1, format!("limits: {both} of {} tried on both sides", coverage.comparisons.len()));
    for one in coverage.comparisons.iter().filter(|one| !one.both_sides()) {
        let never = match (one.was_true, one.was_false) {
            (0, 0) => "never decided",
            (0, _) => "never true",
            _ => "never false",
        };
        page.line(2, format!("{}: {never}: {}", book.sources.place(one.span), words(book, one.span)));
    }
}

/// The words of a span on one line.
pub(super) fn words(book: &Book, span: Span) -> String {
    let job = crate::job::Job::default();
    Wording { book, job: &job }.source_words(span)
}

/// A verdict and in how many cases it was given.
type Given = (&'static str, fn(&FaultTried) -> usize);

fn faults(page: &mut Page, book: &Book, faults: &[FaultTried]) {
    let kinds: [Given; 3] =
        [("proved", |one| one.proved), ("ruled out", |one| one.ruled_out), ("left open", |one| one.left_open)];
    let name = |one: &FaultTried| book.fault(one.fault).name.clone();
    let counts =
        kinds.iter().map(|(said, count)| format!("{} {said}", faults.iter().filter(|one| count(one) > 0).count()));
    page.line(1, format!("faults: of {}, {}", faults.len(), counts.collect::<Vec<_>>().join(", ")));
    for (said, count) in kinds {
        let never: Vec<String> = faults.iter().filter(|one| count(one) == 0).map(name).collect();
        if !never.is_empty() {
            page.line(2, format!("never {said}: {}", never.join(", ")));
        }
    }
    let quarrelled: Vec<String> = faults.iter().filter(|one| one.in_conflict > 0).map(name).collect();
    if !quarrelled.is_empty() {
        page.line(2, format!("in conflict: {}", quarrelled.join(", ")));
    }
}

/// Rules for which nothing could be drafted, with the reason.
pub fn undrafted(book: &Book, undrafted: &[Undrafted]) -> Page {
    let mut page = Page::new();
    for one in undrafted {
        let rule = book.rule(one.rule);
        let place = book.sources.place(rule.span);
        page.line(0, format!("{place}: not drafted: rule `{}`: {}", rule.label, one.why.words()));
    }
    page
}

/// How sharp the cases are, and each slip that none of them finds with a job that would.
pub fn mutation(book: &Book, mutation: &Mutation) -> Page {
    let mut page = Page::new();
    let [killed, survive, equal, open] = mutation.counts();
    let share = (mutation.score() * 100.0).floor();
    let slips = counted(killed + survive, "slip", "slips");
    page.line(0, format!("{}: the cases find {killed} of {slips} in its rules ({share} %)", book.file));
    if equal > 0 {
        page.line(1, format!("{equal} more that no measurement tells from the rule are left out"));
    }
    if open > 0 {
        page.line(1, format!("{open} more were not decided"));
    }
    for mutant in &mutation.mutants {
        let Fate::Survives(lines) = &mutant.fate else { continue };
        let (words, place) = (book.sources.slice(mutant.span), book.sources.place(mutant.span));
        page.line(1, format!("not found: `{words}`, {} ({place}); this would find it:", mutant.says));
        for line in lines {
            page.line(2, line.clone());
        }
    }
    page
}

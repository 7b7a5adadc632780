//! What a case expects, held against a judgement: the difference in words.

use crate::book::{Book, Symbol, unknown_name};
use crate::problem::Problem;
use crate::reasoning::{Judgement, Outcome, Verdict};
use crate::syntax::tree::{Expected, ExpectedVerdict};

use super::Missed;

/// The difference between what is expected and what was found, if there is one, and what it is about.
pub(super) fn held(book: &Book, judgement: &Judgement, expected: &Expected) -> Option<(Problem, Option<Missed>)> {
    match expected {
        Expected::Fault(name, wanted) => {
            let Some(Symbol::Fault(id)) = book.symbol(&name.text) else {
                return Some((unknown_name(name, "a fault", book.faults.iter().map(|f| f.name.as_str())), None));
            };
            let found = judgement.of(id)?.verdict;
            let message =
                || format!("expected `{}` {}, found it {}", name.text, wanted_words(*wanted), found_words(found));
            let problem = || Problem::error("case/failed", name.span, message());
            (!fits(*wanted, found)).then(|| (problem(), Some(Missed::Fault(id, *wanted))))
        }
        Expected::Conflict(span) => {
            let quarrels = !judgement.conflicts.is_empty();
            let message = || format!("expected a conflict, found {}", outcome_words(judgement.outcome));
            (!quarrels).then(|| (Problem::error("case/failed", *span, message()), Some(Missed::Conflict)))
        }
        Expected::NoFaultPresent(span) => {
            let found = || outcome_words(judgement.outcome);
            let message = || format!("expected that `no fault present` stands, found {}", found());
            let problem = || Problem::error("case/failed", *span, message());
            (!judgement.no_fault_stands()).then(|| (problem(), Some(Missed::NoFaultPresent)))
        }
    }
}

fn fits(wanted: ExpectedVerdict, found: Verdict) -> bool {
    match wanted {
        ExpectedVerdict::Proved => found == Verdict::Proved,
        ExpectedVerdict::RuledOut => found == Verdict::RuledOut,
        ExpectedVerdict::Open => matches!(found, Verdict::Open | Verdict::OnlyOneLeft),
        ExpectedVerdict::OnlyOneLeft => found == Verdict::OnlyOneLeft,
        ExpectedVerdict::Conflict => found == Verdict::Conflict,
    }
}

fn wanted_words(wanted: ExpectedVerdict) -> &'static str {
    match wanted {
        ExpectedVerdict::Proved => "proved",
        ExpectedVerdict::RuledOut => "ruled out",
        ExpectedVerdict::Open => "open",
        ExpectedVerdict::OnlyOneLeft => "the only one left",
        ExpectedVerdict::Conflict => "in conflict",
    }
}

fn found_words(found: Verdict) -> &'static str {
    match found {
        Verdict::Proved => "proved",
        Verdict::RuledOut => "ruled out",
        Verdict::Open => "open",
        Verdict::OnlyOneLeft => "open, the only one left",
        Verdict::Conflict => "in conflict",
    }
}

fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Proved => "a fault proved",
        Outcome::Open => "faults open",
        Outcome::OnlyOneLeft => "one fault left",
        Outcome::NotCoveredOrWrongEntry => "no fault left: an entry is wrong, or the book does not cover it",
        Outcome::Conflict => "a conflict",
        Outcome::NoFaultSeen => "no fault seen",
    }
}

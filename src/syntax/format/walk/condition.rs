//! The places of conditions and sentences.

use super::{Role, See, expr, names, number, pair, place, setup};
use crate::syntax::tree::{Atom, Conclusion, Condition, Odds, Sentence, SignalWord, Test};

pub(super) fn condition(whole: &mut Condition, see: &mut See<'_>) {
    match whole {
        Condition::All(parts) | Condition::Any(parts) => parts.iter_mut().for_each(|part| condition(part, see)),
        Condition::Not(inner, span) => {
            place(span, see);
            condition(inner, see);
        }
        Condition::Group(inner, items, span) => {
            place(span, see);
            condition(inner, see);
            setup(items, see);
        }
        Condition::Atom(atom) => self::atom(atom, see),
    }
}

fn atom(atom: &mut Atom, see: &mut See<'_>) {
    let Atom { subject, test, negated: _, setup: items, signal, span } = atom;
    place(span, see);
    expr(subject, see);
    if let Some(test) = test {
        self::test(test, see);
    }
    setup(items, see);
    for word in signal {
        match word {
            SignalWord::Ever | SignalWord::Always => {}
            SignalWord::ForAtLeast(figure) | SignalWord::Times(figure) => number(figure, see),
            SignalWord::Within(limit, after) => {
                number(limit, see);
                condition(after, see);
            }
        }
    }
}

fn test(test: &mut Test, see: &mut See<'_>) {
    match test {
        Test::Below(bound) | Test::Above(bound) | Test::AtLeast(bound) | Test::AtMost(bound) => expr(bound, see),
        Test::Between(ends) | Test::Outside(ends) => pair(&mut ends.0, &mut ends.1, see),
        Test::InTolerance | Test::OutOfTolerance | Test::BelowTolerance | Test::AboveTolerance => {}
        Test::Is(word) => super::name(word, Role::Name, see),
    }
}

pub(super) fn sentence(sentence: &mut Sentence, see: &mut See<'_>) {
    let Sentence { condition: when, conclusions } = sentence;
    condition(when, see);
    for conclusion in conclusions {
        match conclusion {
            Conclusion::Implies(faults, span)
            | Conclusion::ImpliesOneOf(faults, span)
            | Conclusion::RulesOut(faults, span) => {
                place(span, see);
                names(faults, Role::Name, see);
            }
            Conclusion::Suggests(faults, odds, span) | Conclusion::SpeaksAgainst(faults, odds, span) => {
                place(span, see);
                names(faults, Role::Name, see);
                self::odds(odds, see);
            }
        }
    }
}

fn odds(odds: &mut Odds, see: &mut See<'_>) {
    let Odds { above, below } = odds;
    number(above, see);
    number(below, see);
}

//! Whether formulas can hold together: comparisons that must be are gathered, of an `or` one part after the other is
//! tried. It ends, and what it says is certain; where the budget ends first it says so.

use super::formula::Formula;
use super::system::System;

/// The most states of one question.
const MOST_STATES: usize = 20_000;

/// The answer to a question.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Answer {
    /// It can be, and this is left of the unknowns.
    Can(System),
    /// It can't.
    Cannot,
    /// The budget ran out, or something in it is not linear.
    Open,
}

impl Answer {
    /// Whether it certainly can't be.
    pub(crate) fn cannot(&self) -> bool {
        *self == Answer::Cannot
    }
}

/// Whether all these can hold together.
pub(crate) fn solve<'f>(formulas: impl IntoIterator<Item = &'f Formula>, system: System) -> Answer {
    let mut search = Search { states: 0, open: false };
    match search.go(formulas.into_iter().collect(), Vec::new(), system, false) {
        Some(system) => Answer::Can(system),
        None if search.open => Answer::Open,
        None => Answer::Cannot,
    }
}

struct Search {
    states: usize,
    open: bool,
}

impl Search {
    /// `goals` must be, and one part of each of `choices`; `bent` says whether something was left open on the way.
    fn go<'f>(
        &mut self,
        mut goals: Vec<&'f Formula>,
        mut choices: Vec<&'f [Formula]>,
        mut system: System,
        mut bent: bool,
    ) -> Option<System> {
        while let Some(goal) = goals.pop() {
            self.states += 1;
            if self.states > MOST_STATES {
                self.open = true;
                return None;
            }
            let can_be = match goal {
                Formula::Holds => true,
                Formula::Never => false,
                Formula::Bent => {
                    bent = true;
                    true
                }
                Formula::All(parts) => {
                    goals.extend(parts);
                    true
                }
                Formula::Any(parts) => {
                    choices.push(parts);
                    true
                }
                Formula::Under(sum) => system.under(sum),
                Formula::Answer(var, mask) => system.answers(*var, *mask),
            };
            if !can_be {
                return None;
            }
        }
        let shortest = choices.iter().enumerate().min_by_key(|(_, parts)| parts.len()).map(|(at, _)| at);
        match shortest {
            None => self.end(system, bent),
            Some(at) => {
                let parts = choices.swap_remove(at);
                parts.iter().find_map(|part| self.go(vec![part], choices.clone(), system.clone(), bent))
            }
        }
    }

    fn end(&mut self, system: System, bent: bool) -> Option<System> {
        match system.is_possible() {
            Some(true) if !bent => Some(system),
            Some(false) => None,
            _ => {
                self.open = true;
                None
            }
        }
    }
}

/// The ways in which a formula can hold: for each what must be, no `or` left in it. None where there are more than
/// `most`.
pub(crate) fn ways(formula: &Formula, most: usize) -> Option<Vec<Formula>> {
    match formula {
        Formula::Never => Some(Vec::new()),
        Formula::Any(parts) => {
            let mut all = Vec::new();
            for part in parts {
                all.extend(ways(part, most)?);
                if all.len() > most {
                    return None;
                }
            }
            Some(all)
        }
        Formula::All(parts) => {
            let mut all = vec![Formula::Holds];
            for part in parts {
                let each = ways(part, most)?;
                if all.len() * each.len() > most {
                    return None;
                }
                all = all
                    .iter()
                    .flat_map(|so_far| each.iter().map(move |one| Formula::all([so_far.clone(), one.clone()])))
                    .collect();
            }
            Some(all)
        }
        other => Some(vec![other.clone()]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lint::space::system::{Domain, Under};
    use crate::units::{Exact, Interval};

    fn below(limit: i64) -> Formula {
        Formula::Under(Under::new([(0, Exact::one())], Exact::from_int(-limit), true))
    }

    fn system() -> System {
        let range = Interval::between(Exact::zero(), Exact::from_int(40));
        System::new(vec![Domain::Number(range), Domain::Answers(0b111)])
    }

    #[test]
    fn a_limit_and_its_opposite_cannot_be() {
        assert!(solve([&below(12), &below(12).not()], system()).cannot());
        assert!(!solve([&below(12), &below(11).not()], system()).cannot());
    }

    #[test]
    fn an_or_is_tried_to_its_end() {
        let either = Formula::any([Formula::Answer(1, 0b001), below(0)]);
        assert!(solve([&either, &Formula::Answer(1, 0b110)], system()).cannot());
        let wider = Formula::any([Formula::Answer(1, 0b001), below(1)]);
        assert!(matches!(solve([&wider, &Formula::Answer(1, 0b110)], system()), Answer::Can(_)));
    }

    #[test]
    fn what_is_bent_is_never_called_certain() {
        assert_eq!(solve([&Formula::Bent], system()), Answer::Open);
        assert!(solve([&Formula::Bent, &below(0)], system()).cannot());
    }
}

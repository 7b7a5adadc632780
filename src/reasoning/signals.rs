//! What a recorded signal says to a condition: the answer that was worked out when the log was entered. A plain entry
//! counts as one sample: it can show `ever`, and show `always` wrong.

use crate::book::{Comparison, Condition, Over, SignalTest, Test, ToleranceLine};
use crate::job::signal::{Answer, Question};
use crate::job::{Entry, EntryId};

use super::choice::{chosen, holds, lines_that_hold, tolerance_truth};
use super::facts::Facts;
use super::truth::Truth;

/// What the chosen entries have to say.
pub(crate) enum Told<'f> {
    /// The log was asked.
    Answer(&'f Answer),
    /// A single reading, and what it tells.
    Single(Truth),
    /// Not every reading is of one log, or the limits are not.
    NotOneLog,
}

/// True, false or unknown under a choice.
pub(crate) fn truth(facts: &Facts<'_>, condition: &Condition, choice: &[Option<EntryId>], test: &SignalTest) -> Truth {
    match told(facts, condition, choice, test) {
        Told::Answer(answer) => answer.holds.into(),
        Told::Single(truth) => truth,
        Told::NotOneLog => Truth::Unknown,
    }
}

/// What the chosen entries tell.
pub(crate) fn told<'f>(
    facts: &Facts<'f>,
    condition: &Condition,
    choice: &[Option<EntryId>],
    test: &SignalTest,
) -> Told<'f> {
    let entries: Vec<&'f Entry> =
        test.slots.iter().filter_map(|slot| chosen(choice, *slot).and_then(|id| facts.entry(id))).collect();
    let lines = chosen_lines(facts, condition, choice, &test.what.comparison);
    if entries.iter().all(|entry| entry.recording.is_none()) {
        return Told::Single(single(facts, choice, test, &lines));
    }
    if let Some(seen) = entries.iter().find_map(|entry| entry.recording.as_ref()?.supposed) {
        return Told::Single(Truth::from(seen != (test.over == Over::Always)));
    }
    let Some(log) = entries.first().and_then(|entry| entry.recording.as_ref()) else { return Told::NotOneLog };
    let of_log = |entry: &Entry| entry.recording.as_ref().is_some_and(|other| log.same_log(other));
    if entries.len() < test.slots.len() || !entries.iter().all(|entry| of_log(entry)) || lines.len() > 1 {
        return Told::NotOneLog;
    }
    let column = |slot| facts.entry(chosen(choice, slot)?)?.recording.as_ref().map(|recording| recording.column);
    let Some(question) = Question::of(test, lines.first().copied(), &column) else { return Told::NotOneLog };
    let answer = entries.iter().find_map(|entry| entry.recording.as_ref()?.answer(&question));
    answer.map_or(Told::NotOneLog, Told::Answer)
}

fn chosen_lines<'l>(
    facts: &Facts<'_>,
    condition: &Condition,
    choice: &[Option<EntryId>],
    comparison: &'l Comparison,
) -> Vec<&'l ToleranceLine> {
    match &comparison.test {
        Test::Tolerance(_, lines) => lines_that_hold(facts, condition, choice, comparison, lines),
        _ => Vec::new(),
    }
}

/// One reading by itself.
fn single(facts: &Facts<'_>, choice: &[Option<EntryId>], test: &SignalTest, lines: &[&ToleranceLine]) -> Truth {
    if !test.one_sample_tells() {
        return Truth::Unknown;
    }
    let comparison = &test.what.comparison;
    let at_once = match &comparison.test {
        Test::Tolerance(..) if lines.is_empty() => Truth::Unknown,
        Test::Tolerance(side, _) => tolerance_truth(lines, *side, |one| holds(facts, choice, &comparison.subject, one)),
        plain => holds(facts, choice, &comparison.subject, plain),
    };
    let seen = if test.what.turned { !at_once } else { at_once };
    let told = if test.over == Over::Always { Truth::False } else { Truth::True };
    if seen == told { told } else { Truth::Unknown }
}

//! Answers that leave no fault, by brute force: every set of up to three answers that no sound vehicle gives.

use std::collections::BTreeSet;

use crate::random::{ENTRIES, FAULTS, Point, Random};
use crate::shelf::Found;

/// An entry and the cell that it lies in, none on a limit.
type Answer = (usize, usize);

fn answers(entry: usize) -> Vec<Answer> {
    let cells = if entry == 3 { vec![0, 1] } else { vec![0, 2, 4] };
    cells.into_iter().map(|cell| (entry, cell)).collect()
}

fn point(answers: &[Answer]) -> Point {
    let mut point: Point = [None; 4];
    answers.iter().for_each(|(entry, cell)| point[*entry] = Some(*cell));
    point
}

/// Whether no sound vehicle gives an answer: out of tolerance (which is said of `ra` without the change), or not the sound one.
fn is_unsound(answer: Answer) -> bool {
    matches!(answer, (0, 0 | 4) | (3, 1))
}

/// Whether a fault leaves no sound answer of a test, but one that is not.
fn upsets(book: &Random, fault: usize, entry: usize) -> bool {
    let left = |answer: &Answer| !book.excluded(fault, &point(&[*answer]));
    let (unsound, sound): (Vec<Answer>, Vec<Answer>) =
        answers(entry).into_iter().partition(|answer| is_unsound(*answer));
    !sound.is_empty() && !sound.iter().any(left) && unsound.iter().any(left)
}

/// Whether some fault is left by each answer of a set, taken one by one.
fn leaves(book: &Random, set: &[Answer]) -> bool {
    (0..FAULTS).any(|fault| set.iter().all(|answer| !book.excluded(fault, &point(&[*answer]))))
}

/// The smallest sets that leave none, by the names of their tests.
pub(crate) fn none_left(book: &Random) -> Found {
    let signs: Vec<Answer> = (0..4)
        .flat_map(answers)
        .filter(|answer| is_unsound(*answer) && book.proved(&point(&[*answer])).is_empty())
        .collect();
    let mut sets: Vec<Vec<Answer>> = vec![Vec::new()];
    for answer in &signs {
        let more: Vec<Vec<Answer>> = sets
            .iter()
            .filter(|set| set.len() < 3 && set.iter().all(|(entry, _)| *entry != answer.0))
            .map(|set| [set.as_slice(), &[*answer]].concat())
            .collect();
        sets.extend(more);
    }
    let smallest = |set: &Vec<Answer>| {
        let without = |n: usize| [&set[..n], &set[n + 1..]].concat();
        set.len() < 2 || (0..set.len()).all(|n| leaves(book, &without(n)))
    };
    let together = |set: &Vec<Answer>| {
        set.len() < 2 || (0..FAULTS).any(|fault| set.iter().all(|(entry, _)| upsets(book, fault, *entry)))
    };
    let found = sets.iter().filter(|set| !set.is_empty() && !leaves(book, set) && smallest(set) && together(set));
    let judged = found.filter(|set| book.proved(&point(set)).is_empty());
    let names = |set: &Vec<Answer>| set.iter().map(|(entry, _)| ENTRIES[*entry].0).collect::<BTreeSet<&str>>();
    judged.map(|set| format!("no-fault-left {:?}", names(set))).collect()
}

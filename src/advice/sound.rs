//! What a test is likely to show before anybody takes it, where the book says nothing of it under a fault: mostly what a
//! sound vehicle shows, for most faults leave most of a vehicle alone. Were all answers taken as equally likely, a test
//! of something else would look as if it told much.
//!
//! Only advice expects that. Once a test is taken, its answers weigh as the language says: equally, where a fault is
//! silent.

use crate::book::{IndicationId, IndicationKind};
use crate::reasoning::cells::Cell;
use crate::reasoning::choice::is_decided;
use crate::reasoning::{Facts, Truth};

/// How much likelier the sound answers are together than the others together (common practice, no source).
const SOUND_TO_OTHER: f64 = 3.0;

/// Whether a sound vehicle shows an answer, which the facts hold to be true; unknown where the book doesn't say.
pub(super) fn truth(facts: &Facts<'_>, indication: IndicationId, cell: &Cell) -> Truth {
    match (&facts.book.indication(indication).kind, cell) {
        (IndicationKind::Observation(observation), Cell::Answer(mask)) if observation.sound != 0 => {
            if observation.sound & mask != 0 { Truth::True } else { Truth::False }
        }
        (IndicationKind::Reading(_), _) => match facts.book.tolerance_test(indication) {
            Some(out) if is_decided(facts, out, true) => Truth::False,
            Some(out) if is_decided(facts, out, false) => Truth::True,
            _ => Truth::Unknown,
        },
        _ => Truth::Unknown,
    }
}

/// How answers are shared out where nothing is said, in proportion; nothing where none or all of them are sound.
pub(super) fn usual(sound: &[Truth]) -> Vec<f64> {
    let count = |truth: Truth| sound.iter().filter(|t| **t == truth).count();
    let (sounds, others) = (count(Truth::True), count(Truth::False));
    if sounds == 0 || others == 0 {
        return Vec::new();
    }
    let other = sounds as f64 / (SOUND_TO_OTHER * others as f64);
    sound.iter().map(|truth| if *truth == Truth::False { other } else { 1.0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::{Truth, usual};

    #[test]
    fn sound_answers_together_are_three_times_as_likely_as_the_others_together() {
        let shares = usual(&[Truth::False, Truth::True, Truth::False, Truth::False]);
        assert!((shares[1] / (shares[0] + shares[2] + shares[3]) - 3.0).abs() < 1e-12);
        assert!(usual(&[Truth::Unknown, Truth::Unknown]).is_empty() && usual(&[Truth::True, Truth::True]).is_empty());
    }
}

//! Counts the stretches of time in which a test holds, with hysteresis by the accuracy: one begins at a sample at which
//! the test surely holds and ends at one at which it surely does not. What could hide between two samples is kept in
//! mind, and what is cut off at the log's ends.
//!
//! Practice of voltage-dip recording (start below a threshold, end above threshold and hysteresis, duration and depth
//! reported): recalled from IEC 61000-4-30. Three values on a part of a run: after Bauer, Leucker & Schallhart 2011.

use super::found::{Answer, Doubt, Episode, MOST_EPISODES};
use super::longer;
use super::predicate::Mark;

/// What is asked of the stretches.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Watch {
    /// How long one must be, in s; 0 for any length.
    pub lasting: f64,
    /// How many there must be.
    pub times: u64,
}

/// Stretches between two samples at which the test surely does not hold.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    episode: Episode,
    /// Whether the test surely held at some sample.
    sure: bool,
    /// Start of the run of sure samples that goes on.
    run: Option<f64>,
    /// The longest run of sure samples, in s; below 0: none.
    longest: f64,
}

/// Watches one test.
#[derive(Clone, Debug)]
pub struct Monitor {
    watch: Watch,
    /// Samples further apart than this don't belong to one run, in s.
    gap: f64,
    before: Option<f64>,
    last_no: Option<f64>,
    stretch: Option<Stretch>,
    /// Stretches that surely were, and that may have been, as asked.
    sure: u64,
    possible: u64,
    /// The widest blind time: between two samples beside which the test does not hold, or in a gap.
    blind: f64,
    doubt: Option<Doubt>,
    seen: u64,
    episodes: Vec<Episode>,
}

impl Monitor {
    /// A monitor; `gap` is how far apart samples may be to belong to one run, in s.
    pub fn new(watch: Watch, gap: f64) -> Self {
        Self {
            watch,
            gap,
            before: None,
            last_no: None,
            stretch: None,
            sure: 0,
            possible: 0,
            blind: 0.0,
            doubt: None,
            seen: 0,
            episodes: Vec::new(),
        }
    }

    /// Takes samples in order of time: when, what the test says, the value tested.
    pub fn take(&mut self, times: &[f64], marks: &[Mark], values: &[f64]) {
        for ((time, mark), value) in times.iter().zip(marks).zip(values) {
            // The usual sample first: nothing is going on and nothing happens.
            if *mark == Mark::No && self.stretch.is_none() {
                if let Some(before) = self.before {
                    self.blind = self.blind.max(time - before);
                }
                (self.before, self.last_no) = (Some(*time), Some(*time));
            } else if *mark != Mark::Missing {
                self.one(*time, *mark, *value);
            }
        }
    }

    fn one(&mut self, time: f64, mark: Mark, value: f64) {
        if mark == Mark::No {
            if let Some(stretch) = self.stretch.take() {
                self.close(stretch, Some(time));
            }
            (self.before, self.last_no) = (Some(time), Some(time));
            return;
        }
        let broken = self.before.is_some_and(|before| longer(time - before, self.gap));
        if let (true, Some(before)) = (broken, self.before) {
            self.blind = self.blind.max(time - before);
        }
        let after = self.last_no;
        let stretch = self.stretch.get_or_insert(Stretch {
            episode: Episode { after, start: time, last: time, end: None, low: value, high: value },
            sure: false,
            run: None,
            longest: -1.0,
        });
        stretch.episode.low = stretch.episode.low.min(value);
        stretch.episode.high = stretch.episode.high.max(value);
        if mark == Mark::Yes {
            if !stretch.sure {
                stretch.episode.start = time;
            }
            stretch.sure = true;
            stretch.episode.last = time;
            let from = stretch.run.filter(|_| !broken).unwrap_or(time);
            stretch.run = Some(from);
            stretch.longest = stretch.longest.max(time - from);
        } else {
            stretch.run = None;
        }
        self.before = Some(time);
    }

    /// Ends a stretch, at a sample at which the test does not hold, or with the log.
    fn close(&mut self, mut stretch: Stretch, end: Option<f64>) {
        stretch.episode.end = end;
        let wanted = self.watch.lasting;
        let longest = stretch.episode.after.zip(end).map(|(after, end)| end - after);
        let enough = stretch.longest >= 0.0 && !longer(wanted, stretch.longest);
        if stretch.sure {
            self.seen += 1;
        }
        if enough {
            self.sure += 1;
            self.keep(stretch.episode);
        }
        if longest.is_none_or(|longest| longer(longest, wanted)) {
            self.possible += 1;
            if !enough {
                self.doubt = self.doubt.or(Some(match (stretch.sure, longest) {
                    (false, _) => Doubt::TooClose,
                    (_, None) => Doubt::CutOff,
                    (_, longest) => Doubt::Length(stretch.longest, longest),
                }));
            }
        }
    }

    fn keep(&mut self, episode: Episode) {
        if self.episodes.len() < MOST_EPISODES {
            self.episodes.push(episode);
        }
    }

    /// The answer once all samples are taken.
    pub fn answer(mut self) -> Answer {
        if let Some(stretch) = self.stretch.take() {
            self.close(stretch, None);
        }
        let hides = longer(self.blind, self.watch.lasting);
        let (holds, doubt) = if self.before.is_none() {
            (None, Some(Doubt::NoSample))
        } else if self.sure >= self.watch.times {
            (Some(true), None)
        } else if self.possible >= self.watch.times {
            (None, self.doubt.or(Some(Doubt::Hidden(self.blind))))
        } else if hides {
            (None, Some(Doubt::Hidden(self.blind)))
        } else {
            (Some(false), None)
        };
        Answer { holds, doubt, count: self.sure, episodes: self.episodes, slowest: None }
    }
}

/// Every stretch below `low` that ends at or above `high`: a listing with a hysteresis of its own. Times in s, rising.
pub fn dropouts(times: &[f64], values: &[f64], low: f64, high: f64) -> Vec<Episode> {
    let mut monitor = Monitor::new(Watch { lasting: 0.0, times: 1 }, f64::INFINITY);
    let mark = |value: &f64| match value {
        value if value.is_nan() => Mark::Missing,
        value if *value < low => Mark::Yes,
        value if *value >= high => Mark::No,
        _ => Mark::Unsure,
    };
    let marks: Vec<Mark> = values.iter().map(mark).collect();
    monitor.take(times, &marks, values);
    monitor.answer().episodes
}

#[cfg(test)]
mod tests {
    use super::*;
    use Mark::{Missing, No, Unsure, Yes};

    /// Samples every 10 ms.
    fn asked(marks: &[Mark], lasting: f64, times: u64) -> Answer {
        let mut monitor = Monitor::new(Watch { lasting, times }, 0.03);
        let at: Vec<f64> = (0..marks.len()).map(|n| n as f64 * 0.01).collect();
        monitor.take(&at, marks, &vec![0.0; marks.len()]);
        monitor.answer()
    }

    #[test]
    fn what_is_seen_is_so_and_what_could_hide_is_not_known() {
        assert_eq!(asked(&[No, Yes, No], 0.0, 1).holds, Some(true));
        let unseen = asked(&[No, No, No], 0.0, 1);
        assert_eq!((unseen.holds, unseen.doubt), (None, Some(Doubt::Hidden(0.01))));
        // As long as the sampling interval: a sample would have met it.
        assert_eq!(asked(&[No, No, No], 0.01, 1).holds, Some(false));
        assert!(matches!(asked(&[No, No, No], 0.009, 1).doubt, Some(Doubt::Hidden(_))));
    }

    #[test]
    fn a_length_is_known_to_two_sampling_intervals() {
        let three = [No, Yes, Yes, Yes, No];
        assert_eq!(asked(&three, 0.02, 1).holds, Some(true));
        assert!(matches!(asked(&three, 0.03, 1).doubt, Some(Doubt::Length(..))));
        assert_eq!(asked(&three, 0.04, 1).holds, Some(false));
    }

    #[test]
    fn what_the_log_cuts_off_is_not_known() {
        assert_eq!(asked(&[No, No, Yes], 0.05, 1).doubt, Some(Doubt::CutOff));
        assert_eq!(asked(&[Yes, No, No], 0.05, 1).doubt, Some(Doubt::CutOff));
        assert_eq!(asked(&[No, Yes, Yes], 0.01, 1).holds, Some(true));
    }

    #[test]
    fn too_close_a_sample_neither_ends_a_dropout_nor_makes_one() {
        assert_eq!(asked(&[No, Yes, Unsure, Yes, No], 0.01, 2).holds, Some(false));
        assert_eq!(asked(&[No, Yes, No, Yes, No], 0.0, 2).holds, Some(true));
        assert_eq!(asked(&[No, Unsure, Unsure, No], 0.01, 1).doubt, Some(Doubt::TooClose));
    }

    #[test]
    fn a_missing_sample_makes_a_longer_blind_time() {
        assert!(matches!(asked(&[No, Missing, No, No], 0.01, 1).doubt, Some(Doubt::Hidden(_))));
        assert_eq!(asked(&[No, Missing, No, No], 0.02, 1).holds, Some(false));
        assert_eq!(asked(&[], 0.0, 1).doubt, Some(Doubt::NoSample));
    }
}

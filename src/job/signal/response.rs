//! Whether something is reached in time, each time that something else is seen to begin: `fan current above 5 A within
//! 2 s after command above 5 V`. Both moments are known only to a sampling interval, so the time between them is too.
//! What is reached must stay long enough to be seen at a sample.

use std::collections::VecDeque;

use super::found::{Answer, Doubt};
use super::longer;
use super::predicate::Mark;

/// The most beginnings that may wait at once; more are counted as not known.
const MOST_WAITING: usize = 4_096;

#[derive(Clone, Copy, Debug)]
struct Waiting {
    /// It began after this, and at this at the latest, in s.
    after: f64,
    at: f64,
    /// Whether what is awaited may have been there at a sample that is too close to call.
    maybe: bool,
}

/// Watches one response.
#[derive(Clone, Debug)]
pub struct Response {
    within: f64,
    waiting: VecDeque<Waiting>,
    /// The last sample at which what begins was surely not there.
    quiet: Option<f64>,
    began: bool,
    before: Option<(f64, Mark)>,
    count: u64,
    slowest: Option<f64>,
    failed: bool,
    doubt: Option<Doubt>,
}

impl Response {
    /// A watch for something within that many seconds.
    pub fn new(within: f64) -> Self {
        Self {
            within,
            waiting: VecDeque::new(),
            quiet: None,
            began: false,
            before: None,
            count: 0,
            slowest: None,
            failed: false,
            doubt: None,
        }
    }

    /// Takes samples in order of time: when, what begins, what is awaited.
    pub fn take(&mut self, times: &[f64], begins: &[Mark], awaited: &[Mark]) {
        for ((time, begin), reached) in times.iter().zip(begins).zip(awaited) {
            if *begin == Mark::Missing && *reached == Mark::Missing {
                continue;
            }
            self.begin(*time, *begin);
            if !self.waiting.is_empty() {
                self.reach(*time, *reached);
            }
            if *reached != Mark::Missing {
                self.before = Some((*time, *reached));
            }
        }
    }

    fn begin(&mut self, time: f64, mark: Mark) {
        match mark {
            Mark::No => (self.quiet, self.began) = (Some(time), false),
            Mark::Yes if !self.began => {
                self.began = true;
                // What is there at the first sample began before the log did: nobody saw when.
                let Some(after) = self.quiet else { return };
                self.count += 1;
                if self.waiting.len() >= MOST_WAITING {
                    self.doubt = self.doubt.or(Some(Doubt::TooClose));
                    return;
                }
                let maybe = self.before.is_some_and(|(_, reached)| reached == Mark::Unsure);
                self.waiting.push_back(Waiting { after, at: time, maybe });
            }
            _ => {}
        }
    }

    fn reach(&mut self, time: f64, reached: Mark) {
        match reached {
            Mark::Yes => {
                let all_along = matches!(self.before, Some((_, Mark::Yes)));
                while let Some(waiting) = self.waiting.pop_front() {
                    self.met(waiting, time, all_along);
                }
            }
            Mark::Unsure => self.waiting.iter_mut().for_each(|waiting| waiting.maybe = true),
            Mark::No => self.give_up(time),
            Mark::Missing => {}
        }
    }

    /// What is awaited is there at `time`; it came after the sample before, if it was not there then.
    fn met(&mut self, waiting: Waiting, time: f64, all_along: bool) {
        let longest = if all_along && time <= waiting.at { 0.0 } else { time - waiting.after };
        if !longer(longest, self.within) {
            self.slowest = Some(self.slowest.map_or(longest, |slowest| slowest.max(longest)));
            return;
        }
        let shortest = self.before.map_or(0.0, |(before, _)| (before - waiting.at).max(0.0));
        if !waiting.maybe && !longer(self.within, shortest) {
            self.failed = true;
        } else {
            let close = if waiting.maybe { Doubt::TooClose } else { Doubt::Delay(shortest, longest) };
            self.doubt = self.doubt.or(Some(close));
        }
    }

    /// Time is over for those that wait since long enough.
    fn give_up(&mut self, time: f64) {
        while let Some(first) = self.waiting.front().copied() {
            if longer(self.within, time - first.at) {
                return;
            }
            self.waiting.pop_front();
            if first.maybe {
                self.doubt = self.doubt.or(Some(Doubt::TooClose));
            } else {
                self.failed = true;
            }
        }
    }

    /// The answer once all samples are taken.
    pub fn answer(mut self) -> Answer {
        if !self.waiting.is_empty() {
            self.doubt = self.doubt.or(Some(Doubt::CutOff));
        }
        let (holds, doubt) = match (self.failed, self.doubt, self.count) {
            (true, ..) => (Some(false), None),
            (false, Some(doubt), _) => (None, Some(doubt)),
            (false, None, 0) => (None, Some(Doubt::NeverBegan)),
            (false, None, _) => (Some(true), None),
        };
        Answer { holds, doubt, count: self.count, episodes: Vec::new(), slowest: self.slowest }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Mark::{No, Unsure, Yes};

    /// Samples every second.
    fn asked(begins: &[Mark], awaited: &[Mark], within: f64) -> Answer {
        let mut response = Response::new(within);
        let at: Vec<f64> = (0..begins.len()).map(|n| n as f64).collect();
        response.take(&at, begins, awaited);
        response.answer()
    }

    #[test]
    fn the_time_between_is_known_to_two_sampling_intervals() {
        let (begins, awaited) = ([No, Yes, Yes, Yes, Yes], [No, No, No, Yes, Yes]);
        // It took more than 1 s and at most 3 s.
        assert_eq!(asked(&begins, &awaited, 3.0).holds, Some(true));
        assert!(matches!(asked(&begins, &awaited, 2.0).doubt, Some(Doubt::Delay(..))));
        assert_eq!(asked(&begins, &awaited, 1.0).holds, Some(false));
    }

    #[test]
    fn past_the_end_and_before_the_beginning_nothing_is_known() {
        assert_eq!(asked(&[No, Yes, Yes], &[No, No, No], 5.0).doubt, Some(Doubt::CutOff));
        assert_eq!(asked(&[Yes, Yes, Yes], &[No, No, No], 1.0).doubt, Some(Doubt::NeverBegan));
        assert_eq!(asked(&[No, No, No], &[No, No, No], 1.0).doubt, Some(Doubt::NeverBegan));
    }

    #[test]
    fn one_failure_is_enough_and_what_is_there_already_is_in_time() {
        let twice = [No, Yes, No, Yes, Yes, Yes, Yes];
        assert_eq!(asked(&twice, &[No, Yes, No, No, No, No, No], 2.0).holds, Some(false));
        assert_eq!(asked(&[No, Yes], &[Yes, Yes], 0.1).holds, Some(true));
        assert_eq!(asked(&[No, Yes, Yes, Yes], &[No, Unsure, No, No], 1.0).doubt, Some(Doubt::TooClose));
    }
}

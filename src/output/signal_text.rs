//! Recorded signals in words: what was seen and when, why a log doesn't tell, and the whole of a recording for a screen
//! reader.

use crate::job::signal::words::{seconds, show, show_width};
use crate::job::signal::{Answer, Asks, Doubt, Episode, Question, Recording};
use crate::job::{Entry, EntryId};

use super::page::Page;
use super::signal_plot::{Look, plot};
use super::words::{Wording, counted};

/// How many dropouts are listed at once.
const LISTED: usize = 5;

/// Why a log doesn't tell, with the way out.
pub fn doubt_words(doubt: Doubt) -> String {
    match doubt {
        Doubt::Hidden(apart) => format!(
            "no sample shows it, but one could hide between samples {0} apart; ask for it `for at least {0}`, or log faster",
            seconds(apart)
        ),
        Doubt::TooClose => "samples lie too close to the limit for the accuracy of the log".into(),
        Doubt::Length(least, Some(most)) => format!(
            "it was seen for at least {}, at most {}: log faster to tell",
            seconds(least.max(0.0)),
            seconds(most)
        ),
        Doubt::Length(least, None) => format!("it was seen for at least {}", seconds(least.max(0.0))),
        Doubt::CutOff => "it goes on where the log begins or ends: log for longer".into(),
        Doubt::Delay(least, most) => {
            format!("it took between {} and {}: log faster to tell", seconds(least), seconds(most))
        }
        Doubt::NeverBegan => "what it should follow is never seen to begin in this log".into(),
        Doubt::NoSample => "the log holds no sample of it".into(),
    }
}

/// `at 12.3 s for 340 ms, 3.1 V to 4 V`
fn episode(one: &Episode, recording: &Recording) -> String {
    let (least, most) = one.bounds();
    let length = match most {
        Some(_) => format!("for {}", seconds(one.length())),
        None => format!("for at least {}, cut off by the log's end", seconds(least)),
    };
    let (low, high) = (show(recording, one.low), show(recording, one.high));
    let depth = if low == high { low } else { format!("{low} to {high}") };
    format!("at {} {length}, {depth}", seconds(one.start))
}

/// What was seen, one line each.
pub(super) fn seen(answer: &Answer, recording: &Recording) -> Page {
    let mut page = Page::new();
    for one in answer.episodes.iter().take(LISTED) {
        page.line(0, episode(one, recording));
    }
    let more = answer.count.saturating_sub(LISTED.min(answer.episodes.len()) as u64);
    if more > 0 && !answer.episodes.is_empty() {
        page.line(0, format!("and {more} more"));
    }
    if let Some(slowest) = answer.slowest {
        page.line(0, format!("the slowest took at most {}", seconds(slowest)));
    }
    page
}

/// The most events a second that a log without one leaves likely, at 95 %: the upper limit for a Poisson process,
/// −ln 0.05 / T.
pub fn most_per_second(seconds: f64) -> f64 {
    -(0.05f64.ln()) / seconds
}

impl Wording<'_> {
    /// The log of the first of some entries that has one.
    pub(super) fn log_of(&self, entries: &[EntryId]) -> Option<&Recording> {
        entries.iter().find_map(|id| self.job.entry(*id)?.recording.as_deref())
    }

    /// A recorded entry: its picture, its extent in words, and what the book asks of it.
    pub fn signal(&self, entry: &Entry, look: Look) -> Page {
        let mut page = Page::new();
        let Some(recording) = entry.recording.as_deref() else { return page };
        page.line(0, format!("{}, {}", self.entry(entry), crate::job::setup_words(self.book, &entry.setup)));
        for line in plot(recording, look) {
            page.drawn(0, line);
        }
        page.page(0, &self.in_words(recording));
        page
    }

    fn in_words(&self, recording: &Recording) -> Page {
        let mut page = Page::new();
        page.line(
            0,
            format!(
                "{} over {}, one every {}; lowest {}, highest {}, good to ± {}",
                counted(usize::try_from(recording.tally.samples).unwrap_or(usize::MAX), "sample", "samples"),
                seconds(recording.seconds),
                seconds(recording.interval),
                show(recording, recording.low),
                show(recording, recording.high),
                show_width(recording, recording.width.at(recording.high))
            ),
        );
        if recording.gaps > 0 {
            page.line(0, format!("{} gaps, the longest {}", recording.gaps, seconds(recording.widest)));
        }
        for (question, answer) in &recording.answers {
            page.line(0, format!("{}: {}", asked(question, recording), told(answer)));
            if let (Some(doubt), None) = (answer.doubt, answer.holds) {
                page.line(1, doubt_words(doubt));
            }
            page.page(1, &seen(answer, recording));
            let none = answer.holds == Some(false) && answer.count == 0 && recording.seconds > 0.0;
            if let (true, Asks::Episodes(_)) = (none, &question.asks) {
                let rare = 1.0 / most_per_second(recording.seconds);
                page.line(1, format!("fewer than one in {} then, at 95 %", seconds(rare)));
            }
        }
        page
    }
}

fn told(answer: &Answer) -> &'static str {
    match answer.holds {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not known",
    }
}

/// A question in the words of a sentence.
fn asked(question: &Question, recording: &Recording) -> String {
    let what = limit(&question.what, recording);
    match &question.asks {
        Asks::Always => format!("always {what}"),
        Asks::Episodes(watch) if watch.lasting <= 0.0 && watch.times == 1 => format!("ever {what}"),
        Asks::Episodes(watch) => {
            let lasting =
                if watch.lasting > 0.0 { format!(" for at least {}", seconds(watch.lasting)) } else { String::new() };
            let times = if watch.times > 1 { format!(" {} times", watch.times) } else { String::new() };
            format!("{what}{lasting}{times}")
        }
        Asks::Response { within, after } => {
            format!("{what} within {} after {}", seconds(*within), limit(after, recording))
        }
    }
}

/// A test of one channel against numbers; of several, only that it is one.
fn limit(predicate: &crate::job::signal::Predicate, recording: &Recording) -> String {
    let mut parts = Vec::new();
    for end in &predicate.ends {
        let [(column, factor)] = end.sum.factors.as_slice() else { return "what its sentence says".into() };
        if *column != recording.column || *factor == 0.0 {
            return "what its sentence says".into();
        }
        let at = show(recording, -end.sum.constant / factor);
        parts.push(match (*factor > 0.0, end.closed) {
            (true, true) => format!("at least {at}"),
            (true, false) => format!("above {at}"),
            (false, true) => format!("at most {at}"),
            (false, false) => format!("below {at}"),
        });
    }
    let whole = parts.join(" and ");
    if predicate.turned { format!("not {whole}") } else { whole }
}

/// The limits that a recording was held against, in base units, lowest first.
pub(super) fn limits(recording: &Recording) -> Vec<f64> {
    let mut all: Vec<f64> = Vec::new();
    for (question, _) in &recording.answers {
        for end in &question.what.ends {
            if let [(column, factor)] = end.sum.factors.as_slice()
                && *column == recording.column
                && *factor != 0.0
            {
                all.push(-end.sum.constant / factor);
            }
        }
    }
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

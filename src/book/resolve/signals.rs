//! Conditions on recorded signals: `ever`, `always`, `for at least 50 ms`, `3 times`, `within 2 s after …`.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{self, Atom, Number, SignalWord};

use super::super::affine::affine;
use super::super::condition::{Comparison, Node, Test};
use super::super::signal::{Moment, Over, SignalTest};
use super::super::value::Value;
use super::conditions::Compiler;
use super::numbers;

/// The signal words of one atom, each at most once.
#[derive(Default)]
struct Words<'a> {
    ever: bool,
    always: bool,
    lasting: Option<&'a Number>,
    times: Option<&'a Number>,
    within: Option<(&'a Number, &'a tree::Condition)>,
    twice: bool,
}

impl<'a> Words<'a> {
    fn of(atom: &'a Atom) -> Self {
        let mut words = Self::default();
        for word in &atom.signal {
            let before = match word {
                SignalWord::Ever => std::mem::replace(&mut words.ever, true),
                SignalWord::Always => std::mem::replace(&mut words.always, true),
                SignalWord::ForAtLeast(number) => words.lasting.replace(number).is_some(),
                SignalWord::Times(number) => words.times.replace(number).is_some(),
                SignalWord::Within(number, after) => words.within.replace((number, &**after)).is_some(),
            };
            words.twice |= before;
        }
        words
    }

    /// Words that say nothing together.
    fn quarrel(&self) -> Option<&'static str> {
        let counted = self.lasting.is_some() || self.times.is_some();
        if self.twice {
            return Some("one of these words stands twice");
        }
        if self.always && (self.ever || counted || self.within.is_some()) {
            return Some("`always` stands by itself: it asks for every moment of the log");
        }
        if self.within.is_some() && (self.ever || counted) {
            return Some("`within … after …` stands by itself: it asks for each time that something begins");
        }
        None
    }
}

impl Compiler<'_, '_> {
    /// An atom with signal words.
    pub(super) fn signal(&mut self, atom: &Atom) -> Option<Node> {
        let words = Words::of(atom);
        if let Some(quarrel) = words.quarrel() {
            return self.refuse(Problem::error("book/signal-words", atom.span, quarrel).help(
                "a dropout is asked for by `below 11 V for at least 50 ms`, its absence by `not … for at least 50 ms`",
            ));
        }
        let what = self.moment(atom)?;
        let over = self.over(&words)?;
        let mut slots = what.comparison.slots.clone();
        if let Over::Within(_, after) = &over {
            slots.extend(after.comparison.slots.iter().filter(|slot| !what.comparison.slots.contains(slot)));
        }
        if slots.is_empty() {
            return self.no_signal(atom.span);
        }
        let loose = what.comparison.loose.clone();
        Some(Node::Signal(Box::new(SignalTest { what, over, slots, loose, span: atom.span })))
    }

    fn over(&mut self, words: &Words<'_>) -> Option<Over> {
        if words.always {
            return Some(Over::Always);
        }
        if let Some((limit, after)) = words.within {
            let within = self.time(limit)?;
            let tree::Condition::Atom(after) = after else { return self.no_signal(after.span()) };
            if !after.signal.is_empty() {
                let problem =
                    Problem::error("book/signal-words", after.span, "what stands after `after` is one moment")
                        .help("leave out the words about time there; name the moment at which it begins");
                return self.refuse(problem);
            }
            return Some(Over::Within(within, Box::new(self.after(after)?)));
        }
        let lasting = match words.lasting {
            Some(number) => Some(self.time(number)?),
            None => None,
        };
        let times = match words.times {
            Some(number) => self.times(number)?,
            None => 1,
        };
        Some(Over::Stretches { lasting, times })
    }

    /// What begins; its own `with` counts there.
    fn after(&mut self, atom: &Atom) -> Option<Moment> {
        self.with(&atom.setup, |compiler| compiler.moment(atom))
    }

    /// The comparison of an atom, at one moment.
    fn moment(&mut self, atom: &Atom) -> Option<Moment> {
        match self.test(atom)? {
            Node::Compare(comparison) if is_straight(&comparison) => {
                Some(Moment { comparison: *comparison, turned: atom.negated })
            }
            Node::Compare(_) => self.refuse(
                Problem::error("book/signal-sum", atom.span, "a log is asked for readings and sums of them only")
                    .help("compare with a number, a limit, or another reading of the same log, times or plus numbers"),
            ),
            _ => self.no_signal(atom.span),
        }
    }

    fn no_signal<T>(&mut self, span: Span) -> Option<T> {
        self.refuse(
            Problem::error("book/no-signal", span, "only a comparison of a reading can be asked of a recorded signal")
                .help("write for example `supply at fan connector below 11 V for at least 50 ms`"),
        )
    }

    fn time(&mut self, number: &Number) -> Option<crate::units::Exact> {
        match numbers::seconds(number) {
            Ok(seconds) => Some(seconds),
            Err(problem) => self.refuse(problem),
        }
    }

    fn times(&mut self, number: &Number) -> Option<u32> {
        match number.digits.parse::<u32>() {
            Ok(times) if times > 0 => Some(times),
            _ => self.refuse(
                Problem::error("book/signal-words", number.span, "how many times is a whole number from 1 on")
                    .help("write for example `3 times`: at least so many"),
            ),
        }
    }
}

/// Whether both sides are straight lines in readings.
fn is_straight(comparison: &Comparison) -> bool {
    let sides: Vec<&Value> = match &comparison.test {
        Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x) => vec![x],
        Test::Between(x, y) | Test::Outside(x, y) => vec![x, y],
        Test::Band(..) => Vec::new(),
        Test::Tolerance(_, lines) => lines.iter().flat_map(|line| [&line.low, &line.high]).collect(),
    };
    let straight = sides.into_iter().chain([&comparison.subject]).all(|value| affine(value).is_some());
    straight && !comparison.slots.is_empty()
}

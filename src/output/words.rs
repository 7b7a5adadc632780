//! Entries, atoms and proofs in sentences that can be read aloud.

use crate::book::{Book, IndicationId, SettingId, ToleranceSide};
use crate::job::{Entry, EntryId, Job, set_words, setup_words};
use crate::reasoning::describe::{Atom, Step, Undecided};
use crate::reasoning::joined::Joining;
use crate::reasoning::truth::Truth;
use crate::source::Span;
use crate::units::root_sum_square::rounded_up;
use crate::units::{Exact, Interval, Unit};

use super::page::Page;

/// What belongs to one judgement, for wording it.
#[derive(Clone, Copy)]
pub struct Wording<'a> {
    /// The book.
    pub book: &'a Book,
    /// The job.
    pub job: &'a Job,
}

impl Wording<'_> {
    /// The words of a span, on one line.
    pub fn source_words(&self, span: Span) -> String {
        let words = self.book.sources.slice(span);
        let lines = words.lines().map(|line| line.split('#').next().unwrap_or("").trim());
        lines.collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// `roof-unit-fans.rulebook:61`
    pub fn place(&self, span: Span) -> String {
        self.book.sources.place(span)
    }

    /// `supply at fan connector = 4.2 V`
    pub fn entry(&self, entry: &Entry) -> String {
        let indication = self.book.indication(entry.indication);
        let joint = match (&entry.recording, indication.reading()) {
            (Some(_), _) => " ",
            (None, Some(_)) => " = ",
            (None, None) => " is ",
        };
        let tries = if entry.tries > 1 { format!(", {} times", entry.tries) } else { String::new() };
        format!("{}{joint}{}{tries}", indication.name, entry.said)
    }

    /// The same with its number and setup.
    pub fn entry_in_full(&self, id: EntryId) -> String {
        match self.job.kept(id) {
            Some(entry) => {
                format!("entry {}: {}, {}", id.place() + 1, self.entry(&entry), setup_words(self.book, &entry.setup))
            }
            None => format!("entry {}", id.place() + 1),
        }
    }

    /// A setting as it is set at a value.
    pub fn setting(&self, id: SettingId, value: u8) -> String {
        self.book.setting(id).said(value)
    }

    /// The name of a reading or observation.
    pub fn indication(&self, id: IndicationId) -> &str {
        &self.book.indication(id).name
    }

    /// Steps of a proof or survey, with their entries.
    pub fn steps(&self, steps: &[Step]) -> Page {
        let mut page = Page::new();
        for step in steps {
            self.step(&mut page, 0, step);
        }
        page
    }

    fn step(&self, page: &mut Page, depth: usize, step: &Step) {
        match step {
            Step::Atom(atom) => self.atom(page, depth, atom),
            Step::Finding(id, truth, inside) => {
                let finding = self.book.finding(*id);
                page.line(depth, format!("{}: {} ({})", finding.name, holds(*truth), self.place(finding.span)));
                inside.iter().for_each(|step| self.step(page, depth + 1, step));
                if let Some(because) = &finding.because {
                    page.line(depth + 1, format!("because {because}"));
                }
            }
            Step::Any(truth, inside) if inside.len() > 1 => {
                page.line(depth, format!("one of these: {}", holds(*truth)));
                inside.iter().for_each(|step| self.step(page, depth + 1, step));
            }
            Step::Any(_, inside) => inside.iter().for_each(|step| self.step(page, depth, step)),
            Step::Not(truth, inside) => {
                page.line(depth, format!("not so: {}", holds(*truth)));
                inside.iter().for_each(|step| self.step(page, depth + 1, step));
            }
        }
    }

    fn atom(&self, page: &mut Page, depth: usize, atom: &Atom) {
        page.line(depth, format!("{}: {}{}", self.source_words(atom.span), holds(atom.truth), self.compared(atom)));
        if let Some(said) = self.guarded(atom) {
            page.line(depth + 1, said);
        }
        for id in &atom.entries {
            page.line(depth + 1, self.entry_in_full(*id));
        }
        for (reading, joining) in &atom.joinings {
            self.joining(page, depth + 1, *reading, joining);
        }
        if let (Some(answer), Some(recording)) = (&atom.log, self.log_of(&atom.entries)) {
            page.page(depth + 1, &super::signal_text::seen(answer, recording));
        }
        if let Some(undecided) = &atom.undecided {
            for line in self.undecided(undecided, atom.unit) {
                page.line(depth + 1, line);
            }
        }
    }

    /// How probable it is that a value lies where it seems to, in a book that asks for a guard band.
    fn guarded(&self, atom: &Atom) -> Option<String> {
        let guard = self.book.guard_band?;
        let ends = |interval: &Interval| Some((interval.low.value()?.to_f64(), interval.high.value()?.to_f64()));
        let (low, high) = ends(atom.subject.as_ref()?)?;
        let limits = atom.limits.iter().map(ends).collect::<Option<Vec<(f64, f64)>>>()?;
        let centre = f64::midpoint(low, high);
        // What a limit that was itself read may be off by adds to what the reading may.
        let half = |(low, high): (f64, f64)| (high - low) / 2.0;
        let width = half((low, high)) + limits.iter().map(|limit| half(*limit)).fold(0.0, f64::max);
        let (side, share) = match limits.as_slice() {
            [limit] => {
                let limit = f64::midpoint(limit.0, limit.1);
                let below = guard.within(centre, width, None, Some(limit));
                if centre >= limit { ("above the limit", 1.0 - below) } else { ("below the limit", below) }
            }
            [least, most] => {
                let (least, most) = (f64::midpoint(least.0, least.1), f64::midpoint(most.0, most.1));
                ("within the limits", guard.within(centre, width, Some(least), Some(most)))
            }
            _ => return None,
        };
        let wanted = guard.wanted() * 100.0;
        Some(format!("about {:.1} % that it lies {side}; the book asks for a guard band of {wanted} %", share * 100.0))
    }

    /// How the width of a computed reading came about.
    fn joining(&self, page: &mut Page, depth: usize, reading: IndicationId, joining: &Joining) {
        let name = self.indication(reading);
        let unit = self.book.indication(reading).reading().and_then(|reading| reading.unit);
        let width = |value: &Exact| unit.map_or_else(|| value.to_string(), |unit| unit.show_width(&rounded_up(value)));
        let Some(worst) = joining.worst.width().map(|width| width.half()) else { return };
        if joining.moves.len() < 2 {
            page.line(
                depth,
                format!("{name}: no two widths to join by root sum square, ± {} counts whole", width(&worst)),
            );
            return;
        }
        page.line(depth, format!("{name}: widths joined by root sum square, each taken as independent"));
        for (entry, moved) in &joining.moves {
            page.line(depth + 1, format!("entry {} moves it by ± {}", entry.place() + 1, width(moved)));
        }
        let coverage = joining.asked.coverage() * 100.0;
        let (factor, together) = (joining.asked.factor(), width(&joining.together));
        page.line(
            depth + 1,
            format!("together ± {together}, for {coverage} % or more ({factor:.2} standard uncertainties)"),
        );
        let counts = if joining.range == joining.worst { ", which is no wider and counts" } else { "" };
        page.line(depth + 1, format!("added up ± {}{counts}", width(&worst)));
    }

    pub(super) fn compared(&self, atom: &Atom) -> String {
        let Some(subject) = &atom.subject else { return String::new() };
        let shown =
            |interval: &Interval| atom.unit.map_or_else(|| plain(interval), |unit| unit.show_interval(interval));
        match (atom.limits.as_slice(), atom.tolerance) {
            ([], _) => format!(", {}", shown(subject)),
            ([one], _) => format!(", {} against {}", shown(subject), shown(one)),
            ([low, high, ..], side) => {
                let what = if side.is_some() { "a tolerance of " } else { "" };
                format!(", {} against {what}{} to {}{}", shown(subject), shown(low), shown(high), aside(side))
            }
        }
    }

    /// What to take again, and under what, so that two entries hang together: the earlier one as the later was taken.
    pub(super) fn retake(&self, a: EntryId, b: EntryId, setting: SettingId) -> String {
        let (earlier, later) = (a.min(b), a.max(b));
        match (self.job.kept(earlier), self.job.kept(later)) {
            (Some(earlier), Some(later)) => {
                let under = set_words(self.book, setting, later.setup.mask(setting));
                format!("{} {under}", self.indication(earlier.indication))
            }
            _ => "one of them".into(),
        }
    }

    pub(super) fn undecided(&self, undecided: &Undecided, unit: Option<&'static Unit>) -> Vec<String> {
        match undecided {
            Undecided::NoEntry(id) => vec![format!("{} is not entered yet", self.indication(*id))],
            Undecided::OtherSetup(id, entry, lacking) => {
                let wanted: Vec<String> =
                    lacking.iter().map(|term| set_words(self.book, term.setting, term.allowed)).collect();
                let wanted = if wanted.is_empty() { String::new() } else { format!("; wanted: {}", wanted.join(", ")) };
                vec![
                    format!("{} was taken under another setup{wanted}:", self.indication(*id)),
                    self.entry_in_full(*entry),
                ]
            }
            Undecided::TooClose { half_width, wanted } => {
                let width = |value: &Exact| unit.map_or_else(|| value.to_string(), |unit| unit.show_width(value));
                let over = half_width - wanted;
                let mut lines = vec![format!(
                    "too close to call by {}: the limit lies within ± {}",
                    width(&over),
                    width(half_width)
                )];
                if wanted.is_zero() {
                    lines.push(
                        "the reading stands exactly on the limit; no accuracy settles it, measure something else"
                            .into(),
                    );
                } else {
                    lines.push(format!("a meter or range good to better than ± {} would settle it", width(wanted)));
                }
                lines
            }
            Undecided::TooWide => vec!["the limit lies inside what was entered; take a single, steady value".into()],
            Undecided::DifferentSetups(a, b, setting) => {
                let name = &self.book.setting(*setting).name;
                let retake = self.retake(*a, *b, *setting);
                vec![
                    format!("taken under different setups ({name}); retake {retake}:"),
                    self.entry_in_full(*a),
                    self.entry_in_full(*b),
                ]
            }
            Undecided::NoTolerance => vec!["no tolerance for this setup".into()],
            Undecided::Log(doubt) => vec![super::signal_text::doubt_words(*doubt)],
            Undecided::SingleReading => {
                vec!["a single reading can't tell what happens over time: record it, and enter the log".into()]
            }
            Undecided::NotOneLog => vec![
                "the log was not asked for this: enter the readings that it compares from one log, limits as numbers"
                    .into(),
            ],
            Undecided::NoValue => vec!["it has no value there: a divisor may be 0, or a function has no result".into()],
        }
    }
}

fn aside(side: Option<ToleranceSide>) -> &'static str {
    match side {
        Some(ToleranceSide::Below) => " (its lower end)",
        Some(ToleranceSide::Above) => " (its upper end)",
        _ => "",
    }
}

/// A truth in words.
pub fn holds(truth: Truth) -> &'static str {
    match truth {
        Truth::True => "yes",
        Truth::False => "no",
        Truth::Unknown => "not known",
    }
}

fn plain(interval: &Interval) -> String {
    match interval.centre() {
        Some(centre) => centre.to_string(),
        None => "an open range".into(),
    }
}

/// `1 entry`, `2 entries`
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// A weight as a technician says it, on one scale: `about 6 in 10`, with words at its ends.
pub fn about(weight: f64) -> String {
    match weight {
        w if w >= 0.95 => "nearly certain".into(),
        w if w >= 0.095 => format!("about {} in 10", (w * 10.0).round().min(9.0)),
        w if w >= 0.01 => "less than 1 in 10".into(),
        _ => "hardly".into(),
    }
}

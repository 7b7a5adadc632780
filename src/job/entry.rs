//! Entries: a value with its uncertainty, under the setup of its moment.

use std::sync::Arc;

use crate::book::numbers::{self, Amount};
use crate::book::setup::can_affect;
use crate::book::{Book, Indication, IndicationId, IndicationKind, Mask, Reading, Setup, Symbol};
use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::tree::{EntryWords, Joint, Name, Number, Side, Value, fold};
use crate::units::{Bound, Dimension, Exact, GuardBand, Interval, Unit};

use super::{Job, MeterInUse, Notice, NoticeKind, Recording};

/// The number of an entry among those in force.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct EntryId(pub u32);

impl EntryId {
    /// The entry at that place.
    pub fn at(place: usize) -> Self {
        Self(u32::try_from(place).unwrap_or(u32::MAX))
    }

    /// Its place in the job's list.
    pub fn place(self) -> usize {
        self.0 as usize
    }
}

/// What was found.
#[derive(Clone, PartialEq, Debug)]
pub enum EntryValue {
    /// A number with its uncertainty, in base units.
    Interval(Interval),
    /// One answer, as a set of one.
    Answer(Mask),
    /// It was not measured.
    NotMeasured,
}

/// One entry.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// Of what.
    pub indication: IndicationId,
    /// What was found.
    pub value: EntryValue,
    /// As typed: `4.2 V`, `slowly`.
    pub said: String,
    /// How the vehicle stood.
    pub setup: Setup,
    /// How many repairs came before.
    pub epoch: usize,
    /// Its line in the job.
    pub line: usize,
    /// In how many tries it was found so; 1 unless it says.
    pub tries: u32,
    /// Whether its width is what the meter may be off by, any value in it as likely; not so of a range that was typed, and of a log.
    pub by_meter: bool,
    /// The log that it was read from; its value is then the range that it was seen in.
    pub recording: Option<Arc<Recording>>,
}

impl Entry {
    /// An entry that nobody took, to ask what it would say.
    pub fn supposed(indication: IndicationId, value: EntryValue, setup: Setup, epoch: usize) -> Self {
        Self {
            indication,
            value,
            said: String::new(),
            setup,
            epoch,
            line: 0,
            tries: 1,
            by_meter: false,
            recording: None,
        }
    }

    /// Whether it stands in place of an earlier entry: same setup in every state, and in every change that can
    /// affect the reading. A try stands beside the tries before it.
    pub fn replaces(&self, book: &Book, earlier: &Entry) -> bool {
        self.indication == earlier.indication
            && !book.is_try(self.indication, &self.setup)
            && book.setting_ids().all(|id| {
                let counts = !crate::book::setup::is_change(book, id) || can_affect(book, id, self.indication);
                !counts || self.setup.value(id) == earlier.setup.value(id)
            })
    }
}

/// A typed entry, resolved; its setup is added by the job.
pub(super) struct Resolved {
    pub(super) indication: IndicationId,
    pub(super) value: EntryValue,
    pub(super) said: String,
    pub(super) notices: Vec<Notice>,
    pub(super) recording: Option<Arc<Recording>>,
}

/// Resolves what was typed against the book.
pub(super) fn resolve(book: &Book, job: &Job, words: &EntryWords) -> Result<Resolved, Problem> {
    let id = find(book, &words.name)?;
    let indication = book.indication(id);
    if let (Value::Log(log), Some(reading)) = (&words.value, indication.reading())
        && reading.computed.is_none()
    {
        let told = super::signal::entry::Entering { book, job, id, indication, reading }.read(log)?;
        let interval = EntryValue::Interval(told.range);
        let (said, notices) = (told.said, told.notices);
        return Ok(Resolved { indication: id, value: interval, said, notices, recording: Some(told.recording) });
    }
    let (value, said, notices) = match &indication.kind {
        IndicationKind::Observation(observation) => {
            let (value, said) = answer(indication, &observation.answers, words)?;
            (value, said, Vec::new())
        }
        IndicationKind::Reading(reading) => {
            if reading.computed.is_some() {
                return Err(computed(book, indication, reading, &words.name));
            }
            Measuring { job, indication, reading, guard: book.guard_band }.value(words)?
        }
    };
    Ok(Resolved { indication: id, value, said, notices, recording: None })
}

fn find(book: &Book, name: &Name) -> Result<IndicationId, Problem> {
    match book.symbol(&name.text) {
        Some(Symbol::Indication(id)) => Ok(id),
        Some(Symbol::Setting(id)) => {
            let setting = book.setting(id);
            let help = if setting.one_of {
                format!("type `with {} is VALUE`", setting.name)
            } else {
                format!("type `with {}` or `without {}`", setting.name, setting.name)
            };
            Err(Problem::error(
                "job/setting-entered",
                name.span,
                format!("`{}` is a state or change, not a reading", name.text),
            )
            .help(help))
        }
        Some(other) => Err(Problem::error(
            "job/not-an-indication",
            name.span,
            format!("`{}` is {}, not a reading or observation", name.text, other.noun()),
        )
        .help("enter readings and observations; ask about a fault with `why FAULT`")),
        None => Err(super::unknown(name, "reading or observation", book.indications.iter().map(|i| i.name.as_str()))),
    }
}

fn computed(book: &Book, indication: &Indication, reading: &Reading, name: &Name) -> Problem {
    let parts: Vec<String> = reading.parts.iter().map(|part| format!("`{}`", book.indication(*part).name)).collect();
    Problem::error("job/computed", name.span, format!("`{}` is computed, not measured", indication.name))
        .help(format!("enter what it is made of: {}", parts.join(", ")))
}

fn answer(indication: &Indication, answers: &[String], words: &EntryWords) -> Result<(EntryValue, String), Problem> {
    let name = &indication.name;
    match &words.value {
        Value::NotMeasured(_) => Ok((EntryValue::NotMeasured, "not measured".into())),
        Value::Word(word) => {
            let key = word.key();
            let Some(place) = answers.iter().position(|a| fold(a) == key) else {
                let list = answers.join("`, `");
                return Err(Problem::error(
                    "job/unknown-answer",
                    word.span,
                    format!("`{name}` is never answered `{}`", word.text),
                )
                .help(
                    did_you_mean(&word.text, answers.iter().map(String::as_str))
                        .unwrap_or_else(|| format!("its answers are `{list}`")),
                ));
            };
            let said = answers.get(place).cloned().unwrap_or_default();
            if words.joint == Joint::Equals {
                return Err(Problem::error(
                    "job/equals-answer",
                    words.joint_span,
                    format!("`{name}` is an observation; answers stand after `is`"),
                )
                .help(format!("type `{name} is {said}`")));
            }
            Ok((EntryValue::Answer(1 << place.min(63)), said))
        }
        Value::Log(log) => Err(Problem::error(
            "job/log-for-answer",
            log.file.span,
            format!("`{name}` is an observation; a log holds readings"),
        )
        .help(format!("type `{name} is` and one of `{}`", answers.join("`, `")))),
        _ => Err(Problem::error(
            "job/number-for-answer",
            words.span,
            format!("`{name}` is an observation and takes no number"),
        )
        .help(format!("type `{name} is` and one of `{}`", answers.join("`, `")))),
    }
}

/// Reading a number for one reading.
struct Measuring<'a> {
    job: &'a Job,
    indication: &'a Indication,
    reading: &'a Reading,
    guard: Option<GuardBand>,
}

type Measured = (EntryValue, String, Vec<Notice>);

impl Measuring<'_> {
    fn value(&self, words: &EntryWords) -> Result<Measured, Problem> {
        let name = &self.indication.name;
        let unit = self.reading.unit.map_or("", |unit| unit.symbol);
        match &words.value {
            Value::NotMeasured(_) => return Ok((EntryValue::NotMeasured, "not measured".into(), Vec::new())),
            Value::Word(word) => {
                return Err(Problem::error(
                    "job/answer-for-number",
                    word.span,
                    format!("`{name}` is a reading and takes a number, found `{}`", word.text),
                )
                .help(format!("type `{name} = NUMBER {unit}`")));
            }
            Value::Measured { number, .. } if words.joint == Joint::Is => {
                let typed =
                    number.unit.as_ref().map_or(number.digits.to_string(), |u| format!("{} {}", number.digits, u.text));
                return Err(Problem::error(
                    "job/is-number",
                    words.joint_span,
                    format!("`{name}` is a reading; numbers stand after `=`"),
                )
                .help(format!("type `{name} = {typed}`")));
            }
            _ => {}
        }
        match &words.value {
            Value::OverRange(span) => self.over_range(*span),
            Value::OneSided(side, number) => self.one_sided(*side, number),
            Value::Spread(low, high) => self.spread(low, high, low.span.to(high.span)),
            Value::Measured { number, plus_minus } => self.measured(number, plus_minus.as_ref()),
            _ => Err(Problem::error("job/is-number", words.span, format!("`{name}` takes a number"))
                .help(format!("type `{name} = NUMBER {unit}`"))),
        }
    }

    /// A number converted to the reading's own kind, with a word where ambient pressure joined the two.
    fn amount(&self, number: &Number) -> Result<(Amount, Option<Notice>), Problem> {
        let mut amount = numbers::amount(number)?;
        let Some(own) = self.reading.unit else { return Ok((amount, None)) };
        if amount.unit.is_none() {
            return Err(Problem::error("units/missing", number.span, format!("`{}` has no unit", number.digits))
                .help(format!("type `{} {}`", number.digits, own.symbol)));
        }
        if amount.dimension == own.dimension {
            return Ok((amount, None));
        }
        if amount.dimension.joined_by_ambient(own.dimension) {
            let point = Interval::point(amount.base.clone());
            let around = &self.job.surroundings;
            let joined = if own.dimension == Dimension::GAUGE_PRESSURE {
                around.to_gauge(&point)
            } else {
                around.to_absolute(&point)
            };
            amount.base = joined.centre().unwrap_or(amount.base);
            amount.dimension = own.dimension;
            let kpa = around.ambient_pressure.clone() * Exact::pow10(-3);
            let text = format!("taken as {} at the job's ambient pressure of {kpa} kPa", own.show(&amount.base));
            return Ok((amount, Some(Notice::new(NoticeKind::Converted, text))));
        }
        let span = number.unit.as_ref().map_or(number.span, |u| u.span);
        let message =
            format!("`{}` is {}, found {}", self.indication.name, own.dimension.a_noun(), amount.dimension.a_noun());
        let fix = own.dimension.compare(amount.dimension).err().and_then(|clash| clash.fix());
        Err(Problem::error("units/mismatch", span, message)
            .help(fix.unwrap_or_else(|| format!("enter it in {}", own.symbol))))
    }

    fn measured(&self, number: &Number, stated: Option<&Number>) -> Result<Measured, Problem> {
        let (amount, notice) = self.amount(number)?;
        let width = match stated {
            Some(stated) => self.stated(stated, &amount)?,
            None => self.usual_width(number, &amount),
        };
        let width = self.guard.map_or(width.clone(), |guard| guard.width(&width));
        let interval = Interval::around(amount.base.clone(), width);
        self.check_range(&interval, number.span)?;
        let mut said = typed(number);
        if let Some(stated) = stated {
            said.push_str(&format!(" ± {}", typed(stated)));
        }
        Ok((EntryValue::Interval(interval), said, notice.into_iter().collect()))
    }

    fn stated(&self, stated: &Number, amount: &Amount) -> Result<Exact, Problem> {
        let percent = stated.unit.as_ref().is_some_and(|unit| &*unit.text == "%");
        let share = percent && amount.unit.is_none_or(|unit| unit.symbol != "%");
        if share {
            let of = amount.unit.map_or(amount.typed.abs(), |unit| unit.width_to_base(&amount.typed).abs());
            return Ok(of * numbers::digits(stated)? * Exact::pow10(-2));
        }
        numbers::width(stated, amount.dimension)
    }

    /// The job's meter line for that unit, else the reading's meter, else half of the last digit typed.
    fn usual_width(&self, number: &Number, amount: &Amount) -> Exact {
        let digit = Exact::pow10(-i32::try_from(Exact::digits(&number.digits)).unwrap_or(0));
        let Some(unit) = amount.unit else { return digit.half() };
        let digit = unit.width_to_base(&digit).abs();
        let line = self.job.meters.iter().rev().find(|meter: &&MeterInUse| meter.dimension == unit.dimension);
        match line.map(|meter| &meter.accuracy).or(self.reading.meter.as_ref()) {
            Some(accuracy) => accuracy.with_digit(&digit).half_width_in(unit, &amount.typed),
            None => digit.half(),
        }
    }

    fn check_range(&self, interval: &Interval, span: Span) -> Result<(), Problem> {
        let Some((low, high)) = &self.reading.range else { return Ok(()) };
        let possible = Interval { low: low.clone(), high: high.clone() };
        if interval.intersects(&possible) {
            return Ok(());
        }
        let shown = self.reading.unit.map_or(String::new(), |unit: &Unit| unit.show_range(&possible));
        Err(Problem::error("job/outside-range", span, format!("`{}` can only be {shown}", self.indication.name))
            .help("check the number and its unit; the book says what is physically possible"))
    }

    fn over_range(&self, span: Span) -> Result<Measured, Problem> {
        let upper = self.reading.range.as_ref().and_then(|(_, high)| high.value());
        let Some(upper) = upper else {
            return Err(Problem::error("job/no-range", span, format!("`OL` says nothing while `{}` has no range", self.indication.name))
                .help(format!("enter `above` and the end of the meter's range, such as `= above 40 {}`; or give the reading `from … to …` in the book", self.reading.unit.map_or("V", |unit| unit.symbol))));
        };
        Ok((EntryValue::Interval(Interval::above(upper.clone())), "OL".into(), Vec::new()))
    }

    fn one_sided(&self, side: Side, number: &Number) -> Result<Measured, Problem> {
        let (amount, notice) = self.amount(number)?;
        let value = amount.base;
        let (interval, word) = match side {
            Side::Below => (Interval::below(value), "below"),
            Side::Above => (Interval::above(value), "above"),
            Side::AtMost => (Interval { low: Bound::Unbounded, high: Bound::Closed(value) }, "at most"),
            Side::AtLeast => (Interval { low: Bound::Closed(value), high: Bound::Unbounded }, "at least"),
        };
        Ok((EntryValue::Interval(interval), format!("{word} {}", typed(number)), notice.into_iter().collect()))
    }

    fn spread(&self, low: &Number, high: &Number, span: Span) -> Result<Measured, Problem> {
        let lent = Number { unit: low.unit.clone().or(high.unit.clone()), ..low.clone() };
        let (first, notice) = self.amount(&lent)?;
        let (second, _) = self.amount(high)?;
        let interval = Interval::between(first.base, second.base);
        self.check_range(&interval, span)?;
        Ok((EntryValue::Interval(interval), format!("{} to {}", typed(low), typed(high)), notice.into_iter().collect()))
    }
}

fn typed(number: &Number) -> String {
    match &number.unit {
        Some(unit) => format!("{} {}", number.digits, unit.text),
        None => number.digits.to_string(),
    }
}

//! What a circuit foretells, in words: ranges in the reading's unit, how they come about, what they are worth.

use crate::book::{Book, FaultId, IndicationId, SettingId};
use crate::circuit::network::Range;
use crate::circuit::{Ask, Foretold};
use crate::reasoning::circuits::{AGAINST, CircuitSays, Silent};
use crate::units::{Exact, Unit};

use super::words::Wording;

/// A range as a technician reads it off, rounded outwards: `25.1 V to 25.3 V`; beyond a meter's reach it is `OL`.
pub fn range_words(range: Range, unit: Option<&'static Unit>) -> String {
    let (low, high) = (end(range.low, unit, Side::Low), end(range.high, unit, Side::High));
    if low == high { low } else { format!("{low} to {high}") }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Low,
    High,
}

/// One end, in the unit, rounded away from the middle to a digit that a meter shows.
fn end(base: f64, unit: Option<&'static Unit>, side: Side) -> String {
    let Some(exact) = Exact::from_f64(base) else { return "OL".into() };
    let number = unit.map_or(exact.clone(), |unit| unit.from_base(&exact)).to_f64();
    let size = number.abs();
    let decimals = if size >= 10_000.0 {
        0
    } else if size >= 100.0 {
        1
    } else if size >= 1.0 {
        2
    } else {
        3
    };
    let power = 10_f64.powi(decimals);
    // A hundredth of a digit is what the meter itself takes, not another digit.
    let hair = 0.01;
    let rounded = match side {
        Side::Low => (number * power + hair).floor() / power,
        Side::High => (number * power - hair).ceil() / power,
    };
    let shown = Exact::from_f64(rounded).unwrap_or_default().rounded(u32::try_from(decimals).unwrap_or(0));
    unit.map_or_else(|| shown.to_string(), |unit| format!("{shown} {}", unit.symbol))
}

/// The unit that a reading is shown in.
pub fn unit_of(book: &Book, reading: IndicationId) -> Option<&'static Unit> {
    book.indication(reading).reading().and_then(|reading| reading.unit)
}

/// What a reading would show: every outcome with how it comes about.
pub fn foretold_words(told: &Foretold, unit: Option<&'static Unit>) -> String {
    let each: Vec<String> = told
        .outcomes
        .iter()
        .map(|outcome| {
            let range = range_words(outcome.range, unit);
            let notable: Vec<&str> = outcome
                .how
                .iter()
                .map(String::as_str)
                .filter(|how| told.outcomes.len() > 1 || !how.ends_with("pulled in"))
                .collect();
            if notable.is_empty() { range } else { format!("{range} ({})", notable.join(", ")) }
        })
        .collect();
    each.join(", or ")
}

/// What lessens the worth of what is foretold, one sentence a point.
pub fn worth_words(told: &Foretold) -> Vec<String> {
    let mut all = Vec::new();
    if !told.unranged.is_empty() {
        all.push(format!("the book gives no range for {}", listed(&told.unranged)));
    }
    if !told.floating.is_empty() {
        let hangs = if told.floating.len() == 1 { "hangs" } else { "hang" };
        all.push(format!("{} {hangs} free there; a 10 Mohm meter may show a ghost voltage, a test lamp or low-impedance meter does not",
            listed(&told.floating)));
    }
    if !told.fed {
        all.push("what the battery gives rests on a value without a range".into());
    }
    all
}

/// Names in backticks, joined as in a sentence.
pub fn listed(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// What is measured, in a word.
pub fn ask_word(what: Ask) -> &'static str {
    match what {
        Ask::Volts(..) | Ask::Loaded(..) => "volts",
        Ask::Ohms(..) => "ohms",
        Ask::Amperes(_) => "amperes",
    }
}

impl Wording<'_> {
    /// `with `open ground wire` `supply at fan connector` would show 25.1 V to 25.3 V; you read 4.2 V`
    pub fn circuit_says(&self, says: &CircuitSays) -> String {
        self.circuit_says_with(&supposed(self.book, &says.faults), says)
    }

    /// The same, the faults supposed in other words.
    pub(super) fn circuit_says_with(&self, supposed: &str, says: &CircuitSays) -> String {
        let Some(entry) = self.job.entry(says.entry) else { return String::new() };
        let unit = unit_of(self.book, entry.indication);
        let name = self.indication(entry.indication);
        let shows = foretold_words(&says.foretold, unit);
        let mut text = format!("with {supposed} `{name}` would show {shows}; you read {}", entry.said);
        if !says.exact {
            let worth = worth_words(&says.foretold).join("; ");
            text.push_str(&format!(" ({AGAINST} to 1 against, no more: {worth})"));
        }
        text
    }

    /// That a circuit says nothing where it should, and why.
    pub fn silent(&self, silent: &Silent) -> String {
        let circuit = self.book.circuit(silent.circuit);
        let name = self.job.entry(silent.entry).map_or("", |entry| self.indication(entry.indication));
        format!(
            "Warning: circuit `{}` ({}) can't be reckoned, with {}, so it says nothing of `{name}`: {}.",
            circuit.name,
            self.place(circuit.span),
            supposed(self.book, &silent.faults),
            silent.trouble.words(self.book)
        )
    }

    /// The circuit that says it, with its place.
    pub fn circuit_of(&self, says: &CircuitSays) -> String {
        let circuit = self.book.circuit(says.circuit);
        format!("circuit `{}` ({})", circuit.name, self.place(circuit.span))
    }
}

/// The faults supposed, in words.
pub fn supposed(book: &Book, faults: &[FaultId]) -> String {
    let names: Vec<String> = faults.iter().map(|fault| book.fault(*fault).name.clone()).collect();
    if names.is_empty() { "nothing wrong".into() } else { listed(&names) }
}

/// Why a circuit says nothing under a setup.
pub fn silence_words(book: &Book, change: SettingId) -> String {
    format!("nothing: the circuit knows nothing of `{}`", book.setting(change).name)
}

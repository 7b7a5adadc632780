//! The plainest lines, read without the grammar: names, sums of numbers with their units, comparisons, conclusions, lines
//! of a circuit. Most lines of a book are such, and the grammar is what starting up costs most. Anything that is not quite
//! plain is left to the grammar, errors included; tests hold the two to the same trees.

use crate::syntax::tree::{AccuracyWords, FieldBody, SetupItem, Text};
use crate::syntax::words::Shape;

use super::Slice;

mod bands;
mod circuits;
mod conditions;
mod heads;
mod sums;
#[cfg(test)]
mod tests;
mod texts;
mod words;

pub(super) use heads::head;
use words::{Kind, Words};

/// A field's body, if it is plain.
pub(super) fn field(slice: Slice<'_>, shape: Shape) -> Option<FieldBody> {
    match shape {
        Shape::Statement => return None,
        Shape::Text => return texts::texts(slice).map(FieldBody::Text),
        _ => {}
    }
    let mut words = Words::of(slice)?;
    let body = match shape {
        Shape::Name => FieldBody::Names(vec![words.name()?]),
        Shape::Names => FieldBody::Names(words.names()?),
        Shape::Items => FieldBody::Items(words.items()?),
        Shape::Nothing => FieldBody::Nothing,
        Shape::Count => {
            let count = words.figure()?;
            FieldBody::Count(count.digits.parse().ok()?, count.span)
        }
        Shape::FaultsAtOnce => words.faults_at_once()?,
        Shape::Revision => FieldBody::Text(words.revision()?),
        Shape::Number => FieldBody::Number(words.number()?),
        Shape::Range => words.range()?,
        Shape::Tolerance => words.tolerance()?,
        Shape::Condition => FieldBody::Condition(words.condition()?),
        Shape::Shows => {
            let condition = words.condition()?;
            FieldBody::Shows(condition, if words.is_done() { None } else { Some(words.chance()?) })
        }
        Shape::Unit => FieldBody::Unit(words.unit()?),
        Shape::Meter => FieldBody::Accuracy(Box::new(words.accuracy()?)),
        Shape::Value => FieldBody::Value(words.sum()?),
        Shape::Bands => FieldBody::Bands(words.bands()?),
        Shape::LimitLine => words.limit_line()?,
        Shape::Element => FieldBody::Circuit(Box::new(words.circuit_line()?)),
        _ => FieldBody::Sentence(words.sentence()?),
    };
    words.is_done().then_some(body)
}

impl Words<'_> {
    /// `a, without b, s is high`
    fn items(&mut self) -> Option<Vec<SetupItem>> {
        let mut items = Vec::with_capacity(1);
        loop {
            if self.next_is("with") {
                return None;
            }
            items.push(self.setup_item()?);
            if self.take(",").is_none() {
                return Some(items);
            }
        }
    }

    /// `a to b`
    fn range(&mut self) -> Option<FieldBody> {
        let low = self.sum()?;
        self.take("to")?;
        Some(FieldBody::Range(Box::new((low, self.sum()?))))
    }

    /// `a to b with …`
    fn tolerance(&mut self) -> Option<FieldBody> {
        let FieldBody::Range(ends) = self.range()? else { return None };
        Some(FieldBody::Tolerance(ends, self.setup()?))
    }

    /// `NAME = value`
    fn limit_line(&mut self) -> Option<FieldBody> {
        let name = self.name()?;
        self.take("=")?;
        Some(FieldBody::LimitLine(Box::new((name, self.sum()?))))
    }

    /// `0.5 % + 2 digits of 0.01 V`, or one half of it, or `2 K`.
    fn accuracy(&mut self) -> Option<AccuracyWords> {
        let start = self.peek()?.start;
        let mut words = AccuracyWords::default();
        let place = self.place();
        let first = self.figure()?;
        if !matches!(self.ahead(0), "%" | "digits" | "digit") {
            self.back_to(place);
            words.digit = Some(self.number()?);
            words.span = self.span(start, self.end());
            return Some(words);
        }
        if self.take("%").is_some() {
            words.percent = Some(first);
            if self.take("+").is_some() {
                words.count = Some(self.figure()?);
            }
        } else {
            words.count = Some(first);
        }
        if words.count.is_some() {
            self.take("digits").or_else(|| self.take("digit"))?;
            self.take("of")?;
            words.digit = Some(self.number()?);
        }
        words.span = self.span(start, self.end());
        Some(words)
    }

    /// `2 faults at once`
    fn faults_at_once(&mut self) -> Option<FieldBody> {
        let count = self.figure()?;
        self.take("faults").or_else(|| self.take("fault"))?;
        self.take("at")?;
        self.take("once")?;
        Some(FieldBody::Count(count.digits.parse().ok()?, count.span))
    }

    fn revision(&mut self) -> Option<Text> {
        let word = self.next().filter(|word| matches!(word.kind, Kind::Plain | Kind::Whole | Kind::Numbered))?;
        Some(Text { text: self.slice.piece(self.text(word)), span: self.span(word.start, word.end) })
    }
}

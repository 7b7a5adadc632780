//! The places of a case's lines.

use super::{Role, See, Seen, accuracy, name, number, place, setup, text};
use crate::syntax::tree::{EntryWords, Expected, LogColumn, LogWords, Number, Statement, Value};

pub(super) fn statement(statement: &mut Statement, see: &mut See<'_>) {
    match statement {
        Statement::Setup(items) => setup(items, see),
        Statement::Entry(entry) => self::entry(entry, see),
        Statement::TakeBack(span) => place(span, see),
        Statement::ThatWas(items, span) => {
            place(span, see);
            setup(items, see);
        }
        Statement::CustomerWords(words) | Statement::Profile(words) => text(words, see),
        Statement::Complaint(complaint) => name(complaint, Role::Free, see),
        Statement::Repaired(one) | Statement::CannotReach(one) => name(one, Role::Name, see),
        Statement::Meter { name: meter, unit, accuracy: words } => {
            if let Some(meter) = meter {
                text(meter, see);
            }
            name(unit, Role::Unit, see);
            accuracy(words, see);
        }
        Statement::Ambient(numbers) => numbers.iter_mut().for_each(|one| number(one, see)),
        Statement::Expect(expected, span) => {
            place(span, see);
            for one in expected {
                match one {
                    Expected::Fault(fault, _) => name(fault, Role::Free, see),
                    Expected::Conflict(span) | Expected::NoFaultPresent(span) => place(span, see),
                }
            }
        }
    }
}

fn entry(entry: &mut EntryWords, see: &mut See<'_>) {
    let EntryWords { name: reading, joint: _, joint_span, value, setup: items, tries, span } = entry;
    place(span, see);
    place(joint_span, see);
    name(reading, Role::Name, see);
    match value {
        Value::Measured { number: figure, plus_minus } => {
            number(figure, see);
            if let Some(Number { digits: _, unit, span }) = plus_minus {
                see(Seen { role: Role::PlusMinus, words: "", span });
                if let Some(unit) = unit {
                    name(unit, Role::Unit, see);
                }
            }
        }
        Value::Spread(low, high) => {
            number(low, see);
            number(high, see);
        }
        Value::OneSided(_, bound) => number(bound, see),
        Value::OverRange(span) => see(Seen { role: Role::OverRange, words: "", span }),
        Value::NotMeasured(span) => place(span, see),
        Value::Word(word) => name(word, Role::Name, see),
        Value::Log(words) => log(words, see),
    }
    setup(items, see);
    if let Some(tries) = tries {
        number(tries, see);
    }
}

fn log(words: &mut LogWords, see: &mut See<'_>) {
    let LogWords { file, channel, unit, time, time_unit, every, separator, comma, digest } = words;
    for one in [Some(file), separator.as_mut(), digest.as_mut()].into_iter().flatten() {
        text(one, see);
    }
    for column in [channel, time].into_iter().flatten() {
        match column {
            LogColumn::Number(figure) => number(figure, see),
            LogColumn::Named(words) => text(words, see),
        }
    }
    for one in [unit, time_unit].into_iter().flatten() {
        name(one, Role::Unit, see);
    }
    if let Some(every) = every {
        number(every, see);
    }
    if let Some((_, span)) = comma {
        place(span, see);
    }
}

//! The places of the parts that many fields have: names, numbers, sums, setups.

use super::{Role, See, Seen};
use crate::source::Span;
use crate::syntax::tree::{AccuracyWords, Band, BandRange, Expr, Name, Number, SetupItem, Text};

pub(super) fn place(span: &mut Span, see: &mut See<'_>) {
    see(Seen { role: Role::Place, words: "", span });
}

pub(super) fn name(name: &mut Name, role: Role, see: &mut See<'_>) {
    let Name { text, span } = name;
    see(Seen { role, words: text, span });
}

pub(super) fn names(names: &mut [Name], role: Role, see: &mut See<'_>) {
    names.iter_mut().for_each(|one| name(one, role, see));
}

/// Texts in quotes tell themselves; a bare revision does not.
pub(super) fn text(text: &mut Text, see: &mut See<'_>) {
    let Text { text: words, span } = text;
    see(Seen { role: Role::Word, words, span });
}

pub(super) fn number(number: &mut Number, see: &mut See<'_>) {
    let Number { digits: _, unit, span } = number;
    see(Seen { role: Role::Number, words: "", span });
    if let Some(unit) = unit {
        name(unit, Role::Unit, see);
    }
}

/// Long sums lean to the left: that side is walked without going deeper.
pub(super) fn expr(whole: &mut Expr, see: &mut See<'_>) {
    let mut left = whole;
    loop {
        match left {
            Expr::Binary { operator: _, left: further, right } => {
                expr(right, see);
                left = &mut **further;
            }
            Expr::Number(number) => return self::number(number, see),
            Expr::Name(name) => return self::name(name, Role::Name, see),
            Expr::Call { name, arguments, span } => {
                self::name(name, Role::Name, see);
                arguments.iter_mut().for_each(|argument| expr(argument, see));
                return place(span, see);
            }
            Expr::Negative(inner, span) => {
                place(span, see);
                left = &mut **inner;
            }
        }
    }
}

pub(super) fn pair(low: &mut Expr, high: &mut Expr, see: &mut See<'_>) {
    expr(low, see);
    expr(high, see);
}

pub(super) fn setup(items: &mut [SetupItem], see: &mut See<'_>) {
    for SetupItem { name: set, with: _, value, span } in items {
        place(span, see);
        name(set, Role::Name, see);
        if let Some((_, value)) = value {
            name(value, Role::Name, see);
        }
    }
}

pub(super) fn accuracy(words: &mut AccuracyWords, see: &mut See<'_>) {
    let AccuracyWords { percent, count, digit, span } = words;
    see(Seen { role: Role::Accuracy, words: "", span });
    for part in [percent, count, digit].into_iter().flatten() {
        number(part, see);
    }
}

pub(super) fn band(band: &mut Band, see: &mut See<'_>) {
    let Band { name: own, range } = band;
    name(own, Role::Band, see);
    match range {
        BandRange::Open(_, bound) => number(bound, see),
        BandRange::Between(low, high) => {
            number(low, see);
            number(high, see);
        }
    }
}

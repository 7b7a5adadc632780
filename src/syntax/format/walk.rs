//! One walk over a declaration that shows every place in it, with the part that its words play. The formatter
//! takes its marks from it and compares trees with it; it must not know what is done with the places. Every node is
//! taken apart by name, so that a place added to the tree is missed here by the compiler.

mod circuit;
mod condition;
mod statement;

use crate::source::Span;
use crate::syntax::tree::{
    AccuracyWords, Band, BandRange, Declaration, Expr, Field, FieldBody, Name, Number, SetupItem, Text,
};
use crate::syntax::words::{Head, declaration_row};

/// The part that the words of a place play in their line.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Role {
    /// A name as sentences use it.
    Name,
    /// A name at the start of a circuit line.
    Element,
    /// A point or element named further on in a circuit line.
    Point,
    /// A band of a reading.
    Band,
    /// Free words: a label, a complaint, a fault that a case expects.
    Free,
    /// An element's kind: words of the language.
    Kind,
    /// `K2 open`: a name with how it sticks.
    Sticking,
    /// A column of a log or a revision: a word or a text, never changed.
    Word,
    /// A unit.
    Unit,
    /// A number; a sign that is its own stands first.
    Number,
    /// Somewhere in it stands one `±`.
    PlusMinus,
    /// May begin with a `±`.
    Accuracy,
    /// `OL`
    OverRange,
    /// A place whose words need no telling apart.
    Place,
}

/// A place that the walk passes.
#[derive(Debug)]
pub(super) struct Seen<'n> {
    /// The part it plays.
    pub(super) role: Role,
    /// The words as the tree keeps them; empty where it keeps none.
    pub(super) words: &'n str,
    /// Where they stand.
    pub(super) span: &'n mut Span,
}

/// What looks on.
pub(super) type See<'s> = dyn FnMut(Seen<'_>) + 's;

/// Shows every place of a declaration once.
pub(super) fn declaration(declaration: &mut Declaration, see: &mut See<'_>) {
    let Declaration { word, name: own, fields, span, broken: _ } = declaration;
    let role = match declaration_row(*word).head {
        Head::Text => Role::Place,
        Head::Free | Head::Label => Role::Free,
        _ => Role::Name,
    };
    name(own, role, see);
    for field in fields {
        self::field(field, see);
    }
    place(span, see);
}

fn field(field: &mut Field, see: &mut See<'_>) {
    let Field { word: _, body, span } = field;
    place(span, see);
    match body {
        FieldBody::Nothing => {}
        FieldBody::Text(text) => self::text(text, see),
        FieldBody::Names(names) => self::names(names, Role::Name, see),
        FieldBody::Items(items) => setup(items, see),
        FieldBody::Count(_, span) => place(span, see),
        FieldBody::Number(number) => self::number(number, see),
        FieldBody::Value(value) => expr(value, see),
        FieldBody::Range(low, high) => pair(low, high, see),
        FieldBody::Tolerance(low, high, items) => {
            pair(low, high, see);
            setup(items, see);
        }
        FieldBody::Condition(condition) => condition::condition(condition, see),
        FieldBody::Shows(condition, chance) => {
            condition::condition(condition, see);
            if let Some((_, _, span)) = chance {
                place(span, see);
            }
        }
        FieldBody::Unit(unit) => name(unit, Role::Unit, see),
        FieldBody::Accuracy(words) => accuracy(words, see),
        FieldBody::Bands(bands) => bands.iter_mut().for_each(|one| band(one, see)),
        FieldBody::LimitLine(limit, value) => {
            name(limit, Role::Name, see);
            expr(value, see);
        }
        FieldBody::Sentence(sentence) => condition::sentence(sentence, see),
        FieldBody::Circuit(line) => circuit::line(line, see),
        FieldBody::Statement(statement) => statement::statement(statement, see),
    }
}

fn place(span: &mut Span, see: &mut See<'_>) {
    see(Seen { role: Role::Place, words: "", span });
}

fn name(name: &mut Name, role: Role, see: &mut See<'_>) {
    let Name { text, span } = name;
    see(Seen { role, words: text, span });
}

fn names(names: &mut [Name], role: Role, see: &mut See<'_>) {
    names.iter_mut().for_each(|one| name(one, role, see));
}

/// Texts in quotes tell themselves; a bare revision does not.
fn text(text: &mut Text, see: &mut See<'_>) {
    let Text { text: words, span } = text;
    see(Seen { role: Role::Word, words, span });
}

fn number(number: &mut Number, see: &mut See<'_>) {
    let Number { digits: _, unit, span } = number;
    see(Seen { role: Role::Number, words: "", span });
    if let Some(unit) = unit {
        name(unit, Role::Unit, see);
    }
}

/// Long sums lean to the left: that side is walked without going deeper.
fn expr(whole: &mut Expr, see: &mut See<'_>) {
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

fn pair(low: &mut Expr, high: &mut Expr, see: &mut See<'_>) {
    expr(low, see);
    expr(high, see);
}

fn setup(items: &mut [SetupItem], see: &mut See<'_>) {
    for SetupItem { name: set, with: _, value, span } in items {
        place(span, see);
        name(set, Role::Name, see);
        if let Some((_, value)) = value {
            name(value, Role::Name, see);
        }
    }
}

fn accuracy(words: &mut AccuracyWords, see: &mut See<'_>) {
    let AccuracyWords { percent, count, digit, span } = words;
    see(Seen { role: Role::Accuracy, words: "", span });
    for part in [percent, count, digit].into_iter().flatten() {
        number(part, see);
    }
}

fn band(band: &mut Band, see: &mut See<'_>) {
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

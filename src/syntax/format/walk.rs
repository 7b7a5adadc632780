//! One walk over a declaration that shows every place in it, with the part that its words play. The formatter
//! takes its marks from it and compares trees with it; it must not know what is done with the places. Every node is
//! taken apart by name, so that a place added to the tree is missed here by the compiler.

mod circuit;
mod condition;
mod parts;
mod statement;

use self::parts::{accuracy, band, expr, name, names, number, pair, place, setup, text};
use crate::source::Span;
use crate::syntax::tree::{Declaration, Field, FieldBody};
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
        FieldBody::Range(ends) => pair(&mut ends.0, &mut ends.1, see),
        FieldBody::Tolerance(ends, items) => {
            pair(&mut ends.0, &mut ends.1, see);
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
        FieldBody::LimitLine(line) => {
            name(&mut line.0, Role::Name, see);
            expr(&mut line.1, see);
        }
        FieldBody::Sentence(sentence) => condition::sentence(sentence, see),
        FieldBody::Circuit(line) => circuit::line(line, see),
        FieldBody::Statement(statement) => statement::statement(statement, see),
    }
}

//! Taking the fields of a declaration, and saying when one stands twice.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{AccuracyWords, Declaration, Expr, Field, FieldBody, Name, Number, Piece, SetupItem, Text};
use crate::syntax::words::{FieldWord, field_row};

use super::Resolver;

/// Fields that may stand several times.
const MANY: &[FieldWord] = &[
    FieldWord::Use,
    FieldWord::Tolerance,
    FieldWord::Shows,
    FieldWord::Verify,
    FieldWord::Limit,
    FieldWord::Element,
    FieldWord::Statement,
    FieldWord::Caution,
    FieldWord::Hazard,
    FieldWord::Needs,
    FieldWord::Excludes,
    FieldWord::UnaffectedBy,
    FieldWord::Affects,
    FieldWord::MayBe,
    FieldWord::First,
];

impl Resolver<'_> {
    /// Reports a field that stands twice where one is enough.
    pub(super) fn check_fields(&mut self) {
        let mut found = Vec::new();
        for (declaration, _) in &self.declarations {
            for (place, field) in declaration.fields.iter().enumerate() {
                let earlier = declaration.fields.iter().take(place).find(|f| f.word == field.word);
                if let Some(earlier) = earlier.filter(|_| !MANY.contains(&field.word)) {
                    found.push(twice(field, earlier));
                }
            }
        }
        self.problems.extend(found);
    }
}

fn twice(field: &Field, earlier: &Field) -> Problem {
    let word = field_row(field.word).text;
    Problem::error("book/field-twice", field.span, format!("`{word}` stands twice in one declaration"))
        .also(earlier.span, "here first")
        .help("keep one of them")
}

fn first(declaration: &Declaration, word: FieldWord) -> Option<&Field> {
    declaration.fields.iter().find(|field| field.word == word)
}

/// Whether a field stands there.
pub(super) fn has(declaration: &Declaration, word: FieldWord) -> bool {
    first(declaration, word).is_some()
}

/// A text field.
pub(super) fn text(declaration: &Declaration, word: FieldWord) -> Option<Piece> {
    match &first(declaration, word)?.body {
        FieldBody::Text(Text { text, .. }) => Some(text.clone()),
        _ => None,
    }
}

/// A text field with its place.
pub(super) fn text_at(declaration: &Declaration, word: FieldWord) -> Option<(String, Span)> {
    match &first(declaration, word)?.body {
        FieldBody::Text(Text { text, span }) => Some((text.as_str().to_string(), *span)),
        _ => None,
    }
}

/// All names of a list field, from every line of it.
pub(super) fn names(declaration: &Declaration, word: FieldWord) -> Vec<&Name> {
    let fields = declaration.fields.iter().filter(|field| field.word == word);
    fields
        .flat_map(|field| if let FieldBody::Names(names) = &field.body { names.iter().collect() } else { Vec::new() })
        .collect()
}

/// All items of a `needs` or `excludes`.
pub(super) fn items(declaration: &Declaration, word: FieldWord) -> impl Iterator<Item = &SetupItem> {
    let fields = declaration.fields.iter().filter(move |field| field.word == word);
    fields.flat_map(|field| if let FieldBody::Items(items) = &field.body { items.as_slice() } else { &[] })
}

/// A number field.
pub(super) fn number(declaration: &Declaration, word: FieldWord) -> Option<&Number> {
    match &first(declaration, word)?.body {
        FieldBody::Number(number) => Some(number),
        _ => None,
    }
}

/// A value field.
pub(super) fn value(declaration: &Declaration, word: FieldWord) -> Option<&Expr> {
    match &first(declaration, word)?.body {
        FieldBody::Value(expr) => Some(expr),
        _ => None,
    }
}

/// A range field.
pub(super) fn range(declaration: &Declaration, word: FieldWord) -> Option<(&Expr, &Expr, Span)> {
    let field = first(declaration, word)?;
    match &field.body {
        FieldBody::Range(ends) => Some((&ends.0, &ends.1, field.span)),
        _ => None,
    }
}

/// A count field.
pub(super) fn count(declaration: &Declaration, word: FieldWord) -> Option<(u32, Span)> {
    match &first(declaration, word)?.body {
        FieldBody::Count(count, span) => Some((*count, *span)),
        _ => None,
    }
}

/// A unit field.
pub(super) fn unit(declaration: &Declaration) -> Option<&Name> {
    match &first(declaration, FieldWord::Unit)?.body {
        FieldBody::Unit(name) => Some(name),
        _ => None,
    }
}

/// A meter field.
pub(super) fn meter(declaration: &Declaration) -> Option<&AccuracyWords> {
    match &first(declaration, FieldWord::Meter)?.body {
        FieldBody::Accuracy(words) => Some(words),
        _ => None,
    }
}

/// Names with the earlier one that each repeats, if it does.
pub(super) fn with_earlier<'n>(names: impl Iterator<Item = &'n Name>) -> Vec<(&'n Name, Option<&'n Name>)> {
    let mut known: std::collections::BTreeMap<String, &Name> = std::collections::BTreeMap::new();
    names
        .map(|name| {
            let first = *known.entry(name.key()).or_insert(name);
            (name, (!std::ptr::eq(first, name)).then_some(first))
        })
        .collect()
}

//! Heads of declarations.

use crate::syntax::tree::{Field, FieldBody, Name};
use crate::syntax::words::{FieldWord, Head};

use super::super::Slice;
use super::{Words, texts};

/// A head's name and what it says besides, if it is plain.
pub(in crate::syntax::parse) fn head(slice: Slice<'_>, head: Head) -> Option<(Name, Option<Field>)> {
    match head {
        Head::Text => texts::text(slice).map(|text| (Name { text: text.text, span: text.span }, None)),
        Head::NamedText => named_text(slice),
        _ => {
            let mut words = Words::of(slice)?;
            let name = words.name()?;
            let field = if words.is_done() { None } else { Some(value(&mut words, head)?) };
            words.is_done().then_some((name, field))
        }
    }
}

fn named_text(slice: Slice<'_>) -> Option<(Name, Option<Field>)> {
    let quote = slice.text.find('"').unwrap_or(slice.text.len());
    let mut words = Words::of(Slice { text: slice.text.get(..quote)?, ..slice })?;
    let name = words.name().filter(|_| words.is_done())?;
    if quote == slice.text.len() {
        return Some((name, None));
    }
    let text = texts::text(Slice { base: slice.base + quote, text: slice.text.get(quote..)?, ..slice })?;
    let span = text.span;
    Some((name, Some(Field { word: FieldWord::Description, span, body: FieldBody::Text(text) })))
}

fn value(words: &mut Words<'_>, head: Head) -> Option<Field> {
    let finding = match head {
        Head::Limit | Head::Reading => {
            words.take("=")?;
            false
        }
        Head::Finding => {
            words.take("means")?;
            true
        }
        _ => return None,
    };
    let span = words.span(words.peek()?.start, words.slice.text.len());
    Some(if finding {
        Field { word: FieldWord::Means, body: FieldBody::Condition(words.condition()?), span }
    } else {
        Field { word: FieldWord::Value, body: FieldBody::Value(words.sum()?), span }
    })
}

//! Odds that say the opposite of their word.

use crate::book::numbers;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::{Edit, Fix};
use crate::lint::subject::Subject;
use crate::source::Span;
use crate::syntax::tree::{Conclusion, FieldBody, Odds};
use crate::syntax::words::{DeclarationWord, leading_words};

check! {
    /// Finds: `suggests` or `speaks against` with odds that turn it into the other, and odds of 1 to 1, which do
    /// nothing.
    ///
    /// Harm: the reader takes the word for what is meant, the program takes the figures.
    ///
    /// Fix: writes the other word and turns the figures round; the weight stays.
    ///
    /// Bad:
    /// ```rulebook
    /// rule it runs slowly:
    ///   fan runs is slowly
    ///   suggests open feed wire 1 to 4
    /// ```
    /// Good:
    /// ```rulebook
    /// rule it runs slowly:
    ///   fan runs is slowly
    ///   speaks against open feed wire 4 to 1
    /// ```
    "reversed-odds", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for rule in subject.of(DeclarationWord::Rule) {
        for field in &rule.fields {
            let FieldBody::Sentence(sentence) = &field.body else { continue };
            for conclusion in &sentence.conclusions {
                match conclusion {
                    Conclusion::Suggests(_, odds, span) => {
                        one(subject, "suggests", "speaks against", odds, *span, found)
                    }
                    Conclusion::SpeaksAgainst(_, odds, span) => {
                        one(subject, "speaks against", "suggests", odds, *span, found)
                    }
                    _ => {}
                }
            }
        }
    }
}

fn one(subject: &Subject<'_>, word: &str, other: &str, odds: &Odds, span: Span, found: &mut Findings) {
    let (Ok(above), Ok(below)) = (numbers::plain(&odds.above), numbers::plain(&odds.below)) else { return };
    let place = odds.above.span.to(odds.below.span);
    let (first, second) = (&odds.above.digits, &odds.below.digits);
    if above == below {
        found.add(
            Finding::at(place, format!("`{word}` with {first} to {second} changes nothing"))
                .help("write the larger figure first, or take it out"),
        );
    } else if above < below {
        let length = subject.text.get(span.range()).and_then(|words| leading_words(words, word));
        let fix = length.map(|length| {
            let start = span.start as usize;
            let edits = vec![
                Edit { span: subject.span(start, start + length), text: other.into() },
                Edit { span: odds.above.span, text: second.to_string() },
                Edit { span: odds.below.span, text: first.to_string() },
            ];
            Fix { says: format!("write `{other} … {second} to {first}`"), edits }
        });
        found.add(
            Finding::at(place, format!("`{word}` with {first} to {second} does the opposite"))
                .help(format!("write `{other} … {second} to {first}`, which is the same, or turn the figures round"))
                .fix(fix),
        );
    }
}

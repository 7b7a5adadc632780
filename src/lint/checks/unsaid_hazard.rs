//! Words of danger without a hazard.

use std::collections::BTreeMap;

use crate::book::model::{Hazard, Steps};
use crate::book::{Symbol, Term};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::safety::{carries_caution, carries_hazard};
use crate::lint::subject::{Subject, said};
use crate::source::Span;
use crate::syntax::tree::Declaration;
use crate::syntax::words::{DeclarationWord, FieldWord};

use Hazard::{Airbag, Battery, Exhaust, HighVoltage, Hot, Moving, Pressurised, Raised, Refrigerant};

check! {
    /// Finds: a `how` or `remedy` whose words betray a moving, hot or pressurised part, a live feed, a running engine or
    /// the like, where neither the step nor what it needs has a hazard of that kind or any caution. Silent where the
    /// word only names something near: a fan relay, a fan fuse, a fan plug.
    ///
    /// Harm: hands go near a fan that starts by itself, and nothing was said.
    ///
    /// Bad:
    /// ```rulebook
    /// change blades blocked
    ///   how "Hold the fan with a wooden wedge."
    ///   takes 2 min
    /// ```
    /// Good:
    /// ```rulebook
    /// change blades blocked
    ///   how "Hold the fan with a wooden wedge."
    ///   takes 2 min
    ///   hazard moving
    /// ```
    "unsaid-hazard", Warning, Sound, find
}

/// Words, and the hazards of which one must be named (common practice, no source).
const BETRAY: &[(&str, &[Hazard])] = &[
    ("fan", &[Moving]),
    ("fans", &[Moving]),
    ("belt", &[Moving, Hot]),
    ("belts", &[Moving, Hot]),
    ("pulley", &[Moving]),
    ("pulleys", &[Moving]),
    ("propeller shaft", &[Moving]),
    ("crank the engine", &[Moving, Exhaust]),
    ("start the engine", &[Moving, Exhaust]),
    ("run the engine", &[Moving, Exhaust]),
    ("engine running", &[Moving, Exhaust]),
    ("engine idling", &[Moving, Exhaust]),
    ("fast idle", &[Moving, Exhaust]),
    ("radiator cap", &[Pressurised, Hot]),
    ("coolant", &[Hot, Pressurised]),
    ("heater hose", &[Hot, Pressurised]),
    ("heater hoses", &[Hot, Pressurised]),
    ("exhaust manifold", &[Hot]),
    ("turbocharger", &[Hot, Moving]),
    ("service port", &[Pressurised, Refrigerant]),
    ("service ports", &[Pressurised, Refrigerant]),
    ("gauge hose", &[Pressurised, Refrigerant]),
    ("gauge hoses", &[Pressurised, Refrigerant]),
    ("refrigerant", &[Refrigerant, Pressurised]),
    ("compressed air", &[Pressurised]),
    ("air tank", &[Pressurised]),
    ("direct feed", &[Battery, Moving, Hot, HighVoltage]),
    ("fused lead", &[Battery, Moving, Hot, HighVoltage]),
    ("jump lead", &[Battery, Moving]),
    ("jump leads", &[Battery, Moving]),
    ("battery posts", &[Battery]),
    ("battery clamp", &[Battery]),
    ("battery clamps", &[Battery]),
    ("battery terminal", &[Battery]),
    ("battery terminals", &[Battery]),
    ("airbag", &[Airbag]),
    ("airbags", &[Airbag]),
    ("high voltage", &[HighVoltage]),
    ("high-voltage", &[HighVoltage]),
    ("orange cable", &[HighVoltage]),
    ("orange cables", &[HighVoltage]),
    ("traction battery", &[HighVoltage]),
    ("jack up", &[Raised]),
    ("tilt the cab", &[Raised]),
    ("under the vehicle", &[Raised]),
    ("beneath the vehicle", &[Raised]),
];

/// Words after which a part is only named as a neighbour.
const NEIGHBOURS: &[&str] =
    &["relay", "relays", "fuse", "fuses", "switch", "circuit", "speed", "demand", "feed", "wire", "wires", "side"];
/// Words before which nothing is done.
const DENIALS: &[&str] = &["never", "not", "no", "don't", "without", "before", "seat"];

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let phrases = phrases();
    for declaration in subject.declarations() {
        let Some((text, span)) = words_of(declaration) else { continue };
        let Some((steps, needs)) = steps_of(subject, declaration) else { continue };
        let Some((phrase, wanted)) =
            betrayed(&phrases, text, |wanted| carries_hazard(subject.book, steps, needs, wanted))
        else {
            continue;
        };
        if !carries_caution(subject.book, steps, needs) {
            report(declaration, phrase, wanted, span, found);
        }
    }
}

fn report(declaration: &Declaration, phrase: &str, wanted: &[Hazard], span: Span, found: &mut Findings) {
    let words: Vec<&str> = wanted.iter().map(|hazard| hazard.word()).collect();
    found
        .add(Finding::at(span, format!("`{}` speaks of `{phrase}` and names no hazard", declaration.name.text)).help(
            format!("add `hazard {}` if that is so, or a `caution` with its words", words.join("` or `hazard ")),
        ));
}

fn words_of(declaration: &Declaration) -> Option<(&str, Span)> {
    match declaration.word {
        DeclarationWord::Fault => said(declaration, FieldWord::Remedy),
        DeclarationWord::State | DeclarationWord::Change | DeclarationWord::Reading | DeclarationWord::Observation => {
            said(declaration, FieldWord::How)
        }
        _ => None,
    }
}

fn steps_of<'a>(subject: &Subject<'a>, declaration: &Declaration) -> Option<(&'a Steps, &'a [Term])> {
    let book = subject.book;
    match book.symbol(&declaration.name.text)? {
        Symbol::Setting(id) => Some((&book.setting(id).steps, &book.setting(id).needs)),
        Symbol::Indication(id) => Some((&book.indication(id).steps, &book.indication(id).needs)),
        Symbol::Fault(id) => Some((&book.fault(id).steps, &[])),
        _ => None,
    }
}

/// The phrases by their first words.
type Phrases = BTreeMap<&'static str, Vec<(Vec<&'static str>, &'static str, &'static [Hazard])>>;

fn phrases() -> Phrases {
    let mut all = Phrases::new();
    for (phrase, wanted) in BETRAY {
        let words: Vec<&str> = phrase.split(' ').collect();
        if let Some(first) = words.first().copied() {
            all.entry(first).or_default().push((words, phrase, wanted));
        }
    }
    all
}

/// The first phrase in a text that betrays a hazard which is not carried.
fn betrayed(
    phrases: &Phrases,
    text: &str,
    carried: impl Fn(&[Hazard]) -> bool,
) -> Option<(&'static str, &'static [Hazard])> {
    let text = text.to_lowercase();
    let words: Vec<&str> =
        text.split(|c: char| !(c.is_alphanumeric() || matches!(c, '-' | '\''))).filter(|w| !w.is_empty()).collect();
    words.iter().enumerate().find_map(|(at, word)| {
        let here = phrases.get(word)?.iter().find(|(phrase, _, wanted)| {
            words.get(at..at + phrase.len()) == Some(phrase.as_slice())
                && speaks(&words, at, phrase.len())
                && !carried(wanted)
        });
        here.map(|(_, phrase, wanted)| (*phrase, *wanted))
    })
}

/// Whether the words at a place speak of the thing itself.
fn speaks(words: &[&str], at: usize, length: usize) -> bool {
    let next = words.get(at + length);
    let denied =
        words.get(at.saturating_sub(3)..at).is_some_and(|before| before.iter().any(|word| DENIALS.contains(word)));
    !next.is_some_and(|word| NEIGHBOURS.contains(word)) && !denied
}

//! What a line that is no sentence may have been meant as: an entry without its `=`, a setup without its `with`, a complaint
//! without that word. Only the names of the book at hand are guessed at.

use crate::book::{Book, Indication};
use crate::problem::{alike, nearest_first, words};
use crate::syntax::tree::fold;

/// The sentence that a line may have been meant as, word by word what to type.
pub(super) fn meant(book: &Book, line: &str) -> Option<String> {
    setup(book, line)
        .or_else(|| entry(book, line))
        .map(|said| format!("type `{said}`"))
        .or_else(|| answers(book, line))
        .or_else(|| complaint(book, line).map(|said| format!("type `{said}`")))
}

fn setup(book: &Book, line: &str) -> Option<String> {
    let setting = book.settings.iter().find(|setting| fold(&setting.name) == fold(line))?;
    if setting.one_of {
        return Some(format!("with {} is {}", setting.name, setting.values.get(1).or(setting.values.first())?));
    }
    Some(format!("with {}", setting.name))
}

/// The readings and observations that the line begins with, the longest name first, and what stands behind it.
fn begun<'b>(book: &'b Book, line: &str) -> Vec<(&'b Indication, String)> {
    let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut begun: Vec<_> = book
        .indications
        .iter()
        .filter_map(|indication| {
            let start = line.get(..indication.name.len())?;
            let rest = line.get(indication.name.len()..)?.strip_prefix(' ')?;
            (fold(start) == fold(&indication.name)).then(|| (indication, rest.to_string()))
        })
        .collect();
    begun.sort_by_key(|(indication, _)| std::cmp::Reverse(indication.name.len()));
    begun
}

/// What the line enters, but for the word between.
fn entry(book: &Book, line: &str) -> Option<String> {
    begun(book, line).into_iter().find_map(|(indication, rest)| {
        if let Some(reading) = indication.reading() {
            let figure = rest.trim_start_matches(['-', '−']);
            let number = figure.starts_with(|c: char| c.is_ascii_digit());
            let bare = number && figure.chars().all(|c| c.is_ascii_digit() || c == '.');
            let unit = reading.unit.filter(|_| bare).map_or(String::new(), |unit| format!(" {}", unit.symbol));
            return (number || rest == "OL").then(|| format!("{} = {rest}{unit}", indication.name));
        }
        let answer = indication.observation()?.answers.iter().find(|answer| fold(answer) == fold(&rest))?;
        Some(format!("{} is {answer}", indication.name))
    })
}

/// The answers of an observation of which one word was said that is none of them; `fan runs is not` says no.
fn answers(book: &Book, line: &str) -> Option<String> {
    let (indication, rest) = begun(book, line).into_iter().next()?;
    let answers = &indication.observation()?.answers;
    let said = rest.strip_prefix("is ").or_else(|| rest.strip_prefix("= ")).unwrap_or(&rest);
    let denied = matches!(fold(said).as_str(), "not" | "doesn't" | "isn't");
    if denied && let Some(no) = answers.iter().find(|answer| fold(answer) == "no") {
        return Some(format!("type `{} is {no}`", indication.name));
    }
    let one_word = said.split(' ').count() == 1 && !said.is_empty();
    let first = answers.first().filter(|_| one_word)?;
    Some(format!("its answers are `{}`: type for example `{} is {first}`", answers.join("`, `"), indication.name))
}

/// The complaint of which every word was said.
fn complaint(book: &Book, line: &str) -> Option<String> {
    let known: Vec<&str> = book.complaints.iter().map(|complaint| complaint.name.as_str()).collect();
    let first = nearest_first(line, &known).into_iter().next()?;
    let asked = words(line);
    let all = !asked.is_empty() && asked.iter().all(|word| words(first).iter().any(|other| alike(word, other)));
    (all && asked.len() > 1).then(|| format!("complaint {first}"))
}

/// A whole phrase that is no sentence, in which something of the vehicle is named: what the customer says, it seems.
pub(super) fn customers_words(book: &Book, line: &str) -> Option<String> {
    let said = words(line);
    let names =
        book.complaints.iter().map(|complaint| &complaint.name).chain(book.faults.iter().map(|fault| &fault.name));
    let named = names.flat_map(|name| words(name)).any(|word| said.iter().any(|other| alike(&word, other)));
    let phrase =
        line.split_whitespace().count() > 2 && !line.contains(|c: char| c == '"' || c == '=' || c.is_ascii_digit());
    let known: Vec<&str> = book.complaints.iter().map(|complaint| complaint.name.as_str()).collect();
    let nearest = nearest_first(line, &known).into_iter().next().filter(|_| named && phrase)?;
    Some(format!("if the customer says so, type `complaint {nearest}`, or in quotes: `complaint \"{line}\"`"))
}

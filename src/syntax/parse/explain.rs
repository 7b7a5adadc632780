//! What a broken line is told: the word that is wrong, what was expected in words of the trade, the fix.

use pest::error::{Error, ErrorVariant, InputLocation};

use crate::problem::{Problem, nearest};
use crate::source::Span;

use super::{Rule, Slice};

/// Reserved words by themselves, for near misses.
const RESERVED: &[&str] =
    &["below", "above", "between", "outside", "implies", "without", "suggests", "means", "shows", "with", "and", "not"];

pub(super) fn incomplete(span: Span) -> Problem {
    Problem::error("syntax/unexpected", span, "this line breaks off too early")
}

pub(super) fn too_deep(span: Span) -> Problem {
    let message = format!("parentheses are nested deeper than {}", super::DEEPEST);
    Problem::error("syntax/too-deep", span, message).help("name the inner parts as findings and join the names")
}

/// The problem of a slice that `rule` could not read.
pub(super) fn explain(slice: Slice<'_>, rule: Rule, error: &Error<Rule>) -> Problem {
    let at = match error.location {
        InputLocation::Pos(at) | InputLocation::Span((at, _)) => at.min(slice.text.len()),
    };
    special(slice, at).unwrap_or_else(|| plain(slice, at, rule, error))
}

/// Slips that have an answer of their own.
fn special(slice: Slice<'_>, at: usize) -> Option<Problem> {
    decimal_comma(slice, at)
        .or_else(|| open_quote(slice))
        .or_else(|| misspelt(slice, at))
        .or_else(|| comparison_sign(slice, at))
}

fn decimal_comma(slice: Slice<'_>, at: usize) -> Option<Problem> {
    let start = slice
        .text
        .get(..at)?
        .rfind(|c: char| !(c.is_ascii_digit() || c == ','))
        .map_or(0, |i| i + slice.text.get(i..).and_then(|t| t.chars().next()).map_or(1, char::len_utf8));
    let rest = slice.text.get(start..)?;
    let length = rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.'))).unwrap_or(rest.len());
    let figure = rest.get(..length)?.trim_end_matches([',', '.']);
    let (whole, part) = figure.split_once(',')?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(part) {
        return None;
    }
    Some(
        Problem::error(
            "syntax/decimal-comma",
            slice.span(start, start + figure.len()),
            format!("`{figure}` has a decimal comma"),
        )
        .help(format!("write `{whole}.{part}` with a point")),
    )
}

fn open_quote(slice: Slice<'_>) -> Option<Problem> {
    let mut at = 0;
    for line in slice.text.split_inclusive('\n') {
        let mut open = None;
        let mut escaped = false;
        for (i, byte) in line.bytes().enumerate() {
            match byte {
                _ if escaped => escaped = false,
                b'\\' if open.is_some() => escaped = true,
                b'"' => open = if open.is_some() { None } else { Some(i) },
                b'#' if open.is_none() => break,
                _ => {}
            }
        }
        if let Some(open) = open {
            let end = at + line.trim_end().len();
            return Some(
                Problem::error("syntax/open-quote", slice.span(at + open, end), "this text is not closed on its line")
                    .help("close it with a `\"`; a long text goes on in a second pair of quotes on the next line"),
            );
        }
        at += line.len();
    }
    None
}

/// A word up to the place of the error that is nearly a reserved one.
fn misspelt(slice: Slice<'_>, at: usize) -> Option<Problem> {
    if let Some(problem) = misspelt_half(slice, at).or_else(|| other_words(slice, at)) {
        return Some(problem);
    }
    let mut start = 0;
    let mut found = None;
    for word in slice.text.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '\'')) {
        let next = start + word.len();
        let after = slice.text.get(next..).and_then(|t| t.chars().next()).map_or(1, char::len_utf8);
        if start <= at + 1
            && word.len() >= 4
            && !quoted(slice.text, start)
            && let Some(near) = near_reserved(word)
        {
            found = Some((start, word, near));
        }
        start = next + after;
    }
    let (start, word, near) = found?;
    let help = format!("did you mean `{near}`? (if `{word}` belongs to a name, put the name in backticks)");
    Some(no_word(slice, start, word).help(help))
}

fn quoted(text: &str, at: usize) -> bool {
    text.get(..at).is_some_and(|before| before.matches('"').count() % 2 == 1 || before.matches('`').count() % 2 == 1)
}

/// Reserved words of two words: one half right, the other nearly.
const HALVES: &[(&str, &str)] = &[
    ("at", "least"),
    ("at", "most"),
    ("in", "tolerance"),
    ("of", "tolerance"),
    ("rules", "out"),
    ("speaks", "against"),
];

/// A word that the language doesn't have.
fn no_word(slice: Slice<'_>, start: usize, word: &str) -> Problem {
    let span = slice.span(start, start + word.len());
    Problem::error("syntax/misspelt-word", span, format!("`{word}` is not a word of the language"))
}

/// A comparison that is said otherwise, right before the figure that was not expected.
fn other_words(slice: Slice<'_>, at: usize) -> Option<Problem> {
    let (start, word, meant) = said_otherwise(slice.text)?;
    let figure = slice.text.get(start + word.len() + 1..)?;
    let end = slice.text.len() - figure.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').len();
    if !(start..=end).contains(&at) || quoted(slice.text, start) {
        return None;
    }
    Some(no_word(slice, start, word).help(format!("did you mean `{meant}`?")))
}

fn misspelt_half(slice: Slice<'_>, at: usize) -> Option<Problem> {
    let (start, word, meant) = near_phrase(slice.text)?;
    if start > at + 1 || quoted(slice.text, start) {
        return None;
    }
    Some(no_word(slice, start, word).help(format!("did you mean `{meant}`?")))
}

/// Words that say a comparison otherwise than the language does.
const OTHERWISE: &[(&str, &str)] = &[
    (" over ", "above"),
    (" exceeds ", "above"),
    (" greater than ", "above"),
    (" more than ", "above"),
    (" under ", "below"),
    (" less than ", "below"),
    (" equals ", "is"),
];

/// The first of them that stands before a figure: where, as typed, and what the language says.
pub(crate) fn said_otherwise(text: &str) -> Option<(usize, &str, &'static str)> {
    let lower = text.to_ascii_lowercase();
    OTHERWISE.iter().find_map(|(said, meant)| {
        let at = lower.find(said)?;
        let figure = lower.get(at + said.len()..)?.starts_with(|c: char| c.is_ascii_digit());
        let word = text.get(at + 1..at + said.len() - 1)?;
        figure.then_some((at + 1, word, *meant))
    })
}

/// The misspelt half of a reserved word of two words: where it starts, as typed, and the two words that are meant.
pub(crate) fn near_phrase(text: &str) -> Option<(usize, &str, String)> {
    let near = |typed: &str, word: &str| {
        let distance = strsim::damerau_levenshtein(&typed.to_lowercase(), word);
        distance > 0 && distance <= if word.len() > 5 { 2 } else { 1 }
    };
    for pair in words_with_places(text).windows(2) {
        let [(first_at, first), (second_at, second)] = pair else { continue };
        for (one, other) in HALVES {
            let found = match (first.eq_ignore_ascii_case(one), second.eq_ignore_ascii_case(other)) {
                (true, false) if near(second, other) => (*second_at, *second),
                (false, true) if near(first, one) => (*first_at, *first),
                _ => continue,
            };
            return Some((found.0, found.1, format!("{one} {other}")));
        }
    }
    None
}

fn words_with_places(text: &str) -> Vec<(usize, &str)> {
    let mut start = 0;
    let mut all = Vec::new();
    for part in text.split_inclusive(char::is_whitespace) {
        let word = part.trim().trim_end_matches([',', ')']);
        if !word.is_empty() {
            all.push((start, word));
        }
        start += part.len();
    }
    all
}

/// The reserved word that `word` nearly is, but isn't.
pub(crate) fn near_reserved(word: &str) -> Option<&'static str> {
    let lower = word.to_lowercase();
    if RESERVED.contains(&lower.as_str()) || ORDINARY.contains(&lower.as_str()) {
        return None;
    }
    RESERVED.iter().copied().filter(|r| r.len() >= 4).find(|r| {
        let distance = strsim::damerau_levenshtein(&lower, r);
        distance == 1 || (distance == 2 && r.len() >= 6)
    })
}

/// Words of the trade that lie near a reserved one.
const ORDINARY: &[&str] =
    &["blow", "bellows", "width", "meant", "wish", "mean", "show", "shown", "blows", "worth", "both"];

fn comparison_sign(slice: Slice<'_>, at: usize) -> Option<Problem> {
    let rest = slice.text.get(at..)?;
    let signs = [
        ("<=", "at most"),
        (">=", "at least"),
        ("<", "below"),
        (">", "above"),
        ("==", "is"),
        ("!=", "is not"),
        ("=", "is"),
    ];
    let (sign, word) = signs.into_iter().find(|(sign, _)| rest.starts_with(sign))?;
    Some(
        Problem::error("syntax/sign", slice.span(at, at + sign.len()), format!("`{sign}` does not stand here"))
            .help(format!("write `{word}`")),
    )
}

fn plain(slice: Slice<'_>, at: usize, rule: Rule, error: &Error<Rule>) -> Problem {
    let (start, end) = word_at(slice.text, at);
    let found = slice.text.get(start..end).unwrap_or("");
    let expected = expected_words(error);
    let message = match (found.is_empty(), expected.is_empty()) {
        (true, true) => "this line breaks off too early".to_string(),
        (true, false) => format!("this line breaks off: expected {expected}"),
        (false, true) => format!("`{found}` is not expected here"),
        (false, false) => format!("expected {expected}, found `{found}`"),
    };
    let problem = Problem::error("syntax/unexpected", slice.span(start, end), message);
    problem.help_if(hint(slice.text, start, found, rule, &expected))
}

fn hint(text: &str, start: usize, found: &str, rule: Rule, expected: &str) -> Option<String> {
    let reserved = RESERVED.contains(&found.to_lowercase().as_str())
        || matches!(found.to_lowercase().as_str(), "is" | "or" | "to" | "at" | "in" | "out" | "rules" | "speaks");
    let heading = matches!(
        rule,
        Rule::h_name
            | Rule::h_named_text
            | Rule::h_limit
            | Rule::h_reading
            | Rule::h_finding
            | Rule::f_names
            | Rule::f_name
            | Rule::s_name
    );
    if reserved && (heading || expected.contains("a name")) {
        return Some(format!(
            "`{found}` is a reserved word; a name that needs it stands in backticks, such as `` `a name {found} more` ``"
        ));
    }
    if rule == Rule::r_rule && found.is_empty() {
        return Some(
            "end the sentence with `implies F`, `rules out F`, `suggests F 5 to 1` or `speaks against F 3 to 1`".into(),
        );
    }
    if rule == Rule::s_entry {
        if let Some(near) =
            nearest(found, ["with", "without", "is", "take", "repaired", "complaint"]).filter(|n| *n != found)
        {
            return Some(format!("did you mean `{near}`?"));
        }
        return Some(
            "enter a reading as `NAME = 10.9 V`, an observation as `NAME is yes`, a setup as `with NAME`".into(),
        );
    }
    if reserved {
        return Some(format!("if `{found}` belongs to a name, put the whole name in backticks"));
    }
    let before = text.get(..start).unwrap_or("").trim_end();
    before.ends_with(|c: char| c.is_ascii_digit()).then(|| "is a unit missing or misspelt?".to_string())
}

/// The word at a place; at the end of the text the empty place after the last word.
fn word_at(text: &str, at: usize) -> (usize, usize) {
    let rest = text.get(at..).unwrap_or("");
    let blank = rest.len() - rest.trim_start().len();
    if rest.trim_start().is_empty() || rest.trim_start().starts_with('#') {
        let end = text.get(..at).map_or(0, |t| t.trim_end().len());
        return (end, end);
    }
    let start = at + blank;
    let word = text.get(start..).unwrap_or("");
    let body = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '\'' | '.' | '/');
    let length = word.find(|c| !body(c)).unwrap_or(word.len());
    let length = if length == 0 { word.chars().next().map_or(0, char::len_utf8) } else { length };
    (start, start + length)
}

/// What pest expected, in words, most useful first, each once.
fn expected_words(error: &Error<Rule>) -> String {
    let ErrorVariant::ParsingError { positives, .. } = &error.variant else { return String::new() };
    let mut said: Vec<&str> = Vec::new();
    let mut ranked: Vec<(usize, &'static str)> = positives.iter().filter_map(|rule| wording(*rule)).collect();
    ranked.sort_unstable();
    for (_, words) in ranked {
        if !said.contains(&words) {
            said.push(words);
        }
    }
    said.truncate(5);
    match said.as_slice() {
        [] => String::new(),
        [one] => (*one).to_string(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// A rule's rank and words in a message; rules without are implied by others.
fn wording(rule: Rule) -> Option<(usize, &'static str)> {
    Some(match rule {
        Rule::name | Rule::el_name | Rule::point | Rule::band_name => (0, "a name"),
        Rule::figure | Rule::number | Rule::signed | Rule::count => (1, "a number"),
        Rule::unit => (2, "a unit"),
        Rule::string | Rule::text => (3, "a text in double quotes"),
        Rule::equals => (4, "`=`"),
        Rule::condition | Rule::atom => (5, "a condition"),
        Rule::sum => (5, "a value"),
        Rule::bound => (6, "a comparison such as `below 11.5 V` or `is yes`"),
        Rule::conclusion | Rule::implies | Rule::rules_out | Rule::suggests | Rule::speaks => {
            (7, "a conclusion such as `implies F`")
        }
        Rule::k_below => (8, "`below`"),
        Rule::k_above => (8, "`above`"),
        Rule::k_is => (9, "`is`"),
        Rule::k_and => (10, "`and`"),
        Rule::k_or => (10, "`or`"),
        Rule::k_with | Rule::setup => (11, "`with`"),
        Rule::k_without => (12, "`without`"),
        Rule::k_to => (9, "`to`"),
        Rule::comma => (13, "`,`"),
        Rule::close => (6, "`)`"),
        Rule::open => (20, "`(`"),
        Rule::k_of => (6, "`of`"),
        Rule::k_digits => (6, "`digits`"),
        Rule::k_from => (6, "`from`"),
        Rule::ends_at => (6, "`from A to B`"),
        Rule::k_across => (6, "`across`"),
        Rule::k_faults => (6, "`faults at once`"),
        Rule::EOI => (30, "the end of the line"),
        _ => return None,
    })
}

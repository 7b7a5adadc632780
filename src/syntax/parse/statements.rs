//! Lines of a case, a job or the REPL. The first words choose the rule; a line that they don't fit is read as an
//! entry, so that a reading may be called `meter voltage`.

use arcstr::ArcStr;
use pest::iterators::Pair;

use crate::problem::{Problem, did_you_mean};
use crate::source::SourceId;
use crate::syntax::tree::{EntryWords, Expected, ExpectedVerdict, Joint, Name, Number, Piece, Statement, Value};
use crate::syntax::words::leading_words;

use super::fields::{accuracy, side};
use super::{Built, Parts, Rule, Slice, conditions, logs, name, number, text, without_comment, word};

/// Parses one statement, starting at byte `base` of its source.
///
/// # Errors
/// The problem with its place in the source.
pub fn parse_statement(source: SourceId, base: usize, line: &str) -> Built<Statement> {
    let line = ArcStr::from(without_comment(line));
    statement(Slice::whole(source, base, &line))
}

type Reader = for<'t> fn(Slice<'t>, Slice<'t>) -> Built<Statement>;

/// Words that begin a statement, and what reads the rest of the line (whole line, rest).
static FIRST_WORDS: &[(&str, Reader)] = &[
    ("take back", take_back),
    ("that was", that_was),
    ("repaired", |_, rest| rest.parse(Rule::s_name)?.name().map(Statement::Repaired)),
    ("can't reach", |_, rest| rest.parse(Rule::s_name)?.name().map(Statement::CannotReach)),
    ("complaint", complaint),
    ("profile", |_, rest| Ok(Statement::Profile(text(rest, rest.parse(Rule::s_string)?.need()?)))),
    ("meter", meter),
    ("ambient", ambient),
    ("expect", expect),
];

pub(super) fn statement(slice: Slice<'_>) -> Built<Statement> {
    if leading_words(slice.text, "with").or(leading_words(slice.text, "without")).is_some() {
        let mut parts = slice.parse(Rule::s_setup)?;
        return conditions::setup(slice, parts.need()?).map(Statement::Setup);
    }
    for (words, read) in FIRST_WORDS {
        let Some(length) = leading_words(slice.text, words) else { continue };
        let rest = Slice { base: slice.base + length, text: slice.text.get(length..).unwrap_or(""), ..slice };
        return match read(slice, rest) {
            Ok(statement) => Ok(statement),
            Err(problem) => entry(slice).map_err(|_| problem),
        };
    }
    entry(slice)
}

fn take_back<'t>(whole: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    rest.parse(Rule::f_nothing)?;
    Ok(Statement::TakeBack(whole.span(0, whole.text.len())))
}

fn that_was<'t>(whole: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    let mut parts = rest.parse(Rule::s_setup)?;
    Ok(Statement::ThatWas(conditions::setup(rest, parts.need()?)?, whole.span(0, whole.text.len())))
}

/// In quotes: the customer's words. Else the name of a declared complaint, free text to the end of the line.
fn complaint<'t>(_: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    let words = rest.text;
    let (lead, said) = (words.len() - words.trim_start().len(), words.trim());
    if said.starts_with('"') {
        return Ok(Statement::CustomerWords(text(rest, rest.parse(Rule::s_string)?.need()?)));
    }
    let span = rest.span(lead, lead + said.len());
    if said.is_empty() {
        return Err(Problem::error("syntax/unexpected", rest.span(0, 0), "`complaint` needs to say which")
            .help("type the customer's words in quotes, or the name of a complaint of the book"));
    }
    Ok(Statement::Complaint(Name { text: rest.folded(said.trim_matches('`')), span }))
}

fn meter<'t>(_: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    let mut parts = rest.parse(Rule::s_meter).map_err(|problem| {
        problem
            .help("type for example `meter \"bench 2\" V 0.5 % + 2 digits of 0.01 V`: its name, the unit, its accuracy")
    })?;
    let name = parts.take(Rule::string).map(|pair| text(rest, pair));
    let unit = word(rest, &parts.need()?);
    let accuracy = accuracy(rest, parts.need()?)?;
    Ok(Statement::Meter { name, unit, accuracy })
}

fn ambient<'t>(_: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    let mut parts = rest.parse(Rule::s_ambient)?;
    let numbers = parts.rest().into_iter().filter(|p| p.as_rule() == Rule::signed).map(|p| number(rest, p)).collect();
    Ok(Statement::Ambient(numbers))
}

fn entry(slice: Slice<'_>) -> Built<Statement> {
    let mut parts = slice.parse(Rule::s_entry)?;
    let span = parts.whole;
    let name = parts.name()?;
    let joiner = parts.need()?;
    let joint_span = slice.of(&joiner);
    let (joint, value) = match joiner.as_rule() {
        Rule::equals => (Joint::Equals, value(slice, parts.need()?)?),
        Rule::k_is => (Joint::Is, value(slice, parts.need()?)?),
        Rule::log_file => (Joint::None, logs::log_file(slice, joiner)?),
        _ => (Joint::None, Value::NotMeasured(slice.of(&joiner))),
    };
    let mut tries = self::tries(&mut parts)?;
    let setup = match parts.take(Rule::setup) {
        Some(pair) => conditions::setup(slice, pair)?,
        None => Vec::new(),
    };
    tries = self::tries(&mut parts)?.or(tries);
    Ok(Statement::Entry(EntryWords { name, joint, joint_span, value, setup, tries, span }))
}

/// `5 times`
fn tries(parts: &mut Parts<'_>) -> Built<Option<Number>> {
    let slice = parts.slice;
    let Some(pair) = parts.take(Rule::tries) else { return Ok(None) };
    let mut inner = Parts::inside(slice, pair);
    inner.take(Rule::comma);
    inner.number().map(Some)
}

fn value<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> Built<Value> {
    let inner = Parts::inside(slice, pair).need()?;
    let rule = inner.as_rule();
    let span = slice.of(&inner);
    match rule {
        Rule::k_not_measured => return Ok(Value::NotMeasured(span)),
        Rule::k_ol => return Ok(Value::OverRange(span)),
        Rule::name => return Ok(Value::Word(name(slice, inner))),
        Rule::signed => return Ok(Value::Measured { number: number(slice, inner), plus_minus: None }),
        _ => {}
    }
    let mut parts = Parts::inside(slice, inner);
    match rule {
        Rule::one_sided => {
            let side = side(parts.need()?.as_rule());
            Ok(Value::OneSided(side, parts.number()?))
        }
        Rule::spread => {
            let low = parts.number()?;
            parts.next();
            Ok(Value::Spread(low, parts.number()?))
        }
        _ => {
            let number = parts.number()?;
            let plus_minus = parts.take(Rule::plus_minus).map(|pair| stated(slice, pair));
            Ok(Value::Measured { number, plus_minus })
        }
    }
}

/// `± 0.1 V`
fn stated<'t>(slice: Slice<'t>, pair: Pair<'t, Rule>) -> crate::syntax::tree::Number {
    let span = slice.of(&pair);
    let (mut digits, mut unit) = (Piece::default(), None);
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::figure => digits = slice.piece(part.as_str().trim()),
            Rule::unit => unit = Some(word(slice, &part)),
            _ => {}
        }
    }
    crate::syntax::tree::Number { digits, unit, span }
}

/// How the verdict words of a case may be said, longest first.
const VERDICT_WORDS: &[(&str, ExpectedVerdict)] = &[
    ("the only one left", ExpectedVerdict::OnlyOneLeft),
    ("only one left", ExpectedVerdict::OnlyOneLeft),
    ("in conflict", ExpectedVerdict::Conflict),
    ("ruled out", ExpectedVerdict::RuledOut),
    ("proved", ExpectedVerdict::Proved),
    ("open", ExpectedVerdict::Open),
];

fn expect<'t>(whole: Slice<'t>, rest: Slice<'t>) -> Built<Statement> {
    let mut parts = rest.parse(Rule::s_expect)?;
    let span = whole.span(0, whole.text.trim_end().len());
    let mut expected = Vec::new();
    for part in parts.rest() {
        if part.as_rule() == Rule::expected {
            expected.push(expectation(rest, &part)?);
        }
    }
    Ok(Statement::Expect(expected, span))
}

fn expectation<'t>(slice: Slice<'t>, pair: &Pair<'t, Rule>) -> Built<Expected> {
    let words = pair.as_str().trim_end();
    let start = pair.as_span().start();
    let span = slice.span(start, start + words.len());
    match slice.folded(words).to_lowercase().as_str() {
        "conflict" => return Ok(Expected::Conflict(span)),
        "no fault present" => return Ok(Expected::NoFaultPresent(span)),
        _ => {}
    }
    for (said, verdict) in VERDICT_WORDS {
        let Some(length) = without_last_words(words, said) else { continue };
        let name = words.get(..length).unwrap_or("").trim_end();
        let name = name.strip_suffix(" is").unwrap_or(name).trim_end();
        let text = slice.folded(name.trim_matches('`'));
        return Ok(Expected::Fault(Name { text, span: slice.span(start, start + name.len()) }, *verdict));
    }
    Err(unknown_verdict(words, span))
}

/// The length of a text without these words at its end, if it ends in them and has more before.
fn without_last_words(text: &str, said: &str) -> Option<usize> {
    let mut rest = text.trim_end();
    for word in said.rsplit(' ') {
        let start = rest.rfind(char::is_whitespace).map_or(0, |at| at + 1);
        if !rest.get(start..)?.eq_ignore_ascii_case(word) {
            return None;
        }
        rest = rest.get(..start)?.trim_end();
    }
    (!rest.is_empty()).then_some(rest.len())
}

fn unknown_verdict(words: &str, span: crate::source::Span) -> Problem {
    let last = words.rsplit(' ').next().unwrap_or("");
    let near = did_you_mean(last, ["proved", "open", "conflict"]);
    Problem::error("syntax/expect", span, format!("`{words}` doesn't end in what is expected of the fault")).help(
        near.unwrap_or_else(|| {
            "say `F proved`, `F ruled out`, `F open`, or `conflict` or `no fault present` by itself".into()
        }),
    )
}

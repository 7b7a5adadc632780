//! The questions and orders of the REPL: one row each. A line that fits none is a sentence of the language.

use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::words::leading_words;

use super::answers;
use super::session::{Reply, Session};
use super::spelling::OTHERWISE;

/// What stands after a command's words.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Takes {
    /// Nothing.
    Nothing,
    /// Perhaps a count.
    Count,
    /// The name of a fault.
    Fault,
    /// An entry or setup.
    Sentence,
    /// The name of a reading.
    Reading,
}

/// One command.
pub struct Command {
    /// Its words.
    pub words: &'static str,
    /// What follows them.
    pub takes: Takes,
    /// How it is typed.
    pub usage: &'static str,
    /// What it does.
    pub help: &'static str,
    run: fn(&mut Session, Asked<'_>) -> Reply,
}

/// A command as it was typed.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'l> {
    /// The whole line.
    pub line: &'l str,
    /// What follows the command's words.
    pub rest: &'l str,
    /// Where that begins.
    pub at: usize,
}

const fn command(
    words: &'static str,
    takes: Takes,
    usage: &'static str,
    help: &'static str,
    run: fn(&mut Session, Asked<'_>) -> Reply,
) -> Command {
    Command { words, takes, usage, help, run }
}

/// Every command; where one begins with another, the longer stands first.
pub static COMMANDS: &[Command] = &[
    command("next", Takes::Count, "next  or  next 5", "what to measure next", answers::next),
    command("why not", Takes::Fault, "why not FAULT", "why a fault is not proved", answers::why_not),
    command("why", Takes::Fault, "why FAULT", "why a fault is judged as it is", answers::why),
    command(
        "what if",
        Takes::Sentence,
        "what if fan runs is no",
        "what an entry would change, without entering it",
        answers::what_if,
    ),
    command(
        "what decides",
        Takes::Fault,
        "what decides FAULT",
        "what would prove it or rule it out",
        answers::what_decides,
    ),
    command(
        "how sure",
        Takes::Nothing,
        "how sure",
        "what would flip if an entry or a share were off",
        answers::how_sure,
    ),
    command("faults", Takes::Nothing, "faults", "every fault with its verdict", answers::faults),
    command("entries", Takes::Nothing, "entries", "what was entered, with its setup", answers::entries),
    command(
        "plot",
        Takes::Reading,
        "plot READING",
        "a recorded signal: picture, dropouts, what the book asks of it",
        answers::plot,
    ),
    command("report", Takes::Nothing, "report", "the job as a page", answers::report),
    command("help", Takes::Nothing, "help", "these sentences", answers::help),
    command("quit", Takes::Nothing, "quit", "leave; what is still in place is listed", answers::quit),
];

/// Sentences that enter something, for `help`.
pub static SENTENCES: &[(&str, &str)] = &[
    ("complaint NAME", "what is complained of, as the book names it; or in quotes, in the customer's words"),
    ("with STATE, CHANGE", "how the vehicle stands from here on; `without` ends it; `with STATE is VALUE`"),
    (
        "READING = 10.9 V",
        "what was measured; also `± 0.1 V`, `= OL`, `= below 0.1 ohm`, `= 11.8 to 12.1 V`, `= not measured`",
    ),
    (
        "READING from \"ride.csv\" channel 2",
        "a logger's file beside the job; what can't be found in it is told: `time in ms`, `in mV`, `separator \";\"`, `decimal comma`, `every 10 ms`",
    ),
    ("OBSERVATION is no, 5 times", "found so in as many tries, where a test shows only sometimes what is wrong"),
    ("OBSERVATION is yes", "what was seen or heard; `… with CHANGE` holds for that entry only"),
    ("take back", "takes back the last line; it stays in the record"),
    ("that was with CHANGE", "corrects the setup of the last entry"),
    ("can't reach READING", "a test that can't be done on this vehicle"),
    ("repaired FAULT", "the fault is mended; what is entered from here on verifies it"),
    ("meter \"bench 2\" V 0.5 % + 2 digits of 0.01 V", "the meter in use"),
    ("ambient 31 degC", "the air around the vehicle; also its pressure, `98 kPa absolute`"),
    ("profile \"12 V\"", "limits for another variant of the vehicle"),
];

/// The answer to a command; none where the line is a sentence.
pub fn answer(session: &mut Session, line: &str) -> Option<Reply> {
    for command in COMMANDS {
        let Some(length) = leading_words(line, command.words) else { continue };
        let rest = line.get(length..).unwrap_or("");
        let lead = rest.len() - rest.trim_start().len();
        let rest = rest.trim();
        let fits = match command.takes {
            Takes::Nothing => rest.is_empty(),
            Takes::Count => rest.is_empty() || rest.bytes().all(|b| b.is_ascii_digit()),
            Takes::Fault | Takes::Sentence | Takes::Reading => true,
        };
        // A reading may be called `next fan voltage`: what doesn't fit is read as a sentence.
        if fits && !is_entry(session, line) {
            return Some((command.run)(session, Asked { line, rest, at: length + lead }));
        }
    }
    None
}

/// Whether a line enters a declared reading or observation whose name begins like a command.
fn is_entry(session: &Session, line: &str) -> bool {
    let name = line.split_once('=').map(|(name, _)| name).or_else(|| line.split_once(" is ").map(|(name, _)| name));
    name.is_some_and(|name| session.book.find_indication(name.trim()).is_some())
}

/// A line that is no sentence may be a misspelt command.
pub(super) fn or_command(line: &str, problem: Problem) -> Problem {
    let first: Vec<&str> = line.split_whitespace().take(2).collect();
    let known = || COMMANDS.iter().map(|c| c.words).chain(["take back", "repaired", "complaint", "with", "without"]);
    let two = first.join(" ");
    let alone = first.first().copied().unwrap_or("");
    if let Some((_, here)) = OTHERWISE.iter().find(|(word, _)| *word == alone.to_lowercase()) {
        let span = Span::new(Default::default(), 0, alone.len());
        return Problem::error("repl/unknown-command", span, format!("`{alone}` begins no sentence"))
            .help(format!("here that is `{here}`"));
    }
    let near = did_you_mean(&two, known().filter(|w| w.contains(' ')))
        .or_else(|| did_you_mean(alone, known().filter(|w| !w.contains(' '))));
    let told = problem.code == "syntax/misspelt-word"
        || problem.code == "syntax/decimal-comma"
        || problem.code == "syntax/open-quote";
    // A word that is right needs no other: what follows it is wrong.
    let right = |near: &str| near == format!("did you mean `{alone}`?") || near == format!("did you mean `{two}`?");
    match near {
        Some(near) if !told && !right(&near) => Problem::error(
            "repl/unknown-command",
            Span::new(Default::default(), 0, alone.len()),
            format!("`{alone}` begins no sentence"),
        )
        .help(format!("{near} `help` lists what can be typed")),
        _ if alone == line && problem.code == "syntax/unexpected" => {
            let span = Span::new(Default::default(), 0, alone.len());
            Problem::error("repl/unknown-command", span, format!("`{alone}` begins no sentence"))
                .help("`help` lists what can be typed, `entries` what was entered")
        }
        _ => problem,
    }
}

//! The line editor on a terminal: completion and hints that know the context, colours, history. It answers nothing
//! itself.

use std::borrow::Cow;

use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::highlight::{CmdKind, Highlighter};
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::{Config, Context, Editor, Helper, Validator};

use crate::book::Book;

use super::commands::COMMANDS;

/// Names and words that can be typed, by context.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Vocabulary {
    /// Words that begin a line.
    pub starts: Vec<String>,
    /// States and changes, with values written out.
    pub settings: Vec<String>,
    /// Readings, each followed by ` = `, observations by ` is `.
    pub indications: Vec<String>,
    /// Answers of each observation, by its folded name.
    pub answers: Vec<(String, Vec<String>)>,
    /// Faults.
    pub faults: Vec<String>,
    /// Complaints.
    pub complaints: Vec<String>,
    /// Units of each reading, by its folded name.
    pub units: Vec<(String, String)>,
}

impl Vocabulary {
    /// The vocabulary of a book.
    pub fn of(book: &Book) -> Self {
        let mut all = Self::default();
        let begins = [
            "with ",
            "without ",
            "complaint ",
            "take back",
            "that was with ",
            "can't reach ",
            "repaired ",
            "meter ",
            "ambient ",
        ];
        all.starts = COMMANDS.iter().map(|c| c.words.to_string()).chain(begins.map(String::from)).collect();
        for setting in &book.settings {
            if setting.one_of {
                all.settings.extend(setting.values.iter().map(|value| format!("{} is {value}", setting.name)));
            } else {
                all.settings.push(setting.name.clone());
            }
        }
        for indication in &book.indications {
            let key = indication.name.to_ascii_lowercase();
            match (indication.reading(), indication.observation()) {
                (Some(reading), _) if reading.computed.is_none() => {
                    all.indications.push(format!("{} = ", indication.name));
                    all.units.push((key, reading.unit.map_or(String::new(), |unit| unit.symbol.to_string())));
                }
                (_, Some(observation)) => {
                    all.indications.push(format!("{} is ", indication.name));
                    all.answers.push((key, observation.answers.clone()));
                }
                _ => {}
            }
        }
        all.faults = book.faults.iter().map(|fault| fault.name.clone()).collect();
        all.complaints = book.complaints.iter().map(|complaint| complaint.name.clone()).collect();
        all
    }

    /// Where completion begins in a line and what may stand there.
    pub fn complete(&self, line: &str) -> (usize, Vec<String>) {
        // Letter by letter as long as what is typed: places in the one are places in the other.
        let lower = line.to_ascii_lowercase();
        for (words, list) in self.contexts() {
            if let Some(rest) = lower.strip_prefix(words) {
                let start = words.len() + last_item(rest, words);
                return (start, matching(list, lower.get(start..).unwrap_or("")));
            }
        }
        if let Some((name, typed)) = lower.split_once(" is ")
            && let Some((_, answers)) = self.answers.iter().find(|(key, _)| key == name.trim())
        {
            let start = line.len() - typed.len();
            return (start, matching(answers, typed));
        }
        let mut all = matching(&self.indications, &lower);
        all.extend(matching(&self.starts, &lower));
        (0, all)
    }

    fn contexts(&self) -> [(&'static str, &Vec<String>); 10] {
        [
            ("that was with ", &self.settings),
            ("that was without ", &self.settings),
            ("without ", &self.settings),
            ("with ", &self.settings),
            ("why not ", &self.faults),
            ("why ", &self.faults),
            ("what decides ", &self.faults),
            ("repaired ", &self.faults),
            ("complaint ", &self.complaints),
            ("can't reach ", &self.indications),
        ]
    }

    /// The hint behind what is typed: the rest of the only name that fits, or the unit that is missing.
    pub fn hint(&self, line: &str) -> Option<String> {
        if line.trim().is_empty() {
            return None;
        }
        if let Some((name, typed)) = line.split_once('=') {
            let unit =
                self.units.iter().find(|(key, _)| *key == name.trim().to_ascii_lowercase()).map(|(_, unit)| unit)?;
            let number = typed.trim();
            let bare = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
            return bare.then(|| format!(" {unit}"));
        }
        let (start, fitting) = self.complete(line);
        match fitting.as_slice() {
            [only] => only.get(line.len().saturating_sub(start)..).filter(|rest| !rest.is_empty()).map(str::to_string),
            _ => None,
        }
    }
}

/// After a comma of a setup list the next item begins.
fn last_item(rest: &str, words: &str) -> usize {
    if !words.contains("with") {
        return 0;
    }
    rest.rfind(", ").map_or(0, |at| at + 2)
}

fn matching(list: &[String], typed: &str) -> Vec<String> {
    list.iter().filter(|name| name.to_ascii_lowercase().starts_with(typed)).cloned().collect()
}

/// What rustyline asks.
#[derive(Helper, Validator)]
pub struct Assistant {
    vocabulary: Vocabulary,
    colour: bool,
}

impl Completer for Assistant {
    type Candidate = Pair;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<Pair>)> {
        let (start, names) = self.vocabulary.complete(line.get(..at).unwrap_or(line));
        let pairs =
            names.into_iter().map(|name| Pair { display: crate::output::clean(&name).into_owned(), replacement: name });
        Ok((start, pairs.collect()))
    }
}

impl Hinter for Assistant {
    type Hint = String;

    fn hint(&self, line: &str, at: usize, _: &Context<'_>) -> Option<String> {
        if at < line.len() { None } else { self.vocabulary.hint(line) }
    }
}

impl Highlighter for Assistant {
    fn highlight<'l>(&self, line: &'l str, _: usize) -> Cow<'l, str> {
        if !self.colour {
            return Cow::Borrowed(line);
        }
        Cow::Owned(coloured(line))
    }

    fn highlight_char(&self, _: &str, _: usize, _: CmdKind) -> bool {
        self.colour
    }

    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        if self.colour { Cow::Owned(format!("\u{1b}[2m{hint}\u{1b}[0m")) } else { Cow::Borrowed(hint) }
    }
}

/// Reserved words bold, numbers underlined: readable on any background and without seeing colour.
fn coloured(line: &str) -> String {
    const BOLD: &[&str] = &[
        "with",
        "without",
        "is",
        "=",
        "and",
        "or",
        "not",
        "why",
        "next",
        "what",
        "if",
        "decides",
        "take",
        "back",
        "repaired",
        "complaint",
    ];
    let mut out = String::new();
    for word in line.split_inclusive(' ') {
        let bare = word.trim_end();
        if BOLD.contains(&bare) {
            out.push_str(&format!("\u{1b}[1m{bare}\u{1b}[0m{}", word.get(bare.len()..).unwrap_or("")));
        } else if bare.starts_with(|c: char| c.is_ascii_digit()) {
            out.push_str(&format!("\u{1b}[4m{bare}\u{1b}[0m{}", word.get(bare.len()..).unwrap_or("")));
        } else {
            out.push_str(word);
        }
    }
    out
}

/// What a read came to.
#[derive(Debug, PartialEq, Eq)]
pub enum Typed {
    /// A line.
    Line(String),
    /// Ctrl-C: the line was cleared.
    Cleared,
    /// Ctrl-D on an empty line, or the terminal is gone.
    Over,
}

/// A line editor.
pub struct Prompt {
    editor: Editor<Assistant, DefaultHistory>,
    history: Option<std::path::PathBuf>,
}

impl Prompt {
    /// An editor for a book's vocabulary, with its history in that file if there is one.
    ///
    /// # Errors
    /// The terminal can't be used.
    pub fn new(vocabulary: Vocabulary, colour: bool, history: Option<std::path::PathBuf>) -> Result<Self, String> {
        let config = Config::builder().auto_add_history(true).completion_type(rustyline::CompletionType::List).build();
        let mut editor: Editor<Assistant, DefaultHistory> =
            Editor::with_config(config).map_err(|error| error.to_string())?;
        editor.set_helper(Some(Assistant { vocabulary, colour }));
        if let Some(path) = &history {
            let _ = editor.load_history(path);
        }
        Ok(Self { editor, history })
    }

    /// Takes another book's vocabulary.
    pub fn set_vocabulary(&mut self, vocabulary: Vocabulary) {
        if let Some(helper) = self.editor.helper_mut() {
            helper.vocabulary = vocabulary;
        }
    }

    /// Reads a line.
    pub fn read(&mut self, prompt: &str) -> Typed {
        match self.editor.readline(prompt) {
            Ok(line) => {
                if let Some(path) = &self.history {
                    let _ = self.editor.append_history(path);
                }
                Typed::Line(line)
            }
            Err(ReadlineError::Interrupted) => Typed::Cleared,
            Err(_) => Typed::Over,
        }
    }
}

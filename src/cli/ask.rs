//! `ruleout ask`: the REPL, on a terminal or from a pipe.

use std::io::{BufRead, IsTerminal};
use std::path::PathBuf;

use clap::Args;

use crate::book::{Book, Loaded};
use crate::job::Job;
use crate::job::journal::{DiskFile, Journal, OpenProblem};
use crate::job::record::Header;
use crate::problem::{Problem, Severity};
use crate::repl::editor::{Prompt, Typed, Vocabulary};
use crate::repl::{Keeper, Reply, Session};

use super::out::Failure;
use super::{BookArgs, Exit, disk, jobfile, logs, out, script};

/// Arguments of `ask`.
#[derive(Clone, Debug, Args)]
pub(super) struct AskArgs {
    #[command(flatten)]
    book: BookArgs,
    /// The job record to begin or to go on with; without it nothing is kept
    #[arg(long, value_name = "FILE")]
    job: Option<PathBuf>,
    /// Which vehicle, for the header of a new record
    #[arg(long, value_name = "WHICH")]
    vehicle: Option<String>,
    /// Its odometer, for the header of a new record
    #[arg(long, value_name = "READING")]
    odometer: Option<String>,
    /// Who works on it, for the header of a new record
    #[arg(long, value_name = "NAME")]
    technician: Option<String>,
}

struct Record(Journal<DiskFile>);

impl Keeper for Record {
    fn keep(&mut self, sentence: &str) -> Result<(), String> {
        self.0.add(sentence).map_err(|error| disk::because(&error))
    }
}

/// Runs it.
pub(super) fn run(args: &AskArgs) -> Exit {
    asked(args).unwrap_or_else(Exit::from)
}

fn asked(args: &AskArgs) -> Result<Exit, Failure> {
    let (loaded, book) = disk::open_book(&args.book)?;
    let (mut session, mut exit) = open(args, &loaded, book)?;
    session.look = out::look();
    out::page(session.greeting().gap());
    let ended = if std::io::stdin().is_terminal() {
        converse(&loaded, &mut session)?
    } else {
        read_pipe(&loaded, &mut session)?
    };
    exit = exit.max(ended);
    Ok(exit)
}

/// The session with its record, if one is kept.
fn open(args: &AskArgs, loaded: &Loaded, book: Book) -> Result<(Session, Exit), Failure> {
    let Some(path) = &args.job else {
        let job = Job::with_logs(&book, logs::here());
        return Ok((Session::new(book, job, None, None), Exit::Done));
    };
    let header = Header {
        vehicle: args.vehicle.clone(),
        odometer: args.odometer.clone(),
        technician: args.technician.clone(),
        ..jobfile::new_header(&book, &args.book.book)
    };
    let (journal, text, record) = Journal::open(path, &header).map_err(|problem| {
        let why = match problem {
            OpenProblem::Busy => {
                "another program is writing to it; one writer at a time, reading is always possible".to_string()
            }
            OpenProblem::NotARecord(why) => format!("it is no job record: {why}"),
            OpenProblem::Io(error) if error.kind() == std::io::ErrorKind::NotFound => "its folder is not there".into(),
            OpenProblem::Io(error) => disk::because(&error),
        };
        Failure::said(&format!("`{}` can't be used as a job record: {why}", path.display()))
    })?;
    let own = args.book.book.file_name();
    let recorded = std::path::Path::new(&record.header.book).file_name();
    if !record.lines.is_empty() && recorded != own {
        return Err(Failure::said(&format!(
            "`{}` records a job on `{}`, not on this book; nothing was written to it",
            path.display(),
            record.header.book
        )));
    }
    let name = path.display().to_string();
    let logs = logs::beside(path);
    let mut played = jobfile::play_record(&book, &name, &text, &record, &logs);
    let mut book = book;
    if let (Some(profile), None) = (&played.job.profile, &args.book.profile) {
        book = disk::resolve_book(loaded, Some(profile))?;
        played = jobfile::play_record(&book, &name, &text, &record, &logs);
    }
    out::problems(&played.problems, &played.sources);
    let bad = played.problems.iter().any(|problem| problem.severity == Severity::Error);
    let header = Some(record.header);
    Ok((
        Session::new(book, played.job, header, Some(Box::new(Record(journal)))),
        if bad { Exit::Found } else { Exit::Done },
    ))
}

/// On a terminal: until `quit` or Ctrl-D.
fn converse(loaded: &Loaded, session: &mut Session) -> Result<Exit, Failure> {
    let colour = out::style_of(true).colour;
    let prompt = Prompt::new(Vocabulary::of(&session.book), colour, history_file());
    let mut prompt = prompt.map_err(|why| Failure::said(&format!("this terminal can't be used: {why}")))?;
    loop {
        match prompt.read(&session.prompt()) {
            Typed::Cleared => out::text("(cleared; `quit` leaves)\n"),
            Typed::Over => {
                out::page(&session.farewell());
                return Ok(Exit::Done);
            }
            Typed::Line(line) => {
                let reply = session.line(&line);
                let over = show(loaded, session, &reply);
                if reply.profile.is_some() {
                    prompt.set_vocabulary(Vocabulary::of(&session.book));
                }
                if over {
                    return Ok(Exit::Done);
                }
            }
        }
    }
}

/// From a pipe: each sentence is echoed with its prompt, so that what is printed reads like a session.
fn read_pipe(loaded: &Loaded, session: &mut Session) -> Result<Exit, Failure> {
    let mut exit = Exit::Done;
    let mut input = std::io::stdin().lock();
    loop {
        let mut bytes = Vec::new();
        let read = input.read_until(b'\n', &mut bytes);
        match read {
            Ok(0) => break,
            Err(error) => {
                return Err(Failure::said(&format!("standard input can't be read: {}", disk::because(&error))));
            }
            Ok(_) => {}
        }
        let line = match disk::to_text(bytes) {
            Ok(line) => line,
            Err(_) => {
                out::error_line("ruleout: a line on standard input is not UTF-8 and was skipped");
                exit = Exit::Found;
                continue;
            }
        };
        let Some((_, line)) = script::lines(&line).next() else { continue };
        out::text(&format!("{}{}\n", session.prompt(), crate::output::clean(line)));
        let reply = session.line(line);
        if !reply.problems.is_empty() {
            exit = Exit::Found;
        }
        if show(loaded, session, &reply) {
            return Ok(exit.max(quarrels(session)));
        }
    }
    out::page(&session.farewell());
    Ok(exit.max(quarrels(session)))
}

fn quarrels(session: &Session) -> Exit {
    if session.judgement.conflicts.is_empty() { Exit::Done } else { Exit::Found }
}

/// Shows a reply; resolves the book again where a profile was chosen. `true` where the session is over.
fn show(loaded: &Loaded, session: &mut Session, reply: &Reply) -> bool {
    let problems: &[Problem] = &reply.problems;
    out::problems(problems, &reply.sources);
    out::page(&reply.page);
    if let Some(profile) = &reply.profile
        && let Ok(book) = disk::resolve_book(loaded, Some(profile))
    {
        out::page(&session.change_book(book));
    }
    reply.over
}

/// Where typed lines are remembered: the user's state folder.
fn history_file() -> Option<PathBuf> {
    let state = std::env::var_os("XDG_STATE_HOME").map(PathBuf::from);
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/state"));
    let folder = state.or_else(home)?.join("ruleout");
    std::fs::create_dir_all(&folder).ok()?;
    Some(folder.join("history"))
}

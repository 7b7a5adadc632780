//! What each command answers.

use crate::book::{FaultId, Symbol};
use crate::job::{EntryId, EntryValue, setup_words};
use crate::output::Page;
use crate::output::report::Papers;
use crate::output::report_text::{Extent, report_text};
use crate::problem::Problem;
use crate::reasoning::history::course;
use crate::reasoning::{Verdict, judge};
use crate::source::Span;
use crate::syntax::tree::Name;
use crate::syntax::{parse_name, parse_statement};

use super::commands::{Asked, COMMANDS, SENTENCES};
use super::session::{Reply, Session};

/// The fault that a command names, or the reply that says what is wrong.
fn fault(session: &Session, Asked { line, rest, at }: Asked<'_>) -> Result<FaultId, Box<Reply>> {
    if rest.is_empty() {
        let problem = Problem::error("repl/which-fault", Span::new(Default::default(), 0, at), "say which fault")
            .help("`faults` lists them; Tab completes a name");
        return Err(Box::new(session.refuse(line, problem)));
    }
    let name: Name =
        parse_name(Default::default(), at, rest).map_err(|problem| Box::new(session.refuse(line, problem)))?;
    match session.book.symbol(&name.text) {
        Some(Symbol::Fault(id)) => Ok(id),
        _ => {
            let known = session.book.faults.iter().map(|f| f.name.as_str());
            Err(Box::new(session.refuse(line, crate::job::unknown(&name, "fault", known))))
        }
    }
}

pub(super) fn next(session: &mut Session, asked: Asked<'_>) -> Reply {
    Reply::showing(session.advise(asked.rest.parse().unwrap_or(1).clamp(1, 100)))
}

pub(super) fn why(session: &mut Session, asked: Asked<'_>) -> Reply {
    match fault(session, asked) {
        Ok(id) => Reply::showing(session.wording().why(&session.judgement, id)),
        Err(reply) => *reply,
    }
}

pub(super) fn why_not(session: &mut Session, asked: Asked<'_>) -> Reply {
    match fault(session, asked) {
        Ok(id) => Reply::showing(session.wording().why_not(&session.judgement, id)),
        Err(reply) => *reply,
    }
}

pub(super) fn what_decides(session: &mut Session, asked: Asked<'_>) -> Reply {
    match fault(session, asked) {
        Ok(id) => Reply::showing(session.wording().what_decides(&session.judgement, id)),
        Err(reply) => *reply,
    }
}

pub(super) fn what_if(session: &mut Session, Asked { line, rest, at }: Asked<'_>) -> Reply {
    if rest.is_empty() {
        let problem =
            Problem::error("repl/which-entry", Span::new(Default::default(), 0, at), "say what would be entered")
                .help("type for example `what if fan runs is no`");
        return session.refuse(line, problem);
    }
    let statement = match parse_statement(Default::default(), at, rest) {
        Ok(statement) => statement,
        Err(problem) => return session.refuse(line, problem),
    };
    let mut trial = session.job.clone();
    let notices = match trial.enter(&session.book, statement, rest) {
        Ok(notices) => notices,
        Err(problems) => {
            return Reply { problems, ..session.refuse(line, Problem::error("repl/refused", Span::default(), "")) };
        }
    };
    let after = judge(&session.book, &trial);
    let wording = crate::output::words::Wording { book: &session.book, job: &trial };
    let mut page = Page::new();
    page.line(0, format!("If {rest} (nothing is entered):"));
    for notice in notices {
        page.line(1, notice.text);
    }
    let changes = wording.changes(&session.judgement, &after);
    if changes.is_empty() {
        page.line(1, "no verdict would change");
    }
    page.page(1, &changes);
    for conflict in after.conflicts.iter().filter(|conflict| !session.judgement.conflicts.contains(conflict)) {
        page.page(1, &wording.conflict(conflict));
    }
    page.line(1, wording.outcome(&after));
    Reply::showing(page)
}

pub(super) fn how_sure(session: &mut Session, _: Asked<'_>) -> Reply {
    Reply::showing(session.wording().how_sure(&session.judgement))
}

pub(super) fn faults(session: &mut Session, _: Asked<'_>) -> Reply {
    Reply::showing(session.wording().judgement(&session.judgement))
}

pub(super) fn entries(session: &mut Session, _: Asked<'_>) -> Reply {
    let mut page = Page::new();
    let wording = session.wording();
    let live = session.job.live(session.job.epoch());
    for (place, entry) in session.job.entries.iter().enumerate() {
        let idle = crate::job::decides_nothing(&session.book, &entry);
        let history = if entry.epoch != session.job.epoch() {
            " (before the repair)"
        } else if entry.value != EntryValue::NotMeasured && live.binary_search(&EntryId::at(place)).is_err() {
            " (replaced by a later one)"
        } else if idle {
            " (decides nothing under this setup)"
        } else {
            ""
        };
        page.line(
            0,
            format!("{}. {}, {}{history}", place + 1, wording.entry(&entry), setup_words(&session.book, &entry.setup)),
        );
    }
    if session.job.entries.is_empty() {
        page.line(0, "nothing is entered yet");
    }
    page.line(0, format!("now: {}", setup_words(&session.book, &session.job.setup)));
    Reply::showing(page)
}

pub(super) fn plot(session: &mut Session, Asked { line, rest, at }: Asked<'_>) -> Reply {
    let wanted = session.book.find_indication(rest);
    let mut logged = session.job.entries.iter().rev().filter(|entry| entry.recording.is_some());
    let found = match (rest.is_empty(), wanted) {
        (true, _) => logged.next(),
        (false, Some(id)) => logged.find(|entry| entry.indication == id),
        (false, None) => None,
    };
    let Some(entry) = found else {
        let span = Span::new(Default::default(), 0, at + rest.len());
        let problem = Problem::error("repl/no-signal", span, "no recorded signal is entered under that name")
            .help("enter one first: `READING from \"ride.csv\" channel 2`");
        return session.refuse(line, problem);
    };
    Reply::showing(session.wording().signal(&entry, session.look))
}

pub(super) fn report(session: &mut Session, _: Asked<'_>) -> Reply {
    let course = course(&session.book, &session.job);
    let (book, job, header) = (&session.book, &session.job, session.header.as_ref());
    let report = Papers { book, job, header, course: &course, remarks: &[] }.report();
    Reply::showing(report_text(&report, Extent::FirstPage))
}

pub(super) fn help(_: &mut Session, _: Asked<'_>) -> Reply {
    let mut page = Page::new();
    page.line(0, "Enter:");
    for (usage, help) in SENTENCES {
        page.line(1, format!("{usage} — {help}"));
    }
    page.gap().line(0, "Ask:");
    for command in COMMANDS {
        page.line(1, format!("{} — {}", command.usage, command.help));
    }
    Reply::showing(page)
}

pub(super) fn quit(session: &mut Session, _: Asked<'_>) -> Reply {
    let mut page = session.farewell();
    if session.judgement.with(Verdict::Conflict).next().is_some() {
        page.line(0, "There is a conflict that is not settled.");
    }
    Reply { page, over: true, ..Reply::default() }
}

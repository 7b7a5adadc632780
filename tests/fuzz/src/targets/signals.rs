//! Logs: any bytes are read or refused, read twice they say the same, and what they say can be judged.

use std::io::{Cursor, Read};
use std::sync::{Arc, OnceLock};

use ruleout::book::Book;
use ruleout::job::{Job, LogSource, Logs};
use ruleout::reasoning::judge;
use ruleout::source::Sources;
use ruleout::syntax::parse_statement;

use super::shelf::{Shelf, well_placed};

/// One log in memory.
#[derive(Debug)]
struct One(Vec<u8>);

impl Logs for One {
    fn open(&self, _: &str) -> Result<Box<dyn Read>, String> {
        Ok(Box::new(Cursor::new(self.0.clone())))
    }
}

fn book() -> &'static Book {
    static BOOK: OnceLock<Book> = OnceLock::new();
    let text = include_str!("../../../corpus/points/16-signals.rulebook");
    BOOK.get_or_init(|| Shelf::of(text).load().map(|loaded| loaded.resolve(None).0).unwrap_or_default())
}

/// The first line ends the sentence that enters the log (`channel 2`, `with …`), the rest is the log.
pub(crate) fn run(data: &[u8]) {
    let end = data.iter().position(|byte| *byte == b'\n').unwrap_or(data.len());
    let (Some(tail), log) = (data.get(..end), data.get(end + 1..).unwrap_or(&[])) else { return };
    let Ok(tail) = std::str::from_utf8(tail) else { return };
    let line = format!("feed from \"log.csv\" {tail}");
    let mut sources = Sources::new();
    let source = sources.add("fuzz", line.clone());
    let statement = match parse_statement(source, 0, &line) {
        Ok(statement) => statement,
        Err(problem) => return well_placed(&[problem], &sources),
    };
    let enter = || {
        let mut job = Job::with_logs(book(), LogSource(Some(Arc::new(One(log.to_vec())))));
        let entered = job.enter(book(), statement.clone(), &line);
        (job, entered)
    };
    let ((job, entered), (again, _)) = (enter(), enter());
    match entered {
        Err(problems) => well_placed(&problems, &sources),
        Ok(_) => {
            assert!(judge(book(), &job) == judge(book(), &again), "the same log says something else");
        }
    }
}

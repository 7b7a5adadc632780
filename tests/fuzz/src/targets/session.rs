//! The REPL's sentences and questions, without its terminal: a sentence that was not acknowledged is not kept.

use std::cell::RefCell;
use std::rc::Rc;

use ruleout::job::Job;
use ruleout::output::clean::is_unsafe;
use ruleout::output::diagnostic::{Style, draw_all};
use ruleout::repl::{Keeper, Session};

use super::shelf::{choose, well_placed};

/// Remembers what it was given.
struct Memory(Rc<RefCell<Vec<String>>>);

impl Keeper for Memory {
    fn keep(&mut self, sentence: &str) -> Result<(), String> {
        if sentence.contains("refuse") {
            return Err("it was asked to".into());
        }
        self.0.borrow_mut().push(sentence.to_string());
        Ok(())
    }
}

/// Types line by line.
pub(crate) fn run(data: &[u8]) {
    let Some((book, text)) = choose(data) else { return };
    let kept = Rc::new(RefCell::new(Vec::new()));
    let mut session = Session::new(book.clone(), Job::new(book), None, Some(Box::new(Memory(kept.clone()))));
    for line in text.lines().take(12) {
        let _ = session.prompt();
        let before = session.job.clone();
        let reply = session.line(line);
        if reply.problems.iter().any(|problem| problem.code == "job/not-kept") {
            assert!(session.job == before, "what could not be kept left a trace: {line}");
        }
        well_placed(&reply.problems, &reply.sources);
        let shown = reply.page.render(80) + &draw_all(&reply.problems, &reply.sources, Style::default());
        assert!(!shown.chars().any(|c| is_unsafe(c) && c != '\n'), "{shown:?}");
        if reply.over {
            break;
        }
    }
    let entered: Vec<String> = session.job.lines.iter().map(|line| line.text.to_string()).collect();
    assert_eq!(entered, *kept.borrow());
}

//! Sentences into a job: one that is refused changes nothing, and a job played again is the same job.

use ruleout::job::Job;
use ruleout::source::Sources;
use ruleout::syntax::parse_statement;

use super::shelf::{choose, well_placed};

/// Enters line by line.
pub(crate) fn run(data: &[u8]) {
    let Some((book, text)) = choose(data) else { return };
    let mut sources = Sources::new();
    let source = sources.add("fuzz", text);
    let mut job = Job::new(book);
    let mut base = 0;
    for line in text.split_inclusive('\n') {
        let at = base + (line.len() - line.trim_start().len());
        base += line.len();
        match parse_statement(source, at, line.trim()) {
            Err(problem) => well_placed(&[problem], &sources),
            Ok(statement) => {
                let before = (job.lines.len(), job.entries.len(), job.meters.len(), job.setup.clone());
                if let Err(problems) = job.enter(book, statement, line.trim()) {
                    well_placed(&problems, &sources);
                    let after = (job.lines.len(), job.entries.len(), job.meters.len(), job.setup.clone());
                    assert!(!problems.is_empty() && before == after, "a refused sentence left a trace: {line}");
                }
            }
        }
    }
    let mut again = job.clone();
    assert_eq!(again.rebuild(book), [], "a job no longer fits its own book");
    assert!(again == job, "a job played again is another:\n{job:#?}\n{again:#?}");
}

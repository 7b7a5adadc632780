//! A job judged from sentence to sentence comes to the same as one judged from scratch, whatever is said: entries, setups,
//! what is taken back or restamped, repairs. And undoing a line comes to the same as playing all the others again.

use std::borrow::Cow;

use proptest::prelude::*;
use ruleout::book::Book;
use ruleout::job::{Entry, Job};
use ruleout::reasoning::{Recall, judge};
use ruleout::repl::{Keeper, Session};
use ruleout::syntax::parse_statement;

#[path = "support/random.rs"]
mod random;
use random::{book_text, entries, resolve};

/// Sentences of every kind that changes what counts; some can't be taken where they come.
fn sentences() -> impl Strategy<Value = Vec<String>> {
    let other = prop_oneof![
        Just("with hot"),
        Just("without hot"),
        Just("with swapped"),
        Just("without swapped"),
        Just("that was with hot"),
        Just("that was with swapped"),
        Just("that was without hot"),
        Just("take back"),
        Just("take back"),
        Just("repaired f0"),
        Just("repaired f2"),
        Just("complaint c0"),
        Just("r1 = not measured"),
        Just("r1 = OL"),
        Just("r0 = at most 5 V"),
        Just("can't reach r0"),
        Just("complaint \"it does not cool\""),
        Just("ambient 20 degC, 98 kPa absolute"),
        Just("meter V 1 % + 2 digits of 0.01 V"),
        Just("r0 = 5.0 V"),
    ];
    (entries(), prop::collection::vec((any::<prop::sample::Index>(), other), 0..10)).prop_map(|(mut lines, others)| {
        for (at, other) in others {
            lines.insert(at.index(lines.len() + 1), other.to_string());
        }
        lines
    })
}

fn say(book: &Book, job: &mut Job, line: &str) {
    let statement = parse_statement(Default::default(), 0, line).unwrap();
    // `take back` of nothing and the like are refused; the job is as before then.
    let _ = job.enter(book, statement, line);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn sentence_by_sentence_is_as_from_scratch(text in book_text(), lines in sentences()) {
        let book = resolve(&text);
        let (mut job, mut recall, mut entries) = (Job::new(&book), Recall::default(), Vec::new());
        for line in &lines {
            say(&book, &mut job, line);
            prop_assert_eq!(recall.judge(&book, &job), judge(&book, &job), "at `{}` of {:?}\n{}", line, lines, text);
            follow(&mut entries, &job);
            prop_assert!(job.entries.iter().eq(entries.iter().map(Cow::Borrowed)), "at `{}` of {:?}", line, lines);
            let mut again = job.clone();
            let misfits = again.rebuild(&book);
            prop_assert!(misfits.is_empty());
            prop_assert_eq!(&again, &job, "at `{}` of {:?}", line, lines);
        }
    }
}

/// The entries as they were made, each as a value; the job packs away those that no longer count.
fn follow(entries: &mut Vec<Entry>, job: &Job) {
    let (before, now) = (entries.len(), job.entries.len());
    entries.truncate(now);
    if let Some(last) = job.entries.last().filter(|_| now >= before) {
        entries.truncate(now - 1);
        entries.push(last.clone());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_withdrawn_line_was_never_entered(text in book_text(), lines in sentences()) {
        let book = resolve(&text);
        let mut job = Job::new(&book);
        for line in &lines {
            let before = job.clone();
            say(&book, &mut job, line);
            if line != "take back" && job.lines.len() > before.lines.len() {
                let after = job.clone();
                job.withdraw(&book);
                prop_assert_eq!(&job, &before, "at `{}` of {:?}", line, lines);
                job = after;
            }
        }
    }

    /// Back to the very start, past what was repaired and restamped, and as it stood before every line.
    #[test]
    fn taking_back_goes_all_the_way(text in book_text(), lines in sentences()) {
        let book = resolve(&text);
        let lines: Vec<&String> = lines.iter().filter(|line| *line != "take back").collect();
        let (mut job, mut stood) = (Job::new(&book), Vec::new());
        for line in lines {
            let before = job.clone();
            say(&book, &mut job, line);
            if job.lines.len() > before.lines.len() {
                stood.push(before);
            }
        }
        prop_assert_eq!(&job.before_each(&book, 0..stood.len()), &stood);
        while let Some(before) = stood.pop() {
            say(&book, &mut job, "take back");
            prop_assert!(job.entries == before.entries && job.setup == before.setup && job.repairs == before.repairs);
            prop_assert!(job.complaints == before.complaints && job.meters == before.meters && job.ambient == before.ambient);
            prop_assert_eq!(judge(&book, &job), judge(&book, &before));
        }
    }
}

#[test]
fn what_is_kept_for_one_book_says_nothing_of_another() {
    let head = "rulebook \"test\"\n  language 1\nreading r0\n  unit V\nfault f0\n  share 1\nfault f1\n  share 1\n";
    let one = resolve(&format!("{head}rule n0:\n  r0 below 5 V\n  implies f0\n"));
    let other = resolve(&format!("{head}rule n0:\n  r0 below 5 V\n  implies f1\n"));
    let (mut job, mut recall) = (Job::new(&one), Recall::default());
    say(&one, &mut job, "r0 = 4.0 V");
    let first = recall.judge(&one, &job);
    let second = recall.judge(&other, &job);
    assert_eq!(second, judge(&other, &job));
    assert_ne!(first, second);
}

/// A record on a disk that fills up after so many sentences.
struct Full(usize);

impl Keeper for Full {
    fn keep(&mut self, _: &str) -> Result<(), String> {
        self.0 = self.0.checked_sub(1).ok_or("the disk is full")?;
        Ok(())
    }
}

#[test]
fn what_could_not_be_kept_was_never_entered() {
    let book = resolve(
        "rulebook \"test\"\n  language 1\nreading r0\n  unit V\nstate hot\nfault f0\n  share 1\nrule n0:\n  r0 below 5 V\n  implies f0\n",
    );
    let before = ["r0 = 6.0 V", "r0 = 4.0 V", "with hot"];
    for refused in
        ["take back", "without hot", "r0 = 3.0 V", "repaired f0", "that was with hot", "ambient 98 kPa absolute"]
    {
        let mut session = Session::new(book.clone(), Job::new(&book), None, Some(Box::new(Full(before.len()))));
        before.iter().for_each(|line| assert!(session.line(line).problems.is_empty()));
        let job = session.job.clone();
        let reply = session.line(refused);
        assert!(reply.problems.iter().any(|problem| problem.code == "job/not-kept"), "{refused}");
        assert_eq!(session.job, job, "{refused}");
    }
}

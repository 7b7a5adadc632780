//! A job judged from sentence to sentence comes to the same as one judged from scratch, whatever is said: entries, setups,
//! what is taken back or restamped, repairs. And undoing a line comes to the same as playing all the others again.

use proptest::prelude::*;
use ruleout::book::Book;
use ruleout::job::Job;
use ruleout::reasoning::{Recall, judge};
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
        let (mut job, mut recall) = (Job::new(&book), Recall::default());
        for line in &lines {
            say(&book, &mut job, line);
            prop_assert_eq!(recall.judge(&book, &job), judge(&book, &job), "at `{}` of {:?}\n{}", line, lines, text);
            let mut again = job.clone();
            let misfits = again.rebuild(&book);
            prop_assert!(misfits.is_empty());
            prop_assert_eq!(&again, &job, "at `{}` of {:?}", line, lines);
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

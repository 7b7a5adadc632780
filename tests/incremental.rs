//! A job judged from sentence to sentence comes to the same as one judged from scratch, whatever is said: entries, setups,
//! what is taken back or restamped, repairs. And undoing a line comes to the same as playing all the others again.

use std::borrow::Cow;

use proptest::prelude::*;
use ruleout::book::Book;
use ruleout::job::{Entry, Job};
use ruleout::reasoning::{Recall, judge};
use ruleout::repl::{Keeper, Session};
use ruleout::source::SourceId;
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

/// Sentences of a very long day, always the same ones.
fn long_day(count: usize) -> Vec<String> {
    let mut dice = 20_261_130_u64;
    let mut below = move |sides: u64| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) % sides
    };
    let mut lines = Vec::new();
    while lines.len() < count {
        let line = match below(40) {
            0..16 => format!("r0 = {}.{:02} V", below(12), below(100)),
            16..24 => format!("r1 = {}.{} V ± 0.{} V", below(12), below(10), 1 + below(9)),
            24..26 => ["r1 = OL", "r1 = below 2 V", "r0 = 3.1 to 4.7 V", "r0 = not measured"][below(4) as usize].into(),
            26..31 => ["hums is yes", "hums is no", "hums is at times"][below(3) as usize].into(),
            31..36 => ["with hot", "without hot", "with swapped", "without swapped"][below(4) as usize].into(),
            36 => "that was with hot".into(),
            37 => "meter V 1 % + 2 digits of 0.01 V".into(),
            38 if below(8) == 0 => "repaired f0".into(),
            _ => {
                let times = if below(10) == 0 { 25 } else { 1 };
                lines.extend(std::iter::repeat_n("take back".to_string(), times));
                continue;
            }
        };
        lines.push(line);
    }
    lines
}

#[test]
fn a_long_job_replayed_is_the_same_job_and_is_taken_back_to_its_start() {
    let book = resolve(
        "rulebook \"test\"\n  language 1\nstate hot\nchange swapped\nreading r0\n  unit V\nreading r1\n  unit V\n  from 0 V to 20 V\n\
         observation hums\n  answers yes, no, at times\nfault f0\n  share 1\nfault f1\n  share 1\n\
         rule n0:\n  r0 below 5 V with hot\n  implies f0\nrule n1:\n  r1 above 3 V and hums is yes\n  rules out f1\n",
    );
    let (mut job, mut recall, mut entries) = (Job::new(&book), Recall::default(), Vec::new());
    for (number, line) in long_day(4_000).iter().enumerate() {
        say(&book, &mut job, line);
        follow(&mut entries, &job);
        if number % 300 == 0 {
            assert_eq!(recall.judge(&book, &job), judge(&book, &job), "after sentence {number}");
        }
    }
    assert!(job.entries.len() > 1_000 && job.live(job.epoch()).len() < 30);
    assert!(job.entries.iter().eq(entries.iter().map(Cow::Borrowed)));
    // As a record is read: each line at its place in the text, with its stamp.
    let (mut replayed, mut base) = (Job::new(&book), 100);
    for (number, line) in job.lines.iter().enumerate() {
        let statement = parse_statement(SourceId(1), base, line.text).unwrap();
        replayed.enter(&book, statement, line.text).unwrap();
        replayed.stamp_last(&format!("2026-11-30 10:{:02}:{:02} +01:00", number / 60 % 60, number % 60));
        base += line.text.len() + 1;
    }
    assert_eq!(replayed.entries, job.entries);
    assert_eq!((&replayed.setup, &replayed.repairs, &replayed.meters), (&job.setup, &job.repairs, &job.meters));
    assert_eq!(judge(&book, &replayed), judge(&book, &job));
    let texts = |job: &Job| job.lines.iter().map(|line| (line.text.to_string(), line.taken_back)).collect::<Vec<_>>();
    assert_eq!(texts(&replayed), texts(&job));
    let again = {
        let mut again = replayed.clone();
        again.rebuild(&book);
        again
    };
    assert!(again == replayed);
    let counting = |job: &Job| job.lines.iter().filter(|line| line.counts()).count();
    for left in (0..counting(&job)).rev() {
        say(&book, &mut job, "take back");
        if left % 500 == 0 {
            assert_eq!(counting(&job), left);
            assert_eq!(recall.judge(&book, &job), judge(&book, &job), "{left} lines left");
        }
    }
    assert!(job.entries.is_empty() && job.repairs.is_empty() && job.setup == Job::new(&book).setup);
}

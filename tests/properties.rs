//! Laws over random books and jobs: the order of entries doesn't matter, what is certain stays certain when a reading
//! is taken better, nothing that is typed makes the tool fall over, a record reads back what was written.

use std::path::Path;

use proptest::prelude::*;
use ruleout::book::{Book, load};
use ruleout::job::Job;
use ruleout::job::record::{self, Header};
use ruleout::reasoning::{Verdict, judge};
use ruleout::syntax::{parse_book, parse_statement};

#[path = "support/random.rs"]
mod random;
use random::{Text, book_text, entries, resolve};

fn played(book: &Book, lines: &[String]) -> Job {
    let mut job = Job::new(book);
    for line in lines {
        let statement = parse_statement(Default::default(), 0, line).unwrap();
        job.enter(book, statement, line).unwrap_or_else(|problems| panic!("{line}: {problems:?}"));
    }
    job
}

fn verdicts(book: &Book, job: &Job) -> Vec<(Verdict, u64)> {
    let rounded = |weight: f64| (weight * 1e9).round() as u64;
    judge(book, job).verdicts.iter().map(|v| (v.verdict, rounded(v.weight))).collect()
}

/// What is advised where nothing quarrels: each test with its setup, its gain and what its answers rule out.
fn advised(book: &Book, lines: &[String]) -> Vec<(usize, String, u64, Vec<Vec<usize>>)> {
    let job = played(book, lines);
    let judgement = judge(book, &job);
    if !judgement.conflicts.is_empty() {
        return Vec::new();
    }
    // From one place, for the way to a test hangs on where the last entry left the vehicle.
    let mut job = job;
    job.setup = Job::new(book).setup;
    let all = ruleout::advice::advise(book, &job, &judgement, 50).steps.into_iter();
    let out = |answer: &ruleout::advice::AnswerOutcome| answer.rules_out.iter().map(|id| id.place()).collect();
    let mut all: Vec<_> = all
        .map(|step| {
            let gain = (step.gain_bits * 1e6).round() as u64;
            (step.indication.place(), format!("{:?}", step.setup), gain, step.answers.iter().map(out).collect())
        })
        .collect();
    // Of two that are worth the same to the last digit, either may come first.
    all.sort();
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_line_of_a_job_says_what_was_entered(text in book_text(), lines in entries(), base in 0..9usize) {
        let book = resolve(&text);
        let mut job = Job::new(&book);
        let noted: Vec<String> = lines.iter().map(|line| format!("{line}  # hot")).collect();
        for line in lines.iter().chain(&noted) {
            let statement = parse_statement(Default::default(), base, line).unwrap();
            job.enter(&book, statement.clone(), line).unwrap();
            let last = job.lines.iter().next_back().expect("it was entered");
            let said = last.statement();
            prop_assert_eq!(said.as_deref(), Some(&statement));
        }
    }

    #[test]
    fn the_order_of_entries_does_not_matter(text in book_text(), lines in entries(), turn in 0..7usize) {
        let book = resolve(&text);
        let first = verdicts(&book, &played(&book, &lines));
        let mut turned = lines.clone();
        turned.rotate_left(turn % lines.len());
        let (second, outcome) = { let job = played(&book, &turned); (verdicts(&book, &job), judge(&book, &job).outcome) };
        let of = |all: &[(Verdict, u64)]| all.iter().map(|(verdict, _)| *verdict).collect::<Vec<_>>();
        prop_assert_eq!(of(&first), of(&second), "{}\n{:?}", text, lines);
        prop_assert_eq!(judge(&book, &played(&book, &lines)).outcome, outcome);
        turned.reverse();
        prop_assert_eq!(of(&first), of(&verdicts(&book, &played(&book, &turned))), "{}\n{:?}", text, lines);
    }

    #[test]
    fn the_order_of_entries_does_not_matter_to_advice(text in book_text(), lines in entries(), turn in 0..7usize) {
        let book = resolve(&text);
        let mut turned = lines.clone();
        turned.rotate_left(turn % lines.len());
        turned.swap(0, lines.len() / 2);
        let (before, after) = (advised(&book, &lines), advised(&book, &turned));
        prop_assert_eq!(before, after, "{}\n{:?}\n{:?}", text, lines, turned);
    }

    #[test]
    fn an_entry_never_revives_what_the_entries_before_rule_out(text in book_text(), lines in entries()) {
        let book = resolve(&text);
        let mut out: Vec<bool> = vec![false; book.faults.len()];
        for upto in 0..=lines.len() {
            let judgement = judge(&book, &played(&book, &lines[..upto]));
            for (verdict, out) in judgement.verdicts.iter().zip(&out) {
                // Proved after all it is a conflict; never open again.
                let stays = matches!(verdict.verdict, Verdict::RuledOut | Verdict::Conflict);
                prop_assert!(!out || stays, "{}\n{:?}", text, &lines[..upto]);
            }
            // What a proof eliminates comes back if the proof is contested: an assumption, not evidence.
            let assumed = judgement.verdicts.iter().any(|v| matches!(v.verdict, Verdict::Proved | Verdict::Conflict));
            if !assumed {
                out = judgement.verdicts.iter().map(|v| v.verdict == Verdict::RuledOut).collect();
            }
        }
    }

    #[test]
    fn a_judgement_is_the_same_every_time(text in book_text(), lines in entries()) {
        let book = resolve(&text);
        let job = played(&book, &lines);
        prop_assert_eq!(judge(&book, &job), judge(&book, &job));
    }

    #[test]
    fn what_is_certain_stays_so_when_the_readings_are_taken_better(text in book_text(), lines in entries()) {
        let book = resolve(&text);
        let better: Vec<String> = lines.iter().map(|line| line.replace("± 0.", "± 0.0")).collect();
        let (rough, fine) = (played(&book, &lines), played(&book, &better));
        let facts = |job| ruleout::reasoning::Facts::of(&book, job, 0, |_| true);
        let (rough, fine) = (facts(&rough), facts(&fine));
        for (which, condition) in book.conditions() {
            for want in [true, false] {
                let before = ruleout::reasoning::choice::is_decided(&rough, condition, want);
                let after = ruleout::reasoning::choice::is_decided(&fine, condition, want);
                prop_assert!(!before || after, "{:?} {}\n{}\n{:?}", which, want, text, lines);
            }
        }
    }

    #[test]
    fn a_line_that_is_taken_back_leaves_no_trace_in_the_verdicts(text in book_text(), lines in entries(), more in entries()) {
        let book = resolve(&text);
        let plain = verdicts(&book, &played(&book, &lines));
        let mut all = lines.clone();
        for line in &more {
            all.push(line.clone());
        }
        all.extend(more.iter().map(|_| "take back".to_string()));
        prop_assert_eq!(plain, verdicts(&book, &played(&book, &all)), "{}\n{:?}\n{:?}", text, lines, more);
    }

    #[test]
    fn no_text_makes_the_reader_fall_over(text in "[a-z \"#()=<>:,.±0-9\n\t`-]{0,300}") {
        let _ = parse_book(Default::default(), &text);
        let _ = parse_statement(Default::default(), 0, &text);
        let loaded = load(&Text(text), Path::new("random.rulebook")).unwrap();
        let _ = loaded.resolve(None);
    }

    #[test]
    fn a_book_with_a_hole_is_read_without_falling_over(text in book_text(), at in 0..2000usize, length in 1..40usize) {
        let start = (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        let end = (start + length..=text.len()).find(|i| text.is_char_boundary(*i)).unwrap_or(text.len());
        let torn = format!("{}{}", &text[..start], &text[end.max(start)..]);
        let (book, _) = load(&Text(torn), Path::new("random.rulebook")).unwrap().resolve(None);
        let _ = judge(&book, &Job::new(&book));
    }

    #[test]
    fn a_record_reads_back_what_was_written(lines in prop::collection::vec("[ -~]{1,60}", 0..8), cut in 0..400usize) {
        let header = Header { book: "b.rulebook".into(), digest: "00".into(), ..Header::default() };
        let mut text = header.render();
        let mut chain = header.chain();
        for line in &lines {
            let (stamped, next) = record::line(&chain, "2026-11-25 10:00:00 +01:00", line);
            text.push_str(&stamped);
            chain = next;
        }
        let read = record::read(&text).unwrap();
        prop_assert_eq!(read.lines.iter().map(|l| l.text.clone()).collect::<Vec<_>>(), lines.clone());
        prop_assert!(read.broken.is_empty() && read.torn.is_none());
        let short = &text[..text.len() - cut.min(text.len() - header.render().len())];
        let read = record::read(short).unwrap();
        prop_assert!(read.broken.is_empty(), "{:?}", read);
        prop_assert!(read.lines.iter().zip(&lines).all(|(a, b)| a.text == *b));
    }
}

//! What shows only sometimes, under a state that provokes it: tries count each by itself, not seeing it lowers the odds and
//! rules nothing out, advice says how often to try again. Weights are reckoned by hand from the rule: a fault that says
//! nothing of it shows it 1 in 10 at most, and at most half as often as the least that any fault claims.

#[path = "support/logs.rs"]
mod logs;
#[path = "support/mod.rs"]
mod support;

use ruleout::advice::advise;
use ruleout::book::Book;
use ruleout::job::{Job, LogSource};
use ruleout::reasoning::{Verdict, judge};
use support::{book, close, enter, fault, judged, weight};

const BOOK: &str = "\
uncovered share 1
state shaken
  provokes
state hot
observation fan cuts out
  answers yes, no
fault chafed ground
  shows fan cuts out is yes in 3 of 10 with shaken
fault worn brush
fault burnt fuse
";

/// `with` stands before `in m of n`.
fn shaken() -> Book {
    let text = BOOK.replace("is yes in 3 of 10 with shaken", "is yes with shaken in 3 of 10");
    book(&text.replace("uncovered share 1\n", "  uncovered share 1\n"))
}

#[test]
fn one_try_without_it_lowers_the_odds_and_rules_nothing_out() {
    let book = shaken();
    let (_, judgement) = judged(&book, "with shaken\nfan cuts out is no");
    let chafed = judgement.of(fault(&book, "chafed ground")).unwrap();
    assert_eq!(chafed.verdict, Verdict::Open);
    // 0.7 for the one that shows it in 3 of 10; 0.9 for two others and what the book doesn't cover.
    close(weight(&book, &judgement, &["chafed ground"]), 0.7 / (0.7 + 3.0 * 0.9));
    close(weight(&book, &judgement, &["worn brush"]), 0.9 / (0.7 + 3.0 * 0.9));
    close(weight(&book, &judgement, &[]), 0.9 / (0.7 + 3.0 * 0.9));
}

#[test]
fn seeing_it_once_raises_the_odds() {
    let (book, lines) = (shaken(), "with shaken\nfan cuts out is yes");
    let (_, judgement) = judged(&book, lines);
    close(weight(&book, &judgement, &["chafed ground"]), 0.3 / (0.3 + 3.0 * 0.1));
}

#[test]
fn tries_count_each_by_itself_however_they_are_entered() {
    let book = shaken();
    let by_hand = 0.7f64.powi(5) / (0.7f64.powi(5) + 3.0 * 0.9f64.powi(5));
    let entered = [
        "with shaken\nfan cuts out is no, 5 times".to_string(),
        "fan cuts out is no with shaken, 5 times".to_string(),
        format!("with shaken\n{}", "fan cuts out is no\n".repeat(5)),
        "with shaken\nfan cuts out is no, 2 times\nfan cuts out is no 3 times".to_string(),
    ];
    for lines in entered {
        let (_, judgement) = judged(&book, &lines);
        close(weight(&book, &judgement, &["chafed ground"]), by_hand);
    }
    let (_, mixed) = judged(&book, "with shaken\nfan cuts out is no, 4 times\nfan cuts out is yes");
    let likelihood = |no: f64, yes: f64| no.powi(4) * yes;
    close(
        weight(&book, &mixed, &["chafed ground"]),
        likelihood(0.7, 0.3) / (likelihood(0.7, 0.3) + 3.0 * likelihood(0.9, 0.1)),
    );
}

#[test]
fn elsewhere_a_later_entry_still_replaces_the_earlier() {
    let book = shaken();
    let (job, judgement) = judged(&book, "fan cuts out is no\nfan cuts out is no\nwith hot\nfan cuts out is no");
    assert_eq!(job.live(0).len(), 2);
    // Nothing is provoked, so nothing is said: the shares are as they were.
    close(weight(&book, &judgement, &["chafed ground"]), 0.25);
}

#[test]
fn a_try_is_taken_back_like_any_entry() {
    let book = shaken();
    let (job, judgement) = judged(&book, "with shaken\nfan cuts out is no\nfan cuts out is yes\ntake back");
    assert_eq!(job.live(0).len(), 1);
    close(weight(&book, &judgement, &["chafed ground"]), 0.7 / (0.7 + 3.0 * 0.9));
}

#[test]
fn what_a_fault_always_shows_is_ruled_out_by_one_try() {
    let book = book(
        &BOOK
            .replace("  shows fan cuts out is yes in 3 of 10 with shaken", "  shows fan cuts out is yes with shaken")
            .replace("uncovered share 1\n", ""),
    );
    let (_, judgement) = judged(&book, "with shaken\nfan cuts out is no");
    assert_eq!(judgement.of(fault(&book, "chafed ground")).unwrap().verdict, Verdict::RuledOut);
}

#[test]
fn every_further_try_without_it_lowers_the_fault_whatever_it_claims() {
    for claimed in 1..10 {
        let text = BOOK.replace("is yes in 3 of 10 with shaken", &format!("is yes with shaken in {claimed} of 10"));
        let book = book(&text.replace("uncovered share 1\n", ""));
        let mut before = f64::INFINITY;
        for tries in 1..12 {
            let (_, judgement) = judged(&book, &format!("with shaken\nfan cuts out is no, {tries} times"));
            let now = weight(&book, &judgement, &["chafed ground"]);
            assert!(now < before, "{claimed} of 10, {tries} tries: {now}, before {before}");
            before = now;
        }
    }
}

#[test]
fn advice_says_how_often_to_try_again() {
    let book = shaken();
    let (job, judgement) = judged(&book, "with shaken\nfan cuts out is no, 2 times");
    let advice = advise(&book, &job, &judgement, 1);
    let step = advice.steps.first().expect("the try is advised again");
    let repeat = step.repeat.as_ref().unwrap();
    assert_eq!((repeat.so_far, book.fault(repeat.fault).name.as_str()), (2, "chafed ground"));
    // By hand: w(n) = 0.7^n / (0.7^n + 3 · 0.9^n).
    let left = |tries: i32| 0.7f64.powi(tries) / (0.7f64.powi(tries) + 3.0 * 0.9f64.powi(tries));
    let by_hand = |wanted: f64| (1..).find(|more| left(2 + more) <= wanted).unwrap();
    let expected: Vec<(u32, f64)> =
        [0.1, 0.01].map(|wanted| (u32::try_from(by_hand(wanted)).unwrap(), wanted)).to_vec();
    assert_eq!(repeat.more, expected);
    // And so it comes out.
    let (tries, wanted) = expected[0];
    let (_, after) = judged(&book, &format!("with shaken\nfan cuts out is no, {} times", 2 + tries));
    assert!(weight(&book, &after, &["chafed ground"]) <= wanted);
    let (_, short) = judged(&book, &format!("with shaken\nfan cuts out is no, {} times", 1 + tries));
    assert!(weight(&book, &short, &["chafed ground"]) > wanted);
}

const LOGGED: &str = "\
state shaken
  provokes
reading feed
  unit V
  from 0 V to 16 V
  takes 5 min
fault chafed ground
  shows feed below 10 V for at least 20 ms with shaken in 3 of 10
fault worn brush
fault burnt fuse
rule seen: feed below 10 V for at least 50 ms with shaken implies chafed ground
";

fn logs() -> LogSource {
    logs::logs_of(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/points/16-signals"))
}

#[test]
fn a_log_without_it_is_a_try_too() {
    let book = book(LOGGED);
    let mut job = Job::with_logs(&book, logs());
    enter(&book, &mut job, "with shaken\nfeed from \"steady.csv\", 2 times");
    let judgement = judge(&book, &job);
    assert_eq!(judgement.of(fault(&book, "chafed ground")).unwrap().verdict, Verdict::Open);
    // Uncovered counts 5 of the 8 shares.
    let (claimed, silent) = (0.7f64.powi(2), 0.9f64.powi(2));
    close(weight(&book, &judgement, &["chafed ground"]), claimed / (claimed + 7.0 * silent));
    // A third log beside them is a third try, not a correction.
    enter(&book, &mut job, "feed from \"steady.csv\"");
    assert_eq!(job.live(0).len(), 2);
    let (claimed, silent) = (0.7f64.powi(3), 0.9f64.powi(3));
    close(weight(&book, &judge(&book, &job), &["chafed ground"]), claimed / (claimed + 7.0 * silent));
    enter(&book, &mut job, "feed from \"one-dropout.csv\"");
    assert_eq!(judge(&book, &job).of(fault(&book, "chafed ground")).unwrap().verdict, Verdict::Proved);
}

#[test]
fn a_log_to_take_is_advised_with_both_answers() {
    let book = book(LOGGED);
    let job = Job::with_logs(&book, logs());
    let judgement = judge(&book, &job);
    let advice = advise(&book, &job, &judgement, 1);
    let step = advice.steps.first().expect("the log is advised");
    assert_eq!(step.answers.len(), 2, "{step:?}");
    let proving: Vec<f64> = step.answers.iter().filter(|a| !a.proves.is_empty()).map(|a| a.probability).collect();
    assert_eq!(proving.len(), 1);
    // Only the chafed ground can show it: the rule leaves no room for another.
    assert!(proving[0] > 0.0 && proving[0] < 0.5, "{proving:?}");
    assert!(step.repeat.is_some());
}

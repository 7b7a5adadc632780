//! Messages about books: "Every error must say what to type instead", "several errors in one run each at the right word",
//! names in backticks, misspelt reserved words. Sources: the language's own page, "Whom it is for", "Words and names",
//! "Conditions" and its last line.

use super::bench::{Bench, Ran};

const HEAD: &str = "state ignition on\nchange relay swapped\nstate speed\n  one of off, low, high\nreading feed\n  unit V\nobservation lamp lit\n  answers yes, no\nfault f\nfault g\n";

fn rule(sentence: &str) -> Ran {
    Bench::with(&format!("{HEAD}rule r: {sentence}\n")).refused()
}

/// The one error of a sentence: its words, and the word that is marked (line 13 of the file).
fn gives(sentence: &str, marked: &str, words: &[&str]) {
    let ran = rule(sentence);
    assert!(ran.says(words), "`{sentence}`: expected {words:?} in {}", ran.err);
    assert!(ran.says(&["1 error"]), "`{sentence}`: one error, found {}", ran.err);
    let column = "rule r: ".len() + sentence.find(marked).unwrap() + 1;
    assert!(
        ran.says(&[&format!("book.rulebook:13:{column}")]),
        "`{sentence}`: expected {marked} marked in {}",
        ran.err
    );
}

#[test]
fn a_misspelt_reserved_word_is_recognised() {
    for (typed, meant) in [("bellow", "below"), ("belwo", "below"), ("abov", "above"), ("abbove", "above")] {
        gives(&format!("feed {typed} 11.5 V implies f"), typed, &[&format!("`{typed}`"), &format!("`{meant}`")]);
    }
    gives("feed betwen 1 V and 2 V implies f", "betwen", &["`betwen`", "`between`"]);
    gives("feed outsid 1 V to 2 V implies f", "outsid", &["`outsid`", "`outside`"]);
    gives("feed below 11.5 V implys f", "implys", &["`implies`"]);
    gives("feed below 11.5 V sugests f 5 to 1", "sugests", &["`suggests`"]);
    gives("feed below 11.5 V withuot ignition on implies f", "withuot", &["`without`"]);
}

#[test]
fn a_misspelt_half_of_two_reserved_words_is_recognised() {
    gives("feed below 11.5 V speeks against f 5 to 1", "speeks", &["speaks against"]);
    gives("feed at leest 11.5 V implies f", "leest", &["at least"]);
    gives("feed in tolerence implies f", "tolerence", &["in tolerance"]);
    gives("feed below 11.5 V rule out f", "rule", &["rules out"]);
}

#[test]
fn signs_of_programmers_get_the_words() {
    gives("feed < 11.5 V implies f", "<", &["`below`"]);
    gives("feed > 11.5 V implies f", ">", &["`above`"]);
    gives("feed <= 11.5 V implies f", "<=", &["`at most`"]);
    gives("feed >= 11.5 V implies f", ">=", &["`at least`"]);
    gives("lamp lit = yes implies f", "=", &["`is`"]);
    gives("lamp lit == yes implies f", "==", &["`is`"]);
    gives("lamp lit != yes implies f", "!=", &["`is not`"]);
    gives("lamp lit && lamp lit implies f", "&&", &["`and`"]);
}

#[test]
fn a_bare_state_is_no_condition() {
    // "A bare state or change is no condition: the error says to write it as the `with` of a reading."
    gives("ignition on implies f", "ignition on", &["`ignition on`", "with ignition on"]);
    gives("feed below 5 V and ignition on implies f", "ignition on", &["with ignition on"]);
    gives("speed is high implies f", "speed", &["with speed is high"]);
    gives("not relay swapped implies f", "relay swapped", &["with"]);
}

#[test]
fn a_bare_state_with_values_lists_them() {
    // "`s is high` for a state with values; bare `with s` is then an error that lists them"
    gives("feed below 5 V with speed implies f", "speed", &["`off`", "`low`", "`high`"]);
}

#[test]
fn units_are_wrong_at_the_unit_with_the_fix() {
    // "comparing V with ohm is an error at the unit, with the fix"
    gives("feed below 5 ohm implies f", "ohm", &["voltage", "resistance", "`V`"]);
    gives("feed below 5 implies f", "5", &["no unit", "`V`"]);
    gives("feed below 5 v implies f", "v", &["`v`", "`V`"]);
    gives("feed below 5 Volts implies f", "Volts", &["`Volts`", "`V`"]);
    gives("feed below 11,5 V implies f", "11,5", &["`11.5`"]);
}

#[test]
fn a_reserved_word_in_a_name_asks_for_backticks() {
    // "A name used in sentences, an answer or a band that needs one stands in backticks; the error for it says so"
    for text in [
        "fault open or shorted\n",
        "reading feed with load\n  unit V\n",
        "observation runs and stops\n  answers yes, no\n",
        "observation x\n  answers yes, not at all\n",
        "state above idle\n",
        "limit below this = 3 V\n",
        "finding is dead means lamp lit\n",
        "reading x\n  unit V\n  bands not much below 3 V, much above 3 V\n",
    ] {
        let ran = Bench::with(&format!("{HEAD}{text}")).refused();
        assert!(ran.says(&["backticks"]), "{text}: {ran:?}");
    }
    for sentence in
        ["lamp lit implies open or shorted", "lamp lit rules out runs and stops", "lamp lit is not at all implies f"]
    {
        let ran = rule(sentence);
        assert!(ran.says(&["`"]), "{sentence}: {ran:?}");
    }
}

#[test]
fn a_name_in_backticks_may_hold_any_word() {
    let bench = Bench::with(
        "observation `runs and stops`\n  answers `not at all`, yes\nfault `open or shorted`\nfault g\n\
                             rule r: `runs and stops` is `not at all` rules out `open or shorted`\n",
    );
    let answer = bench.answer("`runs and stops` is `not at all`\n");
    assert_eq!(super::bench::verdict(&answer, "open or shorted"), "ruled_out");
}

#[test]
fn several_errors_in_one_run_each_at_its_word() {
    let ran = Bench::with(
        "reading feed\n  unit Vv\nobservation lamp lit\n  answer yes, no\nfault f\nrule a: lamp lid is yes implies f\n\
         rule b: lamp lit is yes implies ff\nrule c: lamp lit is yess implies f\n",
    )
    .refused();
    for place in
        ["book.rulebook:4:8", "book.rulebook:6:3", "book.rulebook:8:9", "book.rulebook:9:33", "book.rulebook:10:21"]
    {
        assert!(ran.says(&[place]), "{place}: {}", ran.err);
    }
    assert!(ran.says(&["5 errors"]), "each once, and none that follows from another: {}", ran.err);
}

#[test]
fn what_a_rule_can_not_conclude() {
    // "`implies A, B` is an error while k is smaller than their number; `implies a finding` is an error."
    gives("lamp lit implies f, g", "implies", &["at most 2 faults at once", "or"]);
    let finding =
        Bench::with(&format!("{HEAD}rule r: lamp lit implies dead\nfinding dead means feed below 1 V\n")).refused();
    assert!(finding.says(&["`dead`", "finding", "13:26"]), "{finding:?}");
    gives("lamp lit implies h", "h", &["`h`", "fault"]);
    gives("lamp lit implies feed", "feed", &["`feed`", "fault"]);
}

#[test]
fn messages_keep_their_form() {
    // House rule of the project: lower case, no full stop, user names in backticks.
    let ran = rule("feed bellow 5 V implies f");
    let message = ran.err.lines().find(|line| line.contains('×')).unwrap().replace('×', "");
    let message = message.trim();
    assert!(message.starts_with(|c: char| c.is_lowercase() || c == '`') && !message.ends_with('.'), "{message}");
}

#[test]
fn labels() {
    // "A label ends at the first `:`; two rules with one label are an error."
    let twice = Bench::with(&format!("{HEAD}rule a: lamp lit implies f\nrule A : lamp lit rules out g\n")).refused();
    assert!(twice.says(&["book/name-twice", "book.rulebook:14:6"]), "{twice:?}");
    let none = Bench::with(&format!("{HEAD}rule a\n  lamp lit implies f\n")).refused();
    assert!(none.says(&["colon"]), "{none:?}");
}

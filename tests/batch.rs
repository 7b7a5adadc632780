//! Many jobs at once come to the same as each by itself, over random books and layouts, and over the books of this repository.

use std::path::Path;

use proptest::prelude::*;
use ruleout::batch::{Given, Layout, Way};
use ruleout::book::{Book, FaultId, load};
use ruleout::reasoning::{Verdict, judge};

#[path = "support/random.rs"]
mod random;
use random::{book_text, resolve};

/// Readings under setups, as headings.
fn headings() -> impl Strategy<Value = Vec<String>> {
    let one = (prop_oneof![Just("r0"), Just("r1"), Just("r2"), Just("o0")], random::setups());
    prop::collection::vec(one, 1..7).prop_map(|all| {
        let mut headings: Vec<String> = all.into_iter().map(|(name, setup)| format!("{name}{setup}")).collect();
        headings.sort();
        headings.dedup();
        headings
    })
}

/// What may stand under a reading or an observation, numbers that meet limits included; or nothing.
fn said(heading: &str) -> BoxedStrategy<String> {
    if heading.starts_with('o') {
        return prop_oneof![Just(""), Just("yes"), Just("no"), Just("Dim")].prop_map(String::from).boxed();
    }
    prop_oneof![
        1 => Just(String::new()),
        4 => (0..100u8).prop_map(|x| format!("{}.{}", x / 10, x % 10)),
        3 => (0..10u8).prop_map(|x| format!("{x}.00 V")),
        1 => (0..10u8).prop_map(|x| format!("{x} V ± 0.5 V")),
        1 => (0..10u8).prop_map(|x| format!("{x} V ± 0 V")),
        1 => (0..10u8).prop_map(|x| format!("below {x} V")),
        1 => (0..10u8).prop_map(|x| format!("at least {x} V")),
        1 => (0..10u8, 0..5u8).prop_map(|(x, w)| format!("{x} to {} V", x + w)),
        1 => Just("not measured".to_string()),
        1 => Just("-1.5".to_string()),
        1 => Just("0.3333333333333 V".to_string()),
    ]
    .boxed()
}

fn rows(headings: Vec<String>) -> impl Strategy<Value = (Vec<String>, Vec<Vec<String>>)> {
    let row: Vec<_> = headings.iter().map(|heading| said(heading)).collect();
    (Just(headings), prop::collection::vec(row, 1..8))
}

/// What the ordinary judge says of a job, in the words of a batch.
fn ordinary(book: &Book, layout: &Layout, given: &Given<'_>) -> (String, [Vec<FaultId>; 3]) {
    let job = layout.job(book, given).unwrap();
    let judgement = judge(book, &job);
    let with = |verdict| judgement.with(verdict).collect::<Vec<_>>();
    let open = if with(Verdict::OnlyOneLeft).is_empty() { with(Verdict::Open) } else { with(Verdict::OnlyOneLeft) };
    (format!("{:?}", judgement.outcome), [with(Verdict::Proved), with(Verdict::Conflict), open])
}

/// Compares; how many jobs were flat.
fn compare(book: &Book, layout: &Layout, rows: &[Vec<String>], complaint: &str) -> usize {
    let mut flat = 0;
    for row in rows {
        let given = Given { said: row.iter().map(String::as_str).collect(), complaint };
        let found = layout.judge(book, &given).unwrap_or_else(|bad| panic!("{row:?}: {bad:?}"));
        let standing = &found.standing;
        let lists = [standing.proved().collect(), standing.conflict().collect(), standing.open().collect()];
        let expected = ordinary(book, layout, &given);
        assert_eq!((format!("{:?}", standing.outcome), lists), expected, "{row:?} {complaint} {:?}", found.way);
        flat += usize::from(found.way == Way::Flat);
    }
    flat
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn many_at_once_come_to_the_same_as_one_by_one(
        text in book_text(),
        (headings, rows) in headings().prop_flat_map(rows),
        complaint in prop_oneof![Just(""), Just("c0")],
        base in prop_oneof![Just(""), Just("hot"), Just("with swapped")],
    ) {
        let book = resolve(&text.replace("at most 2 faults", "at most 1 faults"));
        let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
        let layout = Layout::new(&book, base, &headings).unwrap();
        compare(&book, &layout, &rows, complaint);
    }
}

fn shipped(name: &str) -> Book {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks").join(name);
    let disk = ruleout::cli::Disk::of(&path, &ruleout::cli::ReadingArgs::default());
    load(&disk, &path).unwrap().resolve(None).0
}

/// `SplitMix64` (Steele, Lea & Flood 2014).
fn dice(state: &mut u64, sides: usize) -> usize {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let once = (*state ^ (*state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    usize::try_from((twice ^ (twice >> 31)) % sides as u64).unwrap()
}

/// Rows over a layout: each column is filled in two of three jobs, with an answer, or a number within its range.
fn random_rows(book: &Book, layout: &Layout, count: usize) -> Vec<Vec<String>> {
    let mut state = 17;
    (0..count)
        .map(|_| {
            let cell = |column: &ruleout::batch::Column| {
                if dice(&mut state, 3) == 0 {
                    return String::new();
                }
                let indication = book.indication(column.indication);
                if let Some(observation) = indication.observation() {
                    return observation.answers[dice(&mut state, observation.answers.len())].clone();
                }
                let reading = indication.reading().unwrap();
                let unit = reading.unit.unwrap();
                let most = reading
                    .range
                    .as_ref()
                    .and_then(|(_, high)| high.value())
                    .map_or(30.0, |high| unit.from_base(high).to_f64());
                let at = most * dice(&mut state, 1000) as f64 / 1000.0;
                format!("{at:.*}", dice(&mut state, 3))
            };
            layout.columns.iter().map(cell).collect()
        })
        .collect()
}

#[test]
fn jobs_on_the_shipped_books_come_to_the_same() {
    let fans = [
        "battery voltage",
        "supply at roof box",
        "supply at relay socket",
        "relay output",
        "supply at fan connector",
        "supply at fan connector with relay swapped",
        "fan runs",
        "fan runs with relay swapped",
        "second fan runs",
        "fuse element",
        "plug drop",
        "fan current",
        "relay contact drop",
        "fan ground drop",
        "coil supply",
    ];
    let book = shipped("roof-unit-fans.rulebook").without_circuits();
    let layout = Layout::new(&book, "cooling demanded", &fans).unwrap();
    assert_eq!(layout.why_one_by_one(), None);
    let rows = random_rows(&book, &layout, 300);
    let flat = compare(&book, &layout, &rows, "") + compare(&book, &layout, &rows, "one condenser fan does not run");
    assert!(flat > 450, "{flat} of 600 jobs were flat");
    let book = shipped("battery.rulebook");
    let names: Vec<String> = book
        .indications
        .iter()
        .filter(|i| i.reading().is_none_or(|r| r.computed.is_none()))
        .map(|i| i.name.clone())
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let layout = Layout::new(&book, "", &names).unwrap();
    compare(&book, &layout, &random_rows(&book, &layout, 200), "");
}

/// Rows as random ones, but the columns that feed batteries hold one of a few voltages, entered in every way.
fn rows_on_few_supplies(book: &Book, layout: &Layout, supplies: &[&str], count: usize) -> Vec<Vec<String>> {
    let mut state = 23;
    let mut rows = random_rows(book, layout, count);
    let fed = |column: &ruleout::batch::Column| column.name == "battery voltage";
    for row in &mut rows {
        for (cell, _) in row.iter_mut().zip(&layout.columns).filter(|(_, column)| fed(column)) {
            *cell = supplies[dice(&mut state, supplies.len())].to_string();
        }
    }
    rows
}

/// Every reading that a circuit of the book foretells, as headings that stand under the setup where they can be taken.
fn foretold(book: &Book, setup: &str) -> Vec<String> {
    let probes = book.circuits.iter().flat_map(|circuit| &circuit.probes);
    let mut names: Vec<String> = probes.map(|probe| book.indication(probe.reading).name.clone()).collect();
    names.sort();
    names.dedup();
    names.retain(|name| Layout::new(book, setup, &[name]).is_ok());
    names
}

#[test]
fn jobs_on_books_with_circuits_come_to_the_same() {
    let (mut flat, mut by_circuit, mut judged) = (0, 0, 0);
    for (name, setup, supplies) in [
        ("roof-unit-fans.rulebook", "cooling demanded", &["24.9", "at least 11.8 V"][..]),
        ("radiator-fans.rulebook", "air conditioning demanded", &["12.7"]),
        ("cabin-blower.rulebook", "blower position is high", &["", "12.6"]),
        ("compressor-clutch.rulebook", "cooling demanded", &["12.1"]),
    ] {
        let book = shipped(name);
        let mut headings = foretold(&book, setup);
        headings.extend(
            headings.first().filter(|_| name.starts_with("roof")).map(|first| format!("{first} with relay swapped")),
        );
        // What feeds the battery, and every third of the others: each costs all faults anew.
        let feeds = |name: &str| name == "battery voltage";
        let some = headings.iter().enumerate().filter(|(place, name)| place % 3 == 0 || feeds(name));
        let headings: Vec<&str> = some.map(|(_, name)| name.as_str()).collect();
        let layout = Layout::new(&book, setup, &headings).unwrap();
        assert_eq!(layout.why_one_by_one(), None, "{name}");
        let rows = rows_on_few_supplies(&book, &layout, supplies, 8);
        flat += compare(&book, &layout, &rows, "");
        judged += rows.len();
        // The same rows by rules alone, to see that circuits had a say.
        let bare = shipped(name).without_circuits();
        let plain = Layout::new(&bare, setup, &headings).unwrap();
        for row in &rows {
            let given = Given { said: row.iter().map(String::as_str).collect(), complaint: "" };
            let with = layout.judge(&book, &given).unwrap().standing;
            let without = plain.judge(&bare, &given).unwrap().standing;
            by_circuit += usize::from(with.open().ne(without.open()) || with.outcome != without.outcome);
        }
    }
    assert!(2 * flat > judged, "{flat} of {judged} were flat");
    assert!(by_circuit > 6, "circuits changed {by_circuit} of {judged}");
}

#[test]
fn a_plan_that_has_not_learnt_what_circuits_foretell_does_not_judge() {
    let book = shipped("roof-unit-fans.rulebook");
    let layout = Layout::new(&book, "cooling demanded", &["battery voltage", "fan current"]).unwrap();
    let plan = layout.plan().unwrap();
    let cells = |volts: &'static str| {
        let given = Given { said: vec![volts, "7.2"], complaint: "" };
        let mut cells = plan.blank();
        let own = layout.cells(&book, &given).unwrap().unwrap();
        cells[..own.len()].copy_from_slice(&own);
        cells
    };
    let mut standing = plan.standing();
    assert!(!plan.judge(&mut cells("24.9"), None, &mut standing));
    plan.learn(&book, &cells("24.9"));
    assert!(plan.judge(&mut cells("24.9"), None, &mut standing));
    assert!(!plan.judge(&mut cells("24.8"), None, &mut standing), "another voltage is another answer");
    assert_eq!(plan.supplies(), 1);
}

#[test]
fn what_is_no_entry_is_named_with_its_column() {
    let book = resolve(&format!("{}fault f0\n  share 1\n", random::HEAD));
    let layout = Layout::new(&book, "hot", &["r0", "o0"]).unwrap();
    let bad = layout.judge(&book, &Given { said: vec!["12 ohm", "maybe"], complaint: "" }).unwrap_err();
    let all: Vec<_> = bad.iter().map(|bad| (bad.column, bad.problem.code)).collect();
    assert_eq!(all, [(Some(0), "units/mismatch"), (Some(1), "job/unknown-answer")]);
    assert_eq!(Layout::new(&book, "", &["r0", "r9"]).unwrap_err()[0].0, Some(1));
    assert_eq!(Layout::new(&book, "cold", &["r0"]).unwrap_err()[0].0, None);
}

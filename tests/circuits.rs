//! Circuits of a book: what they foretell, and what they make of entries.
//!
//! Outside source: `tests/reference/dc_circuits.csv` (own modified nodal analysis and ngspice 39.3, see its first lines). All else is held to what
//! language.md says of circuits, with the physics worked out beside each check.

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use ruleout::book::circuits::ProbeAt;
use ruleout::book::{Book, CircuitId, FaultId, Setup, load};
use ruleout::circuit::network::Range;
use ruleout::circuit::picture::picture;
use ruleout::circuit::{Ask, Foretold, Known, Stand, Supply, foretell, foretell_each, is_given};
use ruleout::job::Job;
use ruleout::output::judgement_json::json_judgement;
use ruleout::output::words::Wording;
use ruleout::reasoning::conflict::ConflictKind;
use ruleout::reasoning::{Disturbed, Judgement, Outcome, Verdict, judge};

use support::{Text, fault, job, judged};

const ROWS: &str = include_str!("reference/dc_circuits.csv");
const CHECK: &str = include_str!("corpus/circuits/reference.rulebook");
const FAN: &str = include_str!("corpus/circuits/fan-feed.rulebook");

/// A whole book from its text, without any problem.
fn whole(text: &str) -> Book {
    let (book, problems) = load(&Text(text.to_owned()), Path::new("test.rulebook")).unwrap().resolve(None);
    assert!(problems.is_empty(), "{problems:#?}");
    book
}

fn setup(book: &Book, words: &str) -> Setup {
    job(book, words).setup
}

/// Where a reading of the book's only circuit is taken.
fn at(book: &Book, reading: &str) -> ProbeAt {
    let id = book.find_indication(reading).unwrap();
    book.circuit(CircuitId::at(0)).probes_of(id).next().unwrap().1.at
}

/// What a reading would show, by the book alone.
fn told(book: &Book, reading: &str, words: &str, faults: &[FaultId]) -> std::sync::Arc<Foretold> {
    let setup = setup(book, words);
    let stand = Stand { book, circuit: book.circuit(CircuitId::at(0)), setup: &setup, faults, warmth: None };
    foretell(&stand, Known::default(), at(book, reading).into()).unwrap()
}

fn faults_of(book: &Book, row: &str) -> Vec<FaultId> {
    let name = match row {
        "healthy" | "relay_not_closed" => return Vec::new(),
        "open_fuse" => "open fuse",
        "open_ground" => "open ground",
        "corroded_connector_1ohm" => "corroded connector",
        "wire_short_to_ground" => "shorted wire",
        "relay_contact_2ohm" => "burnt contact",
        "open_wire" => "open wire",
        "motor_open" => "dead motor",
        other => panic!("no fault for {other}"),
    };
    vec![fault(book, name)]
}

// Source: dc_circuits.csv, ngspice 39.3 and own modified nodal analysis.
#[test]
fn the_check_circuit_gives_the_published_node_voltages() {
    let book = whole(CHECK);
    let mut seen = 0;
    for line in ROWS.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (row, probe, volts, floating) = (cells[0], cells[2], cells[4].parse::<f64>().unwrap(), cells[7]);
        let plugged = if cells[1] == "plugged" { "" } else { "with fan unplugged" };
        let words = format!("{plugged}\n{}", if row == "relay_not_closed" { "with relay off" } else { "" });
        let faults = faults_of(&book, row);
        let told = told(&book, &format!("volts at {probe}"), &words, &faults);
        assert_eq!(told.outcomes.len(), 1, "{line}");
        let range = told.hull();
        // The book's short has 1 µohm to 0.1 ohm, the published one 0.01 ohm.
        let spread = if row == "wire_short_to_ground" { 0.0 } else { 1e-6 };
        assert!(range.low - 1e-6 <= volts && volts <= range.high + 1e-6, "{line}: {range:?}");
        assert!(spread == 0.0 || range.width() <= spread, "{line}: {range:?}");
        // The published circuit holds the relay's contact closed, with an open fuse this one drops out; unplugged it leaves out the motor.
        let hangs = floating.split_whitespace().any(|node| node == probe);
        let alike = row != "open_fuse" && cells[1] == "plugged";
        assert!(!alike || told.floating.is_empty() != hangs, "{line}");
        seen += 1;
    }
    assert_eq!(seen, 117);
}

// Source: dc_circuits.csv; there the 10 Mohm meter stands at the point, which moves it by less than 0.1 mV.
#[test]
fn the_drawing_shows_the_published_node_voltages() {
    let book = whole(CHECK);
    let (circuit, normal) = (book.circuit(CircuitId::at(0)), setup(&book, ""));
    let published: BTreeMap<(String, String), f64> = ROWS
        .lines()
        .filter(|line| !line.starts_with('#') && line.contains(",plugged,"))
        .map(|line| line.split(',').collect::<Vec<_>>())
        .map(|cells| ((cells[0].to_owned(), cells[2].to_owned()), cells[4].parse().unwrap()))
        .collect();
    for row in ["healthy", "open_ground", "corroded_connector_1ohm", "wire_short_to_ground", "relay_contact_2ohm"] {
        let faults = faults_of(&book, row);
        let stand = Stand { book: &book, circuit, setup: &normal, faults: &faults, warmth: None };
        let picture = picture(&stand, &[]).unwrap();
        for point in picture.points.iter().filter(|point| point.name != "ground") {
            let expected = published[&(row.to_owned(), point.name.clone())];
            let found = point.volts.unwrap();
            assert!((found - expected).abs() < 1e-3, "{row} {}: {found} against {expected}", point.name);
        }
    }
}

/// The faults that a job leaves, by name.
fn left(book: &Book, lines: &str) -> Vec<String> {
    let (_, judgement) = judged(book, lines);
    let open = judgement.verdicts.iter().filter(|v| v.verdict != Verdict::RuledOut);
    open.map(|v| book.fault(v.fault).name.clone()).collect()
}

// Each job is one that a technician would record for that fault; the readings follow from the circuit by Ohm's law. No rule, no
// `shows` in the book.
#[test]
fn a_book_with_nothing_but_its_circuit_ends_each_job_with_the_right_fault() {
    let book = whole(FAN);
    assert!(book.rules.is_empty() && book.faults.iter().all(|fault| fault.shows.is_empty()));
    let jobs: &[(&str, &str, &[&str])] = &[
        (
            "25 V before the fuse, nothing behind, coil fed",
            "supply at relay socket = 0.00 V\ncoil supply = 25.00 V\nfan current = 0.0 A",
            &["blown fan fuse", "chafed feed wire", "seized motor"],
        ),
        ("volts lost before the relay", "supply at relay socket = 19.60 V", &["corroded fuse holder"]),
        (
            "volts lost in the relay",
            "supply at relay socket = 25.02 V\nrelay output = 17.40 V\ncoil supply = 25.00 V",
            &["burnt relay contact"],
        ),
        ("no volts at the coil, line dead", "coil supply = 0.00 V\ncontrol line = 0.01 V", &["blown control fuse"]),
        ("no volts at the coil, line live", "coil supply = 0.02 V\ncontrol line = 25.10 V", &["open control wire"]),
        (
            "coil fed, relay stays",
            "coil supply = 25.15 V\nsupply at relay socket = 25.18 V\nrelay output = 0.00 V\nwith relay swapped\nrelay output = 25.04 V\nfan current = 7.2 A\nwithout relay swapped",
            &["open relay coil"],
        ),
        (
            "volts lost in the wire",
            "relay output = 25.02 V\nsupply at fan connector = 18.20 V",
            &["corroded feed joint"],
        ),
        (
            "volts lost in the plug",
            "supply at fan connector = 24.95 V\nvoltage at motor = 17.80 V\nfan ground drop = 0.030 V",
            &["melted fan plug"],
        ),
        (
            "volts on the ground side",
            "supply at fan connector = 24.95 V\nfan ground drop = 6.200 V",
            &["bad fan ground"],
        ),
        (
            "full volts, little current",
            "voltage at motor = 25.00 V\nfan current = 2.0 A\nfan ground drop = 0.020 V",
            &["worn brushes"],
        ),
        ("full volts, a stalled current", "fan current = 31.0 A", &["seized motor"]),
        (
            "dead at the plug, live at the relay",
            "relay output = 25.15 V\nsupply at fan connector = 0.00 V\nfan current = 0.0 A\nwith fan unplugged\nrelay output = 25.15 V\nwithout fan unplugged",
            &["open feed wire", "seized motor"],
        ),
    ];
    for (name, lines, right) in jobs {
        let found = left(&book, &format!("battery voltage = 25.20 V\nwith cooling demanded\nfan runs is no\n{lines}"));
        assert_eq!(&found, right, "{name}");
    }
    let flat = "battery voltage = 22.10 V\nwith ignition on\nidle supply = 0.00 V\nwith cooling demanded\nvoltage at motor = 21.40 V\nfan current = 6.2 A";
    assert_eq!(left(&book, flat), ["flat batteries"]);
    let idle = "battery voltage = 25.20 V\nwith ignition on\nidle supply = 25.01 V";
    assert_eq!(left(&book, idle), ["welded relay contact"]);
}

/// A book that has one change to the fan's, by replacing words.
fn changed(from: &str, to: &str) -> Book {
    assert!(FAN.contains(from), "{from}");
    whole(&FAN.replacen(from, to, 1))
}

fn verdict(book: &Book, judgement: &Judgement, name: &str) -> Verdict {
    judgement.of(fault(book, name)).unwrap().verdict
}

const LOST_IN_THE_RELAY: &str = "battery voltage = 25.20 V\nwith cooling demanded\nrelay output = 17.40 V";

#[test]
fn a_reason_says_what_the_circuit_would_have_shown() {
    let book = whole(FAN);
    let (job, judgement) = judged(&book, LOST_IN_THE_RELAY);
    let ground = judgement.of(fault(&book, "bad fan ground")).unwrap();
    let said = Wording { book: &book, job: &job }.reasons(ground).render(200);
    // By hand: 25.20 V ± 0.146 V, and 0.5 % for drift, is 24.93 V to 25.47 V at rest. Lost in at most 30, 6 and 10 mohm at
    // 24.93 V / 3.25 ohm + 0.1 A: 0.36 V; in at least 10 and 2 mohm at 25.4 V / 24.4 ohm: 0.01 V.
    assert!(said.contains("with `bad fan ground` `relay output` would show 24.56 V to 25.46 V"), "{said}");
    assert!(said.contains("; you read 17.40 V"), "{said}");
    assert!(
        said.contains("circuit `fan feed` (test.rulebook:") && said.contains("entry 1: battery voltage = 25.20 V"),
        "{said}"
    );
    let json = json_judgement(&book, &job, &judgement, Vec::new());
    let verdict = json.verdicts.iter().find(|verdict| verdict.fault == "bad fan ground").unwrap();
    let reason = verdict.because.first().unwrap();
    assert_eq!((reason.kind, verdict.verdict, reason.entries.as_slice()), ("circuit", "ruled_out", &[1, 2][..]));
}

#[test]
fn a_sound_circuit_that_would_show_something_else_says_that_there_is_a_fault() {
    let book = whole(FAN);
    let (_, judgement) = judged(&book, LOST_IN_THE_RELAY);
    assert!(judgement.disturbed.iter().any(|reason| matches!(reason, Disturbed::Circuit(..))));
    let (_, judgement) =
        judged(&book, "battery voltage = 25.20 V\nwith cooling demanded\nrelay output = 25.02 V\nfan current = 7.0 A");
    assert!(judgement.no_fault_stands());
}

#[test]
fn a_single_value_makes_it_speak_against_ten_to_one_and_no_more() {
    // The motor has no range: 7.5 A at 26 V. It matters as soon as it draws its current.
    let book = changed("6 A to 9 A at 26 V, stalled", "7.5 A at 26 V, stalled");
    let (job, judgement) = judged(&book, LOST_IN_THE_RELAY);
    assert_eq!(verdict(&book, &judgement, "bad fan ground"), Verdict::Open);
    let ground = judgement.of(fault(&book, "bad fan ground")).unwrap();
    let said = Wording { book: &book, job: &job }.reasons(ground).render(200);
    assert!(said.contains("10 to 1 against, no more: the book gives no range for `M1`"), "{said}");
    // Shares 8 and 12 in the book; one of them at a tenth.
    let weight = |name: &str| judgement.of(fault(&book, name)).unwrap().weight;
    support::close(weight("bad fan ground") / weight("burnt relay contact"), 8.0 / 12.0 / 10.0);
    // What draws no current doesn't hang on the motor: still ruled out.
    assert_eq!(verdict(&book, &judgement, "open relay coil"), Verdict::RuledOut);
}

#[test]
fn two_readings_against_a_fault_count_once_for_one_circuit() {
    let book = changed("6 A to 9 A at 26 V, stalled", "7.5 A at 26 V, stalled");
    let (_, one) = judged(&book, LOST_IN_THE_RELAY);
    let (_, two) = judged(&book, &format!("{LOST_IN_THE_RELAY}\nsupply at fan connector = 17.10 V"));
    let share = |judgement: &Judgement| {
        judgement.of(fault(&book, "bad fan ground")).unwrap().weight
            / judgement.of(fault(&book, "burnt relay contact")).unwrap().weight
    };
    support::close(share(&one), share(&two));
}

#[test]
fn a_fault_that_the_circuit_does_not_mention_is_left_alone() {
    let book = changed("  fault bad fan ground adds 0.3 ohm to 20 ohm at fan ground\n", "");
    let (_, judgement) = judged(&book, LOST_IN_THE_RELAY);
    assert_eq!(verdict(&book, &judgement, "bad fan ground"), Verdict::Open);
    assert!(judgement.of(fault(&book, "bad fan ground")).unwrap().reasons.is_empty());
}

#[test]
fn it_is_silent_under_a_change_that_it_knows_nothing_of() {
    let silent = changed("change wheels chocked\n  affects nothing", "change wheels chocked");
    let lines = LOST_IN_THE_RELAY.replace("demanded", "demanded, wheels chocked");
    // The battery was read before: 25.2 V is no flat battery. Of the fan nothing is said.
    assert_eq!(
        judged(&silent, &lines).1.with(Verdict::RuledOut).collect::<Vec<_>>(),
        [fault(&silent, "flat batteries")]
    );
    // The change is said to affect nothing: then it speaks.
    let book = whole(FAN);
    assert!(judged(&book, &lines).1.with(Verdict::RuledOut).count() > 10);
}

#[test]
fn an_entry_that_was_not_taken_as_its_reading_needs_decides_nothing() {
    let book = whole(FAN);
    let (_, judgement) = judged(&book, "battery voltage = 25.20 V\nrelay output = 17.40 V");
    // The battery alone speaks: 25.2 V is no flat battery.
    assert_eq!(judgement.with(Verdict::RuledOut).collect::<Vec<_>>(), [fault(&book, "flat batteries")]);
}

#[test]
fn a_swapped_relay_takes_its_faults_along() {
    let book = whole(FAN);
    let (_, judgement) =
        judged(&book, "battery voltage = 25.20 V\nwith cooling demanded, relay swapped\nrelay output = 17.40 V");
    for name in ["burnt relay contact", "welded relay contact", "open relay coil"] {
        assert_eq!(verdict(&book, &judgement, name), Verdict::RuledOut, "{name}");
    }
    assert_eq!(verdict(&book, &judgement, "corroded fuse holder"), Verdict::OnlyOneLeft);
}

// A point that hangs free shows a ghost voltage: up to 0.5 V means nothing, more only speaks against (common practice, no source).
#[test]
fn a_ghost_voltage_rules_nothing_out() {
    let book = whole(FAN);
    let lines = |volts: &str| {
        format!("battery voltage = 25.20 V\nwith cooling demanded, fan unplugged\nsupply at fan connector = {volts} V")
    };
    let reasons = |volts: &str| judged(&book, &lines(volts)).1.of(fault(&book, "open feed wire")).unwrap().clone();
    assert!(reasons("0.31").reasons.is_empty());
    let (job, judgement) = judged(&book, &lines("3.10"));
    let open = judgement.of(fault(&book, "open feed wire")).unwrap();
    assert_eq!(open.verdict, Verdict::Open);
    let said = Wording { book: &book, job: &job }.reasons(open).render(200);
    assert!(said.contains("`harness plug` hangs free there; a 10 Mohm meter may show a ghost voltage"), "{said}");
    // Plugged in, the motor ties the point to ground, and a dead wire shows nothing.
    let loaded = "battery voltage = 25.20 V\nwith cooling demanded\nsupply at fan connector = 3.10 V";
    assert_eq!(verdict(&book, &judged(&book, loaded).1, "open feed wire"), Verdict::RuledOut);
}

#[test]
fn a_fuse_that_a_fault_has_blown_stays_blown_when_the_fault_is_unplugged() {
    let book = whole(FAN);
    let lines = "battery voltage = 25.20 V\nwith cooling demanded, fan unplugged\nsupply at relay socket = 0.00 V";
    assert_eq!(verdict(&book, &judged(&book, lines).1, "seized motor"), Verdict::Open);
    assert_eq!(verdict(&book, &judged(&book, lines).1, "worn brushes"), Verdict::RuledOut);
}

// By hand: 24.60 V at the posts while 8 A flow through at most 30 mohm is up to 24.84 V + 0.145 V (0.5 % + 2 digits) without load.
#[test]
fn what_is_read_at_the_posts_under_load_is_less_than_the_battery_gives() {
    let book = whole(FAN);
    let (_, judgement) =
        judged(&book, "with cooling demanded\nbattery voltage = 24.60 V\ncoil supply = 24.60 V\nfan current = 7.5 A");
    assert!(judgement.no_fault_stands(), "{:?}", judgement.disturbed);
    let with_blown_fuse = judged(
        &book,
        "with cooling demanded\nbattery voltage = 24.60 V\nfan current = 0.0 A\nsupply at relay socket = 0.00 V",
    )
    .1;
    assert_eq!(verdict(&book, &with_blown_fuse, "blown fan fuse"), Verdict::Open);
}

// In the setup in which the battery was read, what it gives there needs no internal resistance: 24.60 V ± 0.143 V and 0.5 % for drift.
#[test]
fn in_the_setup_of_the_batterys_reading_that_reading_is_what_feeds_the_circuit() {
    let book = whole(FAN);
    let (job, judgement) = judged(&book, "with cooling demanded\nbattery voltage = 24.60 V\ncontrol line = 12.00 V");
    let open = judgement.of(fault(&book, "open control wire")).unwrap();
    let said = Wording { book: &book, job: &job }.reasons(open).render(200);
    assert!(said.contains("`control line` would show 24.33 V to 24.87 V"), "{said}");
}

#[test]
fn without_the_battery_entered_its_tolerance_is_taken() {
    let book = whole(FAN);
    // 24 V to 26 V at the posts: 22 V behind the relay is too little for a sound circuit, 24 V is not.
    assert!(!judged(&book, "with cooling demanded\nrelay output = 22.00 V").1.no_fault_stands());
    assert!(judged(&book, "with cooling demanded\nrelay output = 24.00 V").1.no_fault_stands());
    let unknown = changed("  from 0 V to 32 V\n  tolerance 24.0 V to 26.0 V\n", "");
    // Nothing is known of the battery, but of a flat one the book says 18 V to 23.5 V.
    let ruled_out =
        judged(&unknown, "with cooling demanded\nrelay output = 12.00 V").1.with(Verdict::RuledOut).collect::<Vec<_>>();
    assert_eq!(ruled_out, [fault(&unknown, "flat batteries")]);
}

#[test]
fn a_proof_that_the_circuit_denies_is_a_conflict_of_their_entries() {
    let rule = "rule a hasty word:\n  fan runs is no\n  implies open feed wire\n  because \"It looked like that.\"\n\ncircuit fan feed";
    let book = changed("circuit fan feed", rule);
    let lines = "fan runs is no\ncoil supply = 25.00 V\nbattery voltage = 25.20 V\nsupply at fan connector = 24.90 V";
    let mut verdicts = Vec::new();
    let lines: Vec<&str> = lines.lines().collect();
    for turn in 0..lines.len() {
        let (front, back) = lines.split_at(turn);
        let turned = back.iter().chain(front).copied().collect::<Vec<_>>().join("\n");
        let (job, judgement) = judged(&book, &format!("with cooling demanded\n{turned}"));
        assert_eq!(judgement.outcome, Outcome::Conflict);
        let conflict = judgement.conflicts.first().unwrap();
        assert_eq!(conflict.kind, ConflictKind::Contested(fault(&book, "open feed wire")));
        let mut names: Vec<&str> = conflict
            .entries
            .iter()
            .map(|id| book.indication(job.entry(*id).unwrap().indication).name.as_str())
            .collect();
        names.sort_unstable();
        // Against 0 V the 24.9 V stand whatever the battery has: its entry isn't needed.
        assert_eq!(names, ["fan runs", "supply at fan connector"]);
        verdicts.push(judgement.verdicts.iter().map(|v| v.verdict).collect::<Vec<_>>());
    }
    assert!(verdicts.windows(2).all(|pair| pair[0] == pair[1]), "the order of entries changed a verdict");
}

// With two faults at once each set is reckoned as a network of its own: a corroded plug and a bad ground together lose volts at both places.
#[test]
fn several_faults_are_reckoned_together() {
    let book = changed("  language 1\n", "  language 1\n  at most 2 faults at once\n");
    let lines = "battery voltage = 25.20 V\nwith cooling demanded\nsupply at fan connector = 24.90 V\nplug drop = 6.100 V\nvoltage at motor = 12.50 V\nfan ground drop = 6.300 V";
    let (_, judgement) = judged(&book, lines);
    let sets: Vec<Vec<&str>> = judgement
        .hypotheses
        .iter()
        .filter(|h| !h.faults.is_empty())
        .map(|h| h.faults.iter().map(|f| book.fault(*f).name.as_str()).collect())
        .collect();
    assert!(sets.contains(&vec!["melted fan plug", "bad fan ground"]), "{sets:?}");
    assert!(sets.iter().all(|set| set.contains(&"bad fan ground") && set.len() == 2), "{sets:?}");
    assert_eq!(verdict(&book, &judgement, "worn brushes"), Verdict::RuledOut);
}

#[test]
fn the_same_job_judged_twice_is_the_same() {
    let book = whole(FAN);
    let job: Job = job(&book, LOST_IN_THE_RELAY);
    assert_eq!(judge(&book, &job), judge(&book, &job));
    assert_eq!(Ask::from(at(&book, "fan current")), Ask::from(at(&book, "fan current")));
}

/// Whatever was asked before, what is kept for a reading is what asking anew gives: supply, setup, earlier setups, air and reading each tell.
#[test]
fn what_is_kept_is_what_asking_anew_gives() {
    let book = whole(FAN);
    let circuit = book.circuit(CircuitId::at(0));
    let sets: Vec<Vec<FaultId>> =
        std::iter::once(Vec::new()).chain(circuit.faults().into_iter().map(|fault| vec![fault])).collect();
    let battery = book.find_indication("battery voltage").unwrap();
    let (cold, hot) = (setup(&book, ""), setup(&book, "with cooling demanded"));
    let supply = |low: f64| Supply { reading: battery, taken: vec![(Range { low, high: low + 0.1 }, hot.clone())] };
    let supplies = [vec![], vec![supply(24.0)], vec![supply(25.0)]];
    let (befores, warmths) = ([vec![], vec![cold.clone(), hot.clone()]], [None, Some(330.0)]);
    let (mut asked, mut different) = (0, std::collections::BTreeSet::new());
    for _ in 0..2 {
        for (supplies, before) in
            supplies.iter().flat_map(|supplies| befores.iter().map(move |before| (supplies, before)))
        {
            for (setup, warmth) in [&cold, &hot].into_iter().flat_map(|setup| warmths.map(|warmth| (setup, warmth))) {
                for probe in &circuit.probes {
                    let known = Known { supplies, before };
                    let stand = Stand { book: &book, circuit, setup, faults: &[], warmth };
                    let row = foretell_each(&stand, known, probe, &sets);
                    for (set, told) in sets.iter().zip(row.iter()) {
                        let stand = Stand { faults: set, ..stand };
                        let anew = (!is_given(&stand, probe)).then(|| foretell(&stand, known, probe.at.into()));
                        assert_eq!(*told, anew);
                        asked += 1;
                        different.insert(format!("{told:?}"));
                    }
                }
            }
        }
    }
    assert!(asked > 2_000 && different.len() > 300, "{asked} asked, {} different", different.len());
}

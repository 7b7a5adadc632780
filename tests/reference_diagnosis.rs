//! Minimal hitting sets, preferred conflicts and repair orders against published values and trying everything.
//!
//! `polybox.json`: de Kleer & Williams 1987 (AIJ 32). `hitting_sets.json`: family recalled from Reiter 1987 (AIJ 32), all 63
//! subsets tried. `quickxplain.json`: Junker 2004 (AAAI), the options in spirit. `troubleshooting.json`: formula of Heckerman,
//! Breese & Rommelse 1995 (CACM 38(3)), several faults after Srinivas 1995; numbers ours, all permutations in exact rationals.

use std::collections::BTreeSet;

use ruleout::advice::planner::{Problem, Test, myopic};
use ruleout::advice::repair_order::{
    Action, Assume, Part, best_actions, best_order, by_worth, cost_of_actions, expected_cost, greedy_actions,
};
use ruleout::reasoning::hitting_sets::{Limits, minimal_hitting_sets};
use ruleout::reasoning::quickxplain::preferred_conflict;
use serde_json::Value as Json;

fn json(text: &str) -> Json {
    serde_json::from_str(text).unwrap()
}

fn numbers(list: &Json) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn words(list: &Json) -> Vec<String> {
    list.as_array().unwrap().iter().map(|word| word.as_str().unwrap().to_owned()).collect()
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-8 * expected.abs().max(1.0), "found {found}, expected {expected}");
}

/// `SplitMix64` (Steele, Lea & Flood 2014): the same instances on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let once = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let twice = (once ^ (once >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((twice ^ (twice >> 31)) % sides as u64).unwrap()
    }

    fn number(&mut self, sides: usize) -> f64 {
        f64::from(u32::try_from(self.below(sides)).unwrap())
    }
}

/// Which of M1, M2, M3, A1, A2 each number stands for.
const POLYBOX: [&str; 5] = ["M1", "M2", "M3", "A1", "A2"];

fn polybox_sets(list: &Json) -> BTreeSet<Vec<usize>> {
    let place = |name: String| POLYBOX.iter().position(|part| *part == name).unwrap();
    let set = |names: &Json| {
        let mut set: Vec<usize> = words(names).into_iter().map(place).collect();
        set.sort_unstable();
        set
    };
    list.as_array().unwrap().iter().map(set).collect()
}

/// The value that a candidate (a set of abnormal parts, as bits) predicts for x, y, z, given F = 10, G = 12; 2 where free.
fn predicted(abnormal: usize) -> [usize; 3] {
    let sound = |part: usize| abnormal >> part & 1 == 0;
    let (mut x, mut y, mut z) = (sound(0).then_some(6), sound(1).then_some(6), sound(2).then_some(6));
    for _ in 0..3 {
        if sound(3) {
            (x, y) = (x.or(y.map(|y| 10 - y)), y.or(x.map(|x| 10 - x)));
        }
        if sound(4) {
            (y, z) = (y.or(z.map(|z| 12 - z)), z.or(y.map(|y| 12 - y)));
        }
    }
    let answer = |value: Option<i32>, other: i32| value.map_or(2, |value| usize::from(value == other));
    [answer(x, 4), answer(y, 4), answer(z, 8)]
}

#[test]
fn polybox() {
    let file = json(include_str!("reference/polybox.json"));
    let conflicts: Vec<Vec<usize>> = polybox_sets(&file["minimal_conflicts"]).into_iter().collect();
    let found = minimal_hitting_sets(&conflicts, Limits::default());
    assert_eq!(found.sets.iter().cloned().collect::<BTreeSet<_>>(), polybox_sets(&file["minimal_diagnoses"]));
    assert_eq!(found.sets, [vec![0], vec![3], vec![1, 2], vec![1, 4]]);
    let explains = |set: &usize| conflicts.iter().all(|conflict| conflict.iter().any(|part| set >> part & 1 == 1));
    let candidates: Vec<usize> = (0..32).filter(explains).collect();
    for (name, p) in [("p=0.01", 0.01_f64), ("p=0.1", 0.1)] {
        assert_eq!(candidates.len() as u64, file[name]["n_candidates_all"].as_u64().unwrap());
        let prior = |set: &usize| (0..5).map(|part| if set >> part & 1 == 1 { p } else { 1.0 - p }).product::<f64>();
        let weights: Vec<f64> = candidates.iter().map(prior).collect();
        let total: f64 = weights.iter().sum();
        near(
            weights[candidates.iter().position(|&set| set == 1).unwrap()] / total,
            file[name]["posterior_minimal"]["M1"].as_f64().unwrap(),
        );
        let measure =
            |point: usize| Test::decided(1.0, &candidates.iter().map(|&set| predicted(set)[point]).collect::<Vec<_>>());
        let values = myopic(&Problem { weights, tests: (0..3).map(measure).collect() }).unwrap();
        assert_eq!(values.iter().map(|value| value.test).collect::<Vec<_>>(), [0, 1, 2], "measure x first");
        for (value, point) in values.iter().zip(["x", "y", "z"]) {
            near(value.gain_bits, file[name]["measurement_partition"][point]["entropy_bits"].as_f64().unwrap());
        }
    }
    // preferred conflicts of the polybox, Junker 2004
    let orders = json(include_str!("reference/quickxplain.json"));
    for name in ["polybox_order_M1M2M3A1A2", "polybox_order_A2M3A1M1M2", "polybox_order_A2M3M1A1M2"] {
        let order: Vec<&str> = name.as_bytes()[14..].chunks(2).map(|two| std::str::from_utf8(two).unwrap()).collect();
        let part = |fact: &usize| POLYBOX.iter().position(|part| *part == order[*fact]).unwrap();
        let found = preferred_conflict(5, |facts| {
            let parts: Vec<usize> = facts.iter().map(part).collect();
            !conflicts.iter().any(|conflict| conflict.iter().all(|part| parts.contains(part)))
        });
        let names: Vec<&str> = found.conflict.unwrap().iter().map(|&fact| order[fact]).collect();
        assert_eq!(names, words(&orders[name][0]));
        assert_eq!(found.checks as u64, orders[name][1].as_u64().unwrap());
    }
}

#[test]
fn hitting_sets_of_the_published_family() {
    let file = json(include_str!("reference/hitting_sets.json"));
    let sets = |name: &str| -> Vec<Vec<usize>> { serde_json::from_value(file[name].clone()).unwrap() };
    let found = minimal_hitting_sets(&sets("family"), Limits::default());
    assert_eq!((found.sets, found.more, found.complete), (sets("minimal_hitting_sets"), 0, true));
    let small = minimal_hitting_sets(&sets("family"), Limits { size: 2, ..Limits::default() });
    assert_eq!(small.sets, [[1, 2]]);
    let few = minimal_hitting_sets(&sets("family"), Limits { keep: 4, ..Limits::default() });
    assert_eq!((few.sets.as_slice(), few.more, few.complete), (&sets("minimal_hitting_sets")[..4], 2, true));
    let short = minimal_hitting_sets(&sets("family"), Limits { steps: 9, ..Limits::default() });
    assert!(!short.complete && short.sets.len() < 6);
    assert_eq!(minimal_hitting_sets(&[], Limits::default()).sets, [Vec::<usize>::new()]);
    assert!(minimal_hitting_sets(&[vec![1], Vec::new()], Limits::default()).sets.is_empty());
}

#[test]
fn hitting_sets_of_random_families() {
    let mut dice = Dice(11);
    for _ in 0..300 {
        let conflicts: Vec<Vec<usize>> =
            (0..1 + dice.below(6)).map(|_| (0..1 + dice.below(4)).map(|_| dice.below(8)).collect()).collect();
        let hits = |set: usize| conflicts.iter().all(|conflict| conflict.iter().any(|member| set >> member & 1 == 1));
        let minimal =
            |&set: &usize| hits(set) && (0..8).all(|member| set >> member & 1 == 0 || !hits(set & !(1 << member)));
        let members = |set: usize| (0..8).filter(|member| set >> member & 1 == 1).collect::<Vec<usize>>();
        let mut expected: Vec<Vec<usize>> =
            (0..256).filter(minimal).map(members).filter(|set| set.len() <= 3).collect();
        expected.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
        assert_eq!(minimal_hitting_sets(&conflicts, Limits::default()).sets, expected);
    }
}

#[test]
fn preferred_conflicts_of_the_options() {
    let file = json(include_str!("reference/quickxplain.json"));
    let budget = file["budget"].as_f64().unwrap();
    let check = |order: &[String], conflict: &Json, checks: u64| {
        let price = |fact: &usize| file["options"][&order[*fact]].as_f64().unwrap();
        let found = preferred_conflict(order.len(), |facts| facts.iter().map(price).sum::<f64>() <= budget);
        let names: Vec<&String> = found.conflict.as_ref().unwrap().iter().map(|&fact| &order[fact]).collect();
        assert_eq!(names, words(conflict).iter().collect::<Vec<_>>());
        assert_eq!(found.checks as u64, checks);
    };
    let mut order = words(&file["order"]);
    check(&order, &file["preferred_conflict"], file["consistency_checks"].as_u64().unwrap());
    order.rotate_right(1);
    check(&order, &file["luxury_first"]["conflict"], file["luxury_first"]["checks"].as_u64().unwrap());
    assert_eq!(preferred_conflict(3, |_| true).conflict, None);
    assert_eq!(preferred_conflict(3, |_| false).conflict, Some(Vec::new()));
    assert_eq!(preferred_conflict(0, |_| false).conflict, Some(Vec::new()));
    assert_eq!(preferred_conflict(3, |facts| !facts.contains(&0)).conflict, Some(vec![0]));
}

#[test]
fn preferred_conflicts_stay_within_the_published_number_of_checks() {
    let file = json(include_str!("reference/quickxplain.json"));
    let mut dice = Dice(5);
    for row in file["checks_table_n_k_max_mean_bound"].as_array().unwrap() {
        let row = numbers(row);
        let (facts, size, most) = (row[0] as usize, row[1] as usize, row[4] as usize);
        for _ in 0..40 {
            let mut core = BTreeSet::new();
            while core.len() < size {
                core.insert(dice.below(facts));
            }
            let found = preferred_conflict(facts, |facts| !core.iter().all(|fact| facts.contains(fact)));
            assert_eq!(found.conflict, Some(core.into_iter().collect()));
            assert!(found.checks <= most + 1, "{} checks, at most {most} and one for the background", found.checks);
        }
    }
}

fn parts_of(file: &Json, names: &[String]) -> Vec<Part> {
    let value = |table: &str, name: &String| file[table][name].as_f64().unwrap();
    let part = |name: &String| Part {
        probability: value("p", name),
        inspect: value("observe_cost", name),
        repair: value("repair_cost", name),
    };
    names.iter().map(part).collect()
}

#[test]
fn repair_orders_of_one_fault() {
    let file = json(include_str!("reference/troubleshooting.json"));
    let names: Vec<String> = ["connector", "motor", "relay", "ground", "fuse"].map(str::to_owned).to_vec();
    let parts = parts_of(&file, &names);
    let places = |order: &str| -> Vec<usize> {
        words(&file[order]).iter().map(|name| names.iter().position(|other| other == name).unwrap()).collect()
    };
    let cost = |order: &str| expected_cost(&parts, &places(order), Assume::OneFault).unwrap();
    assert_eq!(by_worth(&parts, Assume::OneFault), places("optimal_order"));
    near(cost("optimal_order"), 31.4);
    near(cost("worst_order"), file["ECR_worst"].as_f64().unwrap());
    near(cost("order_by_probability"), file["ECR_by_probability"].as_f64().unwrap());
    let best = best_order(&parts, Assume::OneFault).unwrap();
    assert_eq!(best.order, places("optimal_order"));
    near(best.cost, 31.4);
    assert_eq!(expected_cost(&parts, &[0, 0, 1, 2, 3], Assume::OneFault), None);
}

#[test]
fn where_probability_over_cost_is_not_the_best_order() {
    let file = json(include_str!("reference/troubleshooting.json"));
    let part = |probability: f64, inspect: f64, repair: f64| Part { probability, inspect, repair };
    // the last part is concluded without looking
    let skip = &file["skip_last_inspection"]["example"];
    let parts = [part(0.5, 10.0, 0.0), part(0.3, 8.0, 0.0), part(0.2, 6.0, 0.0)];
    for row in skip["costs_of_all_orders"].as_array().unwrap() {
        let order: Vec<usize> = words(&row[1]).iter().map(|name| usize::from(name.as_bytes()[0] - b'a')).collect();
        near(expected_cost(&parts, &order, Assume::LastConcluded).unwrap(), row[0].as_f64().unwrap());
    }
    assert_eq!(by_worth(&parts, Assume::LastConcluded), [0, 1, 2]);
    assert_eq!(best_order(&parts, Assume::LastConcluded).unwrap().order, [1, 2, 0]);
    // several faults: odds over cost
    let several = [part(0.1, 1.0, 5.0), part(0.2, 3.0, 5.0), part(0.4, 8.0, 5.0)];
    for row in file["multiple_faults"]["orders"].as_array().unwrap() {
        let order: Vec<usize> = words(&row[1]).iter().map(|name| usize::from(name.as_bytes()[0] - b'a')).collect();
        near(expected_cost(&several, &order, Assume::Several).unwrap(), row[0].as_f64().unwrap());
    }
    // one action repairs several faults
    let actions = [[0, 1], [0, 2], [1, 3]].map(|faults| Action { cost: 1.0, repairs: faults.to_vec() });
    let p = [0.3, 0.3, 0.2, 0.2];
    assert_eq!(greedy_actions(&p, &actions), [0, 1, 2]);
    near(
        cost_of_actions(&p, &actions, &[0, 1, 2]).unwrap(),
        file["dependent_actions"]["greedy_cost"].as_f64().unwrap(),
    );
    let best = best_actions(&p, &actions).unwrap();
    assert_eq!(best.order, [1, 2, 0]);
    near(best.cost, file["dependent_actions"]["optimal_cost"].as_f64().unwrap());
}

#[test]
fn odds_over_cost_is_best_for_several_faults_and_the_last_inspection_matters() {
    let mut dice = Dice(3);
    let (mut odds, mut plain, mut single, mut concluded) = (0, 0, 0, 0);
    for _ in 0..300 {
        let mut part =
            || Part { probability: (1.0 + dice.number(18)) / 20.0, inspect: 1.0 + dice.number(9), repair: 3.0 };
        let parts = [part(), part(), part(), part()];
        let least = best_order(&parts, Assume::Several).unwrap().cost;
        let cost = |order: &[usize]| expected_cost(&parts, order, Assume::Several).unwrap();
        odds += usize::from(cost(&by_worth(&parts, Assume::Several)) <= least * (1.0 + 1e-9));
        plain += usize::from(cost(&by_worth(&parts, Assume::OneFault)) <= least * (1.0 + 1e-9));
        let total: f64 = parts.iter().map(|part| part.probability).sum();
        let one = parts.map(|part| Part { probability: part.probability / total, ..part });
        for (assume, count) in [(Assume::OneFault, &mut single), (Assume::LastConcluded, &mut concluded)] {
            let least = best_order(&one, assume).unwrap().cost;
            let by_worth = expected_cost(&one, &by_worth(&one, assume), assume).unwrap();
            *count += usize::from(by_worth <= least * (1.0 + 1e-9));
        }
    }
    assert_eq!((odds, single), (300, 300), "always best under their assumptions");
    assert!(plain < 250 && concluded < 250, "p / C was best in {plain} and {concluded} of 300");
}

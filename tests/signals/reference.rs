//! Against `tests/reference/stl.json`: robustness of nine formulas at every sample of one log, worked out there by
//! rtamt (discrete time, standard semantics of Donze & Maler, FORMATS 2010) and by an independent implementation; the
//! dropouts of the same log; the detection figures.

use ruleout::job::signal::robustness::{always, eventually, implies, until};
use ruleout::job::signal::{Mark, Monitor, Response, Watch, dropouts};
use ruleout::output::signal_text::most_per_second;
use serde_json::Value;

fn table() -> Value {
    serde_json::from_str(include_str!("../reference/stl.json")).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

#[test]
fn robustness_agrees_at_every_sample_of_every_formula() {
    let table = table();
    let (v, command) = (numbers(&table["v"]), numbers(&table["command"]));
    let at_least = |limit: f64| v.iter().map(|x| x - limit).collect::<Vec<f64>>();
    let below = |limit: f64| v.iter().map(|x| limit - x).collect::<Vec<f64>>();
    let commanded: Vec<f64> = command.iter().map(|x| x - 0.5).collect();
    let recovers = |window| always(&implies(&below(12.0), &eventually(&at_least(12.0), Some(window))), None);
    let formulas: [(&str, Vec<f64>); 9] = [
        ("always v>=11", always(&at_least(11.0), None)),
        ("always v>=9", always(&at_least(9.0), None)),
        ("eventually v<10", eventually(&below(10.0), None)),
        ("always[0:2] v>=12", always(&at_least(12.0), Some(2))),
        ("eventually[0:2] v>=12.4", eventually(&at_least(12.4), Some(2))),
        ("recover: always(v<12 -> eventually[0:2] v>=12)", recovers(2)),
        ("recover4: always(v<12 -> eventually[0:3] v>=12)", recovers(3)),
        ("until: (v>=11) until[0:5] (v<=10)", until(&at_least(11.0), &below(10.0), 5)),
        ("cmd: always(c>=0.5 -> v>=11)", always(&implies(&commanded, &at_least(11.0)), None)),
    ];
    for source in ["robustness_rtamt", "robustness_own"] {
        assert_eq!(table[source].as_object().unwrap().len(), formulas.len());
        for (name, found) in &formulas {
            let expected = numbers(&table[source][*name]);
            assert_eq!(found.len(), expected.len());
            for (at, (found, expected)) in found.iter().zip(&expected).enumerate() {
                assert!((found - expected).abs() < 1e-12, "{name} at {at}: {found}, expected {expected} ({source})");
            }
        }
    }
}

#[test]
fn dropouts_agree_with_the_table() {
    let table = table();
    let (times, v) = (numbers(&table["time_s"]), numbers(&table["v"]));
    for (name, low) in [("lo=12,hi=12.2", 12.0), ("lo=10,hi=12.2", 10.0)] {
        let expected: Vec<Vec<f64>> = table["dropouts"][name].as_array().unwrap().iter().map(numbers).collect();
        let found: Vec<Vec<f64>> =
            dropouts(&times, &v, low, 12.2).iter().map(|one| vec![one.start, one.length()]).collect();
        assert_eq!(found, expected, "{name}");
    }
    // Depth: the lowest value of the first one is that of the log.
    assert_eq!(dropouts(&times, &v, 12.0, 12.2).first().unwrap().low, 9.8);
}

/// The three values at the log's own samples, and what the verdict of a condition must not contradict.
#[test]
fn verdicts_never_contradict_the_robustness_of_the_samples() {
    let table = table();
    let (times, v) = (numbers(&table["time_s"]), numbers(&table["v"]));
    let width = 0.05;
    let mark = |margin: f64| match margin {
        m if m - width >= 0.0 => Mark::Yes,
        m if m + width < 0.0 => Mark::No,
        _ => Mark::Unsure,
    };
    for tenth in 90..130 {
        let limit = f64::from(tenth) / 10.0;
        let margins: Vec<f64> = v.iter().map(|x| limit - x).collect();
        let marks: Vec<Mark> = margins.iter().map(|m| mark(*m)).collect();
        let mut monitor = Monitor::new(Watch { lasting: 0.0, times: 1 }, 3.0);
        monitor.take(&times, &marks, &v);
        let rho = *eventually(&margins, None).first().unwrap();
        // Source: the rule under `three_valued` of the table. True wherever rho > u; never false: what lies between two
        // samples is not known.
        assert_eq!(monitor.answer().holds, (rho >= width).then_some(true), "ever below {limit}");
        let mut second = Monitor::new(Watch { lasting: 1.0, times: 1 }, 3.0);
        second.take(&times, &marks, &v);
        let holds = second.answer().holds;
        assert!(holds != Some(false) || rho < width, "{limit}: a second below is denied, and {rho}");
    }
}

#[test]
fn the_time_to_recover_is_told_as_well_as_the_samples_allow() {
    let table = table();
    let (times, v) = (numbers(&table["time_s"]), numbers(&table["v"]));
    let low: Vec<Mark> = v.iter().map(|x| if *x < 12.0 { Mark::Yes } else { Mark::No }).collect();
    let high: Vec<Mark> = low.iter().map(|mark| mark.turned()).collect();
    let asked = |within| {
        let mut response = Response::new(within);
        response.take(&times, &low, &high);
        response.answer().holds
    };
    // The table's formula fails for [0,2] and holds for [0,3] at the samples. The second dropout began between 6 s and
    // 7 s and was over between 9 s and 10 s: it lasted more than 2 s and at most 4 s.
    assert_eq!((asked(2.0), asked(3.0), asked(4.0)), (Some(false), None, Some(true)));
}

#[test]
fn the_rate_that_a_quiet_log_leaves_agrees_with_the_table() {
    let expected = table()["detection"]["rate_bound_T=600s_per_s"].as_f64().unwrap();
    assert!((most_per_second(600.0) - expected).abs() < 1e-15);
}

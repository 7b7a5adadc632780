//! How fast lint by meaning is: `cargo bench --bench meaning`. Generated books of 1,000 rules, 200 faults, 200 readings, and ten
//! times that; the time of the clock on all cores, and the most memory held. By name and shape beside it.
#![expect(clippy::print_stdout, reason = "a benchmark tells its figures")]

use std::path::Path;
use std::time::Instant;

use ruleout::book::load;
use ruleout::lint::{Choice, Depth, Opened, Outside, examine};

mod common;
use common::Text;

/// A book of so many rules, a fifth as many faults and readings. Each rule asks for one to three readings of its
/// neighbourhood, with limits of its own; each fault shows two of them.
fn book(rules: usize) -> String {
    let readings = rules / 5;
    let mut text = String::from("rulebook \"generated\"\n  language 1\nstate engine running\nchange relay swapped\n");
    for n in 0..readings {
        text.push_str(&format!(
            "reading supply {n}\n  unit V\n  from 0 V to 32 V\n  tolerance 22 V to 29 V\n  takes {} min\n  meter 0.5 % + 2 digits of 0.01 V\n",
            1 + n % 7
        ));
    }
    for n in 0..readings {
        let next = (n + 1) % readings;
        text.push_str(&format!(
            "fault wire {n}\n  share 3\n  shows supply {n} below {} V\n  shows supply {next} above {} V\n",
            18 + n % 3,
            10 + n % 5
        ));
    }
    for n in 0..rules {
        let at = n % readings;
        let (next, beyond) = ((at + 1) % readings, (at + 7) % readings);
        let low = 2 + n / readings;
        let (condition, says) = match n / readings {
            0 => (format!("supply {at} below {low} V and supply {next} above 20 V"), format!("implies wire {at}")),
            1 => (format!("supply {at} above 21 V"), format!("rules out wire {at}")),
            2 => (
                format!("supply {at} - supply {next} above {low} V and supply {beyond} between 12 V and 30 V"),
                format!("rules out wire {next}"),
            ),
            3 => (
                format!("supply {at} below {low} V with relay swapped and not (supply {next} below 9 V)"),
                format!("implies wire {at} or wire {next}"),
            ),
            _ => (
                format!("supply {at} out of tolerance or supply {beyond} below {low} V"),
                format!("suggests wire {at} 3 to 1"),
            ),
        };
        text.push_str(&format!("rule number {n}:\n  {condition}\n  {says}\n"));
    }
    text
}

/// The most memory that this process has held, where the system says it.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    status.lines().find_map(|line| line.strip_prefix("VmHWM:")).map_or("not known".into(), |kb| kb.trim().to_string())
}

fn measure(rules: usize) {
    let opened =
        Opened::resolve(load(&Text(book(rules)), Path::new("generated.rulebook")).expect("the text is at hand"));
    assert!(opened.problems.is_empty(), "{:?}", opened.problems.first());
    let timed = |depth: Depth| {
        let start = Instant::now();
        let (findings, survey) = examine(&opened, &Outside::default(), &Choice { depth, ..Choice::default() });
        (findings.len(), survey.map_or(0, |survey| survey.total()), start.elapsed().as_secs_f64())
    };
    let (_, _, by_name) = timed(Depth::Names);
    let (found, open, by_meaning) = timed(Depth::Meaning);
    println!(
        "{rules:>6} rules: by meaning {:.2} s beside {by_name:.2} s by name; {found} found, {open} not decided, peak {}",
        by_meaning - by_name,
        peak()
    );
}

pub(crate) fn main() {
    let most = std::env::args().filter_map(|argument| argument.parse().ok()).next().unwrap_or(10_000);
    for rules in [1_000, 2_500, 5_000, 10_000] {
        if rules <= most {
            measure(rules);
        }
    }
}

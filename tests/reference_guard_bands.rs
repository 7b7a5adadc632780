//! Guard bands against published values.
//!
//! `guard_band_probability.csv`: conformance probabilities after JCGM 106:2012 clause 7, computed with scipy 1.17.1, the first row being
//! the standard's own example as remembered. `guard_band_z.csv`: guard bands in units of u, computed with scipy 1.17.1; JCGM 106:2012
//! Table 1 prints 0.84, 1.28, 1.64, 2.33, 3.09 (from memory). Figures in the text: check-values.md section 8, algorithms.md section 4.

mod support;

use ruleout::output::words::Wording;
use ruleout::reasoning::Verdict;
use ruleout::units::guard_band::{GuardBand, conformance};

use support::{book, judged};

fn rows(text: &str) -> Vec<Vec<&str>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines.map(|line| line.split(',').collect()).collect()
}

#[test]
fn conformance_probabilities() {
    let table = rows(include_str!("reference/guard_band_probability.csv"));
    assert_eq!(table.len(), 12);
    for row in table {
        let number = |place: usize| row[place].parse::<f64>().ok();
        let (y, u) = (number(1).unwrap(), number(2).unwrap());
        let found = conformance(y, u, number(3), number(4));
        // The uncertainties are printed to three or five digits, as are the readings: the last digit of the result may differ.
        assert!((found - number(5).unwrap()).abs() < 2e-6, "{row:?}: {found}");
        assert!((1.0 - found - number(6).unwrap()).abs() < 2e-6, "{row:?}: {found}");
    }
}

#[test]
fn guard_bands_in_units_of_the_uncertainty() {
    let table = rows(include_str!("reference/guard_band_z.csv"));
    assert_eq!(table.len(), 6);
    for row in table {
        let (wanted, z): (f64, f64) = (row[0].parse().unwrap(), row[1].parse().unwrap());
        let found = GuardBand::new(wanted).unwrap().multiple();
        assert!((found - z).abs() < 5.1e-5, "{wanted}: {found}");
    }
    assert!(GuardBand::new(0.5).is_none() && GuardBand::new(1.0).is_none() && GuardBand::new(f64::NAN).is_none());
}

#[test]
fn the_worked_figures_of_the_design() {
    // algorithms.md section 4: [12.4, 12.8], u = 0.05; burst strength 509.7, u = 8.6, at least 490.
    for (y, p) in [(12.35, 0.158655), (12.40, 0.5), (12.45, 0.841345), (12.5, 0.977250)] {
        let found = conformance(y, 0.05, Some(12.4), Some(12.8));
        assert!((found - p).abs() < 1e-6, "{y}: {found}");
    }
    assert!((conformance(509.7, 8.6, Some(490.0), None) - 0.989010).abs() < 1e-6);
}

const LAMP: &str = "reading battery voltage
  unit V
  from 0 V to 16 V
  meter 0.5 % + 3 digits of 0.01 V
fault flat battery
  shows battery voltage below 12.40 V
fault other
";

fn with_guard(share: &str) -> ruleout::book::Book {
    book(&format!("  guard band {share} %\n{LAMP}"))
}

// check-values.md section 8: battery at least 12.40 V, ±(0.5 % + 3): 12.42 V conforms with 0.6468, 12.55 V with 0.9976, 12.30 V with 0.0298.
#[test]
fn a_book_that_asks_for_a_guard_band_has_three_answers() {
    for (share, reading, ruled_out) in [
        ("95", "12.55 V", true),
        ("95", "12.42 V", false),
        ("95", "12.30 V", false),
        // 99.9 % asks for 3.09 u = 0.165 V: 12.55 V no longer is enough.
        ("99.9", "12.55 V", false),
    ] {
        let book = with_guard(share);
        let (_, judgement) = judged(&book, &format!("battery voltage = {reading}"));
        let verdict = judgement.verdicts[0].verdict;
        assert_eq!(verdict == Verdict::RuledOut, ruled_out, "{share} % {reading}: {verdict:?}");
    }
}

#[test]
fn the_width_is_that_of_the_band() {
    // 0.5 % of 12.42 V and 3 digits are 0.0921 V, u = 0.053174 V (meter_accuracy_examples.csv); 1.644854 u = 0.087463 V.
    let book = with_guard("95");
    let (job, _) = judged(&book, "battery voltage = 12.42 V");
    let entry = job.entry(ruleout::job::EntryId::at(0)).unwrap();
    let ruleout::job::EntryValue::Interval(interval) = &entry.value else { panic!("{entry:?}") };
    let (low, high) = (interval.low.value().unwrap().to_f64(), interval.high.value().unwrap().to_f64());
    assert!(((high - low) / 2.0 - 0.087463).abs() < 1e-6, "{low} to {high}");
}

// At 12.55 V the meter's own line gives u = 0.05355 V, a little more than the 0.0531 V of the table: Φ(2.801) = 0.9975.
#[test]
fn the_explanation_tells_the_probability() {
    let book = with_guard("95");
    for (reading, said) in [
        ("12.55 V", "about 99.7 % that it lies above the limit"),
        ("12.42 V", "about 64.7 % that it lies above the limit"),
    ] {
        let (job, judgement) = judged(&book, &format!("battery voltage = {reading}"));
        let wording = Wording { book: &book, job: &job };
        let fault = book.find_fault("flat battery").unwrap();
        let page = wording.what_decides(&judgement, fault);
        let text: String = page.lines().iter().map(|line| format!("{line:?}\n")).collect();
        assert!(text.contains(said) && text.contains("guard band of 95 %"), "{reading}: {text}");
    }
}

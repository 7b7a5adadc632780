//! Values of drafts lie on the right side of a limit by more than the meter's limit of error, and close to it: worked
//! out here from the digits, with the accuracy formula of a data sheet (JCGM 100:2008, 4.3.7, limits of error).

use proptest::prelude::*;
use ruleout::lint::cases::BookCases;

use crate::of_text;

#[derive(Clone, Debug)]
struct Asked {
    words: &'static str,
    /// Whether a value is wanted above the limit.
    above: bool,
}

fn asked() -> impl Strategy<Value = Asked> {
    let all = [("below", false), ("at most", false), ("above", true), ("at least", true)];
    proptest::sample::select(all.to_vec()).prop_map(|(words, above)| Asked { words, above })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_value_is_told_from_its_limit_by_the_meter(
        tenths in 30_i32..370, percent in 0_i32..15, counts in 0_i32..9, asked in asked(),
    ) {
        let (limit, share) = (f64::from(tenths) / 10.0, f64::from(percent) / 10.0);
        let text = format!(
            "rulebook \"r\"\n  language 1\nreading v\n  unit V\n  from 0 V to 40 V\n  meter {share} % + {counts} digits of 0.01 V\n\
             fault f\nfault g\nrule r: v {} {limit} V implies f\n", asked.words
        );
        let (loaded, book) = of_text(&text);
        let drafts = BookCases::of(&loaded, book).with_drafts().drafts.unwrap();
        // 3 V to 37 V of 40 V, limit of error at most 0.7 V: there is always room.
        prop_assert!(drafts.undrafted.is_empty(), "{text}");
        let line = drafts.drafts[0].text.lines().find_map(|line| line.trim().strip_prefix("v = ")).unwrap();
        let value: f64 = line.trim_end_matches(" V").parse().unwrap();
        let error = value * share / 100.0 + f64::from(counts) * 0.01;
        let away = if asked.above { value - limit } else { limit - value };
        prop_assert!(away >= error - 1e-9 && away > 0.0, "{value} against {limit}, error {error}");
        prop_assert!(away <= 2.0 * error + 1.0, "{value} is far from {limit}");
        prop_assert!((0.0..=40.0).contains(&value));
    }

    #[test]
    fn a_difference_of_two_readings_is_drafted(tenths in 1_i32..100, asked in asked()) {
        let limit = f64::from(tenths) / 10.0;
        let text = format!(
            "rulebook \"r\"\n  language 1\nreading up\n  unit V\n  from 0 V to 40 V\nreading down\n  unit V\n  from 0 V to 40 V\n\
             fault f\nfault g\nrule r: up - down {} {limit} V implies f\n", asked.words
        );
        let (loaded, book) = of_text(&text);
        let drafts = BookCases::of(&loaded, book).with_drafts().drafts.unwrap();
        prop_assert!(drafts.undrafted.is_empty(), "{text}");
        let read = |name: &str| -> (f64, f64) {
            let start = format!("{name} = ");
            let digits = drafts.drafts[0].text.lines().find_map(|line| line.trim().strip_prefix(&start)).unwrap();
            let digits = digits.trim_end_matches(" V");
            let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
            (digits.parse().unwrap(), 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap()))
        };
        // Without a meter half of the last digit typed is the limit of error, of each of the two.
        let ((up, e), (down, d)) = (read("up"), read("down"));
        let away = if asked.above { up - down - limit } else { limit - (up - down) };
        prop_assert!(away >= e + d - 1e-9, "{up} - {down} {} {limit}", asked.words);
    }
}

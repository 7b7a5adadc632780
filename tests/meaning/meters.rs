//! Limits that a meter can't decide against every display that the meter has, both ways: each display is tried with its
//! error. A display is a whole number of the meter's last digits inside the reading's range, or `OL` above it.

use crate::random::Dice;
use crate::shelf::{Asked, Found, ask, held_against};

/// Numbers here are whole thousandths of the reading's unit, errors whole millionths: nothing is rounded.
const FINE: i64 = 1000;

#[derive(Clone)]
enum Test {
    Below(i64),
    AtLeast(i64),
    Above(i64),
    AtMost(i64),
    Between(i64, i64),
    Outside(i64, i64),
}

struct Meter {
    /// Per mille.
    share: i64,
    counts: i64,
    digit: i64,
    low: i64,
    high: i64,
}

struct Limits {
    meter: Meter,
    /// Each rule's comparison; every second is turned by `not`, so that both sides come up.
    rules: Vec<(Test, bool)>,
    shows: Vec<Test>,
}

fn number(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let value = value.abs();
    format!("{sign}{}.{:03} V", value / 1000, value % 1000)
}

impl Test {
    fn roll(dice: &mut Dice, meter: &Meter) -> Self {
        let mut limit = || match dice.roll(4) {
            0 => meter.low + meter.digit * dice.roll(8) as i64,
            1 => meter.high - meter.digit * dice.roll(8) as i64,
            2 => meter.low + dice.roll((meter.high - meter.low) as usize) as i64,
            _ => meter.low + (meter.high - meter.low) / 2,
        };
        let (x, wide) = (limit(), [1, 2, 4, 8, 20, 50][dice.roll(6)]);
        let y = x + wide * meter.digit / 2 + 1;
        match dice.roll(6) {
            0 => Test::Below(x),
            1 => Test::AtLeast(x),
            2 => Test::Above(x),
            3 => Test::AtMost(x),
            4 => Test::Between(x, y),
            _ => Test::Outside(x, y),
        }
    }

    fn words(&self) -> String {
        match self {
            Test::Below(x) => format!("r below {}", number(*x)),
            Test::AtLeast(x) => format!("r at least {}", number(*x)),
            Test::Above(x) => format!("r above {}", number(*x)),
            Test::AtMost(x) => format!("r at most {}", number(*x)),
            Test::Between(x, y) => format!("r between {} and {}", number(*x), number(*y)),
            Test::Outside(x, y) => format!("r outside {} to {}", number(*x), number(*y)),
        }
    }

    /// Whether it is so for a value in fine steps.
    fn at(&self, value: i64) -> bool {
        let fine = |x: &i64| x * FINE;
        match self {
            Test::Below(x) => value < fine(x),
            Test::AtLeast(x) => value >= fine(x),
            Test::Above(x) => value > fine(x),
            Test::AtMost(x) => value <= fine(x),
            Test::Between(x, y) => value >= fine(x) && value <= fine(y),
            Test::Outside(x, y) => value < fine(x) || value > fine(y),
        }
    }

    /// The limits in fine steps.
    fn limits(&self) -> Vec<i64> {
        match self {
            Test::Below(x) | Test::AtLeast(x) | Test::Above(x) | Test::AtMost(x) => vec![x * FINE],
            Test::Between(x, y) | Test::Outside(x, y) => vec![x * FINE, y * FINE],
        }
    }

    /// Whether all values between two are so, or all are not; both ends belong to it.
    fn over(&self, low: i64, high: i64) -> Option<bool> {
        let inside = self.limits().into_iter().flat_map(|x| [x - 1, x, x + 1]).filter(|x| (low..=high).contains(x));
        let mut all = [low, high].into_iter().chain(inside).map(|value| self.at(value));
        let first = all.next()?;
        all.all(|other| other == first).then_some(first)
    }
}

impl Meter {
    fn roll(dice: &mut Dice) -> Self {
        let digit = [1, 10, 100][dice.roll(3)];
        let low = [0, 0, -1000, 200][dice.roll(4)];
        Meter { share: [0, 5, 10, 30][dice.roll(4)], counts: dice.roll(4) as i64, digit, low, high: low + 4000 }
    }

    fn words(&self) -> String {
        format!("{}.{} % + {} digits of {}", self.share / 10, self.share % 10, self.counts, number(self.digit))
    }

    /// Which way a comparison can come out by some display; values in range that would make it so must be there at all.
    fn undecided(&self, test: &Test) -> Option<bool> {
        let displays = (self.low..=self.high).filter(|display| display % self.digit == 0);
        let mut seen: Vec<bool> = displays
            .filter_map(|display| {
                // Per mille of thousandths are millionths.
                let error = display.abs() * self.share + self.counts * self.digit * FINE;
                test.over(display * FINE - error, display * FINE + error)
            })
            .collect();
        // Above the range: anything beyond its upper end.
        let beyond = self.high * FINE;
        seen.extend(test.over(beyond + 1, i64::MAX / 4).filter(|_| test.limits().iter().all(|x| *x <= beyond)));
        let possible = |so: bool| {
            test.limits()
                .iter()
                .flat_map(|x| [x - 1, *x, x + 1])
                .chain([self.low * FINE, self.high * FINE])
                .filter(|x| (self.low * FINE..=self.high * FINE).contains(x))
                .any(|x| test.at(x) == so)
        };
        [true, false].into_iter().find(|so| possible(*so) && !seen.contains(so))
    }
}

impl Limits {
    fn roll(dice: &mut Dice) -> Self {
        let meter = Meter::roll(dice);
        let rules = (0..3).map(|n| (Test::roll(dice, &meter), n % 2 == 1)).collect();
        let shows = vec![Test::roll(dice, &meter)];
        Self { meter, rules, shows }
    }

    fn text(&self) -> String {
        let meter = &self.meter;
        let mut text = format!(
            "rulebook \"random limits\"\n  language 1\nreading r\n  unit V\n  from {} to {}\n  meter {}\nfault f\n",
            number(meter.low),
            number(meter.high),
            meter.words()
        );
        self.shows.iter().for_each(|test| text.push_str(&format!("  shows {}\n", test.words())));
        text.push_str("fault other\n");
        for (n, (test, turned)) in self.rules.iter().enumerate() {
            let words = if *turned { format!("not ({})", test.words()) } else { test.words() };
            text.push_str(&format!("rule r{n}:\n  {words}\n  rules out other\n"));
        }
        text
    }

    fn brute(&self) -> Found {
        let tests = self.rules.iter().map(|(test, _)| test).chain(&self.shows);
        let one = |test: &Test| Some(format!("`{}` {}", test.words(), self.meter.undecided(test)?));
        tests.filter_map(one).collect()
    }
}

fn told(asked: &Asked) -> Found {
    let one = |text: &&str| {
        let words = text.split('`').nth(1).unwrap();
        format!("`{words}` {}", text.contains("never be true"))
    };
    asked.said("limit-finer-than-meter").iter().map(one).collect()
}

#[test]
fn limits_are_found_as_every_display_of_the_meter_finds_them() {
    let results = held_against(400, |seed| {
        let book = Limits::roll(&mut Dice::of(seed));
        // What else is found there has tests of its own.
        let mut asked = ask(&book.text());
        asked.findings.retain(|finding| finding.id() == "limit-finer-than-meter");
        let (found, expected) = (told(&asked), book.brute());
        (asked, found, expected)
    });
    let count = |so: &str| results.iter().flatten().filter(|one| one.ends_with(so)).count();
    assert!(count("true") > 20 && count("false") > 20, "{} {}", count("true"), count("false"));
}

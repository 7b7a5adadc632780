//! The workload that evaluators are compared by: rules `(x < a) && (s == true) [&& x between b, c]`, every third chained
//! through an intermediate conclusion. As plain structs, and as a rulebook.
#![allow(dead_code, reason = "each benchmark uses a part of it")]

/// How many readings, and how many observations.
pub(crate) const WIDTH: usize = 8;
/// How many faults the rules speak of.
pub(crate) const FAULTS: usize = 256;

/// What was found.
#[derive(Clone, Debug)]
pub(crate) struct Fact {
    /// Readings in V.
    pub(crate) x: [f64; WIDTH],
    /// Answers.
    pub(crate) s: [bool; WIDTH],
}

impl Fact {
    pub(crate) fn headings() -> Vec<String> {
        let readings = (0..WIDTH).map(|n| format!("x{n}"));
        readings.chain((0..WIDTH).map(|n| format!("s{n}"))).collect()
    }

    /// As cells of a table; exact numbers, so that a limit is met or not and never too close to call.
    pub(crate) fn said(&self) -> Vec<String> {
        let readings = self.x.iter().map(|x| format!("{x:.2} V ± 0 V"));
        readings.chain(self.s.iter().map(|s| if *s { "yes".into() } else { "no".into() })).collect()
    }
}

/// One rule.
#[derive(Clone, Debug)]
pub(crate) struct Rule {
    pub(crate) x: usize,
    pub(crate) a: f64,
    pub(crate) s: usize,
    /// A reading that lies between two limits.
    pub(crate) between: Option<(usize, f64, f64)>,
    /// Whether the first comparison comes by an intermediate conclusion.
    pub(crate) chained: bool,
    /// The fault that it rules out.
    pub(crate) fault: usize,
}

impl Rule {
    pub(crate) fn all(count: usize) -> Vec<Self> {
        (0..count)
            .map(|n| Self {
                x: n % WIDTH,
                a: ((n * 37) % 3000) as f64 / 100.0,
                s: (n / WIDTH) % WIDTH,
                between: (n % 2 == 0).then(|| {
                    ((n + 3) % WIDTH, ((n * 13) % 1500) as f64 / 100.0, (1500 + (n * 7) % 1500) as f64 / 100.0)
                }),
                chained: n % 3 == 0,
                fault: (n * 31) % FAULTS,
            })
            .collect()
    }

    #[inline]
    pub(crate) fn fires(&self, fact: &Fact) -> bool {
        fact.x[self.x] < self.a && fact.s[self.s] && self.between.is_none_or(|(y, b, c)| (b..=c).contains(&fact.x[y]))
    }
}

/// So many facts, the same on every run.
pub(crate) fn facts(count: usize) -> Vec<Fact> {
    let mut state = 9_u64;
    let mut next = |sides: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % sides
    };
    (0..count)
        .map(|_| Fact {
            x: std::array::from_fn(|_| next(3200) as f64 / 100.0),
            s: std::array::from_fn(|_| next(2) == 0),
        })
        .collect()
}

/// The rules as a rulebook.
pub(crate) fn text(rules: &[Rule]) -> String {
    let mut text = String::from("rulebook \"Workload\"\n  language 1\n");
    for n in 0..WIDTH {
        text.push_str(&format!("reading x{n}\n  unit V\n  from 0 V to 32 V\nobservation s{n}\n  answers yes, no\n"));
    }
    for n in 0..FAULTS {
        text.push_str(&format!("fault f{n}\n  share 1\n"));
    }
    for (n, rule) in rules.iter().enumerate() {
        let mut first = format!("x{} below {:.2} V", rule.x, rule.a);
        if rule.chained {
            text.push_str(&format!("finding c{n} means {first}\n"));
            first = format!("c{n}");
        }
        text.push_str(&format!("rule n{n}:\n  {first}\n  and s{} is yes\n", rule.s));
        if let Some((y, b, c)) = rule.between {
            text.push_str(&format!("  and x{y} between {b:.2} V and {c:.2} V\n"));
        }
        text.push_str(&format!("  rules out f{}\n", rule.fault));
    }
    text
}

//! Where a sum that is no straight line in a reading is nought: a saturation temperature, a share. Found by looking for
//! changes of sign over what is possible, and kept for the rest of the run: advice asks the same of each answer that it
//! thinks of, and of each condition that names the sum. It must not know conditions.

use std::fmt::Write;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use crate::book::Value;
use crate::book::value::CallArgument;
use crate::kept::{Kept, Takes};
use crate::units::functions::Surroundings;
use crate::units::{Exact, Interval};

use super::range::{Filled, Values, range};

/// Into how many pieces a range is cut to look for changes of sign.
const PIECES: i64 = 48;
/// How often a piece is halved then: the cut is good to a millionth of the piece.
const HALVINGS: usize = 20;
/// Bytes of the sums that are kept, about: one takes some hundred.
const MOST_KEPT: usize = 4 << 20;

/// What stands in a slot of a sum.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Fill {
    /// The reading itself.
    Own,
    /// The middle of an entry, and how far off it may be.
    Known(Exact, Exact),
    /// Nothing that the sum needs.
    Nothing,
}

/// A place where a sum is nought.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Root {
    /// The value of the reading.
    pub(super) at: Exact,
    /// Whether the sum falls there.
    pub(super) falls: bool,
    /// How far off that value may be, for what the other entries may be off.
    pub(super) margin: Exact,
}

/// A sum as a function of a reading.
pub(super) struct Bent<'a> {
    /// The sum.
    pub(super) sum: &'a Value,
    /// By slot.
    pub(super) fills: &'a [Fill],
    /// What the reading may show, in base units.
    pub(super) ends: (Exact, Exact),
    /// What is measured outside the vehicle.
    pub(super) around: &'a Surroundings,
}

static KEPT: LazyLock<Mutex<Kept<String, Arc<[Root]>>>> = LazyLock::new(|| Mutex::new(Kept::within(MOST_KEPT)));

impl Takes for String {
    fn takes(&self) -> usize {
        size_of::<String>() + self.len()
    }
}

impl Takes for Arc<[Root]> {
    fn takes(&self) -> usize {
        size_of_val(&**self)
    }
}

impl Bent<'_> {
    /// Where it is nought, lowest first.
    pub(super) fn roots(&self) -> Arc<[Root]> {
        let key = self.key();
        if let Some(known) = KEPT.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return known;
        }
        let found: Arc<[Root]> = self.find().into();
        KEPT.lock().unwrap_or_else(PoisonError::into_inner).keep(key, found.clone());
        found
    }

    fn find(&self) -> Vec<Root> {
        let (low, high) = &self.ends;
        let step = (high - low).checked_div(&Exact::from_int(PIECES)).unwrap_or_default();
        let middles = self.filled(|centre, _| Interval::point(centre.clone()));
        let wide = self.filled(|centre, half| Interval::around(centre.clone(), half.clone()));
        let at = |x: &Exact| self.with(&middles, x)?.centre();
        let root = |(x, falls): (Exact, bool)| {
            // By how much the sum may be off there, over how steep it is.
            let off = self.with(&wide, &x).and_then(|range| range.width()).unwrap_or_default();
            let rise = at(&(&x + &step)).zip(at(&x)).map_or_else(Exact::zero, |(after, here)| (&after - &here).abs());
            let margin = (&off * &step).checked_div(&rise).unwrap_or_default().half();
            Root { at: x, falls, margin }
        };
        changes(low, high, at).into_iter().map(root).collect()
    }

    fn filled(&self, of: impl Fn(&Exact, &Exact) -> Interval) -> Vec<Option<Interval>> {
        let fill = |fill: &Fill| if let Fill::Known(centre, half) = fill { Some(of(centre, half)) } else { None };
        self.fills.iter().map(fill).collect()
    }

    fn with(&self, known: &[Option<Interval>], x: &Exact) -> Option<Interval> {
        let point = Interval::point(x.clone());
        let filled = self.fills.iter().zip(known);
        let slots = filled.map(|(fill, known)| if *fill == Fill::Own { Some(&point) } else { known.as_ref() });
        let slots = slots.map(|value| value.map(Filled::range)).collect();
        range(self.sum, &Values { slots, around: self.around })
    }

    /// All that the answer depends on, as text: two sums of the same make in different conditions are one.
    fn key(&self) -> String {
        let mut key = String::new();
        let _ = write!(key, "{:?} {:?} ", self.ends, self.around);
        self.describe(self.sum, &mut key);
        key
    }

    fn describe(&self, value: &Value, key: &mut String) {
        let mut pair = |sign: char, a: &Value, b: &Value| {
            key.push(sign);
            self.describe(a, key);
            self.describe(b, key);
        };
        match value {
            Value::Sum(a, b) => pair('+', a, b),
            Value::Difference(a, b) => pair('-', a, b),
            Value::Product(a, b) => pair('*', a, b),
            Value::Quotient(a, b) => pair('/', a, b),
            Value::Constant(number) => drop(write!(key, "({number:?})")),
            Value::Slot(slot) => drop(write!(key, "[{:?}]", self.fills.get(slot.place()))),
            Value::Negative(inner) => {
                key.push('~');
                self.describe(inner, key);
            }
            Value::Joined(inner, asked, _) => {
                let _ = write!(key, "{asked:?}");
                self.describe(inner, key);
            }
            Value::Call(function, arguments) => {
                let _ = write!(key, "{}(", function.name);
                for argument in arguments {
                    match argument {
                        CallArgument::Value(value, dimension) => {
                            let _ = write!(key, "{dimension:?}:");
                            self.describe(value, key);
                        }
                        CallArgument::Word(word) => drop(write!(key, "{word:?}")),
                    }
                    key.push(',');
                }
                key.push(')');
            }
        }
    }
}

/// Where a function changes its sign between two ends, and whether it falls there.
fn changes(low: &Exact, high: &Exact, at: impl Fn(&Exact) -> Option<Exact>) -> Vec<(Exact, bool)> {
    let Some(step) = (high - low).checked_div(&Exact::from_int(PIECES)) else { return Vec::new() };
    let points: Vec<(Exact, Option<bool>)> = (0..=PIECES)
        .map(|n| {
            let x = low + &(&step * &Exact::from_int(n));
            let negative = at(&x).map(|y| y.is_negative());
            (x, negative)
        })
        .collect();
    let mut found = Vec::new();
    for pair in points.windows(2) {
        let [(from, Some(before)), (to, Some(after))] = pair else { continue };
        if before == after {
            continue;
        }
        let (mut a, mut b) = (from.clone(), to.clone());
        for _ in 0..HALVINGS {
            let middle = (&a + &b).half();
            match at(&middle).map(|y| y.is_negative()) {
                Some(negative) if negative == *before => a = middle,
                Some(_) => b = middle,
                None => break,
            }
        }
        let middle = (&a + &b).half();
        let width = (&b - &a).to_f64();
        found.push((tidy(&middle, width), *after));
    }
    found
}

/// The number with the fewest decimals within a width: a cut at 12.5000003 is meant to be 12.5.
fn tidy(number: &Exact, width: f64) -> Exact {
    (0..12)
        .map(|decimals| number.rounded(decimals))
        .find(|short| (short - number).abs().to_f64() <= width)
        .unwrap_or_else(|| number.clone())
}

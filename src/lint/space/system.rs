//! Unknowns with what is known of them: a range or some answers each, and sums of readings that lie below nought.
//! Whether all of it can hold at once is decided exactly, by taking one unknown out after the other (Fourier 1826,
//! Motzkin 1936); a sample is taken the other way round. Knows nothing of books.

use crate::book::Mask;
use crate::units::{Bound, Exact, Interval};

/// The number of an unknown.
pub(crate) type Var = usize;

/// The most sums that are held while unknowns are taken out.
const MOST_SUMS: usize = 600;

/// What an unknown may be.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Domain {
    /// A number in base units.
    Number(Interval),
    /// One of these answers.
    Answers(Mask),
}

/// A sum that lies below nought.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Under {
    /// Unknowns with their factors, sorted, none with factor nought.
    pub(crate) terms: Vec<(Var, Exact)>,
    /// What is added.
    pub(crate) constant: Exact,
    /// Whether nought itself is left out.
    pub(crate) strict: bool,
}

impl Under {
    /// From factors in any order.
    pub(crate) fn new(factors: impl IntoIterator<Item = (Var, Exact)>, constant: Exact, strict: bool) -> Self {
        let mut terms: Vec<(Var, Exact)> = Vec::new();
        for (var, factor) in factors {
            match terms.iter_mut().find(|(other, _)| *other == var) {
                Some((_, sum)) => *sum = &*sum + &factor,
                None => terms.push((var, factor)),
            }
        }
        terms.retain(|(_, factor)| !factor.is_zero());
        terms.sort_by_key(|(var, _)| *var);
        Self { terms, constant, strict }
    }

    /// The opposite.
    pub(crate) fn not(&self) -> Self {
        let terms = self.terms.iter().map(|(var, factor)| (*var, -factor)).collect();
        Self { terms, constant: -&self.constant, strict: !self.strict }
    }

    fn factor(&self, var: Var) -> Option<&Exact> {
        let at = self.terms.binary_search_by_key(&var, |(var, _)| *var).ok()?;
        self.terms.get(at).map(|(_, factor)| factor)
    }

    /// Whether it holds where it has no unknowns.
    pub(crate) fn holds(&self) -> bool {
        self.constant.is_negative() || (!self.strict && self.constant.is_zero())
    }

    /// The range of its only unknown.
    fn range(&self) -> Option<(Var, Interval)> {
        let [(var, factor)] = self.terms.as_slice() else { return None };
        let end = (-&self.constant).checked_div(factor)?;
        let end = if self.strict { Bound::Open(end) } else { Bound::Closed(end) };
        let range = if factor.is_negative() {
            Interval { low: end, high: Bound::Unbounded }
        } else {
            Interval { low: Bound::Unbounded, high: end }
        };
        Some((*var, range))
    }
}

/// What is known of all unknowns.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct System {
    /// By unknown.
    pub(crate) domains: Vec<Domain>,
    /// Sums of several unknowns.
    sums: Vec<Under>,
}

impl System {
    /// Nothing known but the domains.
    pub(crate) fn new(domains: Vec<Domain>) -> Self {
        Self { domains, sums: Vec::new() }
    }

    /// Adds that an unknown is one of these answers; whether that can be.
    pub(crate) fn answers(&mut self, var: Var, mask: Mask) -> bool {
        match self.domains.get_mut(var) {
            Some(Domain::Answers(left)) => {
                *left &= mask;
                *left != 0
            }
            _ => false,
        }
    }

    /// Adds that a sum lies below nought; `false` where that can be seen not to be.
    pub(crate) fn under(&mut self, sum: &Under) -> bool {
        if sum.terms.is_empty() {
            return sum.holds();
        }
        if let Some((var, range)) = sum.range() {
            return self.narrow(var, &range);
        }
        if !self.sums.contains(sum) {
            self.sums.push(sum.clone());
        }
        true
    }

    fn narrow(&mut self, var: Var, range: &Interval) -> bool {
        let Some(Domain::Number(known)) = self.domains.get_mut(var) else { return false };
        match known.intersection(range) {
            Some(left) => {
                *known = left;
                true
            }
            None => false,
        }
    }

    /// Whether all of it can hold at once; none where that takes too many sums.
    pub(crate) fn is_possible(&self) -> Option<bool> {
        if self.sums.is_empty() {
            return Some(true);
        }
        let left = self.without(|_| true)?;
        Some(left.iter().all(Under::holds))
    }

    /// The values that an unknown may have while all the rest holds; none where there are none, or too many sums.
    pub(crate) fn range_of(&self, var: Var) -> Option<Interval> {
        let Some(Domain::Number(own)) = self.domains.get(var) else { return None };
        let mut range = own.clone();
        if self.sums.iter().all(|sum| sum.factor(var).is_none()) {
            return Some(range);
        }
        for sum in self.without(|other| other != var)? {
            match sum.range() {
                Some((_, part)) => range = range.intersection(&part)?,
                None if sum.holds() => {}
                None => return None,
            }
        }
        Some(range)
    }

    /// Holds an unknown to one value.
    pub(crate) fn fix(&mut self, var: Var, value: Exact) -> bool {
        self.narrow(var, &Interval::point(value))
    }

    /// What is known once some unknowns are taken out.
    fn without(&self, gone: impl Fn(Var) -> bool) -> Option<Vec<Under>> {
        let mut sums = self.sums.clone();
        let mut vars: Vec<Var> = sums.iter().flat_map(|sum| sum.terms.iter().map(|(var, _)| *var)).collect();
        vars.sort_unstable();
        vars.dedup();
        for var in &vars {
            if let Some(Domain::Number(range)) = self.domains.get(*var) {
                sums.extend(ends(*var, range));
            }
        }
        vars.retain(|var| gone(*var));
        let tracked = sums.len() <= u128::BITS as usize;
        let given = sums.into_iter().enumerate();
        let mut sums: Vec<Derived> = given.map(|(n, sum)| Derived { sum, from: tracked.then(|| 1 << n) }).collect();
        let mut taken = 0;
        while !vars.is_empty() {
            let least = vars.iter().enumerate().min_by_key(|(_, var)| pairs(&sums, **var)).map(|(at, _)| at)?;
            taken += 1;
            sums = taken_out(&sums, vars.swap_remove(least), taken);
            if sums.len() > MOST_SUMS {
                return None;
            }
        }
        Some(sums.into_iter().map(|derived| derived.sum).collect())
    }
}

/// That an unknown lies in a range.
pub(crate) fn ends(var: Var, range: &Interval) -> Vec<Under> {
    let mut all = Vec::new();
    if let Some(low) = range.low.value() {
        all.push(Under::new([(var, -Exact::one())], low.clone(), !range.low.is_closed()));
    }
    if let Some(high) = range.high.value() {
        all.push(Under::new([(var, Exact::one())], -high, !range.high.is_closed()));
    }
    all
}

/// A sum that followed from others, with the set of those that it came from, by number; none where there are too many.
struct Derived {
    sum: Under,
    from: Option<u128>,
}

/// How many sums come of taking an unknown out.
fn pairs(sums: &[Derived], var: Var) -> usize {
    let signs = sums.iter().filter_map(|derived| derived.sum.factor(var)).map(Exact::is_negative);
    let (low, high): (Vec<bool>, Vec<bool>) = signs.partition(|negative| *negative);
    low.len() * high.len()
}

/// The sums without an unknown, the nth that is taken out. One that comes from more than n + 1 of the first sums, or from all
/// that another comes from, says nothing new (Chernikov 1960; Kohler 1967).
fn taken_out(sums: &[Derived], var: Var, nth: u32) -> Vec<Derived> {
    let mut left: Vec<Derived> = Vec::new();
    let (mut lower, mut upper): (Vec<(Scaled<'_>, _)>, Vec<(Scaled<'_>, _)>) = (Vec::new(), Vec::new());
    for Derived { sum, from } in sums {
        match sum.factor(var) {
            None => left.push(Derived { sum: sum.clone(), from: *from }),
            Some(factor) => {
                let scale = Exact::one().checked_div(&factor.abs()).unwrap_or_else(Exact::one);
                if factor.is_negative() { &mut lower } else { &mut upper }.push(((sum, scale), *from));
            }
        }
    }
    for (low, low_from) in &lower {
        for (high, high_from) in &upper {
            let from = low_from.zip(*high_from).map(|(low, high)| low | high);
            let covers = |other: &Derived| other.from.zip(from).is_some_and(|(other, from)| other & !from == 0);
            if from.is_some_and(|from| from.count_ones() > nth + 1) || left.iter().any(covers) {
                continue;
            }
            let joined = joined(low, high);
            let idle = joined.terms.is_empty() && joined.holds();
            if !idle && (from.is_some() || !left.iter().any(|other| other.sum == joined)) {
                left.push(Derived { sum: joined, from });
            }
            if left.len() > MOST_SUMS {
                return left;
            }
        }
    }
    left
}

/// A sum with what it is multiplied by.
type Scaled<'s> = (&'s Under, Exact);

fn joined(low: &Scaled<'_>, high: &Scaled<'_>) -> Under {
    let terms = |(sum, scale): &Scaled<'_>| {
        sum.terms.iter().map(|(var, factor)| (*var, factor * scale)).collect::<Vec<(Var, Exact)>>()
    };
    let constant = &low.0.constant * &low.1 + &high.0.constant * &high.1;
    Under::new(terms(low).into_iter().chain(terms(high)), constant, low.0.strict || high.0.strict)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Exact {
        Exact::parse(text).unwrap()
    }

    fn range(low: &str, high: &str) -> Domain {
        Domain::Number(Interval::between(number(low), number(high)))
    }

    fn sum(terms: &[(Var, i64)], constant: &str, strict: bool) -> Under {
        Under::new(terms.iter().map(|(var, factor)| (*var, Exact::from_int(*factor))), number(constant), strict)
    }

    #[test]
    fn two_sums_that_touch_meet_only_where_both_ends_belong() {
        // x + y <= 1 and x + y >= 1 meet; with either end left out they don't.
        let mut system = System::new(vec![range("0", "9"), range("0", "9")]);
        assert!(system.under(&sum(&[(0, 1), (1, 1)], "-1", false)));
        let mut open = system.clone();
        assert!(system.under(&sum(&[(0, -1), (1, -1)], "1", false)));
        assert_eq!(system.is_possible(), Some(true));
        assert!(open.under(&sum(&[(0, -1), (1, -1)], "1", true)));
        assert_eq!(open.is_possible(), Some(false));
    }

    #[test]
    fn the_range_of_one_follows_from_the_others() {
        // x - y < -3 with y up to 5: x below 2.
        let mut system = System::new(vec![range("0", "9"), range("0", "5")]);
        assert!(system.under(&sum(&[(0, 1), (1, -1)], "3", true)));
        let found = system.range_of(0).unwrap();
        assert_eq!(found, Interval { low: Bound::Closed(number("0")), high: Bound::Open(number("2")) });
        assert!(system.fix(0, number("1")));
        assert_eq!(system.range_of(1).unwrap().low, Bound::Open(number("4")));
    }

    #[test]
    fn an_end_of_its_own_narrows_at_once() {
        let mut system = System::new(vec![range("0", "9"), Domain::Answers(0b11)]);
        assert!(system.under(&sum(&[(0, 2)], "-4", true)));
        assert_eq!(
            system.domains[0],
            Domain::Number(Interval { low: Bound::Closed(number("0")), high: Bound::Open(number("2")) })
        );
        assert!(!system.under(&sum(&[(0, -1)], "2", false)));
        assert!(system.answers(1, 0b10) && !system.answers(1, 0b01));
    }
}

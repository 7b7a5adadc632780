//! How likely each answer of a test is if some faults are there: from what they show, and from the rules, which leave no
//! room for some answers. Where nothing is said, the answers that are left room for are equally likely.

use crate::book::{Book, Conclusion, FaultId, RuleId};

use super::truth::Truth;

/// How often a fault that should show something is masked by another that is there too: 1 in 10, the language's own
/// figure.
pub const MASKED: f64 = 0.1;

/// A `shows` over one test: whether it holds in each answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Claim {
    /// Whose.
    pub fault: FaultId,
    /// Which of its `shows`.
    pub nth: usize,
    /// In how many cases: 1 for always.
    pub chance: f64,
    /// By answer: false where it fails.
    pub truths: Vec<Truth>,
}

impl Claim {
    fn fails_at(&self, answer: usize) -> bool {
        self.truths.get(answer) == Some(&Truth::False)
    }
}

/// What a circuit says of the answers of one test, if just these faults are there.
#[derive(Clone, PartialEq, Debug)]
pub struct Barred {
    /// The faults.
    pub faults: Vec<FaultId>,
    /// By answer: whether the circuit could not show it.
    pub answers: Vec<bool>,
    /// Whether that rules it out; else it speaks against it.
    pub exact: bool,
}

/// What the book says of the answers of one test.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Table {
    /// What faults show there, in book order.
    pub claims: Vec<Claim>,
    /// By answer: the rules that it would make apply.
    pub applied: Vec<Vec<RuleId>>,
    /// What circuits leave no room for.
    pub barred: Vec<Barred>,
    /// How answers are shared out where nothing is said, in proportion; empty if they are equally likely, as the language
    /// weighs what was found.
    pub usual: Vec<f64>,
    /// Under a provoking state, where some faults show something only sometimes: how often one shows it of which the
    /// book says nothing there.
    pub silent: Option<f64>,
}

/// Whether rules that only change odds count.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Odds {
    /// They are factors of their own.
    Apart,
    /// They shift the chances of the answers.
    Counted,
}

/// In how many cases a `shows` holds: 1 for always.
pub fn chance_of(book: &Book, fault: FaultId, nth: usize) -> f64 {
    let chance = book.faults.get(fault.place()).and_then(|fault| fault.shows.get(nth)).and_then(|shows| shows.chance);
    chance.map_or(1.0, |(m, n)| f64::from(m) / f64::from(n.max(1)))
}

/// How often a fault of which the book says nothing shows what others show only sometimes, under a state that provokes:
/// 1 in 10 at most, and at most half as often as the least that any fault claims. So a try that shows nothing always
/// lowers the odds of those that claim it.
pub fn silent_share(chances: impl Iterator<Item = f64>) -> Option<f64> {
    let least = chances.filter(|chance| *chance < 1.0).fold(f64::INFINITY, f64::min);
    least.is_finite().then(|| (least / 2.0).min(MASKED))
}

impl Table {
    /// Fills in what silence means for a test that is a try.
    #[must_use]
    pub fn with_silence(self, is_try: bool) -> Self {
        let silent = silent_share(self.claims.iter().map(|claim| claim.chance)).filter(|_| is_try);
        Self { silent, ..self }
    }

    /// The chances where the book says nothing of these faults in a try: what only some show is rare. `None` where it says
    /// something, or the test is none.
    fn quiet_row(&self, room: &[f64], set: &[FaultId]) -> Option<Vec<f64>> {
        let share = self.silent?;
        if self.claims.iter().any(|claim| set.contains(&claim.fault)) {
            return None;
        }
        let sometimes =
            |answer: usize| self.claims.iter().any(|c| c.chance < 1.0 && c.truths.get(answer) == Some(&Truth::True));
        let shown: Vec<bool> = (0..room.len()).map(sometimes).collect();
        let count = |wanted: bool| {
            let open = room.iter().zip(&shown).filter(|(room, shown)| **room > 0.0 && **shown == wanted);
            open.count()
        };
        let (some, none) = (count(true), count(false));
        if some == 0 || none == 0 {
            return None;
        }
        let each = |(room, shown): (&f64, &bool)| {
            room * if *shown { share / some as f64 } else { (1.0 - share) / none as f64 }
        };
        let row: Vec<f64> = room.iter().zip(&shown).map(each).collect();
        let all: f64 = row.iter().sum();
        Some(row.into_iter().map(|chance| chance / all).collect())
    }

    /// How many answers there are.
    pub fn answers(&self) -> usize {
        self.applied.len()
    }

    /// By fault: whether the book says anything of it by itself there.
    pub fn mentioned(&self, book: &Book) -> Vec<bool> {
        let mut marks = vec![false; book.faults.len()];
        let concluded = self.applied.iter().flatten().flat_map(|rule| &book.rule(*rule).conclusions).flat_map(names);
        let barred = self.barred.iter().flat_map(|barred| &barred.faults);
        for fault in self.claims.iter().map(|claim| &claim.fault).chain(concluded).chain(barred) {
            if let Some(mark) = marks.get_mut(fault.place()) {
                *mark = true;
            }
        }
        marks
    }

    /// Whether two answers lead to the same.
    pub fn same_answer(&self, one: usize, other: usize) -> bool {
        self.applied.get(one) == self.applied.get(other)
            && self.claims.iter().all(|claim| claim.truths.get(one) == claim.truths.get(other))
            && self.barred.iter().all(|barred| barred.answers.get(one) == barred.answers.get(other))
    }

    /// The chance of each answer if these faults are there (none: what the book doesn't cover). The sum is 1, save where
    /// one fault may mask what a single other shows: that answer counts as 1 in 10.
    pub fn row(&self, book: &Book, set: &[FaultId], odds: Odds) -> Vec<f64> {
        let count = self.answers();
        let usual: Vec<f64> = (0..count).map(|answer| self.usual.get(answer).copied().unwrap_or(1.0)).collect();
        if set.is_empty() {
            let all: f64 = usual.iter().sum();
            let alike = || usual.iter().map(|chance| chance / all).collect();
            return self.quiet_row(&vec![1.0; count], set).unwrap_or_else(alike);
        }
        let plain: Vec<f64> = (0..count).map(|answer| self.room(book, answer, set, odds)).collect();
        if let Some(row) = self.quiet_row(&plain, set) {
            return row;
        }
        let room: Vec<f64> = usual.iter().zip(&plain).map(|(usual, room)| usual * room).collect();
        let mut row = room.clone();
        let mut spread = 0;
        for (place, claim) in self.claims.iter().enumerate() {
            let same = |other: &&Claim| set.contains(&other.fault) && other.truths == claim.truths;
            let earlier = self.claims.iter().take(place);
            if set.contains(&claim.fault) && !earlier.into_iter().any(|other| same(&other)) {
                let share = self.claims.iter().filter(same).map(|claim| claim.chance).fold(0.0, f64::max);
                let left: Vec<f64> = usual.iter().zip(&room).map(|(u, r)| if *r > 0.0 { *u } else { 0.0 }).collect();
                spread += usize::from(spread_share(&mut row, &left, claim, share, set));
            }
        }
        let all: f64 = row.iter().sum();
        if all <= 0.0 {
            return room;
        }
        let masked = spread == 1 && set.len() > 1 && odds == Odds::Apart;
        if !masked {
            row.iter_mut().for_each(|chance| *chance /= all);
        }
        row
    }

    /// 0 where rules leave no room for an answer or every member's own `shows` fails; else 1, times the odds that rules
    /// give where they count.
    fn room(&self, book: &Book, answer: usize, set: &[FaultId], odds: Odds) -> f64 {
        let fails =
            |member: &FaultId| self.claims.iter().any(|c| c.fault == *member && c.chance >= 1.0 && c.fails_at(answer));
        if set.iter().all(fails) {
            return 0.0;
        }
        let mut room = 1.0;
        for barred in
            self.barred.iter().filter(|barred| barred.faults == set && barred.answers.get(answer) == Some(&true))
        {
            match barred.exact {
                true => return 0.0,
                false if odds == Odds::Counted => room /= super::circuits::AGAINST,
                false => {}
            }
        }
        for conclusion in self.applied.get(answer).into_iter().flatten().flat_map(|rule| &book.rule(*rule).conclusions)
        {
            let members = names(conclusion).iter().filter(|fault| set.contains(fault)).count();
            match conclusion {
                Conclusion::RulesOut(_) if members > 0 => return 0.0,
                Conclusion::Implies(faults) if members < faults.len() => return 0.0,
                Conclusion::ImpliesOneOf(_) if members == 0 => return 0.0,
                Conclusion::Odds(_, factor) if odds == Odds::Counted => {
                    (0..members).for_each(|_| room *= factor.to_f64())
                }
                _ => {}
            }
        }
        room
    }
}

/// Multiplies in one `shows`: its share over the answers `left` where it holds, the rest over the others. Whether it told
/// any of them apart.
fn spread_share(row: &mut [f64], left: &[f64], claim: &Claim, share: f64, set: &[FaultId]) -> bool {
    let open = |fails: bool| -> f64 {
        let all: f64 = left.iter().enumerate().filter(|(n, _)| claim.fails_at(*n) == fails).map(|(_, left)| left).sum();
        if all > 0.0 { all } else { 1.0 }
    };
    let (holding, failing) = (open(false), open(true));
    let decides = (0..left.len()).any(|n| claim.fails_at(n)) && (0..left.len()).any(|n| !claim.fails_at(n));
    if !decides {
        return false;
    }
    let rest = if set.len() > 1 { (1.0 - share).max(MASKED) } else { 1.0 - share };
    for (answer, chance) in row.iter_mut().enumerate() {
        *chance *= if claim.fails_at(answer) { rest / failing } else { share / holding };
    }
    true
}

/// The faults that a conclusion names.
pub fn names(conclusion: &Conclusion) -> &[FaultId] {
    match conclusion {
        Conclusion::Implies(faults)
        | Conclusion::ImpliesOneOf(faults)
        | Conclusion::RulesOut(faults)
        | Conclusion::Odds(faults, _) => faults,
    }
}

//! The one kind of state that needs no search: every test on offer singles out one group.
//!
//! Then a plan is an order of these tests, and swapping neighbours shows that falling p / C is the best order of
//! those that are taken (Kadane & Simon 1977; Mitten 1960). All are taken if two groups or more have no test of their
//! own. If at most one has none, the last group is known without a test of its own: that one, or, if each has one,
//! whichever is best left to the last. Trying each as the last makes it exact.

use super::gain::rounded;
use super::matrix::Matrix;
use super::offer::Offer;
use super::search::SAME;
use super::view::View;

/// The test of one group.
struct Turn {
    column: usize,
    test: usize,
    cost: f64,
    weight: f64,
}

/// The cost of the best plan and its first column, if every test on offer singles out one group.
pub(super) fn solve(matrix: &Matrix, view: &View<'_>, offers: &[Offer]) -> Option<(f64, usize)> {
    let first = offers.first()?;
    if view.members.len() == 2 && !first.open {
        return Some((first.cost, first.column));
    }
    let turn = |offer: &Offer| {
        let weight = offer.single?;
        Some(Turn { column: offer.column, test: matrix.columns[offer.column].test, cost: offer.cost, weight })
    };
    let mut turns: Vec<Turn> = offers.iter().map(turn).collect::<Option<_>>()?;
    turns.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then(a.test.cmp(&b.test)));
    if turns.len() < view.members.len() {
        let (all, _) = without(&turns, None);
        return turns.first().map(|turn| (all, turn.column));
    }
    let mut best: Option<(f64, usize, usize)> = None;
    for last in 0..turns.len() {
        let (cost, start) = without(&turns, Some(last));
        let better = best.is_none_or(|(least, _, test)| {
            let same = (cost - least).abs() <= SAME * least;
            if same { turns[start].test < test } else { cost < least }
        });
        if better {
            best = Some((cost, turns[start].column, turns[start].test));
        }
    }
    best.map(|(cost, column, _)| (cost, column))
}

fn worth(turn: &Turn) -> f64 {
    if turn.cost > 0.0 { rounded(turn.weight / turn.cost) } else { f64::INFINITY }
}

/// The cost of the turns in order, with one left out, and the place of the first taken.
fn without(turns: &[Turn], last: Option<usize>) -> (f64, usize) {
    let (mut cost, mut left) = (0.0, 1.0);
    for (place, turn) in turns.iter().enumerate() {
        if Some(place) != last {
            cost += turn.cost * f64::max(left, 0.0);
            left -= turn.weight;
        }
    }
    (cost, usize::from(last == Some(0)))
}

//! What a plan costs at least, without searching it.
//!
//! Seven bounds, each for another kind of book, and the largest counts: the [Huffman](super::huffman),
//! [pair](super::pairs), [chain](super::chain), [purse](super::purse), [need](super::needs), [cover](super::cover) and
//! [parting](super::parting) bounds, each with its proof. The last is asked of the start only, where hypotheses leave tests open. All values are
//! per unit of weight of the state. All hold for tests with any number of answers and for groups that leave a test
//! open.
//!
//! **Common ground.** Say that two groups are *apart* if some test leaves them no common answer. They never share a
//! leaf of a finished plan: where both are left, that test was not taken, and so is on offer. If every group decides
//! every test, all pairs are apart, because equal groups were merged. The *core* of a state is a set of groups of
//! which every pair is apart. A test on offer further down a plan is on offer now, with at least as many answers; no
//! test is taken twice on a path.

use super::chain::chain;
use super::core::{Core, core};
use super::costs::Costs;
use super::huffman::huffman;
use super::matrix::Matrix;
use super::offer::{Offers, offers};
use super::pairs::pairs;
use super::parting::parting;
use super::problem::Problem;
use super::purse::purse;
use super::refused::Refused;
use super::state::State;
use super::view::View;

/// What any measuring order costs at least, by seven proofs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The convex Huffman bound: no tree is shorter on average than the Huffman code.
    pub huffman: f64,
    /// The pair bound: every two hypotheses must be parted once. 0 where nothing is to be parted.
    pub pairs: f64,
    /// The chain bound: what each test takes off is small, and the rest is carried on.
    pub chain: f64,
    /// The purse bound: information has to be bought. 0 where all tests cost the same.
    pub purse: f64,
    /// The need bound: what is parted by dear tests only has to be paid. 0 where all tests cost the same.
    pub needs: f64,
    /// The cover bound: each hypothesis must be touched by a test, and only one test can come first. 0 where tests differ in
    /// cost, have more than two answers, or touch many.
    pub cover: f64,
    /// The parting bound: each other hypothesis must be ruled out, or all tests that could do it taken. 0 where all
    /// hypotheses decide all tests, for there the others are better.
    pub parting: f64,
}

impl Bounds {
    const NONE: Self = Self { huffman: 0.0, pairs: 0.0, chain: 0.0, purse: 0.0, needs: 0.0, cover: 0.0, parting: 0.0 };

    /// The largest of the seven.
    #[must_use]
    pub fn best(&self) -> f64 {
        let all = [self.huffman, self.pairs, self.chain, self.purse, self.needs, self.cover, self.parting];
        all.into_iter().fold(0.0, f64::max)
    }
}

/// What any measuring order of this problem costs at least, without searching for one.
///
/// # Errors
/// If the numbers do not make sense, see [`Problem::check`].
pub fn bounds(problem: &Problem) -> Result<Bounds, Refused> {
    problem.check()?;
    let matrix = Matrix::new(problem);
    let start = State::start(&matrix);
    let view = start.view(&matrix);
    Ok(of_start(&matrix, &view, &offers(&matrix, &start, &view)))
}

/// All bounds of a state, that included which takes long.
pub(super) fn of_start(matrix: &Matrix, view: &View<'_>, offers: &Offers) -> Bounds {
    let parting = if matrix.apart.is_some() { parting(matrix, view, &offers.list) } else { 0.0 };
    Bounds { parting, ..of_state(matrix, view, offers, f64::INFINITY) }
}

/// The bounds of a state with these offers save the parting bound, the quick ones first, until one comes to `enough`.
pub(super) fn of_state(matrix: &Matrix, view: &View<'_>, offers: &Offers, enough: f64) -> Bounds {
    if offers.list.is_empty() {
        return Bounds::NONE;
    }
    let (groups, costs) = (core(matrix, view), Costs::new(&offers.list));
    let mut bounds = Bounds { huffman: huffman(&groups.weights, 1.0, &costs, None), ..Bounds::NONE };
    if bounds.huffman >= enough {
        return bounds;
    }
    if let (Some(plain), false) = (&view.plain, matrix.needs.is_empty()) {
        bounds.needs = matrix.needs.bound(view, plain, &costs);
        if bounds.needs >= enough {
            return bounds;
        }
    }
    let core = Core::new(matrix, &groups, &offers.list, &costs);
    if core.weight > 0.0 {
        bounds.chain = chain(&core, &costs);
        if bounds.chain < enough {
            bounds.purse = purse(&core);
        }
    }
    if bounds.best() < enough {
        bounds.pairs = pairs(matrix, view, offers);
    }
    if let (Some(cover), Some(plain), true) = (&matrix.cover, &view.plain, bounds.best() < enough) {
        bounds.cover = cover.bound(view, plain, &offers.list, enough);
    }
    bounds
}

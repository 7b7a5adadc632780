//! Writes a measuring order out: the likeliest places first, places reached twice only once.
//!
//! It must not know how tests are chosen.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};

use super::matrix::Matrix;
use super::state::State;
use super::tree::{Branch, Node, Step, Tree};
use super::view::{Tally, View};

/// What a test costs, and whether that depends on the one before.
pub(super) enum Prices<'a> {
    /// Each test has the cost given in the problem.
    Fixed,
    /// `table[previous + 1][test]`, row 0 for the vehicle as it stands, in test numbers.
    After(&'a [Vec<f64>]),
}

impl Prices<'_> {
    /// The cost of a column after the test `previous`.
    pub(super) fn of(&self, matrix: &Matrix, previous: Option<usize>, at: usize) -> f64 {
        let column = &matrix.columns[at];
        match self {
            Self::Fixed => column.cost,
            Self::After(table) => table[previous.map_or(0, |test| test + 1)][column.test],
        }
    }
}

/// Gives the column to measure in a state, or none to stop. It also gets the state's view and the test before.
pub(super) type Choose<'c> = dyn FnMut(&State, &View<'_>, Option<usize>) -> Option<usize> + 'c;

/// A place where the order may stand: the state and, if costs depend on it, the test before.
type Place = (State, Option<usize>);

struct Sketch {
    place: Place,
    mass: f64,
    offered: usize,
    at_most: f64,
    step: Option<(usize, Vec<Branch>)>,
}

/// Writes out the order that `choose` gives, the likeliest places first, until `most` nodes have been given
/// a test. `standing` is the test before the first.
pub(super) fn grow(
    matrix: &Matrix,
    prices: &Prices<'_>,
    standing: Option<usize>,
    most: usize,
    choose: &mut Choose<'_>,
) -> Tree {
    let mut growth = Growth { matrix, prices, sketches: Vec::new(), known: HashMap::new() };
    let start = if matches!(prices, Prices::Fixed) { None } else { standing };
    growth.place((State::start(matrix), start));
    let mut queue = BinaryHeap::from([(order(1.0), Reverse(0))]);
    let mut given = 0;
    while let Some((_, Reverse(number))) = queue.pop() {
        if given >= most {
            break;
        }
        if let Some(fresh) = growth.write(number, choose) {
            given += 1;
            queue.extend(fresh.into_iter().map(|next| (order(growth.sketches[next].mass), Reverse(next))));
        }
    }
    growth.finish()
}

/// Bits of a number that is not negative sort like the number.
fn order(mass: f64) -> u64 {
    mass.max(0.0).to_bits()
}

struct Growth<'a> {
    matrix: &'a Matrix,
    prices: &'a Prices<'a>,
    sketches: Vec<Sketch>,
    known: HashMap<Place, usize>,
}

impl Growth<'_> {
    /// The number of a place, and whether it is new.
    fn place(&mut self, place: Place) -> (usize, bool) {
        if let Some(&number) = self.known.get(&place) {
            return (number, false);
        }
        let number = self.sketches.len();
        let (offered, at_most) = self.offers(&place.0);
        self.known.insert(place.clone(), number);
        self.sketches.push(Sketch { place, mass: 0.0, offered, at_most, step: None });
        (number, true)
    }

    /// How many tests are on offer, and what they cost together at most.
    fn offers(&self, state: &State) -> (usize, f64) {
        let view = state.view(self.matrix);
        let (mut offered, mut at_most, mut tally) = (0, 0.0, Tally::default());
        for (at, column) in self.matrix.columns.iter().enumerate() {
            if state.has_used(at) {
                continue;
            }
            tally.take(column, &view);
            if tally.rules_out(view.members.len()) {
                offered += 1;
                at_most += self.dearest(at);
            }
        }
        (offered, at_most)
    }

    fn dearest(&self, at: usize) -> f64 {
        let column = &self.matrix.columns[at];
        match self.prices {
            Prices::Fixed => column.cost,
            Prices::After(table) => table.iter().map(|row| row[column.test]).fold(0.0, f64::max),
        }
    }

    /// Gives a place its test; the numbers of places not seen before, or none if nothing is to be done.
    fn write(&mut self, number: usize, choose: &mut Choose<'_>) -> Option<Vec<usize>> {
        if self.sketches[number].offered == 0 {
            return None;
        }
        let (state, previous) = self.sketches[number].place.clone();
        let view = state.view(self.matrix);
        let at = choose(&state, &view, previous)?;
        let after = match self.prices {
            Prices::Fixed => None,
            Prices::After(_) => Some(self.matrix.columns[at].test),
        };
        let (mut branches, mut fresh) = (Vec::new(), Vec::new());
        for child in state.children(self.matrix, &view, at) {
            let (next, new) = self.place((child.state, after));
            if new {
                fresh.push(next);
            }
            self.sketches[next].mass += self.sketches[number].mass * child.chance;
            branches.push(Branch { answer: child.answer, chance: child.chance, next });
        }
        self.sketches[number].step = Some((at, branches));
        Some(fresh)
    }

    /// Puts the nodes in order (each test leaves fewer on offer) and works out chances and costs.
    fn finish(self) -> Tree {
        let mut sorted: Vec<usize> = (0..self.sketches.len()).collect();
        sorted.sort_by_key(|&number| (number != 0, Reverse(self.sketches[number].offered), number));
        let mut place = vec![0; sorted.len()];
        sorted.iter().enumerate().for_each(|(to, &from)| place[from] = to);
        let mut nodes: Vec<Node> = sorted.iter().map(|&number| self.node(number, &place)).collect();
        if let Some(root) = nodes.first_mut() {
            root.reached = 1.0;
        }
        for number in 0..nodes.len() {
            let reached = nodes[number].reached;
            for branch in nodes[number].branches().to_vec() {
                nodes[branch.next].reached += reached * branch.chance;
            }
        }
        for number in (0..nodes.len()).rev() {
            if let Step::Measure { cost, branches, .. } = &nodes[number].step {
                let after: f64 = branches.iter().map(|b| b.chance * nodes[b.next].expected_cost).sum();
                nodes[number].expected_cost = cost + after;
            }
        }
        Tree { nodes }
    }

    fn node(&self, number: usize, place: &[usize]) -> Node {
        let Sketch { place: (state, previous), offered, at_most, step, .. } = &self.sketches[number];
        let mut left: Vec<usize> = state.live.ones().flat_map(|group| self.matrix.groups[group].clone()).collect();
        left.sort_unstable();
        let step = match step {
            Some((at, branches)) => Step::Measure {
                test: self.matrix.columns[*at].test,
                cost: self.prices.of(self.matrix, *previous, *at),
                branches: branches.iter().map(|b| Branch { next: place[b.next], ..b.clone() }).collect(),
            },
            None if *offered == 0 => Step::Stop,
            None => Step::Later,
        };
        let expected_cost = if step == Step::Later { *at_most } else { 0.0 };
        Node { left, reached: 0.0, expected_cost, step }
    }
}

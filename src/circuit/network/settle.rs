//! Finds how relays, fuses and diodes end up: all outcomes that the ranges of the parts allow.
//!
//! Why and how: switched on, every relay is at rest, every fuse whole, every diode blocking. From a state, each relay or diode that may move over
//! the ranges leads to another state, one mover at a time, in any order (a race has more than one winner). Once relays and diodes may all stay,
//! the fuse with the worst share of its rating may open, for good. For any values within the ranges the true course is one of the courses
//! followed here, so the states that may hold include the true outcome. A ring of states in which relays are driven round is
//! chatter; its states are kept too. It must not know readings.

use std::collections::{BTreeMap, BTreeSet};

use super::circuit::Network;
use super::fuse::next_fuse;
use super::judge::Drive;
use super::outcome::{Blown, Outcome};
use super::place::PartId;
use super::problem::NetworkProblem;
use super::range::Range;
use super::state::{Device, State};

/// How many states are followed before the search is given up.
pub const MOST_STATES: usize = 256;

/// One state seen, and what follows from it.
struct Visit {
    state: State,
    holds: bool,
    /// States that some values drive it to: the part that moves, and the number of the visit.
    driven: Vec<(PartId, usize)>,
    /// Fuses that a chattering relay would burn through, with their shares.
    fuses: Vec<(PartId, Range)>,
    blown: Vec<Blown>,
}

/// The states seen so far, in order of discovery.
struct Search<'a> {
    network: &'a Network,
    visits: Vec<Visit>,
    numbers: BTreeMap<State, usize>,
}

impl Network {
    /// All outcomes that may come about; `measure` gives what moves each device in a state.
    pub(super) fn settle(
        &self,
        mut measure: impl FnMut(&State) -> Result<Vec<Drive>, NetworkProblem>,
    ) -> Result<Vec<Outcome>, NetworkProblem> {
        let mut search = Search { network: self, visits: Vec::new(), numbers: BTreeMap::new() };
        search.visit(State::default(), Vec::new())?;
        let mut next = 0;
        loop {
            while next < search.visits.len() {
                let drives = measure(&search.visits[next].state)?;
                search.follow(next, &drives)?;
                next += 1;
            }
            search.burn_chattering()?;
            if next == search.visits.len() {
                return search.outcomes();
            }
        }
    }
}

impl Search<'_> {
    /// The number of a state, seen before or new.
    fn visit(&mut self, state: State, blown: Vec<Blown>) -> Result<usize, NetworkProblem> {
        if let Some(&number) = self.numbers.get(&state) {
            return Ok(number);
        }
        if self.visits.len() == MOST_STATES {
            return Err(NetworkProblem::TooManyOutcomes { limit: MOST_STATES });
        }
        let number = self.visits.len();
        self.numbers.insert(state.clone(), number);
        self.visits.push(Visit { state, holds: false, driven: Vec::new(), fuses: Vec::new(), blown });
        Ok(number)
    }

    /// Judges every device in a state and visits what may follow.
    fn follow(&mut self, number: usize, drives: &[Drive]) -> Result<(), NetworkProblem> {
        let state = self.visits[number].state.clone();
        let blown = self.visits[number].blown.clone();
        let mut is_steady = true;
        for drive in drives.iter().filter(|drive| drive.device != Device::Fuse) {
            let judgement = self.network.judge(drive, &state);
            is_steady &= judgement.may_stay;
            if judgement.may_move {
                let target = self.visit(state.with_moved(drive.part), blown.clone())?;
                if judgement.is_driven {
                    self.visits[number].driven.push((drive.part, target));
                }
            }
        }
        let fuses = drives.iter().filter(|drive| drive.device == Device::Fuse);
        let shares: Vec<(PartId, Range)> = fuses.map(|drive| (drive.part, drive.size)).collect();
        if is_steady {
            self.visits[number].holds = next_fuse(&shares).may_hold;
            self.open_fuses(number, &shares)?;
        }
        self.visits[number].fuses = shares;
        Ok(())
    }

    /// Visits the states in which the next fuse has opened.
    fn open_fuses(&mut self, number: usize, shares: &[(PartId, Range)]) -> Result<(), NetworkProblem> {
        for fuse in next_fuse(shares).may_open {
            let state = self.visits[number].state.with_moved(fuse);
            let mut blown = self.visits[number].blown.clone();
            let share = shares.iter().find(|(part, _)| *part == fuse).map_or(Range::ZERO, |(_, share)| *share);
            blown.push(Blown { fuse, share });
            self.visit(state, blown)?;
        }
        Ok(())
    }

    /// Lets fuses open in rings of states, where no state holds by itself.
    fn burn_chattering(&mut self) -> Result<(), NetworkProblem> {
        for number in 0..self.visits.len() {
            if !self.chattering(number).is_empty() {
                let shares = std::mem::take(&mut self.visits[number].fuses);
                self.open_fuses(number, &shares)?;
            }
        }
        Ok(())
    }

    /// The relays that move in rings through this state.
    fn chattering(&self, number: usize) -> BTreeSet<PartId> {
        let reached = self.driven_from(number);
        if !reached.contains(&number) {
            return BTreeSet::new();
        }
        let ring: BTreeSet<usize> =
            reached.into_iter().filter(|&other| self.driven_from(other).contains(&number)).collect();
        let moves = ring.iter().flat_map(|&other| &self.visits[other].driven);
        let relays = moves.filter(|(part, target)| ring.contains(target) && self.is_relay(*part));
        relays.map(|(part, _)| *part).collect()
    }

    /// All states that driven moves lead to.
    fn driven_from(&self, number: usize) -> BTreeSet<usize> {
        let mut reached = BTreeSet::new();
        let mut open = vec![number];
        while let Some(at) = open.pop() {
            for &(_, target) in &self.visits[at].driven {
                if reached.insert(target) {
                    open.push(target);
                }
            }
        }
        reached
    }

    fn is_relay(&self, part: PartId) -> bool {
        self.network.fitted(part).is_ok_and(|fitted| fitted.device() == Some(Device::Relay))
    }

    /// The states that may hold, and those of rings.
    fn outcomes(&self) -> Result<Vec<Outcome>, NetworkProblem> {
        let mut outcomes = Vec::new();
        for (number, visit) in self.visits.iter().enumerate() {
            let chattering: Vec<PartId> = self.chattering(number).into_iter().collect();
            if visit.holds || !chattering.is_empty() {
                let still = Outcome::still(self.network, &visit.state);
                outcomes.push(Outcome { blown: visit.blown.clone(), chattering, ..still });
            }
        }
        if outcomes.is_empty() { Err(NetworkProblem::NeverSettles) } else { Ok(outcomes) }
    }
}

//! Minimal hitting sets of a family of conflicts: the smallest sets of suspects that explain every conflict.
//!
//! Reiter, *A theory of diagnosis from first principles*, AIJ 32 (1987): the minimal diagnoses are exactly the
//! minimal hitting sets of the minimal conflicts. There can be very many, so they come by rising size, within a size
//! in the order of their members, and only up to a size and a number; what else there is, is counted as far as the
//! steps allow.
//!
//! A set grows by rising members. A member is kept only while some conflict is hit by it alone, so that what is found
//! is minimal; a conflict whose last member has been passed can't be hit any more. An exonerated suspect is left out
//! of the conflicts by the caller. Plain numbers; it must not know what a suspect is.

use fixedbitset::FixedBitSet;

/// How far to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// The largest size of a set.
    pub size: usize,
    /// How many sets to keep; the others are only counted.
    pub keep: usize,
    /// How many times a set may be extended before the search stops.
    pub steps: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self { size: 3, keep: 100, steps: 1_000_000 }
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HittingSets {
    /// The first minimal hitting sets, by size, then by their members, which rise.
    pub sets: Vec<Vec<usize>>,
    /// How many more were found and not kept.
    pub more: usize,
    /// Whether all up to the largest size have been found or counted; if not, there may be even more.
    pub complete: bool,
}

/// The minimal sets that have a member in common with each conflict.
///
/// Without conflicts that is the empty set alone; with an empty conflict there is none. Members may be any numbers.
#[must_use]
pub fn minimal_hitting_sets(conflicts: &[Vec<usize>], limits: Limits) -> HittingSets {
    let family = minimal(conflicts);
    let mut found = HittingSets { sets: Vec::new(), more: 0, complete: true };
    if family.iter().any(Vec::is_empty) {
        return found;
    }
    let mut members: Vec<usize> = family.iter().flatten().copied().collect();
    members.sort_unstable();
    members.dedup();
    let hits = members.iter().map(|&member| of_family(&family, |conflict| conflict.contains(&member))).collect();
    let placed =
        |conflict: &Vec<usize>| conflict.iter().map(|member| members.partition_point(|m| m < member)).collect();
    let family: Vec<Vec<usize>> = family.iter().map(placed).collect();
    let mut search =
        Search { family: &family, hits, limits, steps: 0, size: 0, chosen: Vec::new(), members, found: &mut found };
    for size in 0..=limits.size.min(search.members.len()) {
        search.size = size;
        search.extend(0, &FixedBitSet::with_capacity(family.len()), &FixedBitSet::with_capacity(family.len()));
    }
    found
}

/// The conflicts sorted, without those that hold another.
fn minimal(conflicts: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut sorted: Vec<Vec<usize>> = conflicts.to_vec();
    for conflict in &mut sorted {
        conflict.sort_unstable();
        conflict.dedup();
    }
    sorted.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
    let mut kept: Vec<Vec<usize>> = Vec::new();
    for conflict in sorted {
        if !kept.iter().any(|small| small.iter().all(|member| conflict.binary_search(member).is_ok())) {
            kept.push(conflict);
        }
    }
    kept
}

fn of_family(family: &[Vec<usize>], holds: impl Fn(&Vec<usize>) -> bool) -> FixedBitSet {
    let mut set = FixedBitSet::with_capacity(family.len());
    set.extend(family.iter().enumerate().filter(|(_, conflict)| holds(conflict)).map(|(number, _)| number));
    set
}

struct Search<'f> {
    /// The conflicts by places in `members`, the shortest first.
    family: &'f [Vec<usize>],
    /// For each member, by its place in `members`, the conflicts it is in.
    hits: Vec<FixedBitSet>,
    limits: Limits,
    steps: usize,
    /// The size looked for now.
    size: usize,
    /// The places of the members chosen so far.
    chosen: Vec<usize>,
    members: Vec<usize>,
    found: &'f mut HittingSets,
}

impl Search<'_> {
    /// Extends the chosen set by members from place `from` on. `hit` are the conflicts hit, `once` those hit by one.
    fn extend(&mut self, from: usize, hit: &FixedBitSet, once: &FixedBitSet) {
        if self.chosen.len() == self.size {
            if hit.is_full() {
                self.record();
            }
            return;
        }
        for place in self.next(from, hit) {
            if self.steps >= self.limits.steps {
                self.found.complete = false;
                return;
            }
            self.steps += 1;
            let hits = &self.hits[place];
            if hits.is_subset(hit) {
                continue;
            }
            let mut once = once.clone();
            once.difference_with(hits);
            if self.chosen.iter().any(|&other| self.hits[other].is_disjoint(&once)) {
                continue;
            }
            let mut fresh = hits.clone();
            fresh.difference_with(hit);
            once.union_with(&fresh);
            fresh.union_with(hit);
            self.chosen.push(place);
            self.extend(place + 1, &fresh, &once);
            self.chosen.pop();
        }
    }

    /// The places that may come next: up to where some conflict can't be hit any more; at the last, only the members of
    /// one conflict not hit so far.
    fn next(&self, from: usize, hit: &FixedBitSet) -> Vec<usize> {
        let Some(until) = hit.zeroes().filter_map(|conflict| self.family[conflict].last().copied()).min() else {
            return Vec::new();
        };
        let shortest = hit.zeroes().next().map_or(&[][..], |conflict| &self.family[conflict]);
        if self.chosen.len() + 1 == self.size {
            shortest.iter().copied().filter(|place| (from..=until).contains(place)).collect()
        } else {
            (from..=until).collect()
        }
    }

    fn record(&mut self) {
        if self.found.sets.len() < self.limits.keep {
            self.found.sets.push(self.chosen.iter().map(|&place| self.members[place]).collect());
        } else {
            self.found.more = self.found.more.saturating_add(1);
        }
    }
}

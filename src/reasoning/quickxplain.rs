//! The preferred minimal conflict: of facts that can't all hold, a few that can't hold together and of which none can
//! be spared, the preferred ones if there is a choice.
//!
//! Junker, *QuickXplain: preferred explanations and relaxations for over-constrained problems*, AAAI 2004: divide and
//! conquer, about 2 k log2(n / k) + 2 k checks for a conflict of k facts among n. Minimal means that it holds no
//! smaller conflict; another one may still have fewer facts. It must not know what a fact is or how consistency is
//! checked.

/// What was found and what it took.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explanation {
    /// The conflict, rising; none if all facts agree; empty if even no fact at all is inconsistent.
    pub conflict: Option<Vec<usize>>,
    /// How often consistency was checked.
    pub checks: usize,
}

/// The preferred minimal conflict among the facts `0..count`, most preferred first.
///
/// `consistent` is asked of sets of facts (in no special order). It must be monotone: a set that holds an inconsistent
/// one is inconsistent.
pub fn preferred_conflict(count: usize, consistent: impl FnMut(&[usize]) -> bool) -> Explanation {
    let mut search = Search { consistent, checks: 0 };
    let all: Vec<usize> = (0..count).collect();
    if search.agree(&all) {
        return Explanation { conflict: None, checks: search.checks };
    }
    let mut conflict = search.explain(&mut Vec::new(), 0, &all);
    // the first fact alone, or the background that every check has: only then are they not told apart yet
    if conflict == [0] && !search.agree(&[]) {
        conflict.clear();
    }
    conflict.sort_unstable();
    Explanation { conflict: Some(conflict), checks: search.checks }
}

struct Search<F> {
    consistent: F,
    checks: usize,
}

impl<F: FnMut(&[usize]) -> bool> Search<F> {
    fn agree(&mut self, facts: &[usize]) -> bool {
        self.checks += 1;
        (self.consistent)(facts)
    }

    /// The members of the conflict among `facts`, given that all of `kept` stay in. The last `fresh` of them were added
    /// since the last check.
    fn explain(&mut self, kept: &mut Vec<usize>, fresh: usize, facts: &[usize]) -> Vec<usize> {
        if fresh > 0 && !self.agree(kept) {
            return Vec::new();
        }
        if facts.len() < 2 {
            return facts.to_vec();
        }
        let (first, second) = facts.split_at(facts.len() / 2);
        let base = kept.len();
        kept.extend_from_slice(first);
        let mut conflict = self.explain(kept, first.len(), second);
        kept.truncate(base);
        kept.extend_from_slice(&conflict);
        let rest = self.explain(kept, conflict.len(), first);
        kept.truncate(base);
        conflict.extend(rest);
        conflict
    }
}

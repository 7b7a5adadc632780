//! Answers kept for the rest of a run, within so many bytes: beyond that the oldest are dropped first. A long job in which
//! a battery shows ever another voltage thus keeps what it asked of late, and no more. Must not know what is kept.

use std::collections::VecDeque;
use std::hash::Hash;
use std::sync::Arc;

use rustc_hash::FxHashMap;

/// How many bytes something takes, what it holds included; about, for allocations cost more than they hold.
pub(crate) trait Takes {
    /// In bytes.
    fn takes(&self) -> usize;
}

/// What an entry of the map and its place in the order cost beside key and answer: bytes, about.
const BESIDE: usize = 96;

/// Answers by what was asked.
#[derive(Debug)]
pub(crate) struct Kept<K, V> {
    most: usize,
    bytes: usize,
    answers: FxHashMap<Arc<K>, (V, usize)>,
    /// Oldest first.
    order: VecDeque<Arc<K>>,
}

impl<K: Eq + Hash + Takes, V: Clone + Takes> Kept<K, V> {
    /// Nothing yet, and never more than `most` bytes but for a single answer.
    pub(crate) fn within(most: usize) -> Self {
        Self { most, bytes: 0, answers: FxHashMap::default(), order: VecDeque::new() }
    }

    /// The answer, if it is known.
    pub(crate) fn get(&self, asked: &K) -> Option<V> {
        self.answers.get(asked).map(|(answer, _)| answer.clone())
    }

    /// How many answers are kept.
    pub(crate) fn len(&self) -> usize {
        self.answers.len()
    }

    /// Keeps an answer; the oldest go.
    pub(crate) fn keep(&mut self, asked: K, answer: V) {
        if self.answers.contains_key(&asked) {
            return;
        }
        let takes = asked.takes() + answer.takes() + BESIDE;
        let asked = Arc::new(asked);
        self.order.push_back(asked.clone());
        self.answers.insert(asked, (answer, takes));
        self.bytes += takes;
        while self.bytes > self.most && self.order.len() > 1 {
            let oldest = self.order.pop_front().and_then(|oldest| self.answers.remove(&*oldest));
            self.bytes -= oldest.map_or(0, |(_, takes)| takes);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Takes for u32 {
        fn takes(&self) -> usize {
            1
        }
    }

    impl Takes for Vec<u8> {
        fn takes(&self) -> usize {
            self.len()
        }
    }

    #[test]
    fn the_oldest_are_dropped_first_and_the_bound_holds() {
        let mut kept = Kept::within(10 * (BESIDE + 101));
        for asked in 0..1_000_u32 {
            kept.keep(asked, vec![0; 100]);
            // Asked again, it neither counts twice nor becomes younger.
            kept.keep(asked, vec![0; 100]);
            assert!(kept.bytes <= kept.most && kept.order.len() == kept.answers.len());
        }
        let known: Vec<u32> = (0..1_000).filter(|asked| kept.get(asked).is_some()).collect();
        assert_eq!(known, (990..1_000).collect::<Vec<u32>>());
        // One that is larger than all is kept by itself, for it was just asked.
        kept.keep(7, vec![0; 1_000_000]);
        assert_eq!((kept.order.len(), kept.get(&7).is_some()), (1, true));
        kept.keep(8, vec![0; 100]);
        assert_eq!((kept.order.len(), kept.bytes), (1, BESIDE + 101));
    }
}

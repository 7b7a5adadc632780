//! When a chain of tests is given up: once no answer of what is left of it would decide anything. What it costs and what
//! it tells are those of the chain so shortened; to count the time of the short chain and the news of the long one would
//! praise it too much. Knows numbers only.

/// Where each combination of answers ends. The last test's answers change fastest.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Stopping {
    /// By combination: how many tests are taken.
    taken: Vec<usize>,
    /// By combination: the one that stands for all that end with the same answers.
    stands_for: Vec<usize>,
}

impl Stopping {
    /// For tests with so many answers each, and combinations that decide something or don't.
    pub(super) fn of(sizes: &[usize], decided: &[bool]) -> Self {
        let mut taken = vec![sizes.len(); decided.len()];
        let mut stands_for: Vec<usize> = (0..decided.len()).collect();
        let mut block = decided.len();
        for (done, size) in sizes.iter().enumerate() {
            block /= (*size).max(1);
            let length = block.max(1);
            for (nth, chunk) in decided.chunks(length).enumerate().filter(|(_, chunk)| !chunk.contains(&true)) {
                let first = nth * length;
                let both = taken.iter_mut().zip(&mut stands_for).skip(first).take(chunk.len());
                for (taken, stands_for) in both.filter(|(taken, _)| **taken > done + 1) {
                    (*taken, *stands_for) = (done + 1, first);
                }
            }
        }
        Self { taken, stands_for }
    }

    /// The chances of what is found, of the chances of all combinations.
    pub(super) fn found(&self, chances: &[f64]) -> Vec<f64> {
        let mut found = vec![0.0; chances.len()];
        for (chance, at) in chances.iter().zip(&self.stands_for) {
            if let Some(sum) = found.get_mut(*at) {
                *sum += chance;
            }
        }
        found
    }

    /// How long the chain takes on average, each test taking so many seconds.
    pub(super) fn seconds(&self, chances: &[f64], tests: &[f64]) -> f64 {
        let lasts = |taken: &usize| tests.iter().take(*taken).sum::<f64>();
        chances.iter().zip(&self.taken).map(|(chance, taken)| chance * lasts(taken)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::Stopping;

    #[test]
    fn a_chain_that_can_decide_nothing_more_ends_and_tells_no_more() {
        // two tests of two answers; only yes, yes decides
        let stopping = Stopping::of(&[2, 2], &[true, false, false, false]);
        let chances = [0.25; 4];
        assert_eq!(stopping.found(&chances), [0.25, 0.25, 0.5, 0.0]);
        assert!((stopping.seconds(&chances, &[60.0, 120.0]) - 120.0).abs() < 1e-9);
    }

    #[test]
    fn the_first_of_three_may_end_it() {
        let mut decided = [false; 8];
        decided[7] = true;
        let stopping = Stopping::of(&[2, 2, 2], &decided);
        let chances = [0.125; 8];
        assert_eq!(stopping.found(&chances), [0.5, 0.0, 0.0, 0.0, 0.25, 0.0, 0.125, 0.125]);
        assert!((stopping.seconds(&chances, &[10.0, 10.0, 10.0]) - 17.5).abs() < 1e-9);
    }
}

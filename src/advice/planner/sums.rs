//! Sums over sets of groups, eight groups at a time: a table holds the sum of every byte that a set may have. Good where the
//! weights of the groups stay the same throughout a search, which they do if every group decides every test.

use fixedbitset::FixedBitSet;

/// The weights of some groups, and what their entropy is made from.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Sum {
    /// Of the weights.
    pub(super) weight: f64,
    /// Of each weight times its binary logarithm.
    pub(super) term: f64,
}

/// The sums of all sets of eight neighbouring groups.
#[derive(Debug)]
pub(super) struct Sums {
    bytes: Vec<[Sum; 256]>,
}

/// Bytes in a block of a set.
const BYTES: usize = usize::BITS as usize / 8;

impl Sums {
    /// Tables for groups of these weights.
    pub(super) fn of(weights: &[f64]) -> Self {
        Self { bytes: weights.chunks(8).map(table).collect() }
    }

    /// The sums over the groups that two sets share.
    pub(super) fn over(&self, one: &FixedBitSet, other: &FixedBitSet) -> Sum {
        let mut sum = Sum::default();
        for ((a, b), tables) in one.as_slice().iter().zip(other.as_slice()).zip(self.bytes.chunks(BYTES)) {
            let mut block = a & b;
            for table in tables {
                if block == 0 {
                    break;
                }
                let Sum { weight, term } = table[block & 0xff];
                sum.weight += weight;
                sum.term += term;
                block >>= 8;
            }
        }
        sum
    }
}

fn table(weights: &[f64]) -> [Sum; 256] {
    let mut table = [Sum::default(); 256];
    for (place, &weight) in weights.iter().enumerate() {
        let term = if weight > 0.0 { weight * weight.log2() } else { 0.0 };
        let half = 1 << place;
        for byte in 0..half {
            let Sum { weight: before, term: terms } = table[byte];
            table[half + byte] = Sum { weight: before + weight, term: terms + term };
        }
    }
    table
}

#[cfg(test)]
mod tests {
    use fixedbitset::FixedBitSet;

    use super::{Sum, Sums};

    #[test]
    fn a_sum_by_bytes_is_the_sum_one_by_one() {
        let weights: Vec<f64> = (1..=150).map(f64::from).collect();
        let sums = Sums::of(&weights);
        let set = |every: usize| (0..150).filter(|n| n % every == 1).collect::<FixedBitSet>();
        let (mut one, mut other) = (set(3), set(2));
        one.grow(150);
        other.grow(150);
        let shared: Vec<f64> = (0..150).filter(|n| n % 6 == 1).map(|n| weights[n]).collect();
        let Sum { weight, term } = sums.over(&one, &other);
        assert!((weight - shared.iter().sum::<f64>()).abs() < 1e-9);
        assert!((term - shared.iter().map(|w| w * w.log2()).sum::<f64>()).abs() < 1e-9);
        assert_eq!(sums.over(&one, &FixedBitSet::with_capacity(150)), Sum::default());
    }
}

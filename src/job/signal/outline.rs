//! A picture of a signal of fixed size: the lowest and highest value in each of some hundred equal pieces of time. When
//! the log runs past the last piece, neighbours are joined and each is twice as long.

/// The most pieces.
const MOST: usize = 512;

/// One piece of time.
#[derive(Clone, Copy, Debug)]
pub struct Bucket {
    /// The lowest value in it, in base units; not a number where nothing was read.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl PartialEq for Bucket {
    /// Two empty pieces are the same.
    fn eq(&self, other: &Self) -> bool {
        self.low.to_bits() == other.low.to_bits() && self.high.to_bits() == other.high.to_bits()
    }
}

const EMPTY: Bucket = Bucket { low: f64::NAN, high: f64::NAN };

/// The picture.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Outline {
    /// How long each piece is, in s.
    pub width: f64,
    /// The pieces from the first sample on.
    pub buckets: Vec<Bucket>,
}

impl Outline {
    /// An empty one whose pieces begin at that length, in s.
    pub fn new(width: f64) -> Self {
        let width = if width.is_finite() && width > 0.0 { width } else { 1.0 };
        Self { width, buckets: Vec::new() }
    }

    /// Adds samples, times in s from the first sample on.
    pub fn take(&mut self, times: &[f64], values: &[f64]) {
        for (time, value) in times.iter().zip(values) {
            if value.is_nan() || !time.is_finite() || *time < 0.0 {
                continue;
            }
            while time / self.width >= MOST as f64 {
                self.halve();
            }
            let place = (time / self.width) as usize;
            if place >= self.buckets.len() {
                self.buckets.resize(place + 1, EMPTY);
            }
            if let Some(bucket) = self.buckets.get_mut(place) {
                // `min` and `max` pass over what is not a number.
                *bucket = Bucket { low: bucket.low.min(*value), high: bucket.high.max(*value) };
            }
        }
    }

    fn halve(&mut self) {
        self.buckets = self.buckets.chunks(2).map(joined).collect();
        self.width *= 2.0;
    }

    /// The picture in `count` columns of equal time over `seconds`.
    pub fn columns(&self, count: usize, seconds: f64) -> Vec<Bucket> {
        let mut columns = vec![EMPTY; count];
        let step = if seconds > 0.0 { seconds / count.max(1) as f64 } else { self.width };
        for (place, bucket) in self.buckets.iter().enumerate().filter(|(_, bucket)| !bucket.low.is_nan()) {
            let (from, to) = (place as f64 * self.width, (place + 1) as f64 * self.width);
            let first = ((from / step) as usize).min(count.saturating_sub(1));
            // A piece that reaches a little into a column is not drawn there.
            let last = (((to / step) - 1e-9).max(0.0) as usize).clamp(first, count.saturating_sub(1));
            for column in columns.iter_mut().take(last + 1).skip(first) {
                *column = joined(&[*column, *bucket]);
            }
        }
        columns
    }
}

fn joined(pair: &[Bucket]) -> Bucket {
    pair.iter().fold(EMPTY, |all, one| Bucket { low: all.low.min(one.low), high: all.high.max(one.high) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn however_long_the_log_the_picture_keeps_its_size_and_every_extreme() {
        let mut outline = Outline::new(0.01);
        for block in 0..1_000 {
            let times: Vec<f64> = (0..1_000).map(|n| f64::from(block * 1_000 + n) * 0.01).collect();
            let values: Vec<f64> = (0..1_000).map(|n| if block == 437 && n == 3 { 2.0 } else { 12.0 }).collect();
            outline.take(&times, &values);
        }
        assert!(outline.buckets.len() <= MOST);
        assert!(outline.columns(60, 10_000.0).iter().any(|bucket| bucket.low == 2.0 && bucket.high == 12.0));
    }
}

//! A recorded signal drawn in characters, 80 columns wide: each column shows the range between the lowest and the highest
//! value of its piece of time. Blocks where the terminal has them, plain ASCII elsewhere, nothing where a screen reader
//! reads: the words beside it say the same.

use crate::job::signal::Recording;
use crate::job::signal::words::{seconds, show};

use super::signal_text::limits;

/// What a plot is drawn with.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Look {
    /// Block characters.
    Blocks,
    /// Plain ASCII.
    #[default]
    Ascii,
    /// Nothing: words only.
    Words,
}

const COLUMNS: usize = 62;
const ROWS: usize = 11;
const LABEL: usize = 12;

/// The lines of a plot.
pub fn plot(recording: &Recording, look: Look) -> Vec<String> {
    if look == Look::Words {
        return Vec::new();
    }
    let (full, line) = if look == Look::Blocks { ('█', '┈') } else { ('#', '.') };
    let scale = Scale::of(recording);
    let columns = recording.outline.columns(COLUMNS, recording.seconds);
    let limit_rows: Vec<usize> = limits(recording).into_iter().filter_map(|at| scale.row(at)).collect();
    let mut lines = Vec::with_capacity(ROWS + 2);
    for row in 0..ROWS {
        let empty = if limit_rows.contains(&row) { line } else { ' ' };
        let drawn: String = columns
            .iter()
            .map(|bucket| {
                let (top, bottom) = (scale.row(bucket.high), scale.row(bucket.low));
                let inside = top.zip(bottom).is_some_and(|(top, bottom)| (top..=bottom).contains(&row));
                if inside { full } else { empty }
            })
            .collect();
        let label = if row % 5 == 0 { show(recording, scale.value(row)) } else { String::new() };
        lines.push(format!("{label:>LABEL$}|{}", drawn.trim_end()));
    }
    lines.push(format!("{:LABEL$}+{}", "", "-".repeat(COLUMNS)));
    let end = seconds(recording.seconds);
    let space = COLUMNS.saturating_sub(end.len() + 1);
    lines.push(format!("{:LABEL$} 0 s{}{end}", "", " ".repeat(space.saturating_sub(2))));
    lines
}

/// From values to rows, the highest on top.
struct Scale {
    low: f64,
    high: f64,
}

impl Scale {
    fn of(recording: &Recording) -> Self {
        let limits = limits(recording);
        let low = limits.first().copied().unwrap_or(recording.low).min(recording.low);
        let high = limits.last().copied().unwrap_or(recording.high).max(recording.high);
        let room = if high > low { 0.0 } else { low.abs().max(1.0) * 0.01 };
        Self { low: low - room, high: high + room }
    }

    fn row(&self, value: f64) -> Option<usize> {
        let share = (self.high - value) / (self.high - self.low);
        (share.is_finite() && (-1e-9..=1.0 + 1e-9).contains(&share))
            .then(|| ((share.clamp(0.0, 1.0) * (ROWS - 1) as f64).round() as usize).min(ROWS - 1))
    }

    fn value(&self, row: usize) -> f64 {
        self.high - (self.high - self.low) * row as f64 / (ROWS - 1) as f64
    }
}

//! What a technician is told at once about a log that was entered.

use crate::job::{Notice, NoticeKind};
use crate::units::Exact;

use super::csv::{Layout, Tally};
use super::recording::Recording;

/// `from "ride.csv", feed: 3.1 V to 12.6 V over 600 s`
pub(super) fn said(recording: &Recording) -> String {
    let shown = |value: f64| show(recording, value);
    format!(
        "from \"{}\", {}: {} to {} over {}",
        recording.file,
        recording.channel,
        shown(recording.low),
        shown(recording.high),
        seconds(recording.seconds)
    )
}

/// A value in the recording's unit, to five digits that count.
pub fn show(recording: &Recording, base: f64) -> String {
    let exact = Exact::from_f64(base).unwrap_or_default();
    let number = recording.unit.from_base(&exact).to_f64();
    format!("{} {}", digits(number), recording.unit.symbol)
}

/// A width in the recording's unit.
pub fn show_width(recording: &Recording, base: f64) -> String {
    let exact = Exact::from_f64(base).unwrap_or_default();
    format!("{} {}", digits(recording.unit.width_from_base(&exact).to_f64()), recording.unit.difference)
}

/// A number to five digits that count.
fn digits(number: f64) -> String {
    let size = if number == 0.0 { 0 } else { number.abs().log10().floor() as i32 };
    let places = usize::try_from((4 - size).clamp(0, 9)).unwrap_or(0);
    let text = format!("{number:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// A length of time: `20 ms`, `3.2 s`, `12 min`.
pub fn seconds(time: f64) -> String {
    match time {
        t if t < 1.0 => format!("{} ms", digits(t * 1_000.0)),
        t if t < 600.0 => format!("{} s", digits(t)),
        t => format!("{} min", digits(t / 60.0)),
    }
}

/// How the log was read, what it lacks, what could not be used, whether it was changed.
pub(super) fn notices(recording: &Recording, layout: &Layout, digest: Option<&str>) -> Vec<Notice> {
    let mut all = vec![Notice::new(NoticeKind::Note, how(recording, layout))];
    let tally = &recording.tally;
    all.extend(skipped(tally).map(|text| Notice::new(NoticeKind::LogRows, text)));
    all.extend(lacking(recording, layout).map(|text| Notice::new(NoticeKind::LogGaps, text)));
    if digest.is_some_and(|digest| !digest.eq_ignore_ascii_case(&recording.digest)) {
        let text = format!(
            "log `{}` is not the file that was entered: it was changed since; it is judged as it reads now",
            recording.file
        );
        all.push(Notice::new(NoticeKind::LogChanged, text));
    }
    all
}

fn how(recording: &Recording, layout: &Layout) -> String {
    let separator =
        if layout.separator == b'\t' { "a tab".into() } else { format!("`{}`", char::from(layout.separator)) };
    let mark = if layout.comma { "decimal comma" } else { "decimal point" };
    format!(
        "read with {separator} between cells, {mark}: {} samples of `{}`, one every {}, good to ± {}",
        recording.tally.samples,
        recording.channel,
        seconds(recording.interval),
        show_width(recording, recording.width.at(recording.high))
    )
}

fn skipped(tally: &Tally) -> Option<String> {
    let kinds = [
        (tally.short, "with too few cells"),
        (tally.untimed, "without a time that can be read"),
        (tally.repeated, "with the time of the row before"),
        (tally.backward, "with a time before the row above"),
        (tally.unreadable, "with a cell that is no number"),
    ];
    let told: Vec<String> = kinds
        .into_iter()
        .filter(|((count, _), _)| *count > 0)
        .map(|((count, line), what)| format!("{count} {what} (first in line {line})"))
        .collect();
    (!told.is_empty()).then(|| format!("rows of the log were skipped: {}", told.join(", ")))
}

fn lacking(recording: &Recording, layout: &Layout) -> Option<String> {
    let tally = &recording.tally;
    let mut told = Vec::new();
    if tally.missing.0 > 0 {
        let (count, line) = tally.missing;
        told.push(format!("{count} samples are blank or no number (first in line {line})"));
    }
    if recording.gaps > 0 {
        let (gaps, widest) = (recording.gaps, seconds(recording.widest));
        told.push(format!("{gaps} gaps between samples, the longest {widest}"));
    }
    if tally.torn {
        told.push("the last line is not finished and is set aside".into());
    }
    if layout.latin {
        told.push("its header is not UTF-8 and was read as Latin-1".into());
    }
    (!told.is_empty()).then(|| format!("the log is not whole: {}", told.join("; ")))
}

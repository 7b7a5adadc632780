//! A recorded signal as a drawing for a page: plain SVG, text is text, no script; limits are dashed and named, so that
//! colour is never the only sign; a description says in words what is drawn.

use crate::job::signal::Recording;
use crate::job::signal::words::{seconds, show};

use super::clean::clean;
use super::signal_text::limits;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 240.0;
const LEFT: f64 = 84.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 16.0;
const BOTTOM: f64 = 36.0;
/// How many pieces of time are drawn.
const PIECES: usize = 300;

/// The drawing of a recording. `title` names it; the words of its limits stand at their lines.
pub fn signal_svg(recording: &Recording, title: &str) -> String {
    let frame = Frame::of(recording);
    let words = format!(
        "{} over {}: lowest {}, highest {}.",
        recording.channel,
        seconds(recording.seconds),
        show(recording, recording.low),
        show(recording, recording.high)
    );
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" font-family=\"sans-serif\" \
         font-size=\"12\">\n<title>{}</title>\n<desc>{}</desc>\n",
        escape(title),
        escape(&words)
    );
    frame.axes(&mut svg, recording);
    for limit in limits(recording) {
        let y = frame.y(limit);
        svg.push_str(&format!(
            "<path d=\"M{LEFT} {y:.1} H{:.1}\" stroke=\"currentColor\" stroke-dasharray=\"5 4\" opacity=\"0.7\"/>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"currentColor\">limit {}</text>\n",
            WIDTH - RIGHT,
            WIDTH - RIGHT - 2.0,
            y - 4.0,
            escape(&show(recording, limit))
        ));
    }
    svg.push_str(&frame.ribbon(recording));
    svg.push_str("</svg>\n");
    svg
}

/// From values and times to places.
struct Frame {
    low: f64,
    high: f64,
    seconds: f64,
}

impl Frame {
    fn of(recording: &Recording) -> Self {
        let limits = limits(recording);
        let low = limits.first().copied().unwrap_or(recording.low).min(recording.low);
        let high = limits.last().copied().unwrap_or(recording.high).max(recording.high);
        let room = ((high - low) * 0.05).max(low.abs() * 1e-3).max(1e-9);
        Self { low: low - room, high: high + room, seconds: recording.seconds.max(1e-9) }
    }

    fn x(&self, time: f64) -> f64 {
        LEFT + (WIDTH - LEFT - RIGHT) * (time / self.seconds).clamp(0.0, 1.0)
    }

    fn y(&self, value: f64) -> f64 {
        TOP + (HEIGHT - TOP - BOTTOM) * ((self.high - value) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    fn axes(&self, svg: &mut String, recording: &Recording) {
        let (bottom, right) = (HEIGHT - BOTTOM, WIDTH - RIGHT);
        svg.push_str(&format!(
            "<path d=\"M{LEFT} {TOP} V{bottom} H{right}\" fill=\"none\" stroke=\"currentColor\"/>\n"
        ));
        for step in 0..=4 {
            let value = self.low + (self.high - self.low) * f64::from(step) / 4.0;
            let (y, label) = (self.y(value) + 4.0, show(recording, rounded(value, self.high - self.low)));
            svg.push_str(&format!(
                "<text x=\"{:.1}\" y=\"{y:.1}\" text-anchor=\"end\" fill=\"currentColor\">{}</text>\n",
                LEFT - 6.0,
                escape(&label)
            ));
        }
        for step in 0..=4 {
            let time = self.seconds * f64::from(step) / 4.0;
            let anchor = if step == 4 { "end" } else { "middle" };
            svg.push_str(&format!(
                "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" fill=\"currentColor\">{}</text>\n",
                self.x(time),
                bottom + 18.0,
                escape(&seconds(rounded(time, self.seconds)))
            ));
        }
    }

    /// The range of each piece of time as a filled ribbon with an outline; a gap stays empty.
    fn ribbon(&self, recording: &Recording) -> String {
        let columns = recording.outline.columns(PIECES, recording.seconds);
        let at = |place: usize| self.x(self.seconds * place as f64 / PIECES as f64);
        let mut path = String::new();
        let mut place = 0;
        while place < columns.len() {
            let run = columns.iter().skip(place).take_while(|bucket| !bucket.low.is_nan());
            let run: Vec<_> = run.collect();
            if run.is_empty() {
                place += 1;
                continue;
            }
            let mut start = 'M';
            for (nth, bucket) in run.iter().enumerate() {
                let (from, to, y) = (at(place + nth), at(place + nth + 1), self.y(bucket.high));
                path.push_str(&format!("{start}{from:.1} {y:.1} L{to:.1} {y:.1} "));
                start = 'L';
            }
            for (nth, bucket) in run.iter().enumerate().rev() {
                let (from, to, y) = (at(place + nth), at(place + nth + 1), self.y(bucket.low));
                path.push_str(&format!("L{to:.1} {y:.1} L{from:.1} {y:.1} "));
            }
            path.push_str("Z ");
            place += run.len();
        }
        format!(
            "<path d=\"{}\" fill=\"currentColor\" fill-opacity=\"0.35\" stroke=\"currentColor\" stroke-width=\"1.2\" stroke-linejoin=\"round\"/>\n",
            path.trim_end()
        )
    }
}

/// A value to the hundredth part of a span.
fn rounded(value: f64, span: f64) -> f64 {
    let unit = 10f64.powf((span.abs().max(1e-12)).log10().floor() - 2.0);
    (value / unit).round() * unit
}

fn escape(text: &str) -> String {
    clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

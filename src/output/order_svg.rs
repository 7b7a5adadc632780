//! A measuring order as a drawing for print: an indented tree with lines, text as text, no script.

use crate::advice::order::MeasuringOrder;

use super::clean::clean;
use super::order_text::order_quality;
use super::words::Wording;

/// Height of a line.
const LINE: usize = 20;
/// Width of one step of indentation.
const STEP: usize = 18;

/// The drawing.
pub fn svg_order(wording: &Wording<'_>, order: &MeasuringOrder) -> String {
    let page = wording.order(order);
    let lines: Vec<&(usize, String)> = page.lines().iter().filter(|(_, text)| !text.is_empty()).collect();
    let longest = lines.iter().map(|(depth, text)| depth * STEP + text.chars().count() * 7).max().unwrap_or(0);
    let (width, height) = (longest + 40, lines.len() * LINE + 40);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{}</title>\n<desc>{}</desc>\n",
        escape(&format!("Measuring order: {}", wording.book.title)),
        escape(&order.plan.as_ref().map_or("No test tells apart what is left.".into(), order_quality)),
    );
    for (place, (depth, text)) in lines.iter().enumerate() {
        let (x, y) = (20 + depth * STEP, 30 + place * LINE);
        if *depth > 0 {
            let from = parent_line(&lines, place, *depth);
            let bar = x - STEP / 2;
            out.push_str(&format!(
                "<path d=\"M{bar} {} V{} H{}\" fill=\"none\" stroke=\"#777\"/>\n",
                30 + from * LINE + 5,
                y - 4,
                x - 3
            ));
        }
        out.push_str(&format!("<text x=\"{x}\" y=\"{y}\">{}</text>\n", escape(text)));
    }
    out.push_str("</svg>\n");
    out
}

/// The line that a deeper one belongs to.
fn parent_line(lines: &[&(usize, String)], place: usize, depth: usize) -> usize {
    (0..place).rev().find(|n| lines.get(*n).is_some_and(|(d, _)| *d < depth)).unwrap_or(place)
}

fn escape(text: &str) -> String {
    clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

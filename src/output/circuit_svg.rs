//! A circuit as a drawing: plus on top, ground at the bottom, one rail a point with its voltage, one line a path. Plain SVG: text is text, no
//! script, colour is never the only sign, and a description says in words what is drawn.

use crate::circuit::picture::{Look, PathShown, Picture};

/// From one rail to the next.
const RAIL: f64 = 72.0;
/// From one column of paths to the next.
const COLUMN: f64 = 200.0;
const LEFT: f64 = 24.0;
const TOP: f64 = 76.0;

/// One circuit with its heading.
pub struct Plate<'p> {
    /// What is drawn: the circuit's name, the setup, the faults supposed.
    pub title: String,
    /// The solved circuit.
    pub picture: &'p Picture,
}

/// The drawing of some circuits, one below the other: a file of its own.
pub fn drawing(plates: &[Plate<'_>]) -> String {
    let sheet = Sheet::of(plates);
    let (width, height) = (sheet.width, sheet.height);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\" \
         aria-labelledby=\"title desc\">\n<title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n<style>\n{STYLE}</style>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{}</svg>\n",
        sheet.title, sheet.words, sheet.drawn
    )
}

/// The same as an element of a page that brings its own style; `id` tells it from others of the page.
pub fn figure(plates: &[Plate<'_>], id: &str) -> String {
    let sheet = Sheet::of(plates);
    let (width, height, id) = (sheet.width, sheet.height, escaped(id));
    format!(
        "<svg viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\">\n<title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n{}</svg>\n",
        sheet.title, sheet.words, sheet.drawn
    )
}

/// Some circuits laid out below each other.
struct Sheet {
    width: f64,
    height: f64,
    title: String,
    words: String,
    drawn: String,
}

impl Sheet {
    fn of(plates: &[Plate<'_>]) -> Self {
        let laid: Vec<Layout<'_>> = plates.iter().map(Layout::of).collect();
        let width = laid.iter().map(Layout::width).fold(480.0, f64::max);
        let height: f64 = laid.iter().map(Layout::height).sum();
        let title = plates.iter().map(|plate| plate.title.as_str()).collect::<Vec<_>>().join("; ");
        let words = plates.iter().map(describe).collect::<Vec<_>>().join(" ");
        let (mut drawn, mut top) = (String::new(), 0.0);
        for layout in &laid {
            drawn.push_str(&format!("<g transform=\"translate(0 {top})\">\n{}</g>\n", layout.draw()));
            top += layout.height();
        }
        Self { width, height, title: escaped(&title), words: escaped(&words), drawn }
    }
}

const STYLE: &str = "text { font: 13px sans-serif; fill: #000 }
.head { font-size: 16px; font-weight: bold }
.point { font-weight: bold }
.rail { stroke: #000; stroke-width: 3 }
.path { stroke: #000; stroke-width: 1.5; fill: none }
.open { stroke-dasharray: 4 4 }
.body { stroke: #000; stroke-width: 1.5; fill: #fff }
.fault { fill: #a00; font-weight: bold }
";

/// Where everything stands.
struct Layout<'p> {
    plate: &'p Plate<'p>,
    /// By point: its rail from the top.
    rail: Vec<usize>,
    /// By path: its column from the left.
    column: Vec<usize>,
}

impl<'p> Layout<'p> {
    fn of(plate: &'p Plate<'p>) -> Self {
        let rail = rails(plate.picture);
        let column = columns(plate.picture, &rail);
        Self { plate, rail, column }
    }

    fn width(&self) -> f64 {
        LEFT * 2.0 + COLUMN * (self.column.iter().max().map_or(0, |last| last + 1) as f64) + 40.0
    }

    fn height(&self) -> f64 {
        TOP + RAIL * (self.rail.len() as f64) + 12.0
    }

    fn y(&self, point: usize) -> f64 {
        TOP + RAIL * (self.rail.get(point).copied().unwrap_or(0) as f64)
    }

    fn x(&self, path: usize) -> f64 {
        LEFT + 40.0 + COLUMN * (self.column.get(path).copied().unwrap_or(0) as f64)
    }

    fn draw(&self) -> String {
        let picture = self.plate.picture;
        let mut out = format!("<text class=\"head\" x=\"{LEFT}\" y=\"26\">{}</text>\n", escaped(&self.plate.title));
        out.push_str(&format!("<text x=\"{LEFT}\" y=\"46\">{}</text>\n", escaped(&settled(picture))));
        for (place, path) in picture.paths.iter().enumerate() {
            out.push_str(&self.path(place, path));
        }
        for (place, point) in picture.points.iter().enumerate() {
            let ends: Vec<f64> = picture
                .paths
                .iter()
                .enumerate()
                .filter(|(_, path)| path.from.place() == place || path.to.place() == place)
                .map(|(path, _)| self.x(path))
                .collect();
            let (first, last) =
                ends.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(*x), high.max(*x)));
            if first > last {
                continue;
            }
            let y = self.y(place);
            out.push_str(&format!(
                "<line class=\"rail\" x1=\"{}\" y1=\"{y}\" x2=\"{}\" y2=\"{y}\"/>\n",
                first - 16.0,
                last + 16.0
            ));
            let text = format!("{}: {}", point.name, volts(point.volts));
            out.push_str(&format!(
                "<text class=\"point\" x=\"{}\" y=\"{}\">{}</text>\n",
                first + 8.0,
                y - 7.0,
                escaped(&text)
            ));
        }
        out
    }

    fn path(&self, place: usize, path: &PathShown) -> String {
        let (x, from, to) = (self.x(place), self.y(path.from.place()), self.y(path.to.place()));
        let (top, bottom) = (from.min(to), from.max(to));
        let middle = (top + bottom) / 2.0;
        let open = if path.look == Look::Closed { "" } else { " open" };
        let mut out = format!("<line class=\"path{open}\" x1=\"{x}\" y1=\"{top}\" x2=\"{x}\" y2=\"{bottom}\"/>\n");
        for end in [from, to] {
            out.push_str(&format!("<circle cx=\"{x}\" cy=\"{end}\" r=\"4\"/>\n"));
        }
        out.push_str(&format!(
            "<rect class=\"body\" x=\"{}\" y=\"{}\" width=\"12\" height=\"20\"/>\n",
            x - 6.0,
            middle - 10.0
        ));
        let beside = x + 12.0;
        let mut lines = vec![(path.name.clone(), ""), (flow(path), "")];
        lines.extend(path.faults.iter().map(|fault| (format!("fault: {fault}"), " class=\"fault\"")));
        for (number, (text, class)) in lines.iter().enumerate() {
            // The last line stands clear of the name of the rail below.
            let y = middle + 13.0 - 15.0 * (lines.len() - 1 - number) as f64;
            out.push_str(&format!("<text{class} x=\"{beside}\" y=\"{y}\">{}</text>\n", escaped(text)));
        }
        out
    }
}

/// The rail of each point: by its distance from the sources' plus, first along what conducts, then along the rest; ground last.
fn rails(picture: &Picture) -> Vec<usize> {
    let count = picture.points.len();
    let mut order: Vec<usize> = Vec::new();
    for path in picture.paths.iter().filter(|path| path.name.starts_with("battery") && path.to.place() != 0) {
        if !order.contains(&path.to.place()) {
            order.push(path.to.place());
        }
    }
    loop {
        follow(picture, &mut order, |path| path.look == Look::Closed);
        let before = order.len();
        let beside = picture.paths.iter().find_map(|path| beyond(path, &order));
        order.extend(beside);
        if order.len() > before {
            continue;
        }
        match (1..count).find(|point| !order.contains(point)) {
            Some(left) => order.push(left),
            None => break,
        }
    }
    order.push(0);
    (0..count).map(|point| order.iter().position(|at| *at == point).unwrap_or(0)).collect()
}

/// Adds all points that paths of a kind lead to, the nearest first.
fn follow(picture: &Picture, order: &mut Vec<usize>, kind: impl Fn(&PathShown) -> bool) {
    let mut next = 0;
    while let Some(&at) = order.get(next) {
        next += 1;
        for path in picture.paths.iter().filter(|path| kind(path)) {
            if path.from.place() == at || path.to.place() == at {
                let far = beyond(path, order);
                order.extend(far);
            }
        }
    }
}

/// The point at the far end of a path of which one end is placed; ground never.
fn beyond(path: &PathShown, order: &[usize]) -> Option<usize> {
    let (from, to) = (path.from.place(), path.to.place());
    let far = match (order.contains(&from), order.contains(&to)) {
        (true, false) => to,
        (false, true) => from,
        _ => return None,
    };
    (far != 0).then_some(far)
}

/// The column of each path: the first in which nothing else stands between its rails.
fn columns(picture: &Picture, rail: &[usize]) -> Vec<usize> {
    let at = |point: usize| rail.get(point).copied().unwrap_or(0);
    let span = |path: &PathShown| {
        let (from, to) = (at(path.from.place()), at(path.to.place()));
        (from.min(to), from.max(to))
    };
    let mut order: Vec<usize> = (0..picture.paths.len()).collect();
    order.sort_by_key(|path| picture.paths.get(*path).map(span));
    let mut taken: Vec<Vec<(usize, usize)>> = Vec::new();
    let mut column = vec![0; picture.paths.len()];
    for place in order {
        let Some((top, bottom)) = picture.paths.get(place).map(span) else { continue };
        let free = |spans: &Vec<(usize, usize)>| spans.iter().all(|(low, high)| bottom <= *low || *high <= top);
        let found = taken.iter().position(free).unwrap_or_else(|| {
            taken.push(Vec::new());
            taken.len() - 1
        });
        if let Some(spans) = taken.get_mut(found) {
            spans.push((top, bottom));
        }
        if let Some(cell) = column.get_mut(place) {
            *cell = found;
        }
    }
    column
}

/// A voltage as it is drawn.
fn volts(volts: Option<f64>) -> String {
    volts.map_or_else(|| "hangs free".into(), |volts| format!("{} V", rounded(volts, 2)))
}

/// What flows, or why nothing does.
fn flow(path: &PathShown) -> String {
    match (path.look, path.ampere) {
        (Look::Open, _) => "open".into(),
        (Look::Blown, _) => "blown".into(),
        (Look::Closed, Some(ampere)) if ampere.abs() < 5e-6 => "0 A".into(),
        (Look::Closed, Some(ampere)) if ampere.abs() < 0.01 => format!("{} mA", rounded(ampere * 1e3, 2)),
        (Look::Closed, Some(ampere)) => format!("{} A", rounded(ampere, 2)),
        (Look::Closed, None) => "conducts".into(),
    }
}

/// A number without a sign before nought.
fn rounded(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        text.trim_start_matches('-').to_string()
    } else {
        text
    }
}

fn settled(picture: &Picture) -> String {
    let how = if picture.how.is_empty() {
        "every relay at rest, every fuse whole".to_string()
    } else {
        picture.how.join(", ")
    };
    let others = if picture.ways > 1 {
        format!("; {} ways are possible, this is the first", picture.ways)
    } else {
        String::new()
    };
    format!("At nominal values: {how}{others}")
}

/// The drawing in words.
fn describe(plate: &Plate<'_>) -> String {
    let picture = plate.picture;
    let points: Vec<String> =
        picture.points.iter().map(|point| format!("{} {}", point.name, volts(point.volts))).collect();
    let name = |point: crate::book::PointIx| picture.points.get(point.place()).map_or("", |point| point.name.as_str());
    let paths: Vec<String> = picture
        .paths
        .iter()
        .map(|path| format!("{} from {} to {}, {}", path.name, name(path.from), name(path.to), flow(path)))
        .collect();
    format!("{}. {}. Points: {}. Paths: {}.", plate.title, settled(picture), points.join("; "), paths.join("; "))
}

fn escaped(text: &str) -> String {
    let clean = super::clean(text);
    clean.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

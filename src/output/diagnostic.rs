//! Problems drawn into their text by miette. The one place where our spans become miette's.

use std::fmt;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NarratableReportHandler, SourceCode, SourceSpan,
};

use crate::problem::{Problem, Severity};
use crate::source::{Source, Sources, Span};

use super::excerpt::{Excerpts, held, shortened};

/// How problems are drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Style {
    /// Drawn with colours.
    pub colour: bool,
    /// Told in sentences, for a screen reader.
    pub narrated: bool,
    /// How wide.
    pub width: usize,
}

impl Default for Style {
    fn default() -> Self {
        Self { colour: false, narrated: false, width: super::page::WIDTH }
    }
}

/// A problem with the text it points into.
struct Drawn<'a> {
    problem: &'a Problem,
    message: String,
    source: Option<&'a Source>,
    text: Option<Excerpts>,
    related: Vec<Elsewhere>,
    /// Places that are drawn by themselves.
    far: Vec<Span>,
}

/// A label that lies in another file than the problem's own.
struct Elsewhere {
    message: String,
    text: Excerpts,
    span: SourceSpan,
}

impl fmt::Debug for Drawn<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.problem.fmt(f)
    }
}

impl fmt::Display for Drawn<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Drawn<'_> {}

impl fmt::Debug for Elsewhere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl fmt::Display for Elsewhere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Elsewhere {}

impl Diagnostic for Elsewhere {
    fn severity(&self) -> Option<miette::Severity> {
        Some(miette::Severity::Advice)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.text)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(std::iter::once(LabeledSpan::new_with_span(None, self.span))))
    }
}

impl Diagnostic for Drawn<'_> {
    fn code<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        Some(Box::new(self.problem.code))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.problem.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Advice => miette::Severity::Advice,
        })
    }

    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        self.problem.help.as_ref().map(|help| Box::new(shortened(help)) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.text.as_ref().map(|text| text as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let labels = self.problem.labels.iter().enumerate().filter(|(_, label)| !self.far.contains(&label.span)).map(
            |(place, label)| {
                let text = (!label.text.is_empty()).then(|| shortened(&label.text));
                let range = self.source.map_or(label.span.range(), |source| held(source, label.span.range()));
                if place == 0 {
                    LabeledSpan::new_primary_with_span(text, range)
                } else {
                    LabeledSpan::new_with_span(text, range)
                }
            },
        );
        Some(Box::new(labels))
    }

    fn related<'b>(&'b self) -> Option<Box<dyn Iterator<Item = &'b dyn Diagnostic> + 'b>> {
        if self.related.is_empty() {
            return None;
        }
        Some(Box::new(self.related.iter().map(|r| r as &dyn Diagnostic)))
    }
}

/// How many lines may stand between two places that are drawn in one picture.
const MOST_BETWEEN: usize = 40;

/// Whether a place is drawn by itself: it stands in another file, or so far away that the lines between would bury it.
fn is_far(first: Span, other: Span, sources: &Sources) -> bool {
    let line = |span: Span| sources.line_column(span).0;
    other.source != first.source || line(first).abs_diff(line(other)) > MOST_BETWEEN
}

/// Draws one problem.
pub fn draw(problem: &Problem, sources: &Sources, style: Style) -> String {
    let own = problem.span().source;
    let far: Vec<Span> =
        problem.labels.iter().map(|label| label.span).filter(|span| is_far(problem.span(), *span, sources)).collect();
    let related = problem.labels.iter().filter(|label| far.contains(&label.span));
    let related = related.filter_map(|label| {
        let source = sources.get(label.span.source)?;
        let place = held(source, label.span.range());
        Some(Elsewhere {
            message: shortened(&label.text),
            text: Excerpts::of(source, std::iter::once(place.clone())),
            span: place.into(),
        })
    });
    let source = sources.get(own);
    let near = problem.labels.iter().map(|label| label.span).filter(|span| !far.contains(span));
    let drawn = Drawn {
        problem,
        message: shortened(&problem.message),
        source,
        text: source.map(|source| Excerpts::of(source, near.map(|span| held(source, span.range())))),
        related: related.collect(),
        far: far.clone(),
    };
    let mut out = String::new();
    let done = if style.narrated {
        NarratableReportHandler::new().render_report(&mut out, &drawn)
    } else {
        let theme = if style.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
        GraphicalReportHandler::new_themed(theme)
            .with_links(false)
            .with_width(style.width)
            .render_report(&mut out, &drawn)
    };
    if done.is_err() {
        out = format!("{}: {}\n", sources.place(problem.span()), shortened(&problem.message));
    }
    let trimmed: Vec<&str> = out.lines().map(str::trim_end).collect();
    trimmed.join("\n").trim_matches('\n').to_string() + "\n"
}

/// The most problems that are drawn; the rest are counted.
pub const MOST_DRAWN: usize = 100;

/// Draws problems, the first hundred in full.
pub fn draw_all(problems: &[Problem], sources: &Sources, style: Style) -> String {
    let mut out = String::new();
    for problem in problems.iter().take(MOST_DRAWN) {
        out.push_str(&draw(problem, sources, style));
        out.push('\n');
    }
    if problems.len() > MOST_DRAWN {
        out.push_str(&format!("and {} more\n", problems.len() - MOST_DRAWN));
    }
    out
}

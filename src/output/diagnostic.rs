//! Problems drawn into their text by miette. The one place where our spans become miette's.

use std::fmt;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents,
    NarratableReportHandler, SourceCode, SourceSpan, SpanContents,
};

use crate::problem::{Problem, Severity};
use crate::source::{Source, Sources, Span};

use super::clean::{clean, clean_in_place};

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
    text: Option<Text>,
    related: Vec<Elsewhere>,
    /// Places that are drawn by themselves.
    far: Vec<Span>,
}

/// A safe copy of a source.
struct Text {
    name: String,
    text: String,
}

/// A label that lies in another file than the problem's own.
struct Elsewhere {
    message: String,
    text: Text,
    span: SourceSpan,
}

impl Text {
    fn of(source: &Source) -> Self {
        Self { name: clean(&source.name).into_owned(), text: clean_in_place(&source.text).into_owned() }
    }
}

impl SourceCode for Text {
    fn read_span<'t>(
        &'t self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'t> + 't>, MietteError> {
        let inner = self.text.read_span(span, before, after)?;
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            inner.data(),
            *inner.span(),
            inner.line(),
            inner.column(),
            inner.line_count(),
        )))
    }
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
        self.problem.help.as_ref().map(|help| Box::new(clean(help)) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.text.as_ref().map(|text| text as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let labels = self.problem.labels.iter().enumerate().filter(|(_, label)| !self.far.contains(&label.span)).map(
            |(place, label)| {
                let text = (!label.text.is_empty()).then(|| clean(&label.text).into_owned());
                if place == 0 {
                    LabeledSpan::new_primary_with_span(text, label.span.range())
                } else {
                    LabeledSpan::new_with_span(text, label.span.range())
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
        Some(Elsewhere {
            message: clean(&label.text).into_owned(),
            text: Text::of(source),
            span: label.span.range().into(),
        })
    });
    let drawn = Drawn {
        problem,
        message: clean(&problem.message).into_owned(),
        text: sources.get(own).map(Text::of),
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
        out = format!("{}: {}\n", sources.place(problem.span()), problem.message);
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

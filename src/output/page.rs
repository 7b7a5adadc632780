//! Indented lines, wrapped for a narrow screen. The same page serves a terminal, a file and a screen reader: no
//! colour, no drawing characters, indentation says what belongs to what.

use super::clean::clean;

/// How wide a page is where nothing better is known.
pub const WIDTH: usize = 80;

/// Lines with their depth.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Page {
    lines: Vec<(usize, String)>,
    /// Which of them are drawn with characters: they keep their blanks and are never wrapped.
    drawn: Vec<usize>,
}

impl Page {
    /// An empty page.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a line at a depth.
    pub fn line(&mut self, depth: usize, text: impl AsRef<str>) -> &mut Self {
        self.lines.push((depth, clean(text.as_ref()).into_owned()));
        self
    }

    /// Adds a line of a drawing: it keeps its blanks and is never wrapped.
    pub fn drawn(&mut self, depth: usize, text: impl AsRef<str>) -> &mut Self {
        self.drawn.push(self.lines.len());
        self.line(depth, text)
    }

    /// Adds an empty line, never two in a row.
    pub fn gap(&mut self) -> &mut Self {
        if self.lines.last().is_some_and(|(_, text)| !text.is_empty()) {
            self.lines.push((0, String::new()));
        }
        self
    }

    /// Adds another page, deeper by `depth`.
    pub fn page(&mut self, depth: usize, page: &Page) -> &mut Self {
        self.drawn.extend(page.drawn.iter().map(|place| place + self.lines.len()));
        self.lines.extend(page.lines.iter().map(|(d, text)| (d + depth, text.clone())));
        self
    }

    /// Whether nothing stands on it.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// The lines with their depth.
    pub fn lines(&self) -> &[(usize, String)] {
        &self.lines
    }

    /// The page as text, wrapped at `width`; continued lines are indented by two more.
    pub fn render(&self, width: usize) -> String {
        let mut out = String::new();
        for (place, (depth, text)) in self.lines.iter().enumerate() {
            let indent = "  ".repeat((*depth).min(12));
            if self.drawn.binary_search(&place).is_ok() {
                out.push_str(format!("{indent}{text}").trim_end());
                out.push('\n');
                continue;
            }
            let next = format!("{indent}  ");
            let options = textwrap::Options::new(width.max(40))
                .initial_indent(&indent)
                .subsequent_indent(&next)
                .break_words(false)
                .word_splitter(textwrap::WordSplitter::NoHyphenation);
            for paragraph in text.split('\n') {
                if paragraph.trim().is_empty() {
                    out.push('\n');
                    continue;
                }
                // No character is wider than it has bytes.
                if indent.len() + paragraph.len() <= width {
                    out.push_str(&indent);
                    out.push_str(paragraph.trim_end());
                    out.push('\n');
                    continue;
                }
                for line in textwrap::wrap(paragraph, &options) {
                    out.push_str(line.trim_end());
                    out.push('\n');
                }
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_wrap_and_gaps_do_not_pile_up() {
        let mut page = Page::new();
        page.line(1, "one two three four five six seven eight nine ten").gap().gap().line(0, "end");
        assert_eq!(page.render(40), "  one two three four five six seven\n    eight nine ten\n\nend\n");
    }

    #[test]
    fn a_drawing_keeps_its_blanks_wherever_its_page_is_put() {
        let mut drawing = Page::new();
        let line = format!("   |{}#", " ".repeat(50));
        drawing.line(0, "a  plot").drawn(0, &line);
        let mut page = Page::new();
        page.line(0, "first").page(1, &drawing);
        assert_eq!(page.render(40), format!("first\n  a  plot\n  {line}\n"));
    }
}

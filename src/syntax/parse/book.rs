//! A whole rulebook: blocks to declarations. A broken line loses itself, a broken head its declaration; all the
//! rest is kept and every problem is reported.

use std::ops::Range;

use arcstr::ArcStr;
use rayon::prelude::*;

use crate::problem::{Problem, did_you_mean};
use crate::source::{SourceId, Span};
use crate::syntax::layout::{self, Block, Logical};
use crate::syntax::tree::{Declaration, Field, FieldBody, Name, Tree};
use crate::syntax::words::{
    self, DECLARATIONS, DeclarationRow, DeclarationWord, FieldWord, Head, Lines, declaration_at, leading_words,
};

use super::expressions::sum_expr;
use super::{Built, Rule, Shared, Slice, conditions, fields, name, quick, text};

/// How much of a rulebook is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Extent {
    /// All of it.
    Whole,
    /// All but its cases: enough to work a job, and a broken example stops nobody.
    WithoutCases,
}

/// Texts from this size on are read on all cores. For a smaller one a second thread was found to cost what it saves: the
/// memory that it asks for is dearer than the first one's.
const WORTH_SHARING: usize = 256 * 1024;

/// So many bytes a declaration of a usual book takes, its lines included.
const USUAL_DECLARATION: usize = 160;

/// Reads a rulebook. What can be read is in the tree, what can't is in the problems, in the order of the text.
pub fn parse_book(source: SourceId, text: &str) -> (Tree, Vec<Problem>) {
    parse_part(source, &ArcStr::from(text), Extent::Whole)
}

/// Reads a rulebook as far as is asked. The tree's words are pieces of `text`.
pub fn parse_part(source: SourceId, text: &ArcStr, extent: Extent) -> (Tree, Vec<Problem>) {
    let sharing = text.len() >= WORTH_SHARING;
    let read = |stretch: Range<usize>| {
        let said = text.get(stretch.clone()).unwrap_or("");
        let clean = layout::without_comments(said);
        let base = stretch.start;
        // Where several read, each keeps a text of its own, for counting who holds one text would hold them up.
        let own = sharing.then(|| ArcStr::from(said));
        let shared = own.as_ref().map_or(Shared { text, start: 0 }, |own| Shared { text: own, start: base });
        let mut reader = Reader { source, base, text: &clean, shared, problems: Vec::new() };
        let is_case = |line: &str| leading_words(line, words::declaration_row(DeclarationWord::Case).text).is_some();
        let lines = match extent {
            Extent::Whole => layout::lines(&clean),
            Extent::WithoutCases => layout::lines_of(&clean, |line| !is_case(line)),
        };
        let declarations = layout::blocks(&lines).iter().filter_map(|block| reader.block(block)).collect();
        (declarations, reader.problems)
    };
    let mut tree = Tree { source, declarations: Vec::with_capacity(text.len() / USUAL_DECLARATION) };
    let mut problems = Vec::new();
    let mut take = |(declarations, found): (Vec<Declaration>, Vec<Problem>)| {
        tree.declarations.extend(declarations);
        problems.extend(found);
    };
    // Declarations don't depend on each other, so they are read side by side and kept in order.
    let stretches = layout::stretches(text);
    if sharing {
        let parts: Vec<_> = stretches.collect::<Vec<_>>().into_par_iter().map(read).collect();
        parts.into_iter().for_each(take);
    } else {
        stretches.for_each(|stretch| take(read(stretch)));
    }
    (tree, problems)
}

/// One stretch of the text; places in it are counted from its start, spans from that of the text.
struct Reader<'t> {
    source: SourceId,
    /// Where the stretch begins.
    base: usize,
    /// Its words, comments blanked.
    text: &'t str,
    shared: Shared<'t>,
    problems: Vec<Problem>,
}

impl<'t> Reader<'t> {
    fn slice(&self, range: &Range<usize>) -> Slice<'t> {
        let text = self.text.get(range.clone()).unwrap_or("");
        Slice { source: self.source, base: self.base + range.start, text, shared: self.shared }
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.source, self.base + start, self.base + end)
    }

    fn block(&mut self, block: &Block<'_>) -> Option<Declaration> {
        let head = self.slice(&block.head.range);
        if !block.head.margin {
            self.problems.push(stray(head.span(0, first_word(head.text).len())));
            return None;
        }
        let Some((row, length)) = declaration_at(head.text) else {
            self.problems.push(unknown_declaration(head));
            return None;
        };
        let before = self.problems.len();
        let (name, after) = self.label(row, block.head.range.start, head.text, length)?;
        let mut logical = layout::logical(self.text, row, after..block.head.range.end, block.body).into_iter();
        let first = logical.next();
        if let (Head::Free, Some(first)) = (row.head, &first) {
            self.no_continuation(row, first);
        }
        let (name, mut fields) = match (name, first) {
            (Some(name), _) => (name, Vec::with_capacity(logical.len())),
            (None, Some(first)) => self.head(row, &first)?,
            (None, None) => return None,
        };
        fields.reserve(logical.len());
        for line in logical {
            fields.extend(self.field(row, &line));
        }
        let broken = self.problems.len() > before;
        let whole = head.span(0, head.text.len());
        let span = fields.last().map_or(whole, |last| whole.to(last.span));
        Some(Declaration { word: row.word, name, fields, span, broken })
    }

    /// A free name ends with its line; what follows and is no field was meant as one.
    fn no_continuation(&mut self, row: &DeclarationRow, head: &Logical) {
        let words = self.text.get(head.whole.clone()).unwrap_or("");
        let lead = words.len() - words.trim_start().len();
        let typed = words.split_whitespace().next().unwrap_or("");
        if typed.is_empty() {
            return;
        }
        let start = head.whole.start + lead;
        let known: Vec<&str> = row.fields.iter().map(|word| words::field_row(*word).text).collect();
        let near = did_you_mean(typed, known.iter().copied());
        self.problems.push(
            Problem::error(
                "syntax/field-word",
                self.span(start, start + typed.len()),
                format!("`{typed}` is no field of `{}`", row.text),
            )
            .help(near.unwrap_or_else(|| format!("its fields are {}; its name stands on one line", known.join(", ")))),
        );
    }

    /// Free names and labels, which no grammar reads; where the rest of the head begins. `words` are the head's, from `at`
    /// on; the declaration's own word is `length` long.
    fn label(&mut self, row: &DeclarationRow, at: usize, words: &str, length: usize) -> Option<(Option<Name>, usize)> {
        let rest = words.get(length..).unwrap_or("");
        let end = match row.head {
            Head::Free => Some(rest.len()),
            Head::Label => rest.find(':'),
            _ => return Some((None, at + length)),
        };
        let start = at + length + (rest.len() - rest.trim_start().len());
        let Some(end) = end else {
            let end = at + words.trim_end().len();
            self.problems.push(no_colon(row, self.span(start.min(end), end)));
            return None;
        };
        let said = rest.get(..end).unwrap_or("").trim();
        if said.is_empty() {
            self.problems.push(no_name(row, self.span(at, at + length)));
            return None;
        }
        let said = Slice { text: said, ..self.slice(&(start..start + said.len())) };
        let name = Name { text: said.folded(said.text.trim_matches('`')), span: said.span(0, said.text.len()) };
        let after = at + length + end + usize::from(row.head == Head::Label);
        let tail = words.get(length + end + usize::from(row.head == Head::Label)..).unwrap_or("");
        let blank = tail.len() - tail.trim_start().len();
        // A comment after the colon is no body.
        let after = if tail.trim().is_empty() { at + words.len() } else { after + blank };
        Some((Some(name), after))
    }

    fn head(&mut self, row: &'static DeclarationRow, line: &Logical) -> Option<(Name, Vec<Field>)> {
        let slice = self.slice(&line.body);
        if slice.text.trim().is_empty() {
            let word = self.span(line.body.start.saturating_sub(row.text.len()), line.body.start);
            self.problems.push(no_name(row, word));
            return None;
        }
        match read_head(row, slice) {
            Ok((name, field)) => Some((name, field.into_iter().collect())),
            Err(problem) => {
                self.problems.push(self.with_field_hint(row, line, problem));
                // Only the continued lines may be broken: then the name is known all the same.
                let first_line = slice.text.lines().next().unwrap_or("");
                read_head(row, Slice { text: first_line, ..slice })
                    .ok()
                    .map(|(name, field)| (name, field.into_iter().collect()))
            }
        }
    }

    fn field(&mut self, row: &'static DeclarationRow, line: &Logical) -> Option<Field> {
        let field = line.field?;
        let slice = self.slice(&line.body);
        if line.slip {
            let typed = self.text.get(line.whole.start..line.body.start).unwrap_or("");
            let place = self.span(line.whole.start, line.body.start);
            self.problems.push(
                Problem::error("syntax/field-word", place, format!("`{typed}` is no field of `{}`", row.text))
                    .help(format!("did you mean `{}`?", field.text)),
            );
        }
        let span = self.span(line.whole.start, line.whole.start + self.slice(&line.whole).text.trim_end().len());
        if slice.text.trim().is_empty() && field.shape != words::Shape::Nothing && !slice.text.contains('\n') {
            self.problems.push(empty_field(field, span));
            return None;
        }
        match fields::field(slice, field.shape) {
            Ok(body) => Some(Field { word: field.word, body, span }),
            // What follows from the slip is not told again.
            Err(_) if line.slip => None,
            Err(problem) => {
                self.problems.push(self.with_field_hint(row, line, problem));
                None
            }
        }
    }

    /// A continued line whose first word is nearly a field word was meant as one.
    fn with_field_hint(&self, row: &'static DeclarationRow, line: &Logical, problem: Problem) -> Problem {
        if matches!(row.lines, Lines::Own(_)) {
            return problem;
        }
        let range = line.whole.clone();
        let words = self.text.get(range.clone()).unwrap_or("");
        let known = || row.fields.iter().map(|w| words::field_row(*w).text).filter(|t| !t.is_empty() && *t != "=");
        let mut at = range.start;
        let place = problem.span().end as usize;
        for (number, part) in words.split_inclusive('\n').enumerate() {
            let lead = part.len() - part.trim_start().len();
            let said = part.split_whitespace().next().unwrap_or("");
            if number > 0
                && said.len() > 2
                && place >= self.base + at
                && let Some(near) = crate::problem::nearest(said, known().filter(|w| !w.contains(' ')))
            {
                let span = self.span(at + lead, at + lead + said.len());
                return Problem::error("syntax/field-word", span, format!("`{said}` is no field of `{}`", row.text))
                    .help(format!("did you mean `{near}`?"));
            }
            at += part.len();
        }
        problem
    }
}

fn read_head(row: &'static DeclarationRow, slice: Slice<'_>) -> Built<(Name, Option<Field>)> {
    match quick::head(slice, row.head) {
        Some(read) => Ok(read),
        None => head_by_grammar(row, slice),
    }
}

/// The same without the shorter way.
pub(super) fn head_by_grammar(row: &'static DeclarationRow, slice: Slice<'_>) -> Built<(Name, Option<Field>)> {
    let rule = match row.head {
        Head::Text => Rule::h_text,
        Head::NamedText => Rule::h_named_text,
        Head::Limit => Rule::h_limit,
        Head::Reading => Rule::h_reading,
        Head::Finding => Rule::h_finding,
        Head::Name | Head::Free | Head::Label => Rule::h_name,
    };
    let mut parts = slice.parse(rule)?;
    let first = parts.need()?;
    if row.head == Head::Text {
        let title = text(slice, first);
        return Ok((Name { text: title.text, span: title.span }, None));
    }
    let name = name(slice, first);
    let span = parts.whole;
    let field = match parts.next() {
        None => None,
        Some(pair) if row.head == Head::NamedText => {
            let said = text(slice, pair);
            Some(Field { word: FieldWord::Description, span: said.span, body: FieldBody::Text(said) })
        }
        Some(_) => {
            let body = parts.need()?;
            let span = Span { start: slice.of(&body).start, ..span };
            Some(if row.head == Head::Finding {
                Field { word: FieldWord::Means, body: FieldBody::Condition(conditions::condition(slice, body)?), span }
            } else {
                Field { word: FieldWord::Value, body: FieldBody::Value(sum_expr(slice, body)?), span }
            })
        }
    };
    Ok((name, field))
}

fn first_word(text: &str) -> &str {
    text.split(char::is_whitespace).next().unwrap_or("")
}

fn stray(span: Span) -> Problem {
    Problem::error("syntax/stray-line", span, "an indented line with no declaration above it")
        .help("begin a declaration at the left margin: `rulebook`, `reading`, `fault`, `rule`, …")
}

fn unknown_declaration(head: Slice<'_>) -> Problem {
    let typed = first_word(head.text);
    let span = head.span(0, typed.len());
    let known = || DECLARATIONS.iter().map(|row| row.text);
    let near = did_you_mean(typed, known());
    let list = known().collect::<Vec<_>>().join(", ");
    Problem::error("syntax/declaration", span, format!("`{typed}` doesn't begin a declaration"))
        .help(near.unwrap_or_else(|| format!("at the left margin stands one of {list}; a line of a body is indented")))
}

fn no_colon(row: &DeclarationRow, span: Span) -> Problem {
    Problem::error("syntax/label", span, format!("the label of this `{}` doesn't end in a colon", row.text))
        .help(format!("write `{} in a few words what it says:` and the sentence on the next, indented line", row.text))
}

fn no_name(row: &DeclarationRow, span: Span) -> Problem {
    Problem::error("syntax/no-name", span, format!("this `{}` has no name", row.text))
        .help(format!("write its name after `{}`, in plain words", row.text))
}

fn empty_field(field: &words::FieldRow, span: Span) -> Problem {
    Problem::error("syntax/empty-field", span, format!("`{}` says nothing", field.text))
        .help(format!("write for example `{}`", field.example))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOOK: &str = "# of a bus\nrulebook \"R\"\nlimit  least   feed = 22.5 V # at rest\ncase a broken one:\n  what is = this\n  # no\n\nfault blown fuse \"It is open\"\n  share 3\ncase:\ncase a broken one:\ncase no colon\n";

    #[test]
    fn without_cases_all_else_is_read_as_ever() {
        let (whole, problems) = parse_book(SourceId::default(), BOOK);
        assert!(!problems.is_empty());
        let (without, problems) = parse_part(SourceId::default(), &BOOK.into(), Extent::WithoutCases);
        assert_eq!(problems, []);
        let kept: Vec<_> = whole.declarations.into_iter().filter(|d| d.word != DeclarationWord::Case).collect();
        assert_eq!(without.declarations, kept);
        assert_eq!(kept.len(), 3);
    }

    /// All that is found in a book after so many bytes of comments, its places counted from the book on.
    fn found_after(padding: usize) -> (Vec<String>, Vec<String>) {
        let line = "# the same again\n";
        let text = ArcStr::from(line.repeat(padding / line.len()) + BOOK);
        let before = u32::try_from(text.len() - BOOK.len()).unwrap();
        let (tree, problems) = parse_part(SourceId::default(), &text, Extent::Whole);
        let place = |span: Span| (span.start - before, span.end - before);
        let said =
            |d: &Declaration| format!("{:?} {} {:?} {:?}", d.word, d.name.text, place(d.span), place(d.name.span));
        let declarations = tree.declarations.iter().map(said).collect();
        (declarations, problems.iter().map(|p| format!("{} {:?}", p.code, place(p.span()))).collect())
    }

    #[test]
    fn a_long_text_is_read_as_a_short_one() {
        let short = found_after(0);
        assert_eq!((short.0.len(), short.1.len()), (5, 3), "{short:?}");
        for padding in [8_150, 8_190, 16_000, WORTH_SHARING, 3 * WORTH_SHARING] {
            assert_eq!(found_after(padding), short, "{padding}");
        }
    }

    #[test]
    fn words_are_pieces_of_the_text_but_for_blanks_that_fold() {
        let text = ArcStr::from(BOOK);
        let (tree, _) = parse_part(SourceId::default(), &text, Extent::WithoutCases);
        let shares = |name: &Name| ArcStr::ptr_eq(name.text.parent(), &text);
        let names: Vec<(&str, bool)> = tree.declarations.iter().map(|d| (&*d.name.text, shares(&d.name))).collect();
        assert_eq!(names, [("R", true), ("least feed", false), ("blown fuse", true)]);
    }
}

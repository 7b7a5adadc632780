//! The plainest lines, read without the grammar: names, a number with its unit, comparisons joined by `and`, one
//! conclusion. Most lines of a book are such, and the grammar is what starting up costs most. Anything that is not quite
//! plain is left to the grammar, errors included; a test holds the two to the same trees.

use crate::source::Span;
use crate::syntax::tree::{
    Atom, Conclusion, Condition, Expr, FieldBody, Name, Number, Odds, Sentence, SetupItem, Test,
};
use crate::syntax::words::Shape;

use super::Slice;

/// Words that mean something, or begin something that does: a name with one of them is left to the grammar.
const RESERVED: &[&str] = &[
    "a",
    "above",
    "absolute",
    "ac",
    "after",
    "against",
    "always",
    "and",
    "at",
    "below",
    "between",
    "ever",
    "for",
    "from",
    "gauge",
    "implies",
    "in",
    "is",
    "least",
    "means",
    "most",
    "not",
    "of",
    "or",
    "out",
    "outside",
    "rules",
    "shows",
    "speaks",
    "suggests",
    "times",
    "to",
    "tolerance",
    "with",
    "within",
    "without",
];

/// Units that are read here.
const UNITS: &[&str] = &["V", "mV", "A", "mA", "ohm", "kohm", "K", "degC", "bar", "min", "s", "h", "W", "%", "rpm"];

/// A field's body, if it is plain.
pub(super) fn field(slice: Slice<'_>, shape: Shape) -> Option<FieldBody> {
    if !matches!(
        shape,
        Shape::Name | Shape::Names | Shape::Items | Shape::Number | Shape::Condition | Shape::Shows | Shape::Sentence
    ) {
        return None;
    }
    let mut words = Words::of(slice)?;
    let body = match shape {
        Shape::Name => FieldBody::Names(vec![words.name()?]),
        Shape::Names => FieldBody::Names(words.names()?),
        Shape::Items => {
            let names = words.names()?;
            FieldBody::Items(names.into_iter().map(|name| item(name.span, true, name)).collect())
        }
        Shape::Number => FieldBody::Number(words.number()?),
        Shape::Condition => FieldBody::Condition(words.condition()?),
        Shape::Shows => {
            let condition = words.condition()?;
            FieldBody::Shows(condition, if words.is_done() { None } else { Some(words.chance()?) })
        }
        _ => FieldBody::Sentence(words.sentence()?),
    };
    words.is_done().then_some(body)
}

fn item(span: Span, with: bool, name: Name) -> SetupItem {
    SetupItem { name, with, value: None, span }
}

/// A word, a figure or a comma; where it begins and ends in the slice.
#[derive(Clone, Copy)]
struct Word {
    start: usize,
    end: usize,
}

/// The words of a line, taken one by one.
struct Words<'t> {
    slice: Slice<'t>,
    at: usize,
}

impl<'t> Words<'t> {
    /// None where a character stands that no plain line has.
    fn of(slice: Slice<'t>) -> Option<Self> {
        let plain =
            |b: u8| b.is_ascii_alphanumeric() || matches!(b, b' ' | b'\n' | b'\'' | b'_' | b'-' | b'.' | b',' | b'%');
        slice.text.bytes().all(plain).then_some(Self { slice, at: 0 })
    }

    fn peek(&self) -> Option<Word> {
        let bytes = self.slice.text.as_bytes();
        let rest = bytes.get(self.at..)?;
        let start = self.at + rest.iter().position(|b| !matches!(b, b' ' | b'\n'))?;
        let rest = bytes.get(start..)?;
        let length = match rest.first() {
            Some(b',') => 1,
            _ => rest.iter().position(|b| matches!(b, b' ' | b'\n' | b',')).unwrap_or(rest.len()),
        };
        Some(Word { start, end: start + length })
    }

    fn is_done(&self) -> bool {
        self.peek().is_none()
    }

    fn text(&self, word: Word) -> &'t str {
        self.slice.text.get(word.start..word.end).unwrap_or("")
    }

    fn span(&self, start: usize, end: usize) -> Span {
        self.slice.span(start, end)
    }

    /// Takes a word if it is that one, letter by letter.
    fn take(&mut self, wanted: &str) -> Option<Word> {
        let word = self.peek().filter(|word| self.text(*word) == wanted)?;
        self.at = word.end;
        Some(word)
    }

    fn next_is(&self, wanted: &[&str]) -> bool {
        self.peek().is_none_or(|word| wanted.contains(&self.text(word)))
    }

    /// Words with one blank between them, none of them reserved. What follows must not be able to belong to it.
    fn name(&mut self) -> Option<Name> {
        let first = self.peek().filter(|word| is_plain_word(self.text(*word)))?;
        let mut end = first.end;
        self.at = end;
        while let Some(word) = self.peek() {
            let said = self.text(word);
            if !is_plain_word(said) {
                // A figure may be a name's last word; so may a reserved word in capitals.
                let ends = said == "," || RESERVED.contains(&said) || is_figure(said);
                return ends.then(|| self.named(first.start, end));
            }
            if word.start != end + 1 || self.slice.text.as_bytes().get(end) != Some(&b' ') {
                return None;
            }
            end = word.end;
            self.at = end;
        }
        Some(self.named(first.start, end))
    }

    fn named(&self, start: usize, end: usize) -> Name {
        Name { text: self.slice.text.get(start..end).unwrap_or("").into(), span: self.span(start, end) }
    }

    /// A name that no figure follows.
    fn whole_name(&mut self) -> Option<Name> {
        let name = self.name()?;
        let figure = self.peek().is_some_and(|word| is_figure(self.text(word)));
        (!figure).then_some(name)
    }

    fn names(&mut self) -> Option<Vec<Name>> {
        let mut names = vec![self.whole_name()?];
        while self.take(",").is_some() {
            names.push(self.whole_name()?);
        }
        Some(names)
    }

    /// A figure, perhaps with a unit.
    fn number(&mut self) -> Option<Number> {
        let figure = self.peek().filter(|word| is_figure(self.text(*word)))?;
        self.at = figure.end;
        let digits = self.text(figure).into();
        let Some(word) = self.peek().filter(|word| UNITS.contains(&self.text(*word))) else {
            // What stands there could be a unit that is not known here.
            let ends = self.next_is(&["and", "to", "of", ","]);
            return ends.then(|| Number { digits, unit: None, span: self.span(figure.start, figure.end) });
        };
        self.at = word.end;
        // `kPa gauge`, `V AC`: more of a unit.
        let more = self
            .peek()
            .is_some_and(|next| matches!(self.text(next).to_ascii_lowercase().as_str(), "ac" | "gauge" | "absolute"));
        let unit = Name { text: self.text(word).into(), span: self.span(word.start, word.end) };
        (!more).then(|| Number { digits, unit: Some(unit), span: self.span(figure.start, word.end) })
    }

    /// A number or a name.
    fn limit(&mut self) -> Option<Expr> {
        let word = self.peek()?;
        if is_figure(self.text(word)) { self.number().map(Expr::Number) } else { self.whole_name().map(Expr::Name) }
    }

    fn condition(&mut self) -> Option<Condition> {
        let mut all = vec![self.atom()?];
        while self.take("and").is_some() {
            all.push(self.atom()?);
        }
        if all.len() == 1 { all.pop() } else { Some(Condition::All(all)) }
    }

    fn atom(&mut self) -> Option<Condition> {
        let subject = self.whole_name()?;
        let start = subject.span.start;
        let (test, negated) = self.test()?;
        let mut setup = Vec::new();
        let with = self.next_is(&["with"]);
        if let Some(word) = self.take("with").or_else(|| self.take("without")) {
            let name = self.whole_name()?;
            setup.push(item(self.span(word.start, self.at), with, name));
        }
        // Whatever else may follow an atom is not plain.
        if !self.next_is(&["and", "implies", "rules", "suggests", "speaks", "in"]) {
            return None;
        }
        let span = Span { start, ..self.span(self.at, self.at) };
        Some(Condition::Atom(Box::new(Atom {
            subject: Expr::Name(subject),
            test,
            negated,
            setup,
            signal: Vec::new(),
            span,
        })))
    }

    fn test(&mut self) -> Option<(Option<Test>, bool)> {
        if self.take("is").is_some() {
            let negated = self.take("not").is_some();
            return Some((Some(Test::Is(self.whole_name()?)), negated));
        }
        let before = self.at;
        if self.take("in").is_some() {
            if self.take("tolerance").is_some() {
                return Some((Some(Test::InTolerance), false));
            }
            // `in 8 of 10`
            self.at = before;
            return Some((None, false));
        }
        if self.take("out").is_some() {
            self.take("of")?;
            self.take("tolerance")?;
            return Some((Some(Test::OutOfTolerance), false));
        }
        let test = if self.take("below").is_some() {
            self.bound(Test::BelowTolerance, Test::Below)?
        } else if self.take("above").is_some() {
            self.bound(Test::AboveTolerance, Test::Above)?
        } else if self.take("between").is_some() {
            let low = self.limit()?;
            self.take("and")?;
            Test::Between(low, self.limit()?)
        } else if self.take("outside").is_some() {
            let low = self.limit()?;
            self.take("to")?;
            Test::Outside(low, self.limit()?)
        } else if self.take("at").is_some() {
            match self.take("least") {
                Some(_) => Test::AtLeast(self.limit()?),
                None => {
                    self.take("most")?;
                    Test::AtMost(self.limit()?)
                }
            }
        } else {
            return Some((None, false));
        };
        Some((Some(test), false))
    }

    fn bound(&mut self, tolerance: Test, than: fn(Expr) -> Test) -> Option<Test> {
        if self.take("tolerance").is_some() { Some(tolerance) } else { self.limit().map(than) }
    }

    /// `in 8 of 10`
    fn chance(&mut self) -> Option<(u32, u32, Span)> {
        let start = self.take("in")?.start;
        let of = self.count()?;
        self.take("of")?;
        let all = self.count()?;
        Some((of, all, self.span(start, self.at)))
    }

    fn count(&mut self) -> Option<u32> {
        let word = self.peek().filter(|word| self.text(*word).bytes().all(|b| b.is_ascii_digit()))?;
        self.at = word.end;
        self.text(word).parse().ok()
    }

    fn sentence(&mut self) -> Option<Sentence> {
        let condition = self.condition()?;
        let start = self.peek()?.start;
        let conclusion = if self.take("implies").is_some() {
            let (faults, one_of) = self.implied()?;
            let span = self.span(start, self.at);
            if one_of { Conclusion::ImpliesOneOf(faults, span) } else { Conclusion::Implies(faults, span) }
        } else if self.take("rules").is_some() {
            self.take("out")?;
            let faults = self.names()?;
            Conclusion::RulesOut(faults, self.span(start, self.at))
        } else if self.take("suggests").is_some() {
            let (fault, odds) = (vec![self.name()?], self.odds()?);
            Conclusion::Suggests(fault, odds, self.span(start, self.at))
        } else {
            self.take("speaks")?;
            self.take("against")?;
            let (fault, odds) = (vec![self.name()?], self.odds()?);
            Conclusion::SpeaksAgainst(fault, odds, self.span(start, self.at))
        };
        Some(Sentence { condition, conclusions: vec![conclusion] })
    }

    fn implied(&mut self) -> Option<(Vec<Name>, bool)> {
        let mut faults = vec![self.whole_name()?];
        let joiner = if self.next_is(&[","]) { "," } else { "or" };
        while self.take(joiner).is_some() {
            faults.push(self.whole_name()?);
        }
        let one_of = joiner == "or" && faults.len() > 1;
        Some((faults, one_of))
    }

    fn odds(&mut self) -> Option<Odds> {
        let above = self.figure()?;
        self.take("to")?;
        Some(Odds { above, below: self.figure()? })
    }

    fn figure(&mut self) -> Option<Number> {
        let word = self.peek().filter(|word| is_figure(self.text(*word)))?;
        self.at = word.end;
        Some(Number { digits: self.text(word).into(), unit: None, span: self.span(word.start, word.end) })
    }
}

/// A word that can only be a name's.
fn is_plain_word(word: &str) -> bool {
    let letter = word.as_bytes().first().is_some_and(u8::is_ascii_alphabetic);
    let plain = word.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'\'' | b'_' | b'-'));
    letter && plain && !RESERVED.iter().any(|reserved| reserved.eq_ignore_ascii_case(word))
}

/// `12` or `12.5`.
fn is_figure(word: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    word.split_once('.').map_or_else(|| digits(word), |(whole, rest)| digits(whole) && digits(rest))
}

#[cfg(test)]
mod tests {
    use super::super::fields::by_grammar;
    use super::*;
    use crate::source::SourceId;
    use crate::syntax::layout;
    use crate::syntax::words::{DECLARATIONS, leading_words};

    /// The lines of a book by shape.
    fn each_line(text: &str, mut met: impl FnMut(&str, Shape)) {
        let text = layout::without_comments(text);
        let lines = layout::lines(&text);
        for block in layout::blocks(&lines) {
            let head = &text[block.head.range.clone()];
            let Some((row, length)) =
                DECLARATIONS.iter().find_map(|row| leading_words(head, row.text).map(|length| (row, length)))
            else {
                continue;
            };
            let after = block.head.range.start + head.find(':').map_or(length, |at| at + 1);
            for line in layout::logical(&text, row, after..block.head.range.end, block.body) {
                if let Some(field) = line.field {
                    met(&text[line.body], field.shape);
                }
            }
        }
    }

    fn books() -> Vec<String> {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut folders = vec![root.join("rulebooks"), root.join("tests")];
        let mut texts = Vec::new();
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else if path.extension().is_some_and(|ending| ending == "rulebook") {
                    texts.extend(std::fs::read_to_string(path));
                }
            }
        }
        texts
    }

    fn same(line: &str, shape: Shape) -> bool {
        let slice = Slice { source: SourceId::default(), base: 7, text: line };
        let Some(quick) = field(slice, shape) else { return false };
        assert_eq!(Some(quick), by_grammar(slice, shape).ok(), "{line:?} as {shape:?}");
        true
    }

    #[test]
    fn plain_lines_are_read_as_the_grammar_reads_them() {
        let (mut quick, mut all) = (0, 0);
        for text in books() {
            each_line(&text, |line, shape| {
                quick += usize::from(same(line, shape));
                all += usize::from(matches!(shape, Shape::Names | Shape::Shows | Shape::Condition | Shape::Sentence));
            });
        }
        assert!(all > 2_000 && quick * 3 > all * 2, "{quick} of {all} lines are plain");
    }

    /// Every word of many lines in turn left out, doubled, put in capitals, or another in its place.
    #[test]
    fn lines_gone_wrong_are_read_as_the_grammar_reads_them_or_left_to_it() {
        let others =
            ["and", "Not", "is", "of", "12", "12.5", "V", ",", "with", "to", "At", "in tolerance", "A", "times", "%"];
        let mut tried = 0;
        for text in books() {
            let mut count = 0;
            each_line(&text, |line, shape| {
                count += 1;
                if field(Slice { source: SourceId::default(), base: 0, text: line }, shape).is_none() || count % 5 != 0
                {
                    return;
                }
                let words: Vec<&str> = line.split(' ').collect();
                for at in 0..words.len() {
                    let other = others[(count + at) % others.len()];
                    let upper = words[at].to_uppercase();
                    let ways = [vec![], vec![words[at]; 2], vec![upper.as_str()], vec![other], vec![words[at], other]];
                    for way in ways {
                        let mended: Vec<&str> =
                            words[..at].iter().chain(&way).chain(&words[at + 1..]).copied().collect();
                        same(&mended.join(" "), shape);
                        tried += 1;
                    }
                }
            });
        }
        assert!(tried > 2_000, "{tried}");
    }
}

//! A line cut to words, and what they are at a glance.

use crate::source::Span;
use crate::syntax::tree::{Name, Number};

use super::Slice;

/// Units that are read here.
const UNITS: &[&str] = &[
    "V", "mV", "A", "mA", "ohm", "kohm", "mohm", "Mohm", "K", "degC", "bar", "min", "s", "ms", "h", "W", "Ah", "%",
    "rpm", "m", "mm", "mm²", "kPa",
];

/// Words that mean something at the start of a phrase, in capitals too.
pub(super) const FIRST_WORDS: &[&str] = &[
    "above",
    "after",
    "always",
    "and",
    "at",
    "below",
    "between",
    "ever",
    "for",
    "implies",
    "in",
    "is",
    "means",
    "not",
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

/// What a word is at a glance.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// It begins with a letter and holds only what a name's words hold.
    Plain,
    /// `87a`: it begins with a digit and may go on a name.
    Numbered,
    /// `12`: a figure that may go on a name.
    Whole,
    /// `12.5`
    Decimal,
    /// `,` `(` `)`; `=` `+` `-` `*` `/` `±` standing alone
    Mark,
    /// Anything else.
    Other,
}

/// A word; where it begins and ends in the slice.
#[derive(Clone, Copy, Debug)]
pub(super) struct Word {
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) kind: Kind,
}

/// The words of a line, taken one by one.
pub(super) struct Words<'t> {
    pub(super) slice: Slice<'t>,
    words: Vec<Word>,
    at: usize,
    /// How many parentheses it stands in.
    depth: usize,
}

/// Deeper parentheses are left to the grammar, which has a word for them.
const DEEPEST: usize = 4;

impl<'t> Words<'t> {
    /// None where a character stands that no plain line has.
    pub(super) fn of(slice: Slice<'t>) -> Option<Self> {
        let bytes = slice.text.as_bytes();
        let mut words = Vec::with_capacity(bytes.len() / 5 + 2);
        let mut at = 0;
        while let Some(byte) = bytes.get(at) {
            if matches!(byte, b' ' | b'\n') {
                at += 1;
                continue;
            }
            let word = word_at(bytes, at)?;
            at = word.end;
            words.push(word);
        }
        Some(Self { slice, words, at: 0, depth: 0 })
    }

    pub(super) fn peek(&self) -> Option<Word> {
        self.words.get(self.at).copied()
    }

    pub(super) fn next(&mut self) -> Option<Word> {
        let word = self.peek()?;
        self.at += 1;
        Some(word)
    }

    pub(super) fn is_done(&self) -> bool {
        self.at >= self.words.len()
    }

    /// Where the last word taken ends.
    pub(super) fn end(&self) -> usize {
        self.at.checked_sub(1).and_then(|at| self.words.get(at)).map_or(0, |word| word.end)
    }

    /// What stands `ahead` words further on; an empty text past the end.
    pub(super) fn ahead(&self, ahead: usize) -> &'t str {
        self.words.get(self.at + ahead).map_or("", |word| self.text(*word))
    }

    /// How far it has got, to come back to.
    pub(super) fn place(&self) -> usize {
        self.at
    }

    pub(super) fn back_to(&mut self, place: usize) {
        self.at = place;
    }

    pub(super) fn text(&self, word: Word) -> &'t str {
        self.slice.text.get(word.start..word.end).unwrap_or("")
    }

    pub(super) fn span(&self, start: usize, end: usize) -> Span {
        self.slice.span(start, end)
    }

    pub(super) fn next_is(&self, wanted: &str) -> bool {
        self.ahead(0) == wanted
    }

    /// Takes a word if it is that one, letter by letter.
    pub(super) fn take(&mut self, wanted: &str) -> Option<Word> {
        if self.next_is(wanted) { self.next() } else { None }
    }

    /// What stands in parentheses, read by `inside`.
    pub(super) fn in_parentheses<T>(&mut self, inside: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        self.take("(")?;
        self.depth += 1;
        let read = if self.depth > DEEPEST { None } else { inside(self) };
        self.depth -= 1;
        self.take(")")?;
        read
    }

    /// Whether `word` follows the one before it after a single blank.
    pub(super) fn is_close(&self, end: usize, word: Word) -> bool {
        word.start == end + 1 && self.slice.text.as_bytes().get(end) == Some(&b' ')
    }

    /// Words with one blank between them, up to where the grammar's `ends` ends a name.
    pub(super) fn name(&mut self) -> Option<Name> {
        let first = self.peek().filter(|word| word.kind == Kind::Plain && !self.ends_name())?;
        let said = self.text(first);
        let capital = said.as_bytes().first().is_some_and(u8::is_ascii_uppercase);
        if (capital || said == "tolerance") && FIRST_WORDS.iter().any(|word| word.eq_ignore_ascii_case(said)) {
            return None;
        }
        self.at += 1;
        let mut end = first.end;
        while let Some(word) = self.peek() {
            match word.kind {
                Kind::Mark | Kind::Decimal => break,
                _ if self.ends_name() => break,
                Kind::Other => return None,
                _ if !self.is_close(end, word) => return None,
                _ => end = word.end,
            }
            self.at += 1;
        }
        Some(self.named(first.start, end))
    }

    /// The grammar's `ends`, at the next word.
    pub(super) fn ends_name(&self) -> bool {
        let begins_with_digit = |ahead| self.ahead(ahead).as_bytes().first().is_some_and(u8::is_ascii_digit);
        match self.ahead(0) {
            "and" | "above" | "below" | "between" | "with" | "without" | "is" | "implies" | "or" | "outside" | "to"
            | "shows" | "suggests" | "not" | "means" => true,
            "at" => matches!(self.ahead(1), "least" | "most"),
            "always" | "ever" => self.compares(1),
            "from" => self.ahead(1).starts_with('"'),
            "for" => self.ahead(1) == "at" && self.ahead(2) == "least",
            "within" => begins_with_digit(1),
            "in" => {
                self.ahead(1) == "tolerance" || begins_with_digit(1) && self.ahead(2) == "of" && begins_with_digit(3)
            }
            "out" => self.ahead(1) == "of" && self.ahead(2) == "tolerance",
            "speaks" => self.ahead(1) == "against",
            "rules" => self.ahead(1) == "out",
            _ => {
                let whole = self.peek().is_some_and(|word| word.kind == Kind::Whole);
                whole && (self.ahead(1) == "times" || self.ahead(1) == "to" && begins_with_digit(2))
            }
        }
    }

    /// The grammar's `compare_word`.
    fn compares(&self, at: usize) -> bool {
        match self.ahead(at) {
            "below" | "above" | "between" | "outside" | "is" => true,
            "at" => matches!(self.ahead(at + 1), "least" | "most"),
            "in" => self.ahead(at + 1) == "tolerance",
            "out" => self.ahead(at + 1) == "of" && self.ahead(at + 2) == "tolerance",
            _ => false,
        }
    }

    pub(super) fn named(&self, start: usize, end: usize) -> Name {
        Name { text: self.slice.piece(self.slice.text.get(start..end).unwrap_or("")), span: self.span(start, end) }
    }

    pub(super) fn names(&mut self) -> Option<Vec<Name>> {
        let mut names = vec![self.name()?];
        while self.take(",").is_some() {
            names.push(self.name()?);
        }
        Some(names)
    }

    /// A figure without a unit.
    pub(super) fn figure(&mut self) -> Option<Number> {
        let word = self.next().filter(|word| matches!(word.kind, Kind::Whole | Kind::Decimal))?;
        // `1,5` is a slip that the grammar has a word for.
        let slip = self.slice.text.as_bytes().get(word.end) == Some(&b',');
        (!slip).then(|| Number {
            digits: self.slice.piece(self.text(word)),
            unit: None,
            span: self.span(word.start, word.end),
        })
    }

    /// A figure, perhaps with a unit.
    pub(super) fn number(&mut self) -> Option<Number> {
        let figure = self.figure()?;
        let Some(word) = self.peek() else { return Some(figure) };
        let Some(unit) = self.unit() else {
            // What stands there could be a unit that is not known here.
            let none = word.kind == Kind::Mark || self.ends_name() || matches!(self.text(word), "of" | "at");
            return none.then_some(figure);
        };
        Some(Number { span: figure.span.to(unit.span), unit: Some(unit), ..figure })
    }

    /// `V`, `bar gauge`
    pub(super) fn unit(&mut self) -> Option<Name> {
        let word = self.peek().filter(|word| UNITS.contains(&self.text(*word)))?;
        let mut end = word.end;
        if let Some(more) = self.words.get(self.at + 1)
            && matches!(self.ahead(1), "AC" | "gauge" | "absolute")
        {
            self.is_close(end, *more).then_some(())?;
            end = more.end;
            self.at += 1;
        }
        self.at += 1;
        let more = ["gauge", "absolute"].iter().any(|part| part.eq_ignore_ascii_case(self.ahead(0)));
        (!more).then(|| self.named(word.start, end))
    }
}

// What a byte is in a word.
const ENDS: u8 = 1;
const STRANGE: u8 = 2;
const DIGIT: u8 = 4;
const POINT: u8 = 8;
const LETTER: u8 = 16;
const SIGN: u8 = 32;

static CLASSES: [u8; 256] = {
    let mut classes = [STRANGE; 256];
    let mut byte = 0;
    while byte < 256 {
        classes[byte] = match byte as u8 {
            b' ' | b'\n' | b',' | b'(' | b')' => ENDS,
            b'0'..=b'9' => DIGIT,
            b'.' => POINT,
            b'a'..=b'z' | b'A'..=b'Z' | b'\'' | b'_' | b'-' => LETTER,
            b'%' | b'=' | b'+' | b'*' | b'/' | 0x80.. => SIGN,
            _ => STRANGE,
        };
        byte += 1;
    }
    classes
};

/// The word that begins there, None where it holds what no plain line has.
fn word_at(bytes: &[u8], start: usize) -> Option<Word> {
    let rest = bytes.get(start..)?;
    let first = *rest.first()?;
    // A minus before a figure is a word of its own.
    let minus = first == b'-' && rest.get(1).is_some_and(u8::is_ascii_digit);
    if matches!(first, b',' | b'(' | b')') || minus {
        return Some(Word { start, end: start + 1, kind: Kind::Mark });
    }
    let (mut length, mut seen, mut points) = (0, 0, 0);
    for byte in rest {
        let class = CLASSES[usize::from(*byte)];
        if class & (ENDS | STRANGE) != 0 {
            if class == STRANGE {
                return None;
            }
            break;
        }
        seen |= class;
        points += usize::from(class == POINT);
        length += 1;
    }
    let (name, digits) = (seen & (POINT | SIGN) == 0, seen & (LETTER | SIGN) == 0);
    let last = rest.get(length - 1).copied()?;
    let kind = match first {
        b'a'..=b'z' | b'A'..=b'Z' if name => Kind::Plain,
        b'0'..=b'9' if digits && name => Kind::Whole,
        b'0'..=b'9' if digits && points == 1 && last != b'.' => Kind::Decimal,
        b'0'..=b'9' if name => Kind::Numbered,
        b'=' | b'+' | b'-' | b'*' | b'/' if length == 1 => Kind::Mark,
        _ if rest.get(..length) == Some("±".as_bytes()) => Kind::Mark,
        _ => Kind::Other,
    };
    Some(Word { start, end: start + length, kind })
}

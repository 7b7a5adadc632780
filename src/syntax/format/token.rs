//! The pieces that a line is laid out from: words, names, figures, signs, each with the comments beside it. Knows
//! how two of them stand side by side, nothing of lines.

use std::borrow::Cow;

use super::walk::Role;

/// What a piece is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// A word of the language.
    Word,
    /// A name or free words.
    Name,
    /// Digits.
    Figure,
    /// A unit or `%`.
    Unit,
    /// A text in quotes, or a word that is never changed.
    Text,
    /// A plus or minus that belongs to the number after it.
    Sign,
    /// A plus, minus, times or over between two values.
    Operator,
    /// `±`, `=`, and whatever else stands with a blank on either side.
    Mark,
    /// `(`
    Open,
    /// `)`
    Close,
    /// `,`
    Comma,
    /// `:`
    Colon,
}

/// Whether a line may end before a piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Break {
    /// Never, unless a comment stands there.
    #[default]
    Never,
    /// Where the line is full.
    May,
    /// Where the line is full, and everywhere once the sentence takes several lines.
    Clause,
    /// Always.
    Must,
}

/// The two spellings of a name.
#[derive(Clone, Debug)]
pub(super) struct Spellings<'t> {
    /// Backticks off.
    pub(super) bare: Cow<'t, str>,
    /// As typed, runs of blanks folded.
    pub(super) typed: Cow<'t, str>,
    /// The part that the name plays.
    pub(super) role: Role,
}

impl Spellings<'_> {
    /// Whether the author wrote backticks.
    pub(super) fn typed_quoted(&self) -> bool {
        self.typed.starts_with('`')
    }
}

/// A name in backticks.
pub(super) fn in_backticks(bare: &str) -> String {
    if bare.is_empty() { "` `".to_string() } else { format!("`{bare}`") }
}

/// A piece with the comments beside it.
#[derive(Clone, Debug)]
pub(super) struct Token<'t> {
    /// What it is.
    pub(super) kind: Kind,
    /// As it will be written.
    pub(super) text: Cow<'t, str>,
    /// Of a name.
    pub(super) name: Option<Box<Spellings<'t>>>,
    /// Comments on lines of their own between the piece before and this one.
    pub(super) before: Vec<Cow<'t, str>>,
    /// The comment after it on its line.
    pub(super) after: Option<Cow<'t, str>>,
    /// Whether it began a line when it was written.
    pub(super) began_line: bool,
    /// Whether a line may end before it.
    pub(super) breaks: Break,
}

impl<'t> Token<'t> {
    pub(super) fn new(kind: Kind, text: impl Into<Cow<'t, str>>) -> Self {
        Self {
            kind,
            text: text.into(),
            name: None,
            before: Vec::new(),
            after: None,
            began_line: false,
            breaks: Break::Never,
        }
    }

    /// Whether it is that word of the language.
    pub(super) fn is_word(&self, word: &str) -> bool {
        self.kind == Kind::Word && self.text == word
    }

    /// Whether a value may end with it, so that a minus after it takes away.
    pub(super) fn ends_value(&self) -> bool {
        matches!(self.kind, Kind::Name | Kind::Figure | Kind::Unit | Kind::Close)
    }

    /// Columns that it takes.
    pub(super) fn width(&self) -> usize {
        if self.text.is_ascii() { self.text.len() } else { self.text.chars().count() }
    }
}

/// Whether a blank stands between two neighbours on a line.
pub(super) fn blank_between(left: &Token<'_>, right: &Token<'_>) -> bool {
    let closes = matches!(right.kind, Kind::Comma | Kind::Close | Kind::Colon);
    let opens = left.kind == Kind::Open || left.kind == Kind::Name && right.kind == Kind::Open;
    let signs = left.kind == Kind::Sign && right.kind == Kind::Figure;
    !(closes || opens || signs)
}

//! The words that begin declarations and their fields: one row each. Adding a field to a declaration is one word
//! in its row; adding a field word is one row in [`FIELDS`].

/// The word that begins a declaration.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[expect(missing_docs, reason = "each variant is the word itself; language.md's table says what it declares")]
pub enum DeclarationWord {
    Rulebook,
    Limit,
    State,
    Change,
    Reading,
    Observation,
    Complaint,
    Part,
    Fault,
    Finding,
    Rule,
    Caution,
    Circuit,
    Case,
    Profile,
}

/// How a declaration's first line reads after its word.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Head {
    /// A text in quotes.
    Text,
    /// A name.
    Name,
    /// A name, perhaps with a text (caution, fault).
    NamedText,
    /// A name and `= value`.
    Limit,
    /// A name, perhaps with `= expression`.
    Reading,
    /// A name, perhaps with `means condition`.
    Finding,
    /// Free text to the end of the line.
    Free,
    /// Free text up to the first colon.
    Label,
}

/// How the indented lines of a declaration hang together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lines {
    /// A line that begins with no field word continues the one before.
    Continue,
    /// Each line is its own.
    Own(FieldWord),
    /// Lines that begin with no field word are together one sentence.
    Sentence,
}

/// One declaration of the language.
#[derive(Debug)]
pub struct DeclarationRow {
    /// As typed.
    pub text: &'static str,
    /// Which.
    pub word: DeclarationWord,
    /// Its first line.
    pub head: Head,
    /// Its body.
    pub lines: Lines,
    /// The field words that count in it.
    pub fields: &'static [FieldWord],
}

/// The word that begins a field.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[expect(missing_docs, reason = "each variant is the word itself; language.md's table says what it means")]
pub enum FieldWord {
    Affects,
    Answers,
    AtMost,
    Bands,
    Because,
    Caution,
    Description,
    Element,
    Excludes,
    First,
    From,
    GoneWhen,
    Hazard,
    How,
    Kind,
    Language,
    Limit,
    MayBe,
    MayLend,
    Means,
    Meter,
    Needs,
    NormallyOn,
    OfPart,
    OneOf,
    Profile,
    Provokes,
    PutBack,
    Rating,
    Remedy,
    Revision,
    RootSumSquare,
    Scope,
    Sentence,
    Share,
    Shows,
    Sound,
    Source,
    Statement,
    Stop,
    Swaps,
    Takes,
    Tolerance,
    UnaffectedBy,
    UncoveredShare,
    GuardBand,
    Unit,
    Use,
    Value,
    Verify,
    Where,
}

/// How a field reads after its word.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[expect(missing_docs, reason = "each variant is the kind of body itself")]
pub enum Shape {
    Nothing,
    Text,
    Name,
    Names,
    Items,
    Count,
    FaultsAtOnce,
    Revision,
    Number,
    Range,
    Tolerance,
    Condition,
    Shows,
    Unit,
    Meter,
    Bands,
    Value,
    LimitLine,
    Sentence,
    Element,
    Statement,
}

/// One field word of the language.
#[derive(Debug)]
pub struct FieldRow {
    /// As typed; empty for the ones that have no word.
    pub text: &'static str,
    /// Which.
    pub word: FieldWord,
    /// What follows.
    pub shape: Shape,
    /// An example for the error message.
    pub example: &'static str,
}

const fn row(text: &'static str, word: FieldWord, shape: Shape, example: &'static str) -> FieldRow {
    FieldRow { text, word, shape, example }
}

use FieldWord as F;

/// Every field word, in the order of [`FieldWord`].
pub static FIELDS: &[FieldRow] = &[
    row("affects", F::Affects, Shape::Names, "affects supply at fan connector"),
    row("answers", F::Answers, Shape::Names, "answers yes, no, slowly"),
    row("at most", F::AtMost, Shape::FaultsAtOnce, "at most 2 faults at once"),
    row("bands", F::Bands, Shape::Bands, "bands low below 11.5 V, good 11.5 V to 15 V, high above 15 V"),
    row("because", F::Because, Shape::Text, "because \"The relay is good and fed.\""),
    row("caution", F::Caution, Shape::Names, "caution moving fans"),
    row("", F::Description, Shape::Text, "\"What is wrong, in a sentence\""),
    row("", F::Element, Shape::Element, "wire feed from relay 87 to harness plug, 6 m of 2.5 mm²"),
    row("excludes", F::Excludes, Shape::Items, "excludes engine running"),
    row("first", F::First, Shape::Names, "first battery voltage"),
    row("from", F::From, Shape::Range, "from 0 V to 32 V"),
    row("gone when", F::GoneWhen, Shape::Condition, "gone when fan runs is yes"),
    row("hazard", F::Hazard, Shape::Names, "hazard moving"),
    row("how", F::How, Shape::Text, "how \"Pull the two-way connector at the fan shroud.\""),
    row("kind", F::Kind, Shape::Text, "kind \"mini relay, 24 V\""),
    row("language", F::Language, Shape::Count, "language 1"),
    row("limit", F::Limit, Shape::LimitLine, "limit least feed = 22.5 V"),
    row("may be", F::MayBe, Shape::Names, "may be blown fuse, open feed wire"),
    row("may lend", F::MayLend, Shape::Nothing, "may lend"),
    row("means", F::Means, Shape::Condition, "means supply at fan connector below 0.5 V"),
    row("meter", F::Meter, Shape::Meter, "meter 0.5 % + 2 digits of 0.01 V"),
    row("needs", F::Needs, Shape::Items, "needs ignition on"),
    row("normally on", F::NormallyOn, Shape::Nothing, "normally on"),
    row("of part", F::OfPart, Shape::Name, "of part fan relay"),
    row("one of", F::OneOf, Shape::Names, "one of off, low, high"),
    row("profile", F::Profile, Shape::Text, "profile \"12 V\""),
    row("provokes", F::Provokes, Shape::Nothing, "provokes"),
    row("put back", F::PutBack, Shape::Text, "put back \"Plug the fan in again.\""),
    row("rating", F::Rating, Shape::Text, "rating \"20 A\""),
    row("remedy", F::Remedy, Shape::Text, "remedy \"Repair the feed wire.\""),
    row("revision", F::Revision, Shape::Revision, "revision 4"),
    row("root sum square", F::RootSumSquare, Shape::Number, "root sum square 95 %"),
    row("scope", F::Scope, Shape::Text, "scope \"Two fans on the roof unit\""),
    row("", F::Sentence, Shape::Sentence, "supply at fan connector below 11.5 V implies open feed wire"),
    row("share", F::Share, Shape::Number, "share 15"),
    row("shows", F::Shows, Shape::Shows, "shows fan runs is no"),
    row("sound", F::Sound, Shape::Names, "sound yes"),
    row("source", F::Source, Shape::Text, "source \"common practice\""),
    row("", F::Statement, Shape::Statement, "supply at fan connector = 10.9 V"),
    row("stop", F::Stop, Shape::Nothing, "stop"),
    row("swaps", F::Swaps, Shape::Name, "swaps fan relay"),
    row("takes", F::Takes, Shape::Number, "takes 3 min"),
    row("tolerance", F::Tolerance, Shape::Tolerance, "tolerance 24 V to 28.8 V with engine running"),
    row("unaffected by", F::UnaffectedBy, Shape::Names, "unaffected by relay swapped"),
    row("uncovered share", F::UncoveredShare, Shape::Number, "uncovered share 5"),
    row("guard band", F::GuardBand, Shape::Number, "guard band 95 %"),
    row("unit", F::Unit, Shape::Unit, "unit V"),
    row("use", F::Use, Shape::Text, "use \"common/battery.rulebook\""),
    row("=", F::Value, Shape::Value, "= 22.5 V"),
    row("verify", F::Verify, Shape::Condition, "verify supply at fan connector in tolerance"),
    row("where", F::Where, Shape::Text, "where \"Harness side of the fan connector\""),
];

const fn declaration(
    text: &'static str,
    word: DeclarationWord,
    head: Head,
    lines: Lines,
    fields: &'static [FieldWord],
) -> DeclarationRow {
    DeclarationRow { text, word, head, lines, fields }
}

use DeclarationWord as D;

/// Every declaration, in the order of the language's own table.
pub static DECLARATIONS: &[DeclarationRow] = &[
    declaration(
        "rulebook",
        D::Rulebook,
        Head::Text,
        Lines::Continue,
        &[
            F::Language,
            F::Revision,
            F::Scope,
            F::Use,
            F::Profile,
            F::AtMost,
            F::UncoveredShare,
            F::GuardBand,
            F::Source,
        ],
    ),
    declaration("limit", D::Limit, Head::Limit, Lines::Continue, &[F::Value, F::Because, F::Source]),
    declaration(
        "state",
        D::State,
        Head::Name,
        Lines::Continue,
        &[F::NormallyOn, F::OneOf, F::Provokes, F::How, F::Takes, F::Caution, F::Hazard, F::Needs, F::Excludes],
    ),
    declaration(
        "change",
        D::Change,
        Head::Name,
        Lines::Continue,
        &[F::How, F::Takes, F::Caution, F::Hazard, F::Needs, F::Excludes, F::Swaps, F::PutBack, F::Affects],
    ),
    declaration(
        "reading",
        D::Reading,
        Head::Reading,
        Lines::Continue,
        &[
            F::Value,
            F::Unit,
            F::From,
            F::Tolerance,
            F::Where,
            F::How,
            F::Needs,
            F::UnaffectedBy,
            F::Takes,
            F::Meter,
            F::Caution,
            F::Hazard,
            F::Bands,
            F::RootSumSquare,
        ],
    ),
    declaration(
        "observation",
        D::Observation,
        Head::Name,
        Lines::Continue,
        &[F::Answers, F::Sound, F::Where, F::How, F::Needs, F::UnaffectedBy, F::Takes, F::Caution, F::Hazard],
    ),
    declaration("complaint", D::Complaint, Head::Free, Lines::Continue, &[F::MayBe, F::First, F::GoneWhen]),
    declaration("part", D::Part, Head::Name, Lines::Continue, &[F::Kind, F::Where, F::Rating, F::MayLend]),
    declaration(
        "fault",
        D::Fault,
        Head::NamedText,
        Lines::Continue,
        &[F::Description, F::OfPart, F::Share, F::Remedy, F::Takes, F::Shows, F::Verify, F::Caution, F::Hazard],
    ),
    declaration("finding", D::Finding, Head::Finding, Lines::Continue, &[F::Means, F::Because]),
    declaration("rule", D::Rule, Head::Label, Lines::Sentence, &[F::Because, F::Source]),
    declaration("caution", D::Caution, Head::NamedText, Lines::Continue, &[F::Description, F::Stop]),
    declaration("circuit", D::Circuit, Head::Name, Lines::Own(F::Element), &[]),
    declaration("case", D::Case, Head::Label, Lines::Own(F::Statement), &[]),
    declaration("profile", D::Profile, Head::Text, Lines::Continue, &[F::Limit]),
];

/// The row of a field word.
pub fn field_row(word: FieldWord) -> &'static FieldRow {
    &FIELDS[word as usize]
}

/// The row of a declaration word.
pub fn declaration_row(word: DeclarationWord) -> &'static DeclarationRow {
    DECLARATIONS.iter().find(|row| row.word == word).unwrap_or(&DECLARATIONS[0])
}

/// The declaration that a line at the margin begins, and the length of its word.
pub fn declaration_at(line: &str) -> Option<(&'static DeclarationRow, usize)> {
    let mut rows = DECLARATIONS.iter().filter(|row| may_begin(line, row.text));
    rows.find_map(|row| leading_words(line, row.text).map(|length| (row, length)))
}

/// The field of `declaration` that a line begins with, and the length of its word.
pub fn field_at(declaration: &DeclarationRow, line: &str) -> Option<(&'static FieldRow, usize)> {
    let mut rows = declaration.fields.iter().map(|word| field_row(*word)).filter(|row| may_begin(line, row.text));
    rows.find_map(|row| length_of_word(row, line).map(|length| (row, length)))
}

/// Whether a line can begin with words: most can't, by their first letter.
fn may_begin(line: &str, words: &str) -> bool {
    matches!((line.as_bytes(), words.as_bytes()), ([one, ..], [other, ..]) if one.eq_ignore_ascii_case(other))
}

fn length_of_word(row: &FieldRow, line: &str) -> Option<usize> {
    let length = leading_words(line, row.text)?;
    let rest = line.get(length..)?;
    let before_quote = matches!(row.word, FieldWord::Because | FieldWord::Source);
    if before_quote && !rest.trim_start().starts_with('"') {
        return None;
    }
    Some(length)
}

/// The length of `words` at the start of `line`, if it begins with them (any run of blanks between).
pub fn leading_words(line: &str, words: &str) -> Option<usize> {
    let bytes = line.as_bytes();
    let mut at = 0;
    for byte in words.as_bytes() {
        if *byte == b' ' {
            let blanks = bytes.get(at..)?.iter().take_while(|byte| matches!(byte, b' ' | b'\t')).count();
            if blanks == 0 {
                return None;
            }
            at += blanks;
        } else if bytes.get(at)?.eq_ignore_ascii_case(byte) {
            at += 1;
        } else {
            return None;
        }
    }
    let rest = line.get(at..)?;
    let ends = |c: char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '\'' | '/' | '+'));
    let whole = words == "=" || rest.chars().next().is_none_or(ends);
    whole.then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_declared_field_has_exactly_one_row() {
        for declaration in DECLARATIONS {
            for word in declaration.fields {
                assert_eq!(FIELDS.iter().filter(|row| row.word == *word).count(), 1, "{word:?}");
            }
        }
    }

    #[test]
    fn every_row_stands_at_the_place_of_its_word() {
        for row in FIELDS {
            assert_eq!(field_row(row.word).word, row.word);
        }
    }

    #[test]
    fn a_field_word_is_whole_words_and_because_needs_a_quote() {
        let rule = declaration_row(DeclarationWord::Rule);
        assert!(field_at(rule, "because \"x\"").is_some());
        assert!(field_at(rule, "because of it is yes").is_none());
        assert_eq!(leading_words("unaffected   by x", "unaffected by"), Some(15));
        assert_eq!(leading_words("united", "unit"), None);
    }
}

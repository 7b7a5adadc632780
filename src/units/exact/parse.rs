//! A number as a technician types it, and what is wrong with one that can't be read.

use std::{error::Error, fmt, str::FromStr};

use dashu_ratio::RBig;

use super::{Exact, ten_to};

/// The most digits that a typed number may have, the leading zeros included.
const MOST_DIGITS: usize = 40;

/// Why a text is no number.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NumberProblem {
    /// There is no digit where one must stand: an empty text, `.5`, `5.`, a lone sign.
    DigitMissing {
        /// The text as typed, cut after 42 characters.
        found: String,
    },
    /// A character that belongs to no number: `1e3`, `1,5`, `+2`, `12 V`.
    Foreign {
        /// The text as typed, cut after 42 characters.
        found: String,
        /// The first character that does not belong.
        character: char,
    },
    /// More digits than any instrument shows.
    TooLong {
        /// How many digits were typed.
        digits: usize,
    },
}

impl NumberProblem {
    /// What to type instead, where that is clear.
    pub fn fix(&self) -> Option<String> {
        match self {
            NumberProblem::DigitMissing { found } => {
                found.contains('.').then(|| "write a digit on both sides of the point, as in `0.5`".to_owned())
            }
            NumberProblem::Foreign { character: ',', .. } => {
                Some("write a decimal point, as in `11.9`, and no comma between thousands".to_owned())
            }
            NumberProblem::Foreign { character: 'e' | 'E', .. } => {
                Some("write the number out, as in `0.001`, or take a smaller unit, as in `mV`".to_owned())
            }
            NumberProblem::Foreign { character: '+', .. } => Some("leave the `+` out".to_owned()),
            NumberProblem::Foreign { .. } => None,
            NumberProblem::TooLong { .. } => Some(format!("write at most {MOST_DIGITS} digits")),
        }
    }
}

impl fmt::Display for NumberProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NumberProblem::DigitMissing { found } => {
                write!(f, "`{found}` is no number: a digit is missing")
            }
            NumberProblem::Foreign { found, character } => {
                write!(f, "`{found}` is no number: `{character}` can't stand in one")
            }
            NumberProblem::TooLong { digits } => {
                write!(f, "this number has {digits} digits, more than the {MOST_DIGITS} that are read")
            }
        }
    }
}

impl Error for NumberProblem {}

impl Exact {
    /// Reads decimal text such as `10`, `0.5` or `-3.25` exactly as written. The minus may be `-` or
    /// `−` (U+2212).
    ///
    /// # Errors
    /// Any other text: no digit before or after the point, an exponent, a `+`, a comma, a space, more
    /// than 40 digits.
    pub fn parse(text: &str) -> Result<Exact, NumberProblem> {
        let (unsigned, negative) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (rest, true),
            None => (text, false),
        };
        if let Some(character) = unsigned.chars().find(|c| !c.is_ascii_digit() && *c != '.') {
            return Err(NumberProblem::Foreign { found: shortened(text), character });
        }
        let missing = || NumberProblem::DigitMissing { found: shortened(text) };
        let (whole, part) = unsigned.split_once('.').map_or((unsigned, None), |(w, p)| (w, Some(p)));
        if whole.is_empty() || part == Some("") {
            return Err(missing());
        }
        let part = part.unwrap_or("");
        if part.contains('.') {
            return Err(NumberProblem::Foreign { found: shortened(text), character: '.' });
        }
        let digits = whole.len() + part.len();
        if digits > MOST_DIGITS {
            return Err(NumberProblem::TooLong { digits });
        }
        let size = match small(whole, part) {
            Some(size) => size,
            None => {
                let all = RBig::from_str(&format!("{whole}{part}")).map_err(|_| missing())?;
                all / ten_to(Exact::digits(unsigned))
            }
        };
        Ok(Exact(if negative { -size } else { size }))
    }

    /// How many digits stand after the point of a typed number: 2 for `12.60`, 0 for `12`. Half of the
    /// last digit is `Exact::pow10(-digits).half()`.
    pub fn digits(text: &str) -> u32 {
        let part = text.split_once('.').map_or("", |(_, part)| part);
        let count = part.chars().take_while(char::is_ascii_digit).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    }
}

/// A number that fits machine words, as nearly all do.
fn small(whole: &str, part: &str) -> Option<RBig> {
    if whole.len() + part.len() > 18 {
        return None;
    }
    let all = whole.bytes().chain(part.bytes()).fold(0u64, |sum, digit| sum * 10 + u64::from(digit - b'0'));
    if part.is_empty() {
        return Some(RBig::from(all));
    }
    let scale = 10u64.pow(u32::try_from(part.len()).ok()?);
    Some(RBig::from_parts(all.into(), scale.into()))
}

/// The text, cut where no number would still go on.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(MOST_DIGITS + 2) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or("")),
        None => text.to_owned(),
    }
}

impl FromStr for Exact {
    type Err = NumberProblem;
    fn from_str(text: &str) -> Result<Exact, NumberProblem> {
        Exact::parse(text)
    }
}

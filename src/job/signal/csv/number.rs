//! A cell as a number. The usual one (at most 15 digits, no exponent) is read by one pass and one division, which is
//! exact to the last bit (Clinger 1990: mantissa and power of ten are both whole numbers that a double holds); others go
//! to the standard library.

use super::cells::bare;

/// What a cell holds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Cell {
    Number(f64),
    /// Blank, `NaN`, `n/a`: nothing was read.
    Missing,
    /// Something else.
    Other,
}

const POWERS: [f64; 16] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// Reads a cell; `comma`: its decimal mark is a comma.
pub(super) fn number(cell: &[u8], comma: bool) -> Cell {
    let mark = if comma { b',' } else { b'.' };
    match quick(cell, mark) {
        Some(value) => Cell::Number(value),
        None => slow(bare(cell), mark),
    }
}

fn quick(cell: &[u8], mark: u8) -> Option<f64> {
    let (negative, digits) = match cell {
        [b'-', rest @ ..] => (true, rest),
        rest => (false, rest),
    };
    let (mut mantissa, mut count, mut after) = (0u64, 0usize, None);
    for byte in digits {
        match byte {
            b'0'..=b'9' => {
                mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
                count += 1;
            }
            _ if *byte == mark && after.is_none() => after = Some(count),
            _ => return None,
        }
    }
    if count == 0 || count > 15 {
        return None;
    }
    let value = mantissa as f64 / POWERS.get(count - after.unwrap_or(count))?;
    Some(if negative { -value } else { value })
}

fn slow(cell: &[u8], mark: u8) -> Cell {
    const MISSING: &[&[u8]] = &[b"", b"-", b"--", b"---", b"nan", b"n/a", b"na", b"null", b"none", b"ol", b"ovl"];
    if MISSING.iter().any(|word| cell.eq_ignore_ascii_case(word)) {
        return Cell::Missing;
    }
    let Ok(text) = std::str::from_utf8(cell) else { return Cell::Other };
    let typed = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | 'e' | 'E') || c == char::from(mark);
    if !text.chars().all(typed) || !text.bytes().any(|byte| byte.is_ascii_digit()) {
        return Cell::Other;
    }
    let parsed = if mark == b'.' { text.parse::<f64>() } else { text.replace(char::from(mark), ".").parse() };
    match parsed {
        Ok(value) if value.is_finite() => Cell::Number(value),
        _ => Cell::Other,
    }
}

/// How many digits stand behind the decimal mark.
pub(super) fn decimals(cell: &[u8], comma: bool) -> i32 {
    let mark = if comma { b',' } else { b'.' };
    let behind = bare(cell).split(|byte| *byte == mark).nth(1).unwrap_or_default();
    i32::try_from(behind.iter().take_while(|byte| byte.is_ascii_digit()).count()).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quick_way_reads_what_the_library_reads() {
        for text in ["12.6", "-0.013", "0", "123456789012345", "0.1", "9007199254740993", "1e-3", "+5", "3.", ".5"] {
            let expected: f64 = text.parse().unwrap();
            assert_eq!(number(text.as_bytes(), false), Cell::Number(expected), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_told_from_what_is_missing() {
        for text in ["", " NaN ", "n/a", "\"\"", "-", "OL"] {
            assert_eq!(number(text.as_bytes(), false), Cell::Missing, "{text}");
        }
        for text in ["12,6", "volts", "1.2.3", "1e999", "--5", "e", "0x10", "inf"] {
            assert_eq!(number(text.as_bytes(), false), Cell::Other, "{text}");
        }
        assert_eq!(number(b"12,6", true), Cell::Number(12.6));
        assert_eq!(number(b"12.6", true), Cell::Other);
        assert_eq!((decimals(b"12,60", true), decimals(b"7", true)), (2, 0));
    }
}

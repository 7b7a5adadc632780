//! A cell as a time in seconds: a number in a unit, a clock time, or a date with one.

use super::cells::bare;
use super::number::{Cell, number};

/// How a time column is written.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum TimeForm {
    /// A number; how many seconds its 1 is.
    Number(f64),
    /// `14:03:07.250`, `14:03:07,250`
    Clock,
    /// `2026-11-25 14:03:07.250`, `25.11.2026 14:03:07`, with `T` between and an offset behind.
    Dated,
}

/// Seconds in a day.
pub(super) const DAY: f64 = 86_400.0;

/// The time of a cell.
pub(super) fn time(cell: &[u8], form: TimeForm, comma: bool) -> Option<f64> {
    match form {
        TimeForm::Number(unit) => match number(cell, comma) {
            Cell::Number(value) => Some(value * unit),
            _ => None,
        },
        TimeForm::Clock => clock(bare(cell)).filter(|(_, rest)| rest.is_empty()).map(|(seconds, _)| seconds),
        TimeForm::Dated => dated(bare(cell)),
    }
}

/// Digits up to the next other byte.
fn whole(bytes: &[u8]) -> Option<(u32, &[u8])> {
    let length = bytes.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if length == 0 || length > 6 {
        return None;
    }
    let (digits, rest) = bytes.split_at_checked(length)?;
    Some((digits.iter().fold(0, |sum, digit| sum * 10 + u32::from(digit - b'0')), rest))
}

fn after(bytes: &[u8], mark: u8) -> Option<&[u8]> {
    bytes.strip_prefix(&[mark])
}

/// `hh:mm:ss` with or without a fraction, and what follows.
fn clock(bytes: &[u8]) -> Option<(f64, &[u8])> {
    let (hours, rest) = whole(bytes)?;
    let (minutes, rest) = whole(after(rest, b':')?)?;
    let (seconds, rest) = whole(after(rest, b':')?)?;
    if hours > 24 || minutes > 59 || seconds > 60 {
        return None;
    }
    let whole = f64::from(hours * 3_600 + minutes * 60 + seconds);
    let Some(fraction) = after(rest, b'.').or(after(rest, b',')) else { return Some((whole, rest)) };
    let length = fraction.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let (digits, rest) = fraction.split_at_checked(length)?;
    let (value, unit) = digits
        .iter()
        .take(15)
        .fold((0.0, 1.0), |(sum, unit), digit| (sum * 10.0 + f64::from(digit - b'0'), unit * 10.0));
    Some((whole + value / unit, rest))
}

fn dated(bytes: &[u8]) -> Option<f64> {
    let (first, rest) = whole(bytes)?;
    let mark = *rest.first()?;
    let (second, rest) = whole(rest.get(1..)?)?;
    let (third, rest) = whole(after(rest, mark)?)?;
    let days = match mark {
        b'-' => days(first, second, third)?,
        b'.' => days(third, second, first)?,
        _ => return None,
    };
    let (seconds, rest) = clock(after(rest, b' ').or(after(rest, b'T'))?.trim_ascii_start())?;
    Some(days * DAY + seconds - offset(rest.trim_ascii_start())?)
}

/// `Z`, `+01:00`, or nothing.
fn offset(bytes: &[u8]) -> Option<f64> {
    let (sign, rest) = match bytes {
        [] | b"Z" => return Some(0.0),
        [b'+', rest @ ..] => (1.0, rest),
        [b'-', rest @ ..] => (-1.0, rest),
        _ => return None,
    };
    let (hours, rest) = whole(rest)?;
    let (minutes, rest) = if rest.is_empty() { (0, rest) } else { whole(after(rest, b':')?)? };
    rest.is_empty().then(|| sign * f64::from(hours * 3_600 + minutes * 60))
}

/// Days since a fixed day, in the Gregorian calendar (after Hinnant, *chrono-compatible low-level date algorithms*).
fn days(year: u32, month: u32, day: u32) -> Option<f64> {
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) || !(1..=9_999).contains(&year) {
        return None;
    }
    let year = year - u32::from(month <= 2);
    let (era, of_era) = (year / 400, year % 400);
    let shifted = if month > 2 { month - 3 } else { month + 9 };
    let of_year = (153 * shifted + 2) / 5 + day - 1;
    Some(f64::from(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year))
}

/// The form that a cell is written in, if it is a time by its looks.
pub(super) fn form_of(cell: &[u8]) -> Option<TimeForm> {
    [TimeForm::Clock, TimeForm::Dated].into_iter().find(|form| time(cell, *form, false).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apart(one: &str, other: &str, form: TimeForm) -> f64 {
        time(other.as_bytes(), form, false).unwrap() - time(one.as_bytes(), form, false).unwrap()
    }

    #[test]
    fn clock_times_and_dates_are_read_to_the_fraction() {
        assert!((apart("14:03:07.250", "14:03:08,000", TimeForm::Clock) - 0.75).abs() < 1e-9);
        assert!((apart("2026-02-28 23:59:59.5", "2026-03-01T00:00:00.5Z", TimeForm::Dated) - 1.0).abs() < 1e-6);
        assert!((apart("28.02.2028 12:00:00", "01.03.2028 12:00:00", TimeForm::Dated) - 2.0 * DAY).abs() < 1e-6);
        assert!((apart("2026-11-25 10:00:00+01:00", "2026-11-25 10:00:00Z", TimeForm::Dated) - 3_600.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_no_time_is_none() {
        for text in ["", "12", "25:00", "10:61:00", "2026-13-01 10:00:00", "11/25/2026 10:00:00", "10:00:00 x"] {
            assert_eq!(form_of(text.as_bytes()), None, "{text}");
        }
    }
}

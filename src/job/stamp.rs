//! Stamps of a record as moments, and how long was worked between them. Text in, numbers out: the clock is asked
//! elsewhere.

/// A gap between two lines that is longer than this is a pause, not work: seconds. Our own choice.
pub const PAUSE: i64 = 30 * 60;

/// Seconds since 1970-01-01 00:00 UTC of `2026-11-25 10:12:03 +01:00`; none where it is no such stamp.
pub fn moment(stamp: &str) -> Option<i64> {
    let bytes = stamp.as_bytes();
    let marks = [(4, b'-'), (7, b'-'), (10, b' '), (13, b':'), (16, b':'), (19, b' '), (23, b':')];
    if bytes.len() != 26 || marks.iter().any(|(at, mark)| bytes.get(*at) != Some(mark)) {
        return None;
    }
    let number = |from: usize, to: usize| -> Option<i64> {
        let digits = stamp.get(from..to)?;
        if digits.bytes().all(|b| b.is_ascii_digit()) { digits.parse().ok() } else { None }
    };
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    let (east, offset) = (bytes.get(20)?, number(21, 23)? * 3600 + number(24, 26)? * 60);
    let sign = match east {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let real = (1..=12).contains(&month) && day >= 1 && day <= days_of(year, month);
    if !real || hour > 23 || minute > 59 || second > 60 || offset >= 86_400 {
        return None;
    }
    Some(day_number(year, month, day) * 86_400 + hour * 3600 + minute * 60 + second - sign * offset)
}

/// A stamp as its moment and its offset in minutes; none where [`unpacked`] would not give the same text.
pub fn packed(stamp: &str) -> Option<(i64, i32)> {
    let seconds = moment(stamp)?;
    let number = |from: usize, to: usize| stamp.get(from..to)?.parse::<i32>().ok();
    let minutes = number(21, 23)? * 60 + number(24, 26)?;
    let offset = if stamp.get(20..21) == Some("-") { -minutes } else { minutes };
    (unpacked(seconds, offset) == stamp).then_some((seconds, offset))
}

/// The stamp of a moment at an offset in minutes.
pub fn unpacked(moment: i64, offset: i32) -> String {
    let local = moment + i64::from(offset) * 60;
    let (year, month, day) = date_of(local.div_euclid(86_400));
    let second = local.rem_euclid(86_400);
    let (sign, east) = (if offset < 0 { '-' } else { '+' }, offset.unsigned_abs());
    format!(
        "{year:04}-{month:02}-{day:02} {:02}:{:02}:{:02} {sign}{:02}:{:02}",
        second / 3600,
        second / 60 % 60,
        second % 60,
        east / 60,
        east % 60
    )
}

/// Year, month and day of a day number, as [`day_number`] counts: 400 years, then those that begin in March.
fn date_of(number: i64) -> (i64, i64, i64) {
    let day = number + 719_468;
    let (cycles, day) = (day.div_euclid(146_097), day.rem_euclid(146_097));
    let year = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day + 2) / 153;
    let day = day - (153 * month + 2) / 5 + 1;
    let (year, month) = if month < 10 { (year, month + 3) } else { (year + 1, month - 9) };
    (cycles * 400 + year, month, day)
}

fn days_of(year: i64, month: i64) -> i64 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days since 1970-01-01 in the Gregorian calendar: whole years first, March to February, so that the leap day comes last.
fn day_number(year: i64, month: i64, day: i64) -> i64 {
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let leaps = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    year * 365 + leaps + (153 * month + 2) / 5 + day - 1 - 719_468
}

/// How long was worked on a job, by its stamps.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Worked {
    /// First stamp, seconds since 1970 UTC.
    pub first: i64,
    /// Last stamp.
    pub last: i64,
    /// Seconds from stamp to stamp, pauses left out.
    pub seconds: i64,
    /// How many pauses were left out: gaps over [`PAUSE`].
    pub pauses: usize,
    /// Whether a stamp is earlier than the one before it: a clock was set back.
    pub backward: bool,
}

/// How long was worked; none where no stamp can be read.
pub fn worked<'s>(stamps: impl IntoIterator<Item = &'s str>) -> Option<Worked> {
    let mut moments = stamps.into_iter().filter_map(moment);
    let first = moments.next()?;
    let mut sum = Worked { first, last: first, ..Worked::default() };
    for at in moments {
        let gap = at - sum.last;
        sum.backward |= gap < 0;
        if gap > PAUSE {
            sum.pauses += 1;
        } else {
            sum.seconds += gap.max(0);
        }
        sum.last = at;
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stamp_is_a_moment() {
        // Unix time of known dates, from memory: 2000-03-01 00:00 UTC is 951868800, 2001-09-09 01:46:40 UTC is 10^9.
        assert_eq!(moment("1970-01-01 00:00:00 +00:00"), Some(0));
        assert_eq!(moment("2000-03-01 00:00:00 +00:00"), Some(951_868_800));
        assert_eq!(moment("2001-09-09 03:46:40 +02:00"), Some(1_000_000_000));
        assert_eq!(moment("2001-09-08 21:46:40 -04:00"), Some(1_000_000_000));
        let wrong = ["", "2026-02-29 10:00:00 +01:00", "2026-13-01 10:00:00 +01:00", "2026-11-25 24:00:00 +01:00"];
        for stamp in wrong.into_iter().chain(["2026-11-25T10:00:00 +01:00", "2026-11-2é 10:00:00 +01:0", "x"]) {
            assert_eq!(moment(stamp), None, "{stamp}");
        }
        assert!(moment("2024-02-29 10:00:00 +01:00").is_some());
    }

    #[test]
    fn a_stamp_is_packed_and_written_again() {
        for day in (-719_162..2_932_896).step_by(13) {
            let (year, month, date) = date_of(day);
            assert_eq!(day_number(year, month, date), day);
            assert!((1..=12).contains(&month) && date >= 1 && date <= days_of(year, month));
        }
        for stamp in ["2026-11-25 10:12:03 +01:00", "2024-02-29 00:00:00 -09:30", "0001-01-01 23:59:59 +14:00"] {
            let (moment, offset) = packed(stamp).unwrap();
            assert_eq!(unpacked(moment, offset), stamp);
        }
        for other in ["2026-11-25 10:12:60 +01:00", "2026-11-25 10:12:03 -00:00", "2026-11-25 10:12:03", "yesterday"] {
            assert_eq!(packed(other), None, "{other}");
        }
    }

    #[test]
    fn pauses_are_no_work_and_a_clock_set_back_is_noticed() {
        let day = |time: &str| format!("2026-11-25 {time} +01:00");
        let stamps: Vec<String> = ["10:00:00", "10:10:00", "12:00:00", "12:05:00"].into_iter().map(day).collect();
        let sum = worked(stamps.iter().map(String::as_str)).unwrap();
        assert_eq!((sum.seconds, sum.pauses, sum.backward, sum.last - sum.first), (900, 1, false, 7500));
        let back: Vec<String> = ["10:00:00", "09:00:00", "09:01:00"].into_iter().map(day).collect();
        let sum = worked(back.iter().map(String::as_str)).unwrap();
        assert_eq!((sum.seconds, sum.pauses, sum.backward), (60, 0, true));
        assert_eq!(worked(["nonsense"]), None);
    }
}

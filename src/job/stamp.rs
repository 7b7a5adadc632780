//! Stamps of a record as moments, and how long was worked between them. Text in, numbers out: the clock is asked
//! elsewhere.

use jiff::Timestamp;
use jiff::fmt::strtime;
use jiff::tz::{Offset, TimeZone};

/// A gap between two lines that is longer than this is a pause, not work: seconds. Our own choice.
pub const PAUSE: i64 = 30 * 60;

/// How a stamp is written.
pub const FORM: &str = "%Y-%m-%d %H:%M:%S %:z";

/// Seconds since 1970-01-01 00:00 UTC of `2026-11-25 10:12:03 +01:00`; none where it is no such stamp.
pub fn moment(stamp: &str) -> Option<i64> {
    Some(read(stamp)?.0.as_second())
}

fn read(stamp: &str) -> Option<(Timestamp, Offset)> {
    // The library forgives noughts left out and other blanks.
    let shape = "0000-00-00 00:00:00 +00:00".bytes();
    let fits = |(byte, wanted): (u8, u8)| match wanted {
        b'0' => byte.is_ascii_digit(),
        b'+' => matches!(byte, b'+' | b'-'),
        mark => byte == mark,
    };
    if stamp.len() != shape.len() || !stamp.bytes().zip(shape).all(fits) {
        return None;
    }
    let read = strtime::parse(FORM, stamp).ok()?;
    Some((read.to_timestamp().ok()?, read.offset()?))
}

/// A stamp as its moment and its offset in minutes; none where [`unpacked`] would not give the same text.
pub fn packed(stamp: &str) -> Option<(i64, i32)> {
    let (moment, offset) = read(stamp)?;
    let packed = (moment.as_second(), offset.seconds() / 60);
    (unpacked(packed.0, packed.1)? == stamp).then_some(packed)
}

/// The stamp of a moment at an offset in minutes; none where there is no such time.
pub fn unpacked(moment: i64, offset: i32) -> Option<String> {
    let zone = TimeZone::fixed(Offset::from_seconds(offset.checked_mul(60)?).ok()?);
    Some(Timestamp::from_second(moment).ok()?.to_zoned_datetime(zone).strftime(FORM).to_string())
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
            let stamp = unpacked(day * 86_400, 0).unwrap();
            assert_eq!(packed(&stamp), Some((day * 86_400, 0)), "{stamp}");
        }
        for stamp in ["2026-11-25 10:12:03 +01:00", "2024-02-29 00:00:00 -09:30", "0001-01-01 23:59:59 +14:00"] {
            let (moment, offset) = packed(stamp).unwrap();
            assert_eq!(unpacked(moment, offset).as_deref(), Some(stamp));
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

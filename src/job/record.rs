//! The job record as text: a header, then one sentence a line, each stamped with date, time and UTC offset and
//! chained to the one before by a short hash, so that an edit shows. It can be read by people, diffed, mailed.

use sha2::{Digest, Sha256};

/// First words of a record: name and version of the format.
pub const FIRST_LINE: &str = "ruleout job record 1";

/// What stands above the entries.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Header {
    /// The book's file as it was given.
    pub book: String,
    /// Its revision.
    pub revision: Option<String>,
    /// SHA-256 of its texts, in hex.
    pub digest: String,
    /// Which vehicle.
    pub vehicle: Option<String>,
    /// Its odometer.
    pub odometer: Option<String>,
    /// Who works on it.
    pub technician: Option<String>,
    /// Sentences that hold from the start: complaint in the customer's words, ambient, meters, profile.
    pub sentences: Vec<String>,
}

/// One stamped sentence.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stamped {
    /// Date, time and UTC offset.
    pub stamp: String,
    /// The short hash that chains it.
    pub hash: String,
    /// The sentence.
    pub text: String,
    /// First byte of the sentence in the record.
    pub base: usize,
    /// Line in the record, from 1.
    pub line: usize,
}

/// A record as read.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Record {
    /// What stands above the entries.
    pub header: Header,
    /// Where each header sentence starts, in order.
    pub header_bases: Vec<usize>,
    /// The entries in order.
    pub lines: Vec<Stamped>,
    /// Lines at which the chain breaks: this one or one before it was changed.
    pub broken: Vec<usize>,
    /// A last line that was not finished: set aside.
    pub torn: Option<String>,
    /// Length in bytes of all that is whole.
    pub whole: usize,
    /// The hash that the next line is chained to.
    pub chain: String,
}

impl Record {
    /// Whether the power went while the header was written: no entry yet, and not the blank line that ends a header.
    pub fn is_unfinished_header(&self, text: &str) -> bool {
        self.lines.is_empty() && self.broken.is_empty() && !text.replace('\r', "").contains("\n\n")
    }
}

/// Whether a text is a record rather than plain sentences.
pub fn is_record(text: &str) -> bool {
    text.trim_start_matches('\u{FEFF}').starts_with("ruleout job record")
}

/// A short hash over what came before and this.
fn short_hash(before: &str, words: &str) -> String {
    let mut hasher = Sha256::new();
    hasher.update(before.as_bytes());
    hasher.update(b"\n");
    hasher.update(words.as_bytes());
    hasher.finalize().iter().take(4).map(|byte| format!("{byte:02x}")).collect()
}

impl Header {
    /// The header as it stands in the record, blank line at its end included.
    pub fn render(&self) -> String {
        let mut out = format!("{FIRST_LINE}\n");
        let mut field = |word: &str, value: &str| out.push_str(&format!("{word}: {}\n", one_line(value)));
        field("book", &self.book);
        if let Some(revision) = &self.revision {
            field("revision", revision);
        }
        field("digest", &self.digest);
        for (word, value) in
            [("vehicle", &self.vehicle), ("odometer", &self.odometer), ("technician", &self.technician)]
        {
            if let Some(value) = value {
                field(word, value);
            }
        }
        for sentence in &self.sentences {
            field("says", sentence);
        }
        out.push('\n');
        out
    }

    /// This header, with what it leaves open taken from an earlier one.
    #[must_use]
    pub fn or(&self, earlier: Header) -> Header {
        let own = self.clone();
        Header {
            vehicle: own.vehicle.or(earlier.vehicle),
            odometer: own.odometer.or(earlier.odometer),
            technician: own.technician.or(earlier.technician),
            sentences: if own.sentences.is_empty() { earlier.sentences } else { own.sentences },
            ..own
        }
    }

    /// The hash that the first line is chained to.
    pub fn chain(&self) -> String {
        short_hash("", &self.render())
    }
}

/// A value that stays on its line.
fn one_line(value: &str) -> String {
    value.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A line of the record and the hash that the next one is chained to.
pub fn line(chain: &str, stamp: &str, sentence: &str) -> (String, String) {
    let hash = short_hash(chain, &format!("{stamp} {sentence}"));
    (format!("{stamp} [{hash}] {sentence}\n"), hash)
}

/// Reads a record. A torn last line is set aside, a broken chain is noted; neither fails.
///
/// # Errors
/// It is no record, or of a version that this program doesn't know.
pub fn read(text: &str) -> Result<Record, String> {
    let first = text.lines().next().unwrap_or("").trim_start_matches('\u{FEFF}').trim();
    if !is_record(text) {
        return Err(format!("it does not begin with `{FIRST_LINE}`"));
    }
    if first != FIRST_LINE {
        return Err(format!("it is a record of another version (`{first}`); this program reads `{FIRST_LINE}`"));
    }
    let mut record = Record::default();
    let mut reading = Reading { at: 0, number: 0, in_header: true };
    for raw in text.split_inclusive('\n') {
        reading.number += 1;
        reading.line(&mut record, raw);
        reading.at += raw.len();
    }
    if reading.in_header {
        record.chain = record.header.chain();
    }
    Ok(record)
}

struct Reading {
    at: usize,
    number: usize,
    in_header: bool,
}

impl Reading {
    fn line(&mut self, record: &mut Record, raw: &str) {
        let ended = raw.ends_with('\n');
        let words = raw.trim_end_matches(['\n', '\r']);
        if self.in_header && !is_stamped(words) {
            if ended {
                self.header_line(record, words);
                record.whole = self.at + raw.len();
            } else if self.number > 1 {
                record.torn = Some(words.to_string());
            }
            return;
        }
        if self.in_header {
            self.in_header = false;
            record.chain = record.header.chain();
        }
        if words.trim().is_empty() || words.starts_with('#') {
            record.whole = self.at + raw.len();
            return;
        }
        match stamped(words, self.at, self.number) {
            Some(stamped) => {
                let (_, expected) = line(&record.chain, &stamped.stamp, &stamped.text);
                let right = expected == stamped.hash;
                if !ended && !right {
                    record.torn = Some(words.to_string());
                    return;
                }
                if !right {
                    record.broken.push(self.number);
                }
                record.chain.clone_from(&stamped.hash);
                record.lines.push(stamped);
                record.whole = self.at + raw.len();
            }
            None if !ended => record.torn = Some(words.to_string()),
            None => {
                record.broken.push(self.number);
                record.whole = self.at + raw.len();
            }
        }
    }

    fn header_line(&mut self, record: &mut Record, words: &str) {
        let Some((word, value)) = words.split_once(": ") else { return };
        let value_at = self.at + word.len() + 2;
        let value = value.trim_end().to_string();
        let header = &mut record.header;
        match word {
            "book" => header.book = value,
            "revision" => header.revision = Some(value),
            "digest" => header.digest = value,
            "vehicle" => header.vehicle = Some(value),
            "odometer" => header.odometer = Some(value),
            "technician" => header.technician = Some(value),
            "says" => {
                header.sentences.push(value);
                record.header_bases.push(value_at);
            }
            _ => {}
        }
    }
}

/// Whether a line begins with a date.
fn is_stamped(words: &str) -> bool {
    let bytes = words.as_bytes();
    bytes.len() > 10
        && bytes.iter().take(4).all(u8::is_ascii_digit)
        && bytes.get(4) == Some(&b'-')
        && bytes.get(7) == Some(&b'-')
}

/// `2026-11-25 10:12:03 +01:00 [3f2a9c1d] with relay swapped`
fn stamped(words: &str, at: usize, line: usize) -> Option<Stamped> {
    let open = words.find(" [")?;
    let rest = words.get(open + 2..)?;
    let close = rest.find("] ")?;
    let hash = rest.get(..close)?;
    if hash.len() != 8 || !hash.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    Some(Stamped {
        stamp: words.get(..open)?.to_string(),
        hash: hash.to_string(),
        text: rest.get(close + 2..)?.to_string(),
        base: at + open + 2 + close + 2,
        line,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> String {
        let header = Header {
            book: "fans.rulebook".into(),
            digest: "00".into(),
            vehicle: Some("Bus 12".into()),
            ..Header::default()
        };
        let (first, chain) = line(&header.chain(), "2026-11-25 10:00:00 +01:00", "with cooling demanded");
        let (second, _) = line(&chain, "2026-11-25 10:01:00 +01:00", "fan runs is no");
        format!("{}{first}{second}", header.render())
    }

    #[test]
    fn what_is_written_is_read_back() {
        let text = sample();
        let record = read(&text).unwrap();
        assert_eq!(record.header.vehicle.as_deref(), Some("Bus 12"));
        assert_eq!(record.lines.len(), 2);
        assert_eq!((record.broken.len(), record.torn, record.whole), (0, None, text.len()));
        assert_eq!(&text[record.lines[1].base..], "fan runs is no\n");
    }

    #[test]
    fn an_edit_breaks_the_chain_and_a_torn_line_is_set_aside() {
        let edited = sample().replace("fan runs is no", "fan runs is yes");
        assert_eq!(read(&edited).unwrap().broken.len(), 1);
        let text = sample();
        let torn = read(&text[..text.len() - 5]).unwrap();
        assert_eq!(torn.lines.len(), 1);
        assert!(torn.torn.is_some() && torn.broken.is_empty());
    }

    #[test]
    fn every_cut_of_a_record_is_read_without_a_broken_chain() {
        let text = sample();
        for cut in FIRST_LINE.len() + 1..text.len() {
            if let Some(part) = text.get(..cut) {
                let record = read(part).unwrap();
                assert!(record.broken.is_empty(), "cut at {cut}");
            }
        }
    }
}

//! The bands of a reading.

use crate::syntax::tree::{Band, BandRange, Name, Side};

use super::words::{FIRST_WORDS, Kind, Words};

impl Words<'_> {
    /// `dead below 0.5 V, low 0.5 V to 11.5 V`; the commas may be left out.
    pub(super) fn bands(&mut self) -> Option<Vec<Band>> {
        let mut bands = vec![self.band()?];
        while !self.is_done() {
            self.take(",");
            bands.push(self.band()?);
        }
        Some(bands)
    }

    fn band(&mut self) -> Option<Band> {
        let name = self.band_name()?;
        let side = match self.ahead(0) {
            "below" => Side::Below,
            "above" => Side::Above,
            "at" if self.ahead(1) == "least" => Side::AtLeast,
            "at" if self.ahead(1) == "most" => Side::AtMost,
            _ => {
                let low = self.number()?;
                self.take("to")?;
                return Some(Band { name, range: BandRange::Between(low, self.number()?) });
            }
        };
        self.next();
        if matches!(side, Side::AtLeast | Side::AtMost) {
            self.next();
        }
        Some(Band { name, range: BandRange::Open(side, self.number()?) })
    }

    /// As a name, but a figure ends it.
    fn band_name(&mut self) -> Option<Name> {
        let first = self.peek()?;
        let mut end = None;
        while let Some(word) = self.peek().filter(|word| word.kind == Kind::Plain && !self.ends_name()) {
            let said = self.text(word);
            let meant = FIRST_WORDS.iter().any(|known| known.eq_ignore_ascii_case(said));
            if meant || end.is_some_and(|end| !self.is_close(end, word)) {
                return None;
            }
            end = Some(word.end);
            self.next();
        }
        end.map(|end| self.named(first.start, end))
    }
}

//! How sure a judgement and its advice are, in sentences.

use crate::advice::how_sure::{First, Flip, Varied, how_sure};
use crate::book::FaultId;
use crate::job::{EntryId, EntryValue};
use crate::reasoning::{Judgement, Verdict};

use super::page::Page;
use super::why::verdict_words;
use super::words::{Wording, counted};

impl Wording<'_> {
    /// What would flip if an entry were off by its uncertainty once more, or a share were half or double.
    pub fn how_sure(&self, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        let sure = how_sure(self.book, self.job, judgement);
        if sure.flips.is_empty() {
            let tried = counted(sure.tried, "variation was tried", "variations were tried");
            page.line(0, format!("Nothing would flip: no verdict and no advice ({tried}: entries off by their uncertainty, shares half and double)."));
            return page;
        }
        page.line(0, "What would flip:");
        for flip in &sure.flips {
            page.line(1, self.varied(flip.varied));
            self.flip(&mut page, flip);
        }
        let steady = sure.tried - sure.flips.len().min(sure.tried);
        if steady > 0 {
            page.line(0, format!("{} would flip nothing.", counted(steady, "other variation", "other variations")));
        }
        page
    }

    fn varied(&self, varied: Varied) -> String {
        let fault = |id: FaultId| &self.book.fault(id).name;
        match varied {
            Varied::Lower(id) => self.moved(id, "lower"),
            Varied::Higher(id) => self.moved(id, "higher"),
            Varied::HalfShare(id) => format!("if {} were half as common:", fault(id)),
            Varied::DoubleShare(id) => format!("if {} were twice as common:", fault(id)),
            Varied::HalfUncovered => "if what the book does not cover were half as common:".into(),
            Varied::DoubleUncovered => "if what the book does not cover were twice as common:".into(),
        }
    }

    fn moved(&self, id: EntryId, word: &str) -> String {
        let Some(entry) = self.job.entry(id) else { return String::new() };
        let unit = self.book.indication(entry.indication).reading().and_then(|reading| reading.unit);
        let half = match &entry.value {
            EntryValue::Interval(read) => read.width().map(|width| width.half()),
            _ => None,
        };
        let by = unit.zip(half).map_or_else(|| "a little".into(), |(unit, half)| unit.show_width(&half));
        format!("if entry {} ({}) were {by} {word}:", id.place() + 1, self.entry(entry))
    }

    fn flip(&self, page: &mut Page, flip: &Flip) {
        for verdict in [Verdict::Proved, Verdict::OnlyOneLeft, Verdict::Open, Verdict::Conflict, Verdict::RuledOut] {
            let faults: Vec<&str> = flip
                .verdicts
                .iter()
                .filter(|(_, v)| *v == verdict)
                .map(|(id, _)| self.book.fault(*id).name.as_str())
                .collect();
            if !faults.is_empty() {
                page.line(2, format!("{}: {}", verdict_words(verdict), faults.join(", ")));
            }
        }
        if let Some(fault) = flip.likeliest {
            page.line(2, format!("likeliest: {}", self.book.fault(fault).name));
        }
        match flip.first {
            Some(First::Test(id)) => page.line(2, format!("next: {}", self.indication(id))),
            Some(First::Repair(id)) => page.line(2, format!("next: repair {}", self.book.fault(id).name)),
            None => page,
        };
    }
}

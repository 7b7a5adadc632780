//! How sure a judgement and its advice are, in sentences.

use indexmap::IndexMap;

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
        let mut known: Vec<Page> = Vec::new();
        let mut alike: IndexMap<usize, Vec<Varied>> = IndexMap::new();
        let (own, others): (Vec<&Flip>, Vec<&Flip>) = sure.flips.iter().partition(|flip| is_own(flip));
        for flip in others {
            let effect = self.flip(flip);
            let same = known.iter().position(|other| other.lines() == effect.lines());
            let at = same.unwrap_or(known.len());
            alike.entry(at).or_default().push(flip.varied);
            if same.is_none() {
                known.push(effect);
            }
        }
        for (effect, all) in known.iter().zip(alike.values()) {
            let mut said: Vec<String> = all.iter().map(|varied| self.varied(*varied)).collect();
            said.dedup();
            page.line(1, format!("if {}:", said.join(", or "))).page(2, effect);
        }
        let own: Vec<&str> =
            own.iter().filter_map(|flip| flip.likeliest).map(|id| self.book.fault(id).name.as_str()).collect();
        if !own.is_empty() {
            page.line(1, format!("twice as common, each of these would be the likeliest: {}", own.join(", ")));
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
            Varied::HalfShare(id) => format!("{} were half as common", fault(id)),
            Varied::DoubleShare(id) => format!("{} were twice as common", fault(id)),
            Varied::HalfUncovered => "what the book does not cover were half as common".into(),
            Varied::DoubleUncovered => "what the book does not cover were twice as common".into(),
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
        format!("entry {} ({}) were {by} {word}", id.place() + 1, self.entry(entry))
    }

    fn flip(&self, flip: &Flip) -> Page {
        let mut page = Page::new();
        for verdict in [Verdict::Proved, Verdict::OnlyOneLeft, Verdict::Open, Verdict::Conflict, Verdict::RuledOut] {
            let faults: Vec<&str> = flip
                .verdicts
                .iter()
                .filter(|(_, v)| *v == verdict)
                .map(|(id, _)| self.book.fault(*id).name.as_str())
                .collect();
            if !faults.is_empty() {
                page.line(0, format!("{}: {}", verdict_words(verdict), faults.join(", ")));
            }
        }
        if let Some(fault) = flip.likeliest {
            page.line(0, format!("likeliest: {}", self.book.fault(fault).name));
        }
        match flip.first {
            Some(First::Test(id)) => page.line(0, format!("next: {}", self.indication(id))),
            Some(First::Repair(id)) => page.line(0, format!("next: repair {}", self.book.fault(id).name)),
            None => &mut page,
        };
        page
    }
}

/// Whether a fault merely becomes the likeliest because its own share is doubled.
fn is_own(flip: &Flip) -> bool {
    let itself = matches!((flip.varied, flip.likeliest), (Varied::DoubleShare(a), Some(b)) if a == b);
    itself && flip.verdicts.is_empty() && flip.first.is_none()
}

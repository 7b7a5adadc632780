//! Entries that quarrel: every smallest set of them, and what taking one back would restore.

use crate::book::FaultId;
use crate::job::EntryId;
use crate::reasoning::quarrels::{Quarrel, Quarrels, quarrels, without};
use crate::reasoning::suspects::retake;
use crate::reasoning::{Judgement, Outcome, Verdict};

use super::page::Page;
use super::words::{Wording, counted};

impl Wording<'_> {
    /// Beside the conflicts themselves: all smallest sets of entries that can't all be right, where there are several, and
    /// for each entry to take again what taking it back would restore.
    pub fn quarrels(&self, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        let all = quarrels(self.book, self.job, judgement);
        if all.sets.len() > 1 {
            self.sets(&mut page, &all);
        }
        let mut said: Vec<EntryId> = Vec::new();
        for id in judgement.conflicts.iter().filter_map(|conflict| retake(self.book, self.job, conflict)) {
            if !said.contains(&id) {
                page.line(0, self.restored(judgement, id));
                said.push(id);
            }
        }
        page
    }

    fn sets(&self, page: &mut Page, all: &Quarrels) {
        let sets = counted(all.found, "smallest set", "smallest sets");
        let more = match (all.found - all.sets.len().min(all.found), all.complete) {
            (0, true) => String::new(),
            (0, false) => ", and there may be more".into(),
            (_, true) => format!("; the first {}", all.sets.len()),
            (_, false) => format!(", and there may be more; the first {}", all.sets.len()),
        };
        page.line(0, format!("{sets} of entries that can't all be right{more}:"));
        for set in &all.sets {
            page.line(1, self.set(set));
        }
        let everywhere: Vec<EntryId> = all.sets.first().map_or_else(Vec::new, |first| {
            first.entries.iter().copied().filter(|id| all.sets.iter().all(|set| set.entries.contains(id))).collect()
        });
        if let [only] = everywhere[..] {
            page.line(1, format!("entry {} stands in all of them", only.place() + 1));
        }
    }

    fn set(&self, set: &Quarrel) -> String {
        let complaints = set.complaints.iter().map(|id| format!("complaint `{}`", self.book.complaint(*id).name));
        let entries = set.entries.iter().map(|id| match self.job.kept(*id) {
            Some(entry) => format!("{} ({})", id.place() + 1, self.entry(&entry)),
            None => (id.place() + 1).to_string(),
        });
        complaints.chain(entries).collect::<Vec<_>>().join(" · ")
    }

    fn restored(&self, judgement: &Judgement, id: EntryId) -> String {
        let restored = without(self.book, self.job, judgement, id);
        let named = |verdict: Verdict| -> Vec<FaultId> {
            restored.changed.iter().filter(|(_, after)| *after == verdict).map(|(fault, _)| *fault).collect()
        };
        let list = |faults: Vec<FaultId>, word: &str| {
            let names: Vec<&str> = faults.iter().take(6).map(|id| self.book.fault(*id).name.as_str()).collect();
            let more = faults.len().saturating_sub(names.len());
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            (!names.is_empty()).then(|| format!("{}{more} {word}", names.join(", ")))
        };
        let parts = [
            list(named(Verdict::Proved), "proved"),
            list(named(Verdict::Open), "open"),
            list(named(Verdict::RuledOut), "ruled out"),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        let peace = match (restored.quarrels, restored.outcome) {
            (true, _) => "something would still quarrel",
            (false, Outcome::NoFaultSeen) => "nothing would quarrel, and no fault be seen",
            (false, _) => "nothing would quarrel",
        };
        let changes = if parts.is_empty() { String::new() } else { format!("; {}", parts.join(", ")) };
        format!("without entry {}: {peace}{changes}", id.place() + 1)
    }
}

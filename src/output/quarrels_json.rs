//! Entries that quarrel, for machines.

use schemars::JsonSchema;
use serde::Serialize;

use crate::job::EntryId;
use crate::reasoning::Judgement;
use crate::reasoning::quarrels::{quarrels, without};
use crate::reasoning::suspects::retake;

use super::judgement_json::{outcome_word, verdict_word};
use super::words::Wording;

/// A smallest set of entries and complaints that can't all be right.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonQuarrel {
    /// The numbers of the entries.
    pub entries: Vec<usize>,
    /// Complaints that belong to it.
    pub complaints: Vec<String>,
}

/// What taking an entry back would restore.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRestored {
    /// The number of the entry: the one of a conflict that is most likely wrong.
    pub without: usize,
    /// The outcome then.
    pub outcome: &'static str,
    /// Whether something would still quarrel.
    pub quarrels: bool,
    /// The faults whose verdict would be another.
    pub verdicts: Vec<JsonChanged>,
}

/// A fault whose verdict would be another.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonChanged {
    /// As declared.
    pub fault: String,
    /// Its verdict then.
    pub verdict: &'static str,
}

/// All that quarrels.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonQuarrels {
    /// Every smallest set, smallest first; at most 100.
    pub sets: Vec<JsonQuarrel>,
    /// How many were found in all.
    pub found: usize,
    /// Whether there are no others; else the search was given up, and there may be more.
    pub complete: bool,
    /// For each entry to take again first, what taking it back would restore.
    pub restores: Vec<JsonRestored>,
}

/// All that quarrels in a job; none if nothing does.
pub(super) fn json_quarrels(wording: &Wording<'_>, judgement: &Judgement) -> Option<JsonQuarrels> {
    if judgement.conflicts.is_empty() {
        return None;
    }
    let all = quarrels(wording.book, wording.job, judgement);
    let sets = all.sets.iter().map(|set| JsonQuarrel {
        entries: set.entries.iter().map(|id| id.place() + 1).collect(),
        complaints: set.complaints.iter().map(|id| wording.book.complaint(*id).name.clone()).collect(),
    });
    let mut retakes: Vec<EntryId> =
        judgement.conflicts.iter().filter_map(|conflict| retake(wording.book, wording.job, conflict)).collect();
    retakes.sort_unstable();
    retakes.dedup();
    Some(JsonQuarrels {
        sets: sets.collect(),
        found: all.found,
        complete: all.complete,
        restores: retakes.into_iter().map(|id| json_restored(wording, judgement, id)).collect(),
    })
}

fn json_restored(wording: &Wording<'_>, judgement: &Judgement, id: EntryId) -> JsonRestored {
    let restored = without(wording.book, wording.job, judgement, id);
    let changed = restored.changed.iter().map(|(fault, verdict)| JsonChanged {
        fault: wording.book.fault(*fault).name.clone(),
        verdict: verdict_word(*verdict),
    });
    JsonRestored {
        without: id.place() + 1,
        outcome: outcome_word(restored.outcome),
        quarrels: restored.quarrels,
        verdicts: changed.collect(),
    }
}

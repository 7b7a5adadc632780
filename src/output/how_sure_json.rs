//! How sure a judgement and its advice are, for machines.

use schemars::JsonSchema;
use serde::Serialize;

use crate::advice::how_sure::{First, Flip, Varied, how_sure};
use crate::reasoning::Judgement;

use super::judgement_json::verdict_word;
use super::quarrels_json::JsonChanged;
use super::words::Wording;

/// What would flip something.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonFlip {
    /// `entry_lower`, `entry_higher`: an entry off by its uncertainty; `half_share`, `double_share`: of a fault;
    /// `half_uncovered`, `double_uncovered`: of what the book doesn't cover.
    pub varied: &'static str,
    /// The number of the entry.
    pub entry: Option<usize>,
    /// The fault.
    pub fault: Option<String>,
    /// Faults whose verdict would be another.
    pub verdicts: Vec<JsonChanged>,
    /// The test that would be advised first instead.
    pub next_test: Option<String>,
    /// The fault that would be repaired first instead.
    pub next_repair: Option<String>,
    /// The fault that would be the likeliest instead.
    pub likeliest: Option<String>,
}

/// How sure a judgement and its advice are.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonHowSure {
    /// How many variations were tried, one at a time.
    pub tried: usize,
    /// Those that flip something: entries first, then shares.
    pub flips: Vec<JsonFlip>,
}

/// How sure a judgement and its advice are.
pub fn json_how_sure(wording: &Wording<'_>, judgement: &Judgement) -> JsonHowSure {
    let sure = how_sure(wording.book, wording.job, judgement);
    JsonHowSure { tried: sure.tried, flips: sure.flips.iter().map(|flip| json_flip(wording, flip)).collect() }
}

fn json_flip(wording: &Wording<'_>, flip: &Flip) -> JsonFlip {
    let book = wording.book;
    let (varied, entry, fault) = match flip.varied {
        Varied::Lower(id) => ("entry_lower", Some(id), None),
        Varied::Higher(id) => ("entry_higher", Some(id), None),
        Varied::HalfShare(id) => ("half_share", None, Some(id)),
        Varied::DoubleShare(id) => ("double_share", None, Some(id)),
        Varied::HalfUncovered => ("half_uncovered", None, None),
        Varied::DoubleUncovered => ("double_uncovered", None, None),
    };
    let name = |id| book.fault(id).name.clone();
    JsonFlip {
        varied,
        entry: entry.map(|id| id.place() + 1),
        fault: fault.map(name),
        verdicts: flip
            .verdicts
            .iter()
            .map(|(fault, verdict)| JsonChanged { fault: name(*fault), verdict: verdict_word(*verdict) })
            .collect(),
        next_test: match flip.first {
            Some(First::Test(id)) => Some(book.indication(id).name.clone()),
            _ => None,
        },
        next_repair: match flip.first {
            Some(First::Repair(id)) => Some(name(id)),
            _ => None,
        },
        likeliest: flip.likeliest.map(name),
    }
}

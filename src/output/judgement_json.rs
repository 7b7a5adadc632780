//! A judgement for machines: JSON of a versioned shape. The schema is made from these structs and kept in the tests.

use schemars::JsonSchema;
use serde::Serialize;

use crate::book::{Book, FaultId};
use crate::job::{EntryId, Job, setup_words};
use crate::reasoning::conflict::ConflictKind;
use crate::reasoning::suspects::retake;
use crate::reasoning::{Disturbed, Judgement, Outcome, Reason, Verdict};

use super::how_sure_json::JsonHowSure;
use super::judgement_text::SAFETY;
use super::quarrels_json::{JsonQuarrels, json_quarrels};
use super::words::Wording;

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/judgement/1";
/// How the hypothesis that nothing is wrong is spelt.
pub const NO_FAULT: &str = "no fault present";
/// How the hypothesis beyond the book is spelt.
pub const NOT_COVERED: &str = "something this book does not cover";

/// The book that judged.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonBook {
    /// Its title.
    pub title: String,
    /// Its file as given.
    pub file: String,
    /// Its revision.
    pub revision: Option<String>,
    /// SHA-256 of all its texts, in hex.
    pub digest: String,
    /// The profile that it was resolved for.
    pub profile: Option<String>,
}

/// Why a verdict is what it is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonReason {
    /// `implied`, `ruled_out`, `one_of_others`, `shows`, `complaint`, `elimination`, `no_set_left`, `repaired`,
    /// `awaits_verify`, `rivals`, `only_one_left`, `odds`, `circuit`.
    pub kind: &'static str,
    /// The rule's label, where a rule says it.
    pub rule: Option<String>,
    /// File and line of the rule, `shows` or circuit.
    pub place: Option<String>,
    /// The numbers of the entries that it rests on.
    pub entries: Vec<usize>,
    /// In a sentence.
    pub text: String,
}

/// One fault.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonVerdict {
    /// As declared.
    pub fault: String,
    /// `proved`, `ruled_out`, `open`, `only_one_left`, `conflict`.
    pub verdict: &'static str,
    /// The sum over the sets that hold it; an estimate.
    pub weight: f64,
    /// Why.
    pub because: Vec<JsonReason>,
}

/// One hypothesis.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonHypothesis {
    /// Its faults, or one of the two standing ones.
    pub faults: Vec<String>,
    /// An estimate; null for `no fault present`, which stands outside the weights.
    pub weight: Option<f64>,
}

/// One entry.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonEntry {
    /// Its number, from 1.
    pub entry: usize,
    /// As entered.
    pub text: String,
    /// The setup that it was taken under.
    pub setup: String,
    /// Whether it is from before a repair.
    pub history: bool,
}

/// Entries that can't all be right.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonConflict {
    /// `contested`, `rivals`, `none_left`.
    pub kind: &'static str,
    /// The faults that it is about.
    pub faults: Vec<String>,
    /// The numbers of the entries.
    pub entries: Vec<usize>,
    /// Complaints that belong to it.
    pub complaints: Vec<String>,
    /// The number of the entry to take again first: the one most likely wrong.
    pub retake: Option<usize>,
}

/// A sentence that could not be taken.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonSkipped {
    /// Its line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub message: String,
    /// The fix.
    pub help: Option<String>,
}

/// The whole answer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonJudgement {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The book.
    pub book: JsonBook,
    /// `proved`, `open`, `only_one_left`, `not_covered_or_wrong_entry`, `conflict`, `no_fault_seen`.
    pub outcome: &'static str,
    /// One a fault, in book order.
    pub verdicts: Vec<JsonVerdict>,
    /// Those left, the two standing ones included.
    pub hypotheses: Vec<JsonHypothesis>,
    /// Entries that can't all be right.
    pub conflicts: Vec<JsonConflict>,
    /// Every smallest set of entries that can't all be right, and what taking one back would restore; null without a
    /// conflict.
    pub quarrels: Option<JsonQuarrels>,
    /// Why `no fault present` is ruled out; empty while it stands.
    pub disturbed: Vec<String>,
    /// Circuits that can't be reckoned where they should speak, with the reason; left out where there are none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub silent_circuits: Vec<String>,
    /// What was entered.
    pub entries: Vec<JsonEntry>,
    /// How the vehicle stands now.
    pub setup: String,
    /// Changes still in place, to be put back.
    pub put_back: Vec<String>,
    /// Cautions that the steps of this job carry.
    pub cautions: Vec<String>,
    /// What would flip if an entry or a share were off; null unless asked for.
    pub how_sure: Option<JsonHowSure>,
    /// Sentences that could not be taken.
    pub skipped: Vec<JsonSkipped>,
    /// What stands before all.
    pub safety: &'static str,
}

/// The word of a verdict.
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Proved => "proved",
        Verdict::RuledOut => "ruled_out",
        Verdict::Open => "open",
        Verdict::OnlyOneLeft => "only_one_left",
        Verdict::Conflict => "conflict",
    }
}

/// The word of an outcome.
pub fn outcome_word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Proved => "proved",
        Outcome::Open => "open",
        Outcome::OnlyOneLeft => "only_one_left",
        Outcome::NotCoveredOrWrongEntry => "not_covered_or_wrong_entry",
        Outcome::Conflict => "conflict",
        Outcome::NoFaultSeen => "no_fault_seen",
    }
}

/// Twelve counting digits: what lies beyond differs between machines and means nothing.
fn rounded(weight: f64) -> f64 {
    format!("{weight:.11e}").parse().unwrap_or(weight)
}

/// The book as an answer names it.
pub fn json_book(book: &Book) -> JsonBook {
    JsonBook {
        title: book.title.clone(),
        file: book.file.clone(),
        revision: book.revision.clone(),
        digest: book.digest.hex().to_string(),
        profile: book.profile.clone(),
    }
}

/// The answer for a judgement.
pub fn json_judgement(book: &Book, job: &Job, judgement: &Judgement, skipped: Vec<JsonSkipped>) -> JsonJudgement {
    let wording = Wording { book, job };
    let names = |faults: &[FaultId]| faults.iter().map(|id| book.fault(*id).name.clone()).collect::<Vec<_>>();
    let verdicts = judgement.verdicts.iter().map(|verdict| JsonVerdict {
        fault: book.fault(verdict.fault).name.clone(),
        verdict: verdict_word(verdict.verdict),
        weight: rounded(verdict.weight),
        because: verdict.reasons.iter().map(|reason| json_reason(&wording, verdict.fault, reason)).collect(),
    });
    let covered = judgement.hypotheses.iter().map(|hypothesis| JsonHypothesis {
        faults: if hypothesis.faults.is_empty() { vec![NOT_COVERED.into()] } else { names(&hypothesis.faults) },
        weight: Some(rounded(hypothesis.weight)),
    });
    let no_fault = judgement.no_fault_stands().then(|| JsonHypothesis { faults: vec![NO_FAULT.into()], weight: None });
    JsonJudgement {
        schema: SCHEMA,
        book: json_book(book),
        outcome: outcome_word(judgement.outcome),
        verdicts: verdicts.collect(),
        hypotheses: covered.chain(no_fault).collect(),
        conflicts: judgement.conflicts.iter().map(|c| json_conflict(&wording, c, &names)).collect(),
        quarrels: json_quarrels(&wording, judgement),
        disturbed: judgement.disturbed.iter().map(|d| disturbed(&wording, d)).collect(),
        silent_circuits: judgement.evidence.silent_circuits.iter().map(|silent| wording.silent(silent)).collect(),
        entries: json_entries(&wording),
        setup: setup_words(book, &job.setup),
        put_back: job.setup.changes(book).map(|id| book.setting(id).name.clone()).collect(),
        cautions: super::cautions::of_job(book, job).into_iter().map(|caution| caution.text).collect(),
        how_sure: None,
        skipped,
        safety: SAFETY,
    }
}

fn json_entries(wording: &Wording<'_>) -> Vec<JsonEntry> {
    let each = wording.job.entries.iter().enumerate().map(|(place, entry)| JsonEntry {
        entry: place + 1,
        text: wording.entry(&entry),
        setup: setup_words(wording.book, &entry.setup),
        history: entry.epoch != wording.job.epoch(),
    });
    each.collect()
}

fn disturbed(wording: &Wording<'_>, reason: &Disturbed) -> String {
    let entry = |id: &EntryId| wording.job.kept(*id).map_or(String::new(), |entry| wording.entry(&entry));
    match reason {
        Disturbed::OutOfTolerance(id) => format!("out of tolerance: {}", entry(id)),
        Disturbed::NotSound(id) => format!("not sound: {}", entry(id)),
        Disturbed::Complaint(id) => format!("complaint: {}", wording.book.complaint(*id).name),
        Disturbed::Proof(rule) => format!("rule: {}", wording.book.rule(*rule).label),
        Disturbed::Circuit(circuit, id) => format!("circuit {}: {}", wording.book.circuit(*circuit).name, entry(id)),
    }
}

fn json_conflict(
    wording: &Wording<'_>,
    conflict: &crate::reasoning::Conflict,
    names: &impl Fn(&[FaultId]) -> Vec<String>,
) -> JsonConflict {
    let (kind, faults) = match &conflict.kind {
        ConflictKind::Contested(fault) => ("contested", names(&[*fault])),
        ConflictKind::Rivals(faults) => ("rivals", names(faults)),
        ConflictKind::NoneLeft => ("none_left", Vec::new()),
    };
    JsonConflict {
        kind,
        faults,
        entries: conflict.entries.iter().map(|id| id.place() + 1).collect(),
        complaints: conflict.complaints.iter().map(|id| wording.book.complaint(*id).name.clone()).collect(),
        retake: retake(wording.book, wording.job, conflict).map(|id| id.place() + 1),
    }
}

fn json_reason(wording: &Wording<'_>, fault: FaultId, reason: &Reason) -> JsonReason {
    let book = wording.book;
    let (kind, rule, choice) = match reason {
        Reason::Implied(rule, choice) => ("implied", Some(*rule), Some(choice)),
        Reason::RuledOutBy(rule, choice) => ("ruled_out", Some(*rule), Some(choice)),
        Reason::OneOfOthers(rule, choice) => ("one_of_others", Some(*rule), Some(choice)),
        Reason::Odds(rule, choice, _) => ("odds", Some(*rule), Some(choice)),
        Reason::ShowsFails(_, choice) => ("shows", None, Some(choice)),
        Reason::CannotExplain(_) => ("complaint", None, None),
        Reason::Elimination(_) => ("elimination", None, None),
        Reason::NoSetLeft => ("no_set_left", None, None),
        Reason::Repaired(_) => ("repaired", None, None),
        Reason::AwaitsVerify => ("awaits_verify", None, None),
        Reason::Rivals(_) => ("rivals", None, None),
        Reason::OnlyOneLeft => ("only_one_left", None, None),
        Reason::Circuit(_) => ("circuit", None, None),
    };
    let place = match reason {
        Reason::ShowsFails(nth, _) => book.fault(fault).shows.get(*nth).map(|shows| wording.place(shows.span)),
        Reason::Circuit(says) => Some(wording.place(book.circuit(says.circuit).span)),
        _ => rule.map(|rule| wording.place(book.rule(rule).span)),
    };
    let entries = match reason {
        Reason::Circuit(says) => says.entries(),
        _ => choice.map_or(Vec::new(), |choice| choice.entries()),
    };
    JsonReason {
        kind,
        rule: rule.map(|rule| book.rule(rule).label.clone()),
        place,
        entries: entries.iter().map(|id| id.place() + 1).collect(),
        text: wording.reason_text(fault, reason),
    }
}

//! A job as it is written on paper: one shape of plain words, built once, then rendered as text, HTML or JSON. The
//! fields of the first page come first; the annex (log, stages) after them.

mod build;
mod causes;
pub mod drawings;
mod log;
mod rows;
mod stages;

use schemars::JsonSchema;
use serde::Serialize;

use super::judgement_json::JsonBook;
use super::page::Page;

pub use build::Papers;

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/job-report/1";

/// A line of a list within lists.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ReportLine {
    /// How deep it stands, from 0.
    pub depth: usize,
    /// What it says.
    pub text: String,
}

/// The lines of a page, gaps left out.
pub fn lines_of(page: &Page) -> Vec<ReportLine> {
    let lines = page.lines().iter().filter(|(_, text)| !text.is_empty());
    lines.map(|(depth, text)| ReportLine { depth: *depth, text: text.clone() }).collect()
}

/// A caution in full.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ReportCaution {
    /// Its name.
    pub name: String,
    /// What it says.
    pub text: String,
    /// Work for licensed or qualified hands only.
    pub stop: bool,
    /// Whether it is one of the repair itself, or of what is still in place.
    pub of_repair: bool,
}

/// One entry with how well it was read and what it was held against.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EntryRow {
    /// Its number, from 1.
    pub entry: usize,
    /// Date, time and UTC offset, where the record says so.
    pub stamp: Option<String>,
    /// `supply at fan connector = 24.6 V`
    pub text: String,
    /// How the vehicle stood.
    pub setup: String,
    /// `± 0.14 V`; none for an answer, and where a value has an open end.
    pub accuracy: Option<String>,
    /// What a sound vehicle shows under that setup: `22.5 V to 25 V`, `yes`.
    pub tolerance: Option<String>,
    /// How it lies: `in tolerance`, `out of tolerance`, `too close to call`, `as sound`, `not as sound`.
    pub lies: Option<String>,
    /// What is to be said of it besides: `replaced by a later one`.
    pub note: Option<String>,
}

/// One thing that proves a cause.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProofStep {
    /// `rule …` implies it; all others are ruled out.
    pub says: String,
    /// Why that is so.
    pub because: Option<String>,
    /// Where it is published.
    pub source: Option<String>,
    /// The entries that it rests on.
    pub entries: Vec<EntryRow>,
}

/// One thing that verifies a repair, or shows that a complaint is gone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ReportCheck {
    /// What must hold.
    pub words: String,
    /// `yes`, `no`, `not known`.
    pub holds: String,
    /// The entries that say so.
    pub entries: Vec<EntryRow>,
}

/// A cause that was found, and what was done about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cause {
    /// The fault, as declared.
    pub fault: String,
    /// What is wrong, in a sentence.
    pub description: Option<String>,
    /// `proved`, `open, the only one left; not proved`, …: how it stood when it was repaired, or stands now.
    pub verdict: String,
    /// What proves it.
    pub proof: Vec<ProofStep>,
    /// How many faults were ruled out by then, of how many.
    pub ruled_out: (usize, usize),
    /// What mends it.
    pub remedy: Option<String>,
    /// The part at fault, with its place.
    pub part: Option<String>,
    /// Whether it was repaired.
    pub repaired: bool,
    /// When, where the record says so.
    pub repaired_at: Option<String>,
    /// `repaired and verified`, `repaired, not yet verified`, `in vain: …`, `not repaired`.
    pub came: String,
    /// Whether the repair was in vain: what it replaced was good.
    pub in_vain: bool,
    /// What verifies it.
    pub checks: Vec<ReportCheck>,
}

/// When, and how long.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Times {
    /// First stamp.
    pub started: String,
    /// Last stamp.
    pub ended: String,
    /// Minutes worked, gaps over 30 min left out.
    pub minutes: i64,
    /// Minutes worked up to the first repair, if there was one.
    pub minutes_to_repair: Option<i64>,
    /// How many gaps were left out.
    pub pauses: usize,
    /// Whether the clock was set back meanwhile.
    pub backward: bool,
}

/// A line of the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LogLine {
    /// Date, time and UTC offset.
    pub stamp: Option<String>,
    /// `setup`, `entry`, `complaint`, `repair`, `cannot_reach`, `take_back`, `note`.
    pub kind: &'static str,
    /// As typed.
    pub words: String,
    /// Whether it was taken back.
    pub taken_back: bool,
    /// The entry that it made, if it stands.
    pub entry: Option<EntryRow>,
}

/// Faults that one thing rules out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RuledOut {
    /// What rules them out.
    pub why: String,
    /// They.
    pub faults: Vec<String>,
    /// The proof, for the first of them.
    pub proof: Vec<ReportLine>,
}

/// A fault that may still be there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StillOpen {
    /// Which.
    pub fault: String,
    /// `open`, or `the only one left; not proved`, and about how likely: an estimate.
    pub standing: String,
}

/// What was found up to a repair, or up to the end.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ReportStage {
    /// `What was found before … was repaired`
    pub heading: String,
    /// In one sentence.
    pub outcome: String,
    /// Proved faults, or those in conflict, with every reason.
    pub chains: Vec<(String, Vec<ReportLine>)>,
    /// What was ruled out and how.
    pub ruled_out: Vec<RuledOut>,
    /// What may still be there.
    pub open: Vec<StillOpen>,
    /// Entries that can't all be right.
    pub conflicts: Vec<ReportLine>,
    /// What stands beside the book's faults.
    pub standing: String,
}

/// The state of the book when the job was begun, where it is another than now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RecordedWith {
    /// Its revision.
    pub revision: Option<String>,
    /// SHA-256 of its texts, in hex.
    pub digest: String,
}

/// The whole report.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JobReport {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// Whether the job is done: repaired, verified, complaint gone, all put back.
    pub done: bool,
    /// The same in a sentence.
    pub state: String,
    /// What stands on every page that people act on.
    pub safety: &'static str,
    /// The cautions of all that was done.
    pub cautions: Vec<ReportCaution>,
    /// Which vehicle.
    pub vehicle: Option<String>,
    /// Its odometer.
    pub odometer: Option<String>,
    /// Who worked on it.
    pub technician: Option<String>,
    /// The customer's own words.
    pub customer_words: Vec<String>,
    /// Complaints, and whether each is gone.
    pub complaints: Vec<ReportCheck>,
    /// Causes found and repairs made, in order.
    pub causes: Vec<Cause>,
    /// What it comes to, in one sentence.
    pub outcome: String,
    /// What is still to do or not verified.
    pub not_verified: Vec<ReportLine>,
    /// When, and how long.
    pub times: Option<Times>,
    /// The book that judged.
    pub book: JsonBook,
    /// The book's state when the job was begun, where it is another.
    pub recorded_with: Option<RecordedWith>,
    /// Whether a record is kept.
    pub recorded: bool,
    /// What the record suffers from: changed lines, lines that no longer fit.
    pub remarks: Vec<String>,
    /// Meters and air, as entered.
    pub conditions: Vec<String>,
    /// Every line of the record.
    pub log: Vec<LogLine>,
    /// What was found, stage by stage.
    pub stages: Vec<ReportStage>,
}

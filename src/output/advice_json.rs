//! Advice for machines.

use schemars::JsonSchema;
use serde::Serialize;

use crate::advice::reach::SetStep;
use crate::advice::{Advice, Aim, AnswerOutcome, HandOver, Note, Purpose, RepairAdvice, Repeat, TestAdvice};
use crate::book::{Book, FaultId};
use crate::job::{Job, setup_words};
use crate::reasoning::Judgement;

use super::cautions;
use super::how_sure_json::JsonHowSure;
use super::judgement_json::{JsonBook, JsonSkipped, json_book, outcome_word};
use super::judgement_text::SAFETY;
use super::words::Wording;

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/advice/1";

/// One thing to set, change or put back.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonSetStep {
    /// The sentence to enter: `with fan unplugged`.
    pub enter: String,
    /// What to do.
    pub how: Option<String>,
    /// How long it takes.
    pub minutes: f64,
    /// Parts that may be borrowed for a swap.
    pub donors: Vec<String>,
}

/// One answer of a test.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonAnswer {
    /// In words: `below 22.5 V`, `yes or slowly`.
    pub answer: String,
    /// An estimate.
    pub probability: f64,
    /// Faults that it would rule out.
    pub rules_out: Vec<String>,
    /// Faults that it would prove.
    pub proves: Vec<String>,
    /// The likeliest fault then.
    pub likeliest: Option<String>,
    /// Faults that would still be possible.
    pub leaves: Vec<String>,
    /// Of `verify`, `gone` and `retake`: `reached` (verified, gone, the quarrel at an end), `open` or `missed`.
    pub aim: Option<&'static str>,
}

/// A test to take.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonTest {
    /// The reading or observation.
    pub test: String,
    /// `baseline`, `tell_apart`, `beside`, `retake`, `verify`, `gone`, `prove`.
    pub purpose: &'static str,
    /// The setup that it is taken under.
    pub setup: String,
    /// The way there.
    pub steps: Vec<JsonSetStep>,
    /// Where to measure.
    pub place: Option<String>,
    /// How.
    pub how: Option<String>,
    /// How long it takes, the way there included.
    pub minutes: f64,
    /// Whether the book says how long the test takes.
    pub timed: bool,
    /// Expected information, in bits; with all of `together`, if there are any.
    pub gain_bits: f64,
    /// Tests to take after it, where it tells something only together with them.
    pub together: Vec<String>,
    /// How likely the reading lies too close to a limit for the meter.
    pub too_close: f64,
    /// Of how many faults that may be there the book says nothing in this test.
    pub silent: usize,
    /// What its setup makes live, in full.
    pub cautions: Vec<String>,
    /// What further tries would come to, where it shows something only sometimes.
    pub repeat: Option<JsonRepeat>,
    /// Its answers.
    pub answers: Vec<JsonAnswer>,
}

/// Tries that show nothing, and what they would leave.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRepeat {
    /// The likeliest fault that shows it sometimes.
    pub fault: String,
    /// How many tries were made so far.
    pub so_far: u32,
    /// How many more tries without it would leave the fault at most so likely.
    pub more: Vec<JsonTries>,
}

/// A number of tries and the weight that they would leave.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonTries {
    /// How many.
    pub tries: u32,
    /// At most this.
    pub weight: f64,
}

/// A repair to make.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonRepair {
    /// Of which fault.
    pub fault: String,
    /// An estimate.
    pub weight: f64,
    /// What mends it.
    pub remedy: Option<String>,
    /// How long it takes.
    pub minutes: f64,
    /// Whether the book says so.
    pub timed: bool,
    /// What it carries, in full.
    pub cautions: Vec<String>,
    /// What must hold afterwards.
    pub verify: Vec<String>,
}

/// Work for licensed or qualified staff.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonHandOver {
    /// `test` or `repair`.
    pub kind: &'static str,
    /// Which.
    pub what: String,
    /// The caution that stops it.
    pub caution: String,
}

/// The whole answer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonAdvice {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The book.
    pub book: JsonBook,
    /// As in a judgement.
    pub outcome: &'static str,
    /// Tests, first things first.
    pub tests: Vec<JsonTest>,
    /// Repairs, the one that pays most for its minutes first.
    pub repairs: Vec<JsonRepair>,
    /// A repair that, with its verification, may cost less than the tests that are left.
    pub instead: Option<JsonRepair>,
    /// Work to hand over.
    pub hand_over: Vec<JsonHandOver>,
    /// `more_at_once`, `quarrel`, `not_covered`, `no_fault_seen`, `nothing_separates`, `nothing_left`.
    pub note: Option<&'static str>,
    /// What would flip if an entry or a share were off; null unless asked for.
    pub how_sure: Option<JsonHowSure>,
    /// Sentences that could not be taken.
    pub skipped: Vec<JsonSkipped>,
    /// What stands before all.
    pub safety: &'static str,
}

/// The answer for some advice.
pub fn json_advice(
    book: &Book,
    job: &Job,
    judgement: &Judgement,
    advice: &Advice,
    skipped: Vec<JsonSkipped>,
) -> JsonAdvice {
    let shown = Shown { wording: Wording { book, job } };
    JsonAdvice {
        schema: SCHEMA,
        book: json_book(book),
        outcome: outcome_word(judgement.outcome),
        tests: advice.steps.iter().map(|test| shown.test(test)).collect(),
        repairs: advice.repairs.iter().map(|repair| shown.repair(repair)).collect(),
        instead: advice.instead.as_ref().map(|repair| shown.repair(repair)),
        hand_over: advice.hand_over.iter().map(|over| shown.hand_over(*over)).collect(),
        note: advice.note.as_ref().map(note_word),
        how_sure: None,
        skipped,
        safety: SAFETY,
    }
}

fn note_word(note: &Note) -> &'static str {
    match note {
        Note::MoreAtOnce(_) => "more_at_once",
        Note::Quarrel => "quarrel",
        Note::NotCovered => "not_covered",
        Note::NoFaultSeen => "no_fault_seen",
        Note::NothingSeparates => "nothing_separates",
        Note::NothingProves(_) => "nothing_proves",
        Note::NothingLeft => "nothing_left",
    }
}

fn aim_word(aim: Aim) -> &'static str {
    match aim {
        Aim::Reached => "reached",
        Aim::Open => "open",
        Aim::Missed => "missed",
    }
}

fn purpose_word(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Baseline(_) => "baseline",
        Purpose::TellApart => "tell_apart",
        Purpose::Beside(_) => "beside",
        Purpose::Retake(_) => "retake",
        Purpose::Verify(_) => "verify",
        Purpose::Gone(_) => "gone",
        Purpose::Prove(_) => "prove",
    }
}

struct Shown<'a> {
    wording: Wording<'a>,
}

impl Shown<'_> {
    fn names(&self, faults: &[FaultId]) -> Vec<String> {
        faults.iter().map(|id| self.wording.book.fault(*id).name.clone()).collect()
    }

    fn repeat(&self, repeat: &Repeat) -> JsonRepeat {
        JsonRepeat {
            fault: self.wording.book.fault(repeat.fault).name.clone(),
            so_far: repeat.so_far,
            more: repeat.more.iter().map(|(tries, weight)| JsonTries { tries: *tries, weight: *weight }).collect(),
        }
    }

    fn test(&self, test: &TestAdvice) -> JsonTest {
        let book = self.wording.book;
        let own = &book.indication(test.indication).steps;
        JsonTest {
            test: book.indication(test.indication).name.clone(),
            purpose: purpose_word(test.purpose),
            setup: setup_words(book, &test.setup),
            steps: test.steps.iter().map(|step| self.step(step)).collect(),
            place: own.place.as_ref().map(ToString::to_string),
            how: own.how.as_ref().map(ToString::to_string),
            minutes: test.seconds / 60.0,
            timed: test.timed,
            gain_bits: test.gain_bits,
            together: test
                .together
                .iter()
                .flat_map(|(_, others)| others)
                .map(|id| book.indication(*id).name.clone())
                .collect(),
            too_close: test.too_close,
            silent: test.silent,
            repeat: test.repeat.as_ref().map(|repeat| self.repeat(repeat)),
            cautions: self.wording.cautions_of(test).into_iter().map(|caution| caution.text).collect(),
            answers: test.answers.iter().map(|answer| self.answer(test, answer)).collect(),
        }
    }

    fn step(&self, step: &SetStep) -> JsonSetStep {
        let book = self.wording.book;
        let setting = book.setting(step.setting);
        let off = step.back && !setting.one_of;
        let enter =
            if off { format!("without {}", setting.name) } else { format!("with {}", setting.said(step.value)) };
        let how = if off { &setting.put_back } else { &setting.steps.how };
        let donors = step.donors.iter().map(|id| book.part(*id).name.clone()).collect();
        JsonSetStep { enter, how: how.as_ref().map(ToString::to_string), minutes: step.seconds / 60.0, donors }
    }

    fn answer(&self, test: &TestAdvice, answer: &AnswerOutcome) -> JsonAnswer {
        JsonAnswer {
            answer: self.wording.cells(test.indication, &answer.cells),
            probability: answer.probability,
            rules_out: self.names(&answer.rules_out),
            proves: self.names(&answer.proves),
            likeliest: answer.likeliest.map(|(fault, _)| self.wording.book.fault(fault).name.clone()),
            leaves: self.names(&answer.leaves),
            aim: answer.aim.map(aim_word),
        }
    }

    fn repair(&self, repair: &RepairAdvice) -> JsonRepair {
        let book = self.wording.book;
        let fault = book.fault(repair.fault);
        JsonRepair {
            fault: fault.name.clone(),
            weight: repair.weight,
            remedy: fault.remedy.as_ref().map(ToString::to_string),
            minutes: repair.seconds / 60.0,
            timed: repair.timed,
            cautions: cautions::of_steps(book, &fault.steps).into_iter().map(|caution| caution.text).collect(),
            verify: fault.verify.iter().map(|condition| self.wording.source_words(condition.span)).collect(),
        }
    }

    fn hand_over(&self, over: HandOver) -> JsonHandOver {
        let book = self.wording.book;
        match over {
            HandOver::Test(id, caution) => JsonHandOver {
                kind: "test",
                what: book.indication(id).name.clone(),
                caution: book.caution(caution).text.to_string(),
            },
            HandOver::Repair(id, caution) => JsonHandOver {
                kind: "repair",
                what: book.fault(id).name.clone(),
                caution: book.caution(caution).text.to_string(),
            },
        }
    }
}

//! What a witness shows: a little job whose judgement bears a finding out. Each finding is held against the real judge
//! before it is handed in, and a test does so again with the witness as text.

use crate::book::{Book, FaultId, FindingId, RuleId};
use crate::job::Job;
use crate::lint::space::witness::job as job_of;
use crate::reasoning::{Disturbed, Facts, Judgement, Outcome, Reason, Truth, Verdict, choice, judge};

/// What the judgement of a witness must show.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Claim {
    /// All these rules apply.
    Apply(Vec<RuleId>),
    /// A rule does not apply, though all that it asks for is entered.
    DoesNotApply(RuleId),
    /// A finding is so.
    Finding(FindingId, bool),
    /// A fault is proved and ruled out.
    Contested(FaultId),
    /// Two faults are proved that can't be there together.
    Rivals(FaultId, FaultId),
    /// Something is wrong, and no fault is left.
    NoneLeft,
    /// The first is proved, and nothing but that speaks against the second.
    ProvedBeside(FaultId, FaultId),
    /// It is proved, and nothing but that speaks against a sound vehicle.
    ProvedSound(FaultId),
    /// It is not proved.
    NotProved(FaultId),
    /// It is not ruled out by any entry.
    NotRuledOut(FaultId),
    /// All of them are held to be the same.
    Alike(Vec<FaultId>),
    /// A fault is ruled out, and no circuit speaks against it.
    RuledOutInSpiteOfCircuit(FaultId),
    /// A fault is proved that a circuit speaks against, or that is in conflict with it.
    ProvedInSpiteOfCircuit(FaultId),
    /// A complaint is gone by entries that the fault which should explain it shows.
    Gone(usize, FaultId),
    /// A reading is entered, and nothing follows.
    SaysNothing,
    /// The last entry changes no verdict.
    LastAddsNothing,
    /// No circuit rules out the fault or a sound vehicle.
    SoundAsWell(FaultId),
}

/// A little job and what it shows.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Witness {
    /// The profile that the book is used with, if any.
    pub profile: Option<String>,
    /// Its lines, as they can be typed.
    pub lines: Vec<String>,
    /// What it shows.
    pub claim: Claim,
}

impl Witness {
    /// All that is typed to see it, the profile first.
    pub fn typed(&self) -> Vec<String> {
        let profile = self
            .profile
            .as_ref()
            .map(|name| format!("profile \"{}\"", name.replace('\\', "\\\\").replace('"', "\\\"")));
        profile.into_iter().chain(self.lines.iter().cloned()).collect()
    }

    /// Whether the real judge bears it out.
    pub fn holds(&self, book: &Book) -> bool {
        job_of(book, &self.lines).is_some_and(|job| self.claim.holds(book, &job))
    }
}

impl Claim {
    /// Whether a job shows it.
    pub fn holds(&self, book: &Book, job: &Job) -> bool {
        let judgement = judge(book, job);
        let verdict = |fault: FaultId| judgement.of(fault).map(|found| found.verdict);
        match self {
            Claim::Apply(rules) => rules.iter().all(|rule| applies(&judgement, *rule)),
            Claim::DoesNotApply(rule) => !applies(&judgement, *rule),
            Claim::Finding(finding, so) => {
                let facts = Facts::of(book, job, job.epoch(), |_| true);
                choice::truth(&facts, &book.finding(*finding).condition) == Truth::from(*so)
            }
            Claim::Contested(fault) => verdict(*fault) == Some(Verdict::Conflict),
            Claim::Rivals(one, other) => [one, other].iter().all(|fault| is_rival(&judgement, **fault)),
            Claim::NoneLeft => judgement.outcome == Outcome::NotCoveredOrWrongEntry,
            Claim::ProvedBeside(proved, other) => {
                verdict(*proved) == Some(Verdict::Proved) && stands_but_for_proofs(&judgement, *other)
            }
            Claim::ProvedSound(fault) => {
                let only_proofs = judgement.disturbed.iter().all(|why| matches!(why, Disturbed::Proof(_)));
                verdict(*fault) == Some(Verdict::Proved) && only_proofs
            }
            Claim::NotProved(fault) => !matches!(verdict(*fault), Some(Verdict::Proved | Verdict::Conflict) | None),
            Claim::NotRuledOut(fault) => stands_but_for_proofs(&judgement, *fault),
            Claim::Alike(faults) => {
                faults.windows(2).all(|pair| pair.first().map(|f| verdict(*f)) == pair.last().map(|f| verdict(*f)))
            }
            Claim::RuledOutInSpiteOfCircuit(fault) => {
                let by_author = |reason: &Reason| {
                    matches!(reason, Reason::RuledOutBy(..) | Reason::ShowsFails(..) | Reason::OneOfOthers(..))
                };
                judgement.of(*fault).is_some_and(|found| found.reasons.iter().any(by_author))
                    && judgement.evidence.circuits.iter().all(|says| says.faults != [*fault])
            }
            Claim::ProvedInSpiteOfCircuit(fault) => judgement.of(*fault).is_some_and(|found| {
                let implied = found.reasons.iter().any(|reason| matches!(reason, Reason::Implied(..)));
                implied && found.reasons.iter().any(|reason| matches!(reason, Reason::Circuit(_)))
            }),
            Claim::Gone(complaint, fault) => {
                let gone =
                    |one: &crate::reasoning::Complained| one.complaint.place() == *complaint && one.gone.is_some();
                let shown = judgement.evidence.failed.iter().all(|failed| failed.fault != *fault || failed.sometimes);
                judgement.evidence.complaints.iter().any(gone) && shown
            }
            Claim::LastAddsNothing => {
                let before = job.before(book, job.lines.len().saturating_sub(1));
                let verdicts = |judgement: &Judgement| judgement.verdicts.iter().map(|v| v.verdict).collect::<Vec<_>>();
                verdicts(&judge(book, &before)) == verdicts(&judgement) && !before.entries.is_empty()
            }
            Claim::SoundAsWell(fault) => {
                let mut by_circuit = judgement.evidence.circuits.iter().filter(|says| says.exact);
                !job.entries.is_empty() && !by_circuit.any(|says| says.faults.is_empty() || says.faults == [*fault])
            }
            Claim::SaysNothing => {
                judgement.evidence.applied.is_empty() && judgement.evidence.failed.is_empty() && !job.entries.is_empty()
            }
        }
    }
}

fn applies(judgement: &Judgement, rule: RuleId) -> bool {
    judgement.evidence.applied.iter().any(|applied| applied.rule == rule)
}

/// Proved by a rule and held up by another proof.
fn is_rival(judgement: &Judgement, fault: FaultId) -> bool {
    judgement.of(fault).is_some_and(|found| {
        found.verdict == Verdict::Conflict && found.reasons.iter().any(|reason| matches!(reason, Reason::Rivals(_)))
    })
}

/// Open, or ruled out only because another is proved.
fn stands_but_for_proofs(judgement: &Judgement, fault: FaultId) -> bool {
    judgement.of(fault).is_some_and(|found| match found.verdict {
        Verdict::RuledOut => found
            .reasons
            .iter()
            .all(|reason| matches!(reason, Reason::Elimination(_) | Reason::NoSetLeft) || reason.only_weighs()),
        Verdict::Open | Verdict::OnlyOneLeft | Verdict::Proved => true,
        Verdict::Conflict => false,
    })
}

//! Complaints that name a fault which can't cause them.

use crate::book::{ComplaintId, Condition, FaultId};
use crate::job::Job;
use crate::lint::cases::draft::words::read;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::formula::Formula;
use crate::lint::space::system::Var;
use crate::lint::space::witness::witness;
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Joint, Sides, is_plain};

check! {
    /// Finds: a complaint that may be a fault with which it is always gone: by what the fault `shows`, `gone when` holds.
    ///
    /// Harm: the fault stays open for a complaint that it can't cause.
    ///
    /// Bad:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   gone when fan runs is yes
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is yes
    /// ```
    /// Good:
    /// ```rulebook
    /// complaint the fan does not run
    ///   may be open feed wire, blown fuse
    ///   gone when fan runs is yes
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    ///   shows fan runs is no
    /// ```
    "complaint-never-explained", Warning, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    for (place, complaint) in subject.own(&book.complaints) {
        let id = ComplaintId::at(place);
        for fault in complaint.may_be.iter().flatten() {
            let witness = match always_gone(sides, id, *fault) {
                Gone::Always(witness) => witness,
                Gone::NotAlways => continue,
                Gone::Open => {
                    found.leave_open();
                    continue;
                }
            };
            let other = book.fault(*fault);
            found.add(
                Finding::at(complaint.span, format!("`{}` can't be the cause of `{}`", other.name, complaint.name))
                    .also(other.span, "with what this shows the complaint is gone")
                    .help("take it out of `may be`, or mend what it `shows` or when the complaint is `gone`")
                    .witness(Some(witness)),
            );
        }
    }
}

/// Whether a complaint is always gone with a fault.
enum Gone {
    Always(Witness),
    NotAlways,
    Open,
}

/// The same with no more entered than a formula speaks of.
fn only(joint: Joint, formula: &Formula) -> Joint {
    let mut vars = Vec::new();
    formula.vars(&mut vars);
    Joint { vars: joint.vars.iter().copied().filter(|var| vars.contains(var)).collect(), ..joint }
}

fn always_gone(sides: &Sides<'_>, id: ComplaintId, fault: FaultId) -> Gone {
    let book = sides.book;
    let Some(gone) = book.complaint(id).gone.as_ref() else { return Gone::NotAlways };
    let plain = book.fault(fault).shows.iter().filter(|shows| is_plain(shows.chance));
    let shown: Vec<&Condition> = plain.map(|shows| &shows.condition).collect();
    if shown.is_empty() {
        return Gone::NotAlways;
    }
    let (mut last, mut by_fault, mut open): (Option<Joint>, bool, bool) = (None, false, false);
    for stood in sides.space.stand_all(&[&[gone], shown.as_slice()].concat()) {
        let vars: Vec<Var> = (0..stood.entries.len()).collect();
        let comes = |condition: &Condition, so: bool| sides.space.formula_by(condition, &stood.entries, &vars, so);
        // What it shows is false for no choice of entries.
        let said: Vec<Formula> = shown.iter().map(|condition| comes(condition, false).not()).collect();
        let (is_gone, not_gone) = (comes(gone, true), comes(gone, true).not());
        match sides.solved(&stood, &not_gone, &said) {
            Ok(_) => return Gone::NotAlways,
            Err(more) => open |= more,
        }
        // A complaint that is gone whatever is entered is not so by the fault.
        by_fault |= sides.solved(&stood, &not_gone, &[]).is_ok();
        last = sides.solved(&stood, &is_gone, &said).ok().map(|joint| only(joint, &is_gone)).or(last);
    }
    if open {
        return Gone::Open;
    }
    let Some(joint) = last.filter(|_| by_fault) else { return Gone::NotAlways };
    let told = format!("complaint {}", book.complaint(id).name);
    let claim = Claim::Gone(id.place(), fault);
    let accepts = |job: &Job| {
        let mut job = job.clone();
        read(&told).is_some_and(|line| job.enter(book, line, &told).is_ok()) && claim.holds(book, &job)
    };
    match witness(book, &joint.entries, &joint.vars, &joint.system, accepts) {
        Some(lines) => {
            let lines = std::iter::once(told.clone()).chain(lines).collect();
            let witness = Witness { profile: book.profile.clone(), lines, claim };
            if witness.holds(book) { Gone::Always(witness) } else { Gone::Open }
        }
        None => Gone::Open,
    }
}

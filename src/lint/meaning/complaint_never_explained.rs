//! Complaints that name a fault which can't cause them.

use crate::book::{ComplaintId, FaultId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::formula::Formula;
use crate::lint::space::witness::witness;
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Joint, Sides, is_plain, readings};

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
            let Some(witness) = always_gone(sides, id, *fault) else { continue };
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

fn always_gone(sides: &Sides<'_>, id: ComplaintId, fault: FaultId) -> Option<Witness> {
    let book = sides.book;
    let complaint = book.complaint(id);
    let gone = complaint.gone.as_ref()?;
    let asked = readings(gone);
    let shown: Vec<_> = book.fault(fault).shows.iter().filter(|shows| is_plain(shows.chance)).collect();
    let mut last: Option<Joint> = None;
    for stood in sides.space.stand(gone, &shown.iter().map(|shows| &shows.condition).collect::<Vec<_>>()) {
        let vars: Vec<usize> = (0..stood.entries.len()).collect();
        let inside =
            shown.iter().filter(|shows| readings(&shows.condition).iter().all(|one| asked.binary_search(one).is_ok()));
        let said: Vec<Formula> = inside
            .map(|shows| sides.space.formula_by(&shows.condition, &stood.entries, &vars, true))
            .filter(|f| *f != Formula::Never)
            .collect();
        let not_gone = sides.space.filled(gone, &stood.entries, &stood.fill, false);
        if said.is_empty() || !matches!(sides.solved(&stood, &not_gone, &said), Err(false)) {
            return None;
        }
        let is_gone = sides.space.filled(gone, &stood.entries, &stood.fill, true);
        last = sides.solved(&stood, &is_gone, &said).ok();
    }
    let joint = last?;
    let lines = witness(book, &joint.entries, &joint.vars, &joint.system, |_| true)?;
    let lines = std::iter::once(format!("complaint {}", complaint.name)).chain(lines).collect();
    let witness = Witness { profile: book.profile.clone(), lines, claim: Claim::Gone(id.place(), fault) };
    witness.holds(book).then_some(witness)
}

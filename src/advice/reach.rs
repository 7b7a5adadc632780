//! How the vehicle gets from one setup to another: what to put back, what to set, in which order, how long it takes.

use crate::book::setup::{is_change, unnamed_change};
use crate::book::{Asked, Book, CautionId, IndicationId, PartId, SettingId, Setup, Steps};

/// Seconds that a test, a change or a repair is taken to last where the book says nothing.
pub const USUAL_SECONDS: f64 = 120.0;

/// One thing to set, change or put back.
#[derive(Clone, PartialEq, Debug)]
pub struct SetStep {
    /// Which state or change.
    pub setting: SettingId,
    /// Its value afterwards.
    pub value: u8,
    /// Whether it is put back or switched off.
    pub back: bool,
    /// How long that takes.
    pub seconds: f64,
    /// For a swap: parts of the same kind that may be borrowed.
    pub donors: Vec<PartId>,
}

/// How long some steps last, and whether the book says so.
pub fn seconds(steps: &Steps) -> (f64, bool) {
    match &steps.takes {
        Some(takes) => (takes.to_f64().max(0.0), true),
        None => (USUAL_SECONDS, false),
    }
}

/// The nearest setup in which an atom that asks so matches an entry; none if there is none.
pub fn target(book: &Book, from: &Setup, indication: IndicationId, asked: &Asked) -> Option<Setup> {
    let mut setup = from.clone();
    // Each round mends one thing; what that brings along may need mending again.
    for _ in 0..=2 * book.settings.len() {
        let missing = asked.demand.terms.iter().find(|term| setup.mask(term.setting) & term.allowed == 0);
        if let Some(term) = missing {
            let value = book.setting(term.setting).lowest(term.allowed);
            setup.set(book, term.setting, value);
        } else if let Some(change) = unnamed_change(book, &asked.demand, indication, &setup, &asked.loose) {
            setup.set(book, change, book.setting(change).inactive);
        } else {
            return Some(setup);
        }
    }
    None
}

/// The steps from one setup to another: put back first, what needs another after it, then set, what is needed first.
pub fn steps(book: &Book, from: &Setup, to: &Setup) -> Vec<SetStep> {
    let differs = |id: &SettingId| from.value(*id) != to.value(*id);
    let active = |id: &SettingId| to.value(*id) != book.setting(*id).inactive;
    let (mut set, mut back): (Vec<SettingId>, Vec<SettingId>) = book.setting_ids().filter(differs).partition(active);
    in_order_of_need(book, &mut set);
    in_order_of_need(book, &mut back);
    back.reverse();
    back.into_iter()
        .map(|id| step(book, id, to, true))
        .chain(set.into_iter().map(|id| step(book, id, to, false)))
        .collect()
}

fn step(book: &Book, setting: SettingId, to: &Setup, back: bool) -> SetStep {
    let declared = book.setting(setting);
    let seconds = match (&declared.steps.takes, is_change(book, setting)) {
        // Putting a change back takes as long as making it; leaving a state takes nothing.
        (Some(takes), change) if change || !back => takes.to_f64().max(0.0),
        (None, true) => USUAL_SECONDS,
        _ => 0.0,
    };
    let donors = if back { Vec::new() } else { declared.swaps.map_or(Vec::new(), |part| donors(book, part)) };
    SetStep { setting, value: to.value(setting), back, seconds, donors }
}

/// Parts of the same kind that may be borrowed.
pub fn donors(book: &Book, part: PartId) -> Vec<PartId> {
    let kind = |id: PartId| book.part(id).kind.as_deref().map(crate::syntax::tree::fold);
    let wanted = kind(part);
    let all = (0..book.parts.len()).map(PartId::at);
    all.filter(|id| *id != part && book.part(*id).may_lend && wanted.is_some() && kind(*id) == wanted).collect()
}

/// Sorts so that what is needed comes before what needs it; book order otherwise.
fn in_order_of_need(book: &Book, settings: &mut Vec<SettingId>) {
    let mut sorted: Vec<SettingId> = Vec::with_capacity(settings.len());
    while !settings.is_empty() {
        let needs_another = |id: &SettingId| {
            book.setting(*id).needs.iter().any(|need| need.setting != *id && settings.contains(&need.setting))
        };
        let at = settings.iter().position(|id| !needs_another(id)).unwrap_or(0);
        sorted.push(settings.remove(at));
    }
    *settings = sorted;
}

/// The first caution among some steps that leaves the work to licensed or qualified staff.
pub fn stop_caution(book: &Book, steps: &Steps) -> Option<CautionId> {
    steps.cautions.iter().copied().find(|id| book.caution(*id).stop)
}

//! States that nothing asks for.

use crate::book::{SettingId, SettingKind};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a state that no condition, tolerance, circuit, `needs` or `excludes` names. What only a case sets doesn't count.
    ///
    /// Harm: the technician sets up the vehicle for nothing, and takes entries under it for something special.
    ///
    /// Bad:
    /// ```rulebook
    /// state lights on
    ///   how "All lights."
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// state lights on
    ///   how "All lights."
    /// rule no feed:
    ///   supply at fan connector below 0.5 V with lights on
    ///   implies open feed wire
    /// ```
    "unused-state", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.settings).filter(|(_, item)| item.kind == SettingKind::State) {
        if !subject.names.setting(SettingId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing asks for the state `{}`", item.name))
                    .help("name it in `needs` or `with`, or take it out"),
            );
        }
    }
}

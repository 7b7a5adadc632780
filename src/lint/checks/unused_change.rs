//! Changes that nothing asks for.

use crate::book::{SettingId, SettingKind};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: a change that no condition, tolerance, circuit, `needs` or `excludes` names. What only a case makes doesn't count.
    ///
    /// Harm: work on the vehicle that tells nothing; and while it is in place, readings don't count.
    ///
    /// Bad:
    /// ```rulebook
    /// change lamp unplugged
    ///   how "Pull its plug."
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// change lamp unplugged
    ///   how "Pull its plug."
    /// rule no feed:
    ///   supply at fan connector below 0.5 V with lamp unplugged
    ///   implies open feed wire
    /// ```
    "unused-change", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    if !subject.tells_unused() {
        return;
    }
    for (place, item) in subject.own(&subject.book.settings).filter(|(_, item)| item.kind == SettingKind::Change) {
        if !subject.names.setting(SettingId::at(place)) {
            found.add(
                Finding::at(item.span, format!("nothing asks for the change `{}`", item.name))
                    .help("name it in the `with` of a reading, or take it out"),
            );
        }
    }
}

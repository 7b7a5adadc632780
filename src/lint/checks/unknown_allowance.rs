//! Allowances of something that no check finds.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: an `# allow:` of an id that no check has.
    ///
    /// Harm: a slip in the id allows nothing, and the author wonders why the finding stays.
    ///
    /// Bad:
    /// ```rulebook
    /// # allow: misssing-remedy — the workshop's own page says what to do
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// ```
    /// Good:
    /// ```rulebook
    /// # allow: missing-remedy — the workshop's own page says what to do
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// ```
    "unknown-allowance", Warning, Findings, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for id in subject.allowances.iter().flat_map(|allowance| &allowance.ids) {
        // What reading a book warns of has ids with a stroke; those are known by having been needed.
        if id.needed || id.id.contains('/') || crate::lint::find(&id.id).is_some() {
            continue;
        }
        let help = match crate::lint::nearest_id(&id.id) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`ruleout lint --list` names them all".to_string(),
        };
        found.add(Finding::at(id.span, format!("no check is called `{}`", id.id)).help(help));
    }
}

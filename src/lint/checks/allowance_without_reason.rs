//! Allowances that don't say why.

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

check! {
    /// Finds: an `# allow:` without a reason behind a dash.
    ///
    /// Harm: the next author can't tell whether the fault was weighed or only silenced.
    ///
    /// Bad:
    /// ```rulebook
    /// # allow: missing-remedy
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// ```
    /// Good:
    /// ```rulebook
    /// # allow: missing-remedy — the workshop's own page says what to do
    /// fault blown fuse
    ///   "Fuse F3 is open"
    /// ```
    "allowance-without-reason", Warning, Findings, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for allowance in &subject.allowances {
        if allowance.reason.is_none() {
            let ids: Vec<&str> = allowance.ids.iter().map(|id| id.id.as_str()).collect();
            let ids = if ids.is_empty() { "ID".to_string() } else { ids.join(", ") };
            found.add(
                Finding::at(allowance.span, "this allowance doesn't say why")
                    .help(format!("write `# allow: {ids} — ` and the reason in a few words")),
            );
        }
    }
}

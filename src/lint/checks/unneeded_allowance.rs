//! Allowances that allow nothing any more.

use crate::lint::allow::{Allowance, AllowedId};
use crate::lint::check::{Finding, Findings, Needs, check};
use crate::lint::fix::Fix;
use crate::lint::subject::Subject;
use crate::source::Span;

check! {
    /// Finds: an `# allow:` where there is nothing of that id to allow. Silent while errors keep the check from
    /// running.
    ///
    /// Harm: it will swallow the next fault that comes to stand there.
    ///
    /// Fix: takes the comment out, if all of it is unneeded.
    ///
    /// Bad:
    /// ```rulebook
    /// # allow: missing-remedy — the workshop's own page says what to do
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    /// ```
    /// Good:
    /// ```rulebook
    /// fault blown fuse
    ///   "Fuse F3 is open"
    ///   remedy "Find what blew it, then fit a fuse of the same rating."
    /// ```
    "unneeded-allowance", Warning, Findings, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for allowance in &subject.allowances {
        let all = allowance.ids.iter().all(|id| is_unneeded(subject, id));
        for id in allowance.ids.iter().filter(|id| is_unneeded(subject, id)) {
            found.add(
                Finding::at(id.span, format!("nothing here needs `allow: {}`", id.id)).help("take it out").fix(
                    if all { Some(Fix::one("take the comment out", whole(subject, allowance), "")) } else { None },
                ),
            );
        }
    }
}

fn is_unneeded(subject: &Subject<'_>, id: &AllowedId) -> bool {
    let ran = match crate::lint::find(&id.id) {
        Some(check) if check.needs == Needs::Meaning => subject.meaning.is_some(),
        Some(check) => check.needs < Needs::Sound || subject.sound,
        None => id.id.contains('/') && subject.sound,
    };
    ran && !id.needed
}

/// The comment with the blanks before it, and with its line if it stands alone.
fn whole(subject: &Subject<'_>, allowance: &Allowance) -> Span {
    subject.whole_lines(allowance.span).unwrap_or_else(|| {
        let (start, end) = (allowance.span.start as usize, allowance.span.end as usize);
        let kept = subject.text.get(..start).map_or(start, |before| before.trim_end_matches([' ', '\t']).len());
        subject.span(kept, end)
    })
}

//! One test twice in one breath.

use std::collections::{BTreeMap, BTreeSet};

use crate::lint::check::{Finding, Findings, check};
use crate::lint::shape;
use crate::lint::subject::Subject;
use crate::lint::walk;
use crate::source::Span;
use crate::syntax::tree::{Condition, Expr};

check! {
    /// Finds: the same test twice in one `and` or one `or`.
    ///
    /// Harm: the second was meant to be another, and is missing.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   and supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   and supply at relay socket at least 22.5 V
    ///   implies open feed wire
    /// ```
    "same-test-twice", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for declaration in subject.declarations() {
        for condition in walk::conditions(declaration) {
            walk::joints(condition, &mut |_, parts| {
                if !may_repeat(parts) {
                    return;
                }
                let mut seen: BTreeMap<String, Span> = BTreeMap::new();
                for part in parts {
                    let first = *seen.entry(shape::of(part)).or_insert(part.span());
                    if first != part.span() {
                        found.add(
                            Finding::at(part.span(), "this is asked already")
                                .also(first, "here")
                                .help("take it out, or name the reading or the setup that was meant"),
                        );
                    }
                }
            });
        }
    }
}

/// Whether two parts begin with the same name; most don't, and need no closer look.
fn may_repeat(parts: &[Condition]) -> bool {
    let first = |part: &Condition| match part {
        Condition::Atom(atom) => match &atom.subject {
            Expr::Name(name) => Some(name.key()),
            _ => None,
        },
        _ => None,
    };
    let mut seen = BTreeSet::new();
    parts.iter().any(|part| !seen.insert(first(part)))
}

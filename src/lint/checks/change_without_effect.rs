//! A `with` that makes no difference.

use crate::book::resolve_item;
use crate::book::setup::{can_affect, is_change};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::lint::walk;

check! {
    /// Finds: a test `with` a change that, by its own `affects` or the reading's `unaffected by`, can alter none of the
    /// readings in the test.
    ///
    /// Harm: the technician is sent to make a change that tells nothing; or `affects` forgets the reading, and values
    /// taken with the change in place are mixed with the others.
    ///
    /// Bad:
    /// ```rulebook
    /// change relay swapped
    ///   how "Exchange the relay."
    ///   affects supply at fan connector
    /// rule low battery:
    ///   battery voltage below 22 V with relay swapped
    ///   implies blown fuse
    /// ```
    /// Good:
    /// ```rulebook
    /// change relay swapped
    ///   how "Exchange the relay."
    ///   affects supply at fan connector
    /// rule feed lost:
    ///   supply at fan connector below 22 V with relay swapped
    ///   implies open feed wire
    /// ```
    "change-without-effect", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let book = subject.book;
    for declaration in subject.declarations() {
        for condition in walk::conditions(declaration) {
            walk::setups(condition, &mut |part, setup| {
                let asked = if setup.is_empty() { Vec::new() } else { walk::asked(book, part) };
                for item in setup.iter().filter(|item| item.with) {
                    let Ok(term) = resolve_item(book, item) else { continue };
                    let idle = is_change(book, term.setting)
                        && !asked.is_empty()
                        && !asked.iter().any(|id| can_affect(book, term.setting, *id));
                    if idle {
                        let names: Vec<String> =
                            asked.iter().map(|id| format!("`{}`", book.indication(*id).name)).collect();
                        found.add(
                            Finding::at(item.span, format!("`{}` can't alter {}", item.name.text, names.join(" or ")))
                                .also(book.setting(term.setting).span, "what it affects is said here")
                                .help("take out the `with`, or add the reading to what the change `affects`"),
                        );
                    }
                }
            });
        }
    }
}

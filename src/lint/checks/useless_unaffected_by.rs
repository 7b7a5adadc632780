//! `unaffected by` that says what is said already.

use crate::book::{Affects, Book, Indication, SettingId, Symbol};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::fix::Fix;
use crate::lint::subject::{Subject, field, listed};
use crate::syntax::tree::{Declaration, Name, fold};
use crate::syntax::words::{DeclarationWord, FieldWord};

check! {
    /// Finds: `unaffected by` a change whose own `affects` leaves the reading out already, a name beside `any change`,
    /// and `any change` in a book that has none.
    ///
    /// Harm: the same thing said in two places is one day changed in one of them.
    ///
    /// Fix: takes out the line where all of it is useless.
    ///
    /// Bad:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Pull the plug at the shroud."
    ///   affects supply at fan connector
    /// reading battery voltage
    ///   unit V
    ///   unaffected by fan unplugged
    /// ```
    /// Good:
    /// ```rulebook
    /// change fan unplugged
    ///   how "Pull the plug at the shroud."
    ///   affects supply at fan connector
    /// reading battery voltage
    ///   unit V
    /// ```
    "useless-unaffected-by", Advice, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let indications =
        subject.declarations().filter(|d| matches!(d.word, DeclarationWord::Reading | DeclarationWord::Observation));
    for declaration in indications {
        one(subject, declaration, found);
    }
}

fn one(subject: &Subject<'_>, declaration: &Declaration, found: &mut Findings) {
    let Some(line) = field(declaration, FieldWord::UnaffectedBy) else { return };
    let Some(id) = subject.book.find_indication(&declaration.name.text) else { return };
    let indication = subject.book.indication(id);
    let names = listed(line);
    let useless: Vec<(&Name, &str)> =
        names.iter().filter_map(|name| Some((name, why(subject.book, indication, id, name)?))).collect();
    let all = useless.len() == names.len();
    for (name, why) in useless {
        let fix =
            if all { subject.whole_lines(line.span).map(|span| Fix::one("take out the line", span, "")) } else { None };
        found.add(
            Finding::at(
                name.span,
                format!("`{}` need not say that it is unaffected by `{}`", declaration.name.text, name.text),
            )
            .here(why)
            .help("take it out")
            .fix(fix),
        );
    }
}

fn why(book: &Book, indication: &Indication, id: crate::book::IndicationId, name: &Name) -> Option<&'static str> {
    if fold(&name.text) == "any change" {
        return book.changes().next().is_none().then_some("the book has no change");
    }
    if indication.unaffected_by_any {
        return Some("`any change` says it already");
    }
    let Some(Symbol::Setting(change)) = book.symbol(&name.text) else { return None };
    leaves_out(book, change, id).then_some("its `affects` leaves the reading out already")
}

fn leaves_out(book: &Book, change: SettingId, id: crate::book::IndicationId) -> bool {
    matches!(&book.setting(change).affects, Affects::Only(list) if !list.contains(&id))
}

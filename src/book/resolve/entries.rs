//! Setup words to settings: the same for conditions, declarations and what a technician types.

use crate::problem::{Problem, did_you_mean};
use crate::syntax::tree::{Name, SetupItem};

use super::super::ids::SettingId;
use super::super::model::Book;
use super::super::names::Symbol;
use super::super::setup::Term;

/// Why an entry can't be taken.
pub type EntryProblem = Problem;

/// The setting and values that an item names.
///
/// # Errors
/// No such state or change, or no such value of it.
pub fn resolve_item(book: &Book, item: &SetupItem) -> Result<Term, Problem> {
    let id = setting(book, &item.name)?;
    let declared = book.setting(id);
    let Some((plain, value)) = &item.value else {
        if declared.one_of && item.with {
            let values = declared.values.join("`, `");
            return Err(Problem::error(
                "setup/which-value",
                item.name.span,
                format!("`{}` needs its value", declared.name),
            )
            .help(format!("write `{} is VALUE`, one of `{values}`", declared.name)));
        }
        let wanted = if item.with { active(declared.inactive) } else { declared.inactive };
        return Ok(Term { setting: id, allowed: 1 << wanted });
    };
    if !declared.one_of {
        return Err(Problem::error(
            "setup/no-values",
            value.span,
            format!("`{}` is on or off, it has no values", declared.name),
        )
        .help(format!("write `with {}` or `without {}`", declared.name, declared.name)));
    }
    let folded = value.key();
    let Some(place) = declared.values.iter().position(|v| v.to_lowercase() == folded) else {
        let known = declared.values.iter().map(String::as_str);
        let list = declared.values.join("`, `");
        return Err(Problem::error(
            "setup/unknown-value",
            value.span,
            format!("`{}` is never `{}`", declared.name, value.text),
        )
        .help(did_you_mean(&value.text, known).unwrap_or_else(|| format!("it is one of `{list}`"))));
    };
    let one = 1 << place.min(63);
    let meant = *plain == item.with;
    Ok(Term { setting: id, allowed: if meant { one } else { declared.every_value() & !one } })
}

fn active(inactive: u8) -> u8 {
    u8::from(inactive == 0)
}

/// All items of a list; every problem is reported.
pub fn resolve_items(book: &Book, items: &[SetupItem]) -> Result<Vec<Term>, Vec<Problem>> {
    let (mut terms, mut problems) = (Vec::new(), Vec::new());
    for item in items {
        match resolve_item(book, item) {
            Ok(term) => terms.push(term),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() { Ok(terms) } else { Err(problems) }
}

fn setting(book: &Book, name: &Name) -> Result<SettingId, Problem> {
    match book.symbol(&name.text) {
        Some(Symbol::Setting(id)) => Ok(id),
        Some(other) => Err(Problem::error(
            "setup/not-a-setting",
            name.span,
            format!("`{}` is {}, not a state or change", name.text, other.noun()),
        )
        .help("only states and changes stand after `with`, `without`, `needs` and `excludes`")),
        None => Err(super::unknown_name(name, "a state or change", book.settings.iter().map(|s| s.name.as_str()))),
    }
}

//! Text to tree: every text gives a tree and problems whose places lie in it.

use ruleout::source::Sources;
use ruleout::syntax::{Extent, parse_book, parse_condition, parse_name, parse_part, parse_statement};

use super::shelf::{text, well_placed};

/// Parses as a whole book and as one of each smaller thing.
pub(crate) fn run(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let mut sources = Sources::new();
    let id = sources.add("fuzz", text);
    let (tree, problems) = parse_book(id, text);
    well_placed(&problems, &sources);
    for declaration in &tree.declarations {
        assert!(text.get(declaration.span.range()).is_some() && text.get(declaration.name.span.range()).is_some());
    }
    let (without, _) = parse_part(id, &text.into(), Extent::WithoutCases);
    assert!(without.declarations.len() <= tree.declarations.len());
    let line = text.lines().next().unwrap_or("");
    well_placed(&parse_statement(id, 0, line).err().into_iter().collect::<Vec<_>>(), &sources);
    well_placed(&parse_condition(id, line).err().into_iter().collect::<Vec<_>>(), &sources);
    well_placed(&parse_name(id, 0, line).err().into_iter().collect::<Vec<_>>(), &sources);
}

//! The formatter: what it lays out, it lays out the same again. That the tree stays, it checks itself.

use ruleout::source::SourceId;
use ruleout::syntax::format::format;
use ruleout::syntax::parse_book;

use super::shelf::text;

/// Lays a text out twice.
pub(crate) fn run(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match format(text) {
        Ok(once) => {
            assert_eq!(format(&once).as_deref(), Ok(&*once), "a second run changes:\n{once}");
            assert!(text.matches('#').count() >= once.matches('#').count(), "a comment is doubled");
        }
        Err(problems) => {
            let (_, found) = parse_book(SourceId::default(), text);
            let own = problems.first().is_some_and(|problem| problem.code.starts_with("format/"));
            assert!(own || problems == found, "refused without reason: {problems:?}");
        }
    }
}

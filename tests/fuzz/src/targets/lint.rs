//! Lint: findings lie in their texts, and what the fixes make can be read and fixed again to an end.

use std::path::Path;

use ruleout::book::load;
use ruleout::lint::{Choice, Opened, check_file, fix, outside};
use ruleout::problem::Problem;

use super::shelf::{Shelf, text, well_placed};

/// Checks, fixes, checks again.
pub(crate) fn run(data: &[u8]) {
    let Some(said) = text(data) else { return };
    let Some(mended) = round(said) else { return };
    let _ = round(&mended);
}

/// The text with its fixes, if it can be read.
fn round(said: &str) -> Option<String> {
    let loaded = load(&Shelf::of(said), Path::new("main")).ok()?;
    let opened = [Opened::resolve(loaded)];
    let outside = outside(&opened);
    let file = opened.first()?;
    let findings = check_file(file, outside.first()?, &Choice::default());
    let problems: Vec<Problem> = findings.iter().map(|finding| finding.problem.clone()).collect();
    well_placed(&problems, &file.loaded.sources);
    let own = file.loaded.trees.last()?.source;
    let own_text = file.loaded.sources.get(own)?.text.to_string();
    let (mended, _) = fix::apply(&own_text, own, findings.iter().filter_map(|finding| finding.fix.as_ref()));
    Some(mended)
}

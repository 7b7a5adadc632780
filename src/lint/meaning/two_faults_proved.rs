//! Entries that prove two faults where one is all that may be there.

use rayon::prelude::*;

use crate::book::RuleId;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;

use super::claim::{Claim, Witness};
use super::sides::{Can, Sides, Source, proves};

check! {
    /// Finds: two rules that prove two faults by the same entries, in a book that allows one fault at once.
    ///
    /// Harm: a correct measurement ends in a conflict of the two, and neither can be followed.
    ///
    /// Bad:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 8 V
    ///   implies open feed wire
    /// rule fuse gone:
    ///   supply at fan connector below 5 V
    ///   implies blown fuse
    /// ```
    /// Good:
    /// ```rulebook
    /// rule feed lost:
    ///   supply at fan connector below 8 V
    ///   and supply at fan connector at least 5 V
    ///   implies open feed wire
    /// rule fuse gone:
    ///   supply at fan connector below 5 V
    ///   implies blown fuse
    /// ```
    "two-faults-proved", Error, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    if book.at_once > 1 {
        return;
    }
    let rules: Vec<RuleId> = book.rule_ids().filter(|rule| !proves(book, *rule).is_empty()).collect();
    let all: Vec<(RuleId, RuleId, Witness)> = rules.par_iter().flat_map_iter(|rule| rivals(sides, *rule)).collect();
    for (one, other, witness) in all {
        let (first, second) = (book.rule(one), book.rule(other));
        let Some(at) = [second.span, first.span].into_iter().find(|span| subject.is_own(*span)) else { continue };
        let text = format!("rules `{}` and `{}` prove two faults by the same entries", first.label, second.label);
        let elsewhere = if at == first.span { second.span } else { first.span };
        found.add(
            Finding::at(at, text)
                .also(elsewhere, "the other one")
                .help("part their limits; or, if both faults can be there together, `at most 2 faults at once`")
                .witness(Some(witness)),
        );
    }
}

fn rivals(sides: &Sides<'_>, rule: RuleId) -> Vec<(RuleId, RuleId, Witness)> {
    let book = sides.book;
    let Some(own) = sides.side(Source::Rule(rule)) else { return Vec::new() };
    let proved = proves(book, rule);
    let mut all = Vec::new();
    for source in sides.near(Source::Rule(rule)) {
        let Source::Rule(other) = source else { continue };
        if other < rule || matches!(sides.can_apply(other), Can::No) {
            continue;
        }
        let pairs = proves(book, other).into_iter().flat_map(|b| proved.iter().map(move |a| (*a, b)));
        let Some((a, b)) = pairs.into_iter().find(|(a, b)| a != b) else { continue };
        let Some(side) = sides.side(source) else { continue };
        let witness = sides.either_way(own, side, &[a, b]).and_then(|joint| joint.shows(book, Claim::Rivals(a, b)));
        all.extend(witness.map(|witness| (rule, other, witness)));
    }
    all
}

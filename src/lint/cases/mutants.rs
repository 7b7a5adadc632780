//! How sharp the cases are: each rule is given the smallest slips that an author makes, one at a time, and the cases are run
//! again. A mutant that some case then fails by is killed. One that no job can tell from the rule, with values as the
//! meter shows them, is left out. The rest survive: each with a little job that would kill it, which can be drafted as
//! a case.

mod make;
mod tell;

use std::collections::BTreeSet;
use std::sync::Arc;

use rayon::prelude::*;

use crate::book::{Book, Case, IndicationId, RuleId};
use crate::job::{Job, LogSource};
use crate::lint::meaning::sides::Sides;
use crate::lint::space::witness::job;
use crate::reasoning::judge;
use crate::source::{SourceId, Span};
use crate::syntax::tree::fold;

use self::make::{Slip, slips};
use self::tell::{Told, tell};
use super::CaseResult;
use super::draft::{Draft, case_text, free_label, read_one};

/// What became of a mutant.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fate {
    /// A case fails by it.
    Killed,
    /// No case does; this job would.
    Survives(Vec<String>),
    /// No job tells it from the rule, with values as a meter shows them.
    Equal,
    /// Not decided.
    Open,
}

/// A rule with one slip in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mutant {
    /// Which rule.
    pub rule: RuleId,
    /// What slipped.
    pub says: &'static str,
    /// Where.
    pub span: Span,
    /// What became of it.
    pub fate: Fate,
}

/// All mutants of a book.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Mutation {
    /// In the order of the book.
    pub mutants: Vec<Mutant>,
    /// Cases that would kill the survivors, each at least one.
    pub drafts: Vec<Draft>,
}

impl Mutation {
    /// How many were killed, survive, are equal, were not decided.
    pub fn counts(&self) -> [usize; 4] {
        let count = |is: fn(&Fate) -> bool| self.mutants.iter().filter(|mutant| is(&mutant.fate)).count();
        [
            count(|fate| *fate == Fate::Killed),
            count(|fate| matches!(fate, Fate::Survives(_))),
            count(|fate| *fate == Fate::Equal),
            count(|fate| *fate == Fate::Open),
        ]
    }

    /// The share of those that can be killed that were; 1 where there are none.
    pub fn score(&self) -> f64 {
        let [killed, survive, ..] = self.counts();
        if killed + survive == 0 { 1.0 } else { killed as f64 / (killed + survive) as f64 }
    }
}

/// A mutant with the books that hold it, one for each variant.
struct Living {
    slip: Slip,
    books: Vec<Option<Arc<Book>>>,
}

/// Tries all mutants of the rules of a book's own file.
pub fn mutation(book: &Arc<Book>, own: SourceId, results: &[CaseResult], logs: &LogSource) -> Mutation {
    let mut variants: Vec<Arc<Book>> = Vec::new();
    for result in results {
        if !variants.iter().any(|known| Arc::ptr_eq(known, &result.book)) {
            variants.push(result.book.clone());
        }
    }
    if variants.is_empty() {
        variants.push(book.clone());
    }
    let Some(first) = variants.first() else { return Mutation::default() };
    let empty = Job::new(first);
    let sides = Sides::new(first, &empty);
    let rules = first.rule_ids().filter(|rule| first.rule(*rule).span.source == own);
    let all: Vec<Slip> = rules.flat_map(|rule| slips(first, rule)).collect();
    let cases = touching(book, results);
    let fates: Vec<Fate> = all
        .par_iter()
        .map(|slip| {
            let books = variants.iter().map(|variant| slip.in_book(variant).map(Arc::new)).collect();
            let living = Living { slip: slip.clone(), books };
            if is_killed(&living, &variants, &cases, results, logs) {
                return Fate::Killed;
            }
            match living.books.first().and_then(Option::as_ref).map(|slipped| tell(&sides, slip, slipped)) {
                Some(Told::By(lines)) => Fate::Survives(lines),
                Some(Told::Nothing) => Fate::Equal,
                Some(Told::Open) | None => Fate::Open,
            }
        })
        .collect();
    let drafts = drafts(first, &all, &fates);
    let mutants = all.iter().zip(fates).map(|(slip, fate)| Mutant {
        rule: slip.rule,
        says: slip.kind.says(),
        span: slip.span,
        fate,
    });
    Mutation { mutants: mutants.collect(), drafts }
}

/// Each case with what it enters.
fn touching<'b>(book: &'b Book, results: &[CaseResult]) -> Vec<(&'b Case, BTreeSet<IndicationId>)> {
    let each = book.cases.iter().zip(results);
    each.map(|(case, result)| {
        (case, result.judged().flat_map(|(job, _)| job.entries.iter().map(|e| e.indication)).collect())
    })
    .collect()
}

fn is_killed(
    living: &Living,
    variants: &[Arc<Book>],
    cases: &[(&Case, BTreeSet<IndicationId>)],
    results: &[CaseResult],
    logs: &LogSource,
) -> bool {
    cases.iter().zip(results).any(|((case, entered), result)| {
        let place = variants.iter().position(|variant| Arc::ptr_eq(variant, &result.book));
        let slipped = place.and_then(|place| living.books.get(place)).and_then(Option::as_ref);
        let Some(slipped) = slipped else { return false };
        let slots = &slipped.rule(living.slip.rule).condition.slots;
        let touched = slots.iter().any(|slot| entered.contains(&slot.indication));
        touched && result.passed() && !super::run(slipped, case, logs).passed()
    })
}

/// Cases for the survivors, in order; a survivor that an earlier one kills gets none of its own.
fn drafts(book: &Arc<Book>, slips: &[Slip], fates: &[Fate]) -> Vec<Draft> {
    let mut taken: BTreeSet<String> = book.cases.iter().map(|case| fold(&case.label)).collect();
    let mut reader = Book::clone(book);
    let mut alive: Vec<(&Slip, &Vec<String>)> = slips
        .iter()
        .zip(fates)
        .filter_map(|(slip, fate)| if let Fate::Survives(lines) = fate { Some((slip, lines)) } else { None })
        .collect();
    let mut drafts = Vec::new();
    while let Some((slip, lines)) = alive.first().copied() {
        alive.remove(0);
        let Some(job) = job(book, lines) else { continue };
        let label = free_label(&book.rule(slip.rule).label, &mut taken);
        let Some(slipped) = slip.in_book(book) else { continue };
        let (own, other) = (judge(book, &job), judge(&slipped, &job));
        let both = own.verdicts.iter().zip(&other.verdicts);
        let mut differ = both.filter(|(own, other)| own.verdict != other.verdict).map(|(own, _)| own.fault);
        // One of them is enough, and the rule's own are spoken of anyhow.
        let also = differ.next().into_iter().collect();
        let text = case_text(book, slip.rule, &label, lines, (own, also));
        let source = reader.sources.add("draft", text.as_str());
        let Some(case) = read_one(source, &text) else { continue };
        let kills = |slip: &Slip| {
            slip.in_book(&reader)
                .is_some_and(|slipped| !super::run(&Arc::new(slipped), &case, &LogSource::default()).passed())
        };
        if !super::run(&Arc::new(reader.clone()), &case, &LogSource::default()).passed() || !kills(slip) {
            continue;
        }
        let dead: Vec<bool> = alive.par_iter().map(|(other, _)| other.rule == slip.rule && kills(other)).collect();
        let mut dead = dead.into_iter();
        alive.retain(|_| !dead.next().unwrap_or(false));
        drafts.push(Draft { rule: slip.rule, label, text });
    }
    drafts
}

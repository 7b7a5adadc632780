//! Rules that say only what others say.

use rayon::prelude::*;

use crate::book::{Book, Conclusion, FaultId, RuleId};
use crate::job::Job;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::large::{Side, follows};
use crate::lint::space::solve::Answer;
use crate::lint::subject::Subject;
use crate::reasoning::evidence::gather;
use crate::reasoning::hypotheses::Filter;
use crate::reasoning::{Verdict, judge};

use super::alone::{Alone, Asked, OnLimits, alone, alone_with};
use super::claim::Claim;
use super::sides::{Can, Sides, Source, excludes, proves};

check! {
    /// Finds: a rule whose removal changes no verdict in any job: wherever it applies, others come to the same by the same
    /// entries. Verdicts are those of every fault, and whether a rule says that some fault is there. Where one fault at a
    /// time is supposed, a proof rules the others out; a rule that says so again is found if nothing can dispute that
    /// proof. What circuits foretell is not counted: a rule may well say it in words. Rules that change odds are not
    /// looked at.
    ///
    /// Harm: two places to keep right, and the explanation names the wrong one.
    ///
    /// Bad:
    /// ```rulebook
    /// rule hardly any feed:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule too little feed:
    ///   supply at fan connector below 8 V
    ///   implies open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule hardly any feed:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule too little feed:
    ///   supply at fan connector below 8 V
    ///   rules out blown fuse
    /// ```
    "redundant-rule", Warning, Meaning, find
}

/// What came of one rule.
enum Told {
    Needed,
    Open,
    Redundant(Vec<Source>),
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let own: Vec<RuleId> = subject.own(&book.rules).map(|(place, _)| RuleId::at(place)).collect();
    let told: Vec<Told> = own.par_iter().map(|rule| told(sides, *rule)).collect();
    for (id, told) in own.into_iter().zip(told) {
        let rule = book.rule(id);
        let joint = if let Can::Yes(joint) = sides.can_apply(id) { Some(joint) } else { None };
        match told {
            Told::Needed => {}
            Told::Open => found.leave_open(),
            Told::Redundant(by) => {
                let rules: Vec<RuleId> = std::iter::once(id).chain(by.iter().filter_map(|s| rule_of(*s))).collect();
                let claim = Claim::Apply(if by.len() == 1 { rules } else { vec![id] });
                let mut finding = Finding::at(rule.span, format!("rule `{}` adds nothing", rule.label))
                    .here("wherever it applies, what it concludes follows without it")
                    .help("take it out, or let it conclude what the others don't");
                for source in by.iter().take(4) {
                    if let Some(side) = sides.side(*source) {
                        finding = finding.also(side.condition.span, "this comes to the same");
                    }
                }
                found.add(finding.witness(joint.and_then(|joint| joint.shows(book, claim))));
            }
        }
    }
}

fn rule_of(source: Source) -> Option<RuleId> {
    if let Source::Rule(rule) = source { Some(rule) } else { None }
}

/// Whether nothing is lost without one of its effects, and by what it is made up for.
enum Made {
    /// By these sentences.
    By(Vec<Source>),
    Lost,
    Open,
}

fn told(sides: &Sides<'_>, rule: RuleId) -> Told {
    let book = sides.book;
    let conclusions = &book.rule(rule).conclusions;
    if conclusions.iter().any(|one| matches!(one, Conclusion::Odds(..))) || matches!(sides.can_apply(rule), Can::No) {
        return Told::Needed;
    }
    let without = Without::of(sides, rule);
    let mut by: Vec<Source> = Vec::new();
    let mut open = false;
    for effect in conclusions.iter().flat_map(|conclusion| effects(book, conclusion)) {
        match without.made_up(&effect) {
            Made::By(sources) => by.extend(sources),
            Made::Lost => return Told::Needed,
            Made::Open => open = true,
        }
    }
    if open {
        return Told::Open;
    }
    by.sort_unstable();
    by.dedup();
    // Of two rules that say the same only the later one is called redundant: the earlier stays.
    let twins = by.iter().filter_map(|source| rule_of(*source)).any(|other| other > rule && without.is_twin(other));
    if twins { Told::Needed } else { Told::Redundant(by) }
}

/// What one conclusion does.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Effect<'c> {
    Proves(FaultId),
    Excludes(FaultId),
    /// One of them is there: no sound vehicle.
    Tells(&'c [FaultId]),
}

fn effects<'c>(book: &Book, conclusion: &'c Conclusion) -> Vec<Effect<'c>> {
    match conclusion {
        Conclusion::Implies(faults) => faults.iter().map(|fault| Effect::Proves(*fault)).collect(),
        Conclusion::RulesOut(faults) => faults.iter().map(|fault| Effect::Excludes(*fault)).collect(),
        Conclusion::ImpliesOneOf(faults) if book.at_once == 1 => {
            let others = book.fault_ids().filter(|fault| !faults.contains(fault)).map(Effect::Excludes);
            std::iter::once(Effect::Tells(faults)).chain(others).collect()
        }
        Conclusion::ImpliesOneOf(faults) => vec![Effect::Tells(faults)],
        Conclusion::Odds(..) => Vec::new(),
    }
}

/// A book as it would be without one of its rules.
struct Without<'s, 'b> {
    sides: &'s Sides<'b>,
    rule: RuleId,
    from: Side<'s>,
    /// What else can bear by the readings of the rule.
    others: Vec<Source>,
}

impl<'s, 'b> Without<'s, 'b> {
    fn of(sides: &'s Sides<'b>, rule: RuleId) -> Self {
        let from = Side { condition: &sides.book.rule(rule).condition, want: true };
        let mut others = sides.within(sides.readings(Source::Rule(rule)));
        others.retain(|source| *source != Source::Rule(rule));
        Self { sides, rule, from, others }
    }

    /// Whether the others bring an effect about wherever the rule applies.
    fn made_up(&self, effect: &Effect<'_>) -> Made {
        let of: Vec<Source> = self.others.iter().copied().filter(|other| self.brings(*other, effect)).collect();
        let mut open = false;
        if !of.is_empty() {
            match follows(self.sides.book, self.from, &self.sides_of(&of)) {
                Answer::Cannot => return Made::By(self.least(&of)),
                Answer::Can(_) => {}
                Answer::Open => open = true,
            }
        }
        match self.by_proof(effect, &of) {
            Made::Lost if open => Made::Open,
            made => made,
        }
    }

    /// The same where a proof of another fault does it: with one fault at once it rules the rest out, while nothing disputes
    /// it.
    fn by_proof(&self, effect: &Effect<'_>, of: &[Source]) -> Made {
        let book = self.sides.book;
        let spared = if let Effect::Excludes(fault) = effect { Some(*fault) } else { None };
        if book.at_once > 1 || matches!(effect, Effect::Proves(_)) {
            return Made::Lost;
        }
        let proofs: Vec<Source> = self
            .others
            .iter()
            .copied()
            .filter(|other| rule_of(*other).is_some_and(|rule| proves(book, rule).iter().any(|f| Some(*f) != spared)))
            .collect();
        if proofs.is_empty() {
            return Made::Lost;
        }
        let both: Vec<Source> = of.iter().chain(&proofs).copied().collect();
        match alone(self.sides, &self.asked(&both)) {
            Alone::Yes => return Made::Lost,
            Alone::Open => return Made::Open,
            Alone::No => {}
        }
        let mut proved: Vec<FaultId> =
            proofs.iter().filter_map(|proof| rule_of(*proof)).flat_map(|rule| proves(book, rule)).collect();
        proved.sort_unstable();
        proved.dedup();
        let less = self.book_without();
        // What a circuit says besides is not counted for the others: they must do it by themselves.
        let differs = |job: &Job| {
            let applies = gather(book, job).applied.iter().any(|applied| applied.rule == self.rule);
            let alone = applies && proofs_that_stand(&less, job) != 1;
            alone || verdicts(book, job) != verdicts(&less, job)
        };
        match alone_with(self.sides, &self.asked(of), &proved, &differs) {
            Alone::Yes => Made::Lost,
            Alone::No => Made::By(self.least(&both)),
            Alone::Open => Made::Open,
        }
    }

    fn asked(&self, others: &[Source]) -> Asked<'s> {
        Asked { one: self.from, others: self.sides_of(others), spared: None, on_limits: OnLimits::Count }
    }

    fn book_without(&self) -> Book {
        let mut less = self.sides.book.clone();
        if let Some(rule) = less.rules.get_mut(self.rule.place()) {
            rule.conclusions.clear();
        }
        less
    }

    fn sides_of(&self, sources: &[Source]) -> Vec<Side<'b>> {
        sources.iter().filter_map(|source| self.sides.side(*source)).collect()
    }

    /// One sentence that does it alone, or all of them.
    fn least(&self, all: &[Source]) -> Vec<Source> {
        let does = |source: &&Source| follows(self.sides.book, self.from, &self.sides_of(&[**source])).cannot();
        all.iter().find(does).map_or_else(|| all.to_vec(), |one| vec![*one])
    }

    /// Whether another rule in turn says no more than this one.
    fn is_twin(&self, other: RuleId) -> bool {
        self.sides_of(&[Source::Rule(other)])
            .first()
            .is_some_and(|back| follows(self.sides.book, *back, &[self.from]).cannot())
    }

    /// Whether a sentence that bears brings an effect about.
    fn brings(&self, source: Source, effect: &Effect<'_>) -> bool {
        let book = self.sides.book;
        match (effect, source) {
            (Effect::Proves(fault), Source::Rule(rule)) => proves(book, rule).contains(fault),
            // With several faults at once a failed `shows` only weighs: another fault may hide what it shows.
            (Effect::Excludes(fault), source) if book.at_once == 1 => excludes(book, source, *fault),
            (Effect::Excludes(fault), Source::Rule(rule)) => excludes(book, Source::Rule(rule), *fault),
            (Effect::Tells(faults), Source::Rule(rule)) => book.rule(rule).conclusions.iter().any(|other| {
                let smaller = |list: &[FaultId]| list.iter().all(|fault| faults.contains(fault));
                matches!(other, Conclusion::ImpliesOneOf(list) if book.at_once == 1 || smaller(list))
            }),
            (_, Source::Shows(..)) => false,
        }
    }
}

/// How many proofs nothing but one another disputes.
fn proofs_that_stand(book: &Book, job: &Job) -> usize {
    let evidence = gather(book, job);
    let filter = Filter::new(book, &evidence);
    filter.proved().iter().filter(|fault| filter.leaves(&[**fault])).count()
}

/// What is told of each fault, and whether a sound vehicle is left.
fn verdicts(book: &Book, job: &Job) -> (Vec<Verdict>, bool) {
    let judgement = judge(book, job);
    (judgement.verdicts.iter().map(|found| found.verdict).collect(), judgement.no_fault_stands())
}

//! Conditions to nodes: names to tests, findings written out, setup words carried to every reading inside.

use crate::problem::{Problem, did_you_mean};
use crate::source::Span;
use crate::syntax::tree::{self, Atom, Expr, FieldBody, Name, SetupItem};
use crate::syntax::words::FieldWord;

use super::super::condition::{Comparison, Condition, Node, Slot, Test, ToleranceSide};
use super::super::ids::{FindingId, IndicationId, SettingId};
use super::super::names::Symbol;
use super::super::setup::{Term, can_affect, is_change};
use super::super::value::SlotIx;
use super::expressions::{Typed, clash_problem, merged, missing_unit};
use super::{Resolver, entries};

/// Findings and computed readings may be built on each other this deep.
pub(crate) const DEEPEST: usize = 64;
/// The most nodes that one condition may be written out to.
const LARGEST: usize = 20_000;
/// The most terms that one sum may be written out to, as many as may stand in one line.
const MOST_TERMS: usize = 256;

/// Resolves one condition.
pub(crate) struct Compiler<'r, 't> {
    pub(super) resolver: &'r mut Resolver<'t>,
    slots: Vec<Slot>,
    pub(super) words: Vec<Term>,
    pub(super) siblings: Vec<IndicationId>,
    depth: usize,
    /// The outermost name that is being written out.
    root: Option<(String, Span)>,
    /// Whether this is the condition of a finding itself.
    pub(super) of_finding: bool,
    spent: usize,
    /// Terms of the sum that is being written out.
    pub(super) terms: usize,
    /// Inside a finding whose own problems are reported where it is declared.
    quiet: bool,
    pub(super) constant_only: bool,
    /// Inside a computed reading whose widths are joined.
    pub(super) joining: bool,
}

impl<'t> Resolver<'t> {
    /// A condition; `None` where it is reported as wrong.
    pub(super) fn condition(&mut self, condition: &tree::Condition) -> Option<Condition> {
        self.condition_of(condition, false)
    }

    /// The condition of a finding.
    pub(super) fn meaning(&mut self, condition: &tree::Condition) -> Option<Condition> {
        self.condition_of(condition, true)
    }

    fn condition_of(&mut self, condition: &tree::Condition, of_finding: bool) -> Option<Condition> {
        let mut compiler = Compiler { of_finding, ..Compiler::new(self) };
        let node = compiler.node(condition)?;
        Some(Condition { node, slots: compiler.slots, span: condition.span() })
    }
}

impl<'r, 't> Compiler<'r, 't> {
    pub(super) fn new(resolver: &'r mut Resolver<'t>) -> Self {
        Self {
            resolver,
            slots: Vec::new(),
            words: Vec::new(),
            siblings: Vec::new(),
            depth: 0,
            root: None,
            of_finding: false,
            spent: 0,
            terms: 0,
            quiet: false,
            constant_only: false,
            joining: false,
        }
    }

    pub(super) fn refuse<T>(&mut self, problem: Problem) -> Option<T> {
        if !self.quiet {
            self.resolver.report(problem);
        }
        None
    }

    /// Counts a node; `false` where the condition, or the book, is written out too large.
    pub(super) fn spend(&mut self, span: Span) -> bool {
        self.spent += 1;
        if self.spent == LARGEST {
            let message = "this condition grows too large once its findings are written out";
            self.resolver.allowance.refuse(self.outermost(span), message, "build it on fewer findings");
        }
        self.spent < LARGEST && self.resolver.allowance.spend(1, span)
    }

    /// Counts a term of a sum; `false` where the sum is written out too large.
    pub(super) fn spend_term(&mut self, span: Span) -> bool {
        self.terms += 1;
        if self.terms == MOST_TERMS + 1 {
            let message =
                format!("this sum has more than {MOST_TERMS} terms once its computed readings are written out");
            self.resolver.allowance.refuse(self.outermost(span), &message, "build it on fewer computed readings");
        }
        self.terms <= MOST_TERMS
    }

    /// The name in the text itself that is being written out; the place itself where none is.
    fn outermost(&self, span: Span) -> Span {
        self.root.as_ref().filter(|_| self.depth > 0).map_or(span, |(_, root)| *root)
    }

    pub(super) fn enter(&mut self, name: &Name) -> bool {
        if self.depth == 0 {
            self.root = Some((name.text.as_str().to_string(), name.span));
        }
        self.depth += 1;
        if self.depth <= DEEPEST {
            return true;
        }
        self.depth -= 1;
        // Said once, at the name that leads so deep; a finding that nothing uses harms nobody.
        if let (Some((root, span)), false) = (self.root.take(), self.of_finding) {
            let message = format!("`{root}` is built on others more than {DEEPEST} deep");
            self.resolver.report(Problem::error("book/too-deep", span, message).help("write some of them out"));
        }
        false
    }

    pub(super) fn leave(&mut self) {
        self.depth -= 1;
    }

    fn node(&mut self, condition: &tree::Condition) -> Option<Node> {
        if !self.spend(condition.span()) {
            return None;
        }
        match condition {
            tree::Condition::All(parts) => self.nodes(parts).map(Node::All),
            tree::Condition::Any(parts) => self.nodes(parts).map(Node::Any),
            tree::Condition::Not(inner, _) => self.node(inner).map(|node| Node::Not(Box::new(node))),
            tree::Condition::Group(inner, setup, _) => self.with(setup, |compiler| compiler.node(inner)),
            tree::Condition::Atom(atom) => self.with(&atom.setup, |compiler| compiler.atom(atom)),
        }
    }

    fn nodes(&mut self, parts: &[tree::Condition]) -> Option<Vec<Node>> {
        // `volts betwen 1 V and 2 V`: the number after `and` suffers from the same slip and is not reported again.
        let slip = parts.iter().any(|part| self.holds_a_slip(part));
        let told = |part: &&tree::Condition| !(slip && is_bare_number(part));
        let all: Vec<Option<Node>> = parts.iter().filter(told).map(|part| self.node(part)).collect();
        all.into_iter().collect()
    }

    /// Whether a bare, unknown name holds a misspelt reserved word.
    fn holds_a_slip(&self, part: &tree::Condition) -> bool {
        let tree::Condition::Atom(atom) = part else { return false };
        match (&atom.test, &atom.subject) {
            (None, Expr::Name(name)) => {
                self.resolver.book.symbol(&name.text).is_none() && super::misspelt(name).is_some()
            }
            _ => false,
        }
    }

    /// Resolves inside with further setup words.
    pub(super) fn with<T>(&mut self, setup: &[SetupItem], inside: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let before = self.words.len();
        let mut right = true;
        for item in setup {
            match entries::resolve_item(&self.resolver.book, item) {
                Ok(term) => self.words.push(term),
                Err(problem) => {
                    right = false;
                    self.refuse::<()>(problem);
                }
            }
        }
        let result = inside(self);
        self.words.truncate(before);
        result.filter(|_| right)
    }

    fn atom(&mut self, atom: &Atom) -> Option<Node> {
        if !atom.signal.is_empty() {
            return self.signal(atom);
        }
        let node = self.test(atom)?;
        Some(if atom.negated { Node::Not(Box::new(node)) } else { node })
    }

    /// What an atom tests, its `not` and signal words left out.
    pub(super) fn test(&mut self, atom: &Atom) -> Option<Node> {
        match (&atom.test, &atom.subject) {
            (None, Expr::Name(name)) => self.bare(name),
            (None, other) => self.refuse(
                Problem::error("book/no-comparison", other.span(), "a number by itself is no condition")
                    .help("say how it compares, such as `below 11.5 V`"),
            ),
            (Some(tree::Test::Is(word)), Expr::Name(name)) => self.is(name, word, atom),
            (Some(tree::Test::Is(word)), other) => self.refuse(
                Problem::error("book/no-comparison", other.span(), format!("a sum is not `{}`", word.text))
                    .help("`is` asks for an answer of an observation or a band of a reading"),
            ),
            (Some(test), subject) => self.compare(subject, test, atom),
        }
    }

    /// A name by itself: a finding, or an observation that is answered yes.
    fn bare(&mut self, name: &Name) -> Option<Node> {
        match self.resolver.book.symbol(&name.text) {
            Some(Symbol::Finding(id)) => self.finding(name, id),
            Some(Symbol::Indication(id)) if self.resolver.book.indication(id).observation().is_some() => {
                let yes = Name { text: "yes".into(), span: name.span };
                self.answer(name, id, &yes)
            }
            Some(Symbol::Indication(_)) => self.refuse(
                Problem::error(
                    "book/no-comparison",
                    name.span,
                    format!("`{}` is a reading and needs a comparison", name.text),
                )
                .help(format!("write for example `{} in tolerance`", name.text)),
            ),
            Some(Symbol::Setting(_)) => self.refuse(
                Problem::error(
                    "book/bare-setting",
                    name.span,
                    format!("`{}` is a state or change, not a condition", name.text),
                )
                .help(format!("write it as the setup of a reading: `… with {}`", name.text)),
            ),
            Some(other) => self.refuse(
                Problem::error(
                    "book/wrong-kind",
                    name.span,
                    format!("`{}` is {}, not a condition", name.text, other.noun()),
                )
                .help("a condition tests a reading or an observation, or names a finding"),
            ),
            None => {
                let known = self.resolver.known_names(|s| matches!(s, Symbol::Finding(_) | Symbol::Indication(_)));
                let problem = super::unknown_name(name, "a finding or observation", known.iter().map(String::as_str));
                self.refuse(problem)
            }
        }
    }

    fn finding(&mut self, name: &Name, id: FindingId) -> Option<Node> {
        if self.resolver.circular.contains(&id.place()) || !self.enter(name) {
            return None;
        }
        let declaration = self.resolver.findings.get(id.place()).copied();
        let means = declaration.and_then(|d| d.fields.iter().find(|f| f.word == FieldWord::Means));
        let was_quiet = std::mem::replace(&mut self.quiet, true);
        let node = match means.map(|field| &field.body) {
            Some(FieldBody::Condition(condition)) => self.node(condition),
            _ => None,
        };
        self.quiet = was_quiet;
        self.leave();
        node.map(|node| Node::Finding(id, Box::new(node), name.span))
    }

    fn is(&mut self, name: &Name, word: &Name, atom: &Atom) -> Option<Node> {
        match self.resolver.book.symbol(&name.text) {
            Some(Symbol::Indication(id)) => match self.resolver.book.indication(id).observation() {
                Some(_) => self.answer(name, id, word),
                None => self.band(name, id, word, atom),
            },
            Some(Symbol::Setting(_)) => self.refuse(
                Problem::error(
                    "book/bare-setting",
                    name.span,
                    format!("`{}` is a state or change, not a condition", name.text),
                )
                .help(format!("write it as the setup of a reading: `… with {} is {}`", name.text, word.text)),
            ),
            Some(other) => self.refuse(
                Problem::error(
                    "book/wrong-kind",
                    name.span,
                    format!("`{}` is {} and has no answers", name.text, other.noun()),
                )
                .help(format!("write `{}` by itself, or `not {}`", name.text, name.text)),
            ),
            None => {
                let known = self.resolver.known_names(|s| matches!(s, Symbol::Indication(_)));
                let problem = super::unknown_name(name, "a reading or observation", known.iter().map(String::as_str));
                self.refuse(problem)
            }
        }
    }

    fn answer(&mut self, name: &Name, id: IndicationId, word: &Name) -> Option<Node> {
        let observation = self.resolver.book.indication(id).observation()?;
        let Some(place) = observation.answers.iter().position(|answer| tree::is_alike(answer, &word.text)) else {
            let near = did_you_mean(&word.text, observation.answers.iter().map(String::as_str));
            let list = observation.answers.join("`, `");
            return self.refuse(
                Problem::error(
                    "book/unknown-answer",
                    word.span,
                    format!("`{}` is never answered `{}`", name.text, word.text),
                )
                .help(near.unwrap_or_else(|| format!("its answers are `{list}`"))),
            );
        };
        self.siblings = vec![id];
        let words = self.words.clone();
        let slot = self.slot(id, words);
        Some(Node::Answer(slot, 1 << place.min(63), name.span.to(word.span)))
    }

    fn band(&mut self, name: &Name, id: IndicationId, word: &Name, atom: &Atom) -> Option<Node> {
        let reading = self.resolver.book.indication(id).reading()?;
        let found = reading.bands.iter().find(|band| tree::is_alike(&band.name, &word.text));
        let Some(test) = found.map(|band| Test::Band(band.low.clone(), band.high.clone())) else {
            let near = did_you_mean(&word.text, reading.bands.iter().map(|b| b.name.as_str()));
            let help =
                near.unwrap_or_else(|| "declare it under `bands`, or compare with a number: `below 11.5 V`".into());
            return self.refuse(
                Problem::error("book/unknown-band", word.span, format!("`{}` has no band `{}`", name.text, word.text))
                    .help(help),
            );
        };
        let unit = reading.unit;
        self.set_siblings(&[&atom.subject]);
        let subject = self.value(&atom.subject)?;
        Some(self.comparison(subject, test, unit, Vec::new(), atom.span))
    }

    pub(super) fn set_siblings(&mut self, exprs: &[&Expr]) {
        let mut found = Vec::new();
        for expr in exprs {
            self.leaves(expr, &mut found);
        }
        self.siblings = found;
    }

    fn compare(&mut self, subject: &Expr, test: &tree::Test, atom: &Atom) -> Option<Node> {
        use tree::Test as T;
        match test {
            T::InTolerance => return self.tolerance(subject, ToleranceSide::In, atom),
            T::OutOfTolerance => return self.tolerance(subject, ToleranceSide::Out, atom),
            T::BelowTolerance => return self.tolerance(subject, ToleranceSide::Below, atom),
            T::AboveTolerance => return self.tolerance(subject, ToleranceSide::Above, atom),
            _ => {}
        }
        let (first, second) = match test {
            T::Below(x) | T::Above(x) | T::AtLeast(x) | T::AtMost(x) => (x, None),
            T::Between(ends) | T::Outside(ends) => (&ends.0, Some(&ends.1)),
            _ => return None,
        };
        self.set_siblings(&[Some(subject), Some(first), second].into_iter().flatten().collect::<Vec<_>>());
        let left = self.value(subject);
        let limits = match second {
            None => self.value(first).map(|x| (x, None)),
            Some(second) => self.pair(first, second).map(|(x, y)| (x, Some(y))),
        };
        let (left, (x, y)) = (left?, limits?);
        let right = self.check_against(&left, first, &x)
            & y.as_ref().is_none_or(|y| second.is_some_and(|s| self.check_against(&left, s, y)));
        if !right {
            return None;
        }
        let unit = left.unit.or(x.unit);
        let test = match (test, y) {
            (T::Below(_), _) => Test::Below(x.value),
            (T::Above(_), _) => Test::Above(x.value),
            (T::AtLeast(_), _) => Test::AtLeast(x.value),
            (T::AtMost(_), _) => Test::AtMost(x.value),
            (T::Between(..), Some(y)) => Test::Between(x.value, y.value),
            (_, Some(y)) => Test::Outside(x.value, y.value),
            _ => return None,
        };
        Some(self.comparison(left, test, unit, Vec::new(), atom.span))
    }

    /// Whether a limit may be held against a subject.
    pub(super) fn check_against(&mut self, subject: &Typed, expr: &Expr, limit: &Typed) -> bool {
        if limit.bare && (subject.unit.is_some() || subject.dimension != limit.dimension) {
            self.refuse::<()>(missing_unit(limit, subject));
            return false;
        }
        if let Err(clash) = subject.dimension.compare(limit.dimension) {
            self.refuse::<()>(clash_problem(&clash, expr, limit, subject));
            return false;
        }
        true
    }

    pub(super) fn comparison(
        &mut self,
        subject: Typed,
        test: Test,
        unit: Option<&'static crate::units::Unit>,
        loose: Vec<SettingId>,
        span: Span,
    ) -> Node {
        let mut slots = Vec::new();
        subject.value.collect_slots(&mut slots);
        match &test {
            Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x) => x.collect_slots(&mut slots),
            Test::Between(x, y) | Test::Outside(x, y) => {
                x.collect_slots(&mut slots);
                y.collect_slots(&mut slots);
            }
            Test::Band(..) | Test::Tolerance(..) => {}
        }
        Node::Compare(Box::new(Comparison {
            subject: subject.value,
            test,
            unit,
            slots,
            loose,
            subject_span: subject.span,
            span,
        }))
    }

    /// The slot of an indication under these setup words. In a comparison of several readings a change that can't
    /// alter this one is not asked of it.
    pub(super) fn slot(&mut self, indication: IndicationId, words: Vec<Term>) -> SlotIx {
        if words.is_empty() {
            let declared = self.resolver.book.indication(indication);
            let (demand, span) = (declared.demand.clone(), declared.span);
            return self.slot_of(Slot { indication, words, demand }, span);
        }
        let words = merged(&words, &[]);
        let book = &self.resolver.book;
        let needless = |word: &Term| {
            let change = is_change(book, word.setting) && word.allowed & 1 == 0;
            change
                && !can_affect(book, word.setting, indication)
                && self.siblings.iter().any(|other| can_affect(book, word.setting, *other))
        };
        let asked: Vec<Term> = words.iter().filter(|word| !needless(word)).copied().collect();
        let all = merged(&asked, &book.indication(indication).needs);
        let span = book.indication(indication).span;
        let states: Vec<SettingId> = words.iter().map(|w| w.setting).filter(|s| !is_change(book, *s)).collect();
        self.resolver.together.extend(states.into_iter().map(|state| (state, indication)));
        let demand = self.resolver.demand_of(all);
        self.slot_of(Slot { indication, words, demand }, span)
    }

    /// The place of a slot among those of the condition; the demand of the indication stands at `span`.
    fn slot_of(&mut self, slot: Slot, span: Span) -> SlotIx {
        self.resolver.allowance.spend(slot.demand.terms.len() / 8, span);
        let place = self.slots.iter().position(|known| *known == slot).unwrap_or_else(|| {
            // Most conditions have one or two.
            if self.slots.len() < 2 {
                self.slots.reserve_exact(1);
            }
            self.slots.push(slot);
            self.slots.len() - 1
        });
        SlotIx(u32::try_from(place).unwrap_or(u32::MAX))
    }
}

fn is_bare_number(part: &tree::Condition) -> bool {
    matches!(part, tree::Condition::Atom(atom) if atom.test.is_none() && matches!(atom.subject, Expr::Number(_)))
}

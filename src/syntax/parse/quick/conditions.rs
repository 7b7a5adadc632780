//! Conditions, setups, conclusions.

use crate::source::Span;
use crate::syntax::tree::{Atom, Conclusion, Condition, Expr, Name, Odds, Sentence, SetupItem, Test};

use super::super::conditions::join;
use super::{Kind, Words};

/// What may follow a part of a condition.
const AFTER_ATOM: &[&str] = &["", ")", "and", "or", "implies", "rules", "suggests", "speaks", "in"];

impl Words<'_> {
    /// Parts joined by `and` and `or`; `and` binds before `or`.
    pub(super) fn condition(&mut self) -> Option<Condition> {
        let first = self.part()?;
        if !matches!(self.ahead(0), "and" | "or") {
            return Some(first);
        }
        let mut any: Vec<Condition> = Vec::new();
        let mut all = vec![first];
        loop {
            if self.take("or").is_some() {
                any.push(join(std::mem::take(&mut all), Condition::All));
            } else if self.take("and").is_none() {
                break;
            }
            all.push(self.part()?);
        }
        any.push(join(all, Condition::All));
        Some(join(any, Condition::Any))
    }

    /// An atom with the `not`s before it.
    fn part(&mut self) -> Option<Condition> {
        let start = self.peek()?.start;
        let mut turned = false;
        let mut told = false;
        while self.take("not").is_some() {
            turned = !turned;
            told = true;
        }
        let atom = self.atom()?;
        let whole = if told { self.span(start, start).to(atom.span()) } else { atom.span() };
        Some(if turned { Condition::Not(Box::new(atom), whole) } else { atom })
    }

    fn atom(&mut self) -> Option<Condition> {
        let start = self.peek()?.start;
        if self.next_is("(") {
            let inside = self.in_parentheses(Self::condition)?;
            // A number in parentheses is for the grammar.
            if matches!(&inside, Condition::Atom(atom) if atom.test.is_none() && atom.setup.is_empty()) {
                return None;
            }
            let setup = self.setup()?;
            let span = self.atom_end(start)?;
            return Some(Condition::Group(Box::new(inside), setup, span));
        }
        let subject = self.sum()?;
        let (test, negated) = self.test()?;
        let setup = self.setup()?;
        let span = self.atom_end(start)?;
        Some(Condition::Atom(Box::new(Atom { subject, test, negated, setup, signal: Vec::new(), span })))
    }

    /// The span of an atom that ends here; none where something follows that is not plain.
    fn atom_end(&self, start: usize) -> Option<Span> {
        AFTER_ATOM.contains(&self.ahead(0)).then(|| self.span(start, self.end()))
    }

    fn test(&mut self) -> Option<(Option<Test>, bool)> {
        let Some(word) = self.peek().filter(|word| word.kind == Kind::Plain) else { return Some((None, false)) };
        let before = self.place();
        self.next();
        let test = match self.text(word) {
            "is" => {
                let negated = self.take("not").is_some();
                return Some((Some(Test::Is(self.name()?)), negated));
            }
            "in" if self.take("tolerance").is_some() => Test::InTolerance,
            "out" => {
                self.take("of")?;
                self.take("tolerance")?;
                Test::OutOfTolerance
            }
            "below" => self.bound(Test::BelowTolerance, Test::Below)?,
            "above" => self.bound(Test::AboveTolerance, Test::Above)?,
            "between" => {
                let low = self.sum()?;
                self.take("and")?;
                Test::Between(Box::new((low, self.sum()?)))
            }
            "outside" => {
                let low = self.sum()?;
                self.take("to")?;
                Test::Outside(Box::new((low, self.sum()?)))
            }
            "at" if self.take("least").is_some() => Test::AtLeast(self.sum()?),
            "at" => {
                self.take("most")?;
                Test::AtMost(self.sum()?)
            }
            _ => {
                // `in 8 of 10` and all that ends an atom.
                self.back_to(before);
                return Some((None, false));
            }
        };
        Some((Some(test), false))
    }

    fn bound(&mut self, tolerance: Test, than: fn(Expr) -> Test) -> Option<Test> {
        if self.take("tolerance").is_some() { Some(tolerance) } else { self.sum().map(than) }
    }

    /// `with a, b without c`, or nothing.
    pub(super) fn setup(&mut self) -> Option<Vec<SetupItem>> {
        let mut items = Vec::new();
        loop {
            let begins = matches!(self.ahead(0), "with" | "without");
            if !begins && (items.is_empty() || self.take(",").is_none()) {
                return Some(items);
            }
            let item = self.setup_item()?;
            // Most have one.
            if items.is_empty() {
                items.reserve_exact(1);
            }
            items.push(item);
        }
    }

    /// `a`, `with a`, `without a`, `s is high`
    pub(super) fn setup_item(&mut self) -> Option<SetupItem> {
        let start = self.peek()?.start;
        let with = self.take("without").is_none();
        if with {
            self.take("with");
        }
        let name = self.name()?;
        let value = match self.take("is") {
            None => None,
            Some(_) => {
                let plain = self.take("not").is_none();
                Some((plain, self.name()?))
            }
        };
        Some(SetupItem { name, with, value, span: self.span(start, self.end()) })
    }

    /// `in 8 of 10`
    pub(super) fn chance(&mut self) -> Option<(u32, u32, Span)> {
        let start = self.take("in")?.start;
        let of = self.count()?;
        self.take("of")?;
        let all = self.count()?;
        Some((of, all, self.span(start, self.end())))
    }

    fn count(&mut self) -> Option<u32> {
        self.figure()?.digits.parse().ok()
    }

    /// A condition and what follows from it.
    pub(super) fn sentence(&mut self) -> Option<Sentence> {
        let condition = self.condition()?;
        let mut conclusions = vec![self.conclusion()?];
        while !self.is_done() {
            self.take("and");
            conclusions.push(self.conclusion()?);
        }
        Some(Sentence { condition, conclusions })
    }

    fn conclusion(&mut self) -> Option<Conclusion> {
        let word = self.next()?;
        let span = |words: &Self| words.span(word.start, words.end());
        Some(match self.text(word) {
            "implies" => {
                let (faults, one_of) = self.implied()?;
                let span = span(self);
                if one_of { Conclusion::ImpliesOneOf(faults, span) } else { Conclusion::Implies(faults, span) }
            }
            "rules" => {
                self.take("out")?;
                let faults = self.names()?;
                Conclusion::RulesOut(faults, span(self))
            }
            "suggests" => {
                let (faults, odds) = self.weighed()?;
                Conclusion::Suggests(faults, Box::new(odds), span(self))
            }
            "speaks" => {
                self.take("against")?;
                let (faults, odds) = self.weighed()?;
                Conclusion::SpeaksAgainst(faults, Box::new(odds), span(self))
            }
            _ => return None,
        })
    }

    fn implied(&mut self) -> Option<(Vec<Name>, bool)> {
        let mut faults = vec![self.name()?];
        let joiner = if self.next_is(",") { "," } else { "or" };
        while self.take(joiner).is_some() {
            faults.push(self.name()?);
        }
        let one_of = joiner == "or" && faults.len() > 1;
        Some((faults, one_of))
    }

    /// Faults and odds.
    fn weighed(&mut self) -> Option<(Vec<Name>, Odds)> {
        let mut faults = vec![self.name()?];
        while self.take(",").is_some() {
            faults.push(self.name()?);
        }
        let above = self.figure()?;
        self.take("to")?;
        Some((faults, Odds { above, below: self.figure()? }))
    }
}

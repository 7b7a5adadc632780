//! Which names of a book are asked for, and by what. Cases don't count: what only a case sets or enters decides
//! nothing. Nor do lists that leave something out (`affects`, `unaffected by`, `may be`).

use std::collections::BTreeMap;

use crate::book::{Book, CautionId, FaultId, FindingId, IndicationId, LimitId, PartId, SettingId, Symbol};
use crate::source::SourceId;
use crate::syntax::tree::{CircuitLine, Declaration, Field, FieldBody, Name, Property, SetupItem, Spread, Tree, fold};
use crate::syntax::words::FieldWord;

use super::subject::{Outside, listed};
use super::walk;

/// A space of names in which each is declared once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Space {
    /// Limits, states, changes, readings, observations, complaints, faults, findings.
    Shared,
    /// Parts.
    Part,
    /// Cautions.
    Caution,
}

/// Whether each thing of a book is asked for, by its place in the book's list.
#[derive(Clone, Debug, Default)]
pub(crate) struct NameUses {
    limits: Vec<bool>,
    settings: Vec<bool>,
    indications: Vec<bool>,
    findings: Vec<bool>,
    faults: Vec<bool>,
    parts: Vec<bool>,
    cautions: Vec<bool>,
}

impl NameUses {
    /// Gathers what all files of a book ask for.
    pub(crate) fn gather(book: &Book, trees: &[Tree]) -> Self {
        let keyed = |names: &mut dyn Iterator<Item = &str>| {
            names.enumerate().map(|(place, name)| (fold(name), place)).collect()
        };
        let mut gatherer = Gatherer {
            book,
            parts: keyed(&mut book.parts.iter().map(|p| p.name.as_str())),
            cautions: keyed(&mut book.cautions.iter().map(|c| c.name.as_str())),
            uses: Self {
                limits: vec![false; book.limits.len()],
                settings: vec![false; book.settings.len()],
                indications: vec![false; book.indications.len()],
                findings: vec![false; book.findings.len()],
                faults: vec![false; book.faults.len()],
                parts: vec![false; book.parts.len()],
                cautions: vec![false; book.cautions.len()],
            },
        };
        for declaration in trees.iter().flat_map(|tree| &tree.declarations) {
            gatherer.declaration(declaration);
        }
        gatherer.uses
    }

    /// Adds what other files ask of the file.
    pub(crate) fn join(&mut self, book: &Book, source: SourceId, outside: &Outside) {
        if outside.names.is_empty() {
            return;
        }
        let asked =
            |space: Space, name: &str, at: SourceId| at == source && outside.names.contains(&(space, fold(name)));
        mark(&mut self.limits, book.limits.iter().map(|l| asked(Space::Shared, &l.name, l.span.source)));
        mark(&mut self.settings, book.settings.iter().map(|s| asked(Space::Shared, &s.name, s.span.source)));
        mark(&mut self.indications, book.indications.iter().map(|i| asked(Space::Shared, &i.name, i.span.source)));
        mark(&mut self.findings, book.findings.iter().map(|f| asked(Space::Shared, &f.name, f.span.source)));
        mark(&mut self.faults, book.faults.iter().map(|f| asked(Space::Shared, &f.name, f.span.source)));
        mark(&mut self.parts, book.parts.iter().map(|p| asked(Space::Part, &p.name, p.span.source)));
        mark(&mut self.cautions, book.cautions.iter().map(|c| asked(Space::Caution, &c.name, c.span.source)));
    }

    /// What is asked of one of a book's files.
    pub(crate) fn asked_of(&self, book: &Book, source: SourceId) -> Vec<(Space, String)> {
        let shared =
            |used: &[bool], items: &mut dyn Iterator<Item = (&str, SourceId)>, space: Space| -> Vec<(Space, String)> {
                let asked = items.zip(used).filter(|((_, at), used)| *at == source && **used);
                asked.map(|((name, _), _)| (space, fold(name))).collect()
            };
        let mut all =
            shared(&self.limits, &mut book.limits.iter().map(|l| (l.name.as_str(), l.span.source)), Space::Shared);
        all.extend(shared(
            &self.settings,
            &mut book.settings.iter().map(|s| (s.name.as_str(), s.span.source)),
            Space::Shared,
        ));
        all.extend(shared(
            &self.indications,
            &mut book.indications.iter().map(|i| (i.name.as_str(), i.span.source)),
            Space::Shared,
        ));
        all.extend(shared(
            &self.findings,
            &mut book.findings.iter().map(|f| (f.name.as_str(), f.span.source)),
            Space::Shared,
        ));
        all.extend(shared(
            &self.faults,
            &mut book.faults.iter().map(|f| (f.name.as_str(), f.span.source)),
            Space::Shared,
        ));
        all.extend(shared(&self.parts, &mut book.parts.iter().map(|p| (p.name.as_str(), p.span.source)), Space::Part));
        all.extend(shared(
            &self.cautions,
            &mut book.cautions.iter().map(|c| (c.name.as_str(), c.span.source)),
            Space::Caution,
        ));
        all
    }

    /// Whether a limit stands in a comparison, tolerance, sum or circuit.
    pub(crate) fn limit(&self, id: LimitId) -> bool {
        is_set(&self.limits, id.place())
    }

    /// Whether a state or change is named in a condition, tolerance, circuit or in what another needs or excludes.
    pub(crate) fn setting(&self, id: SettingId) -> bool {
        is_set(&self.settings, id.place())
    }

    /// Whether a reading or observation is asked for.
    pub(crate) fn indication(&self, id: IndicationId) -> bool {
        is_set(&self.indications, id.place())
    }

    /// Whether a finding stands in a condition.
    pub(crate) fn finding(&self, id: FindingId) -> bool {
        is_set(&self.findings, id.place())
    }

    /// Whether a rule concludes a fault, for or against, or a circuit knows it.
    pub(crate) fn fault(&self, id: FaultId) -> bool {
        is_set(&self.faults, id.place())
    }

    /// Whether a part is swapped or at fault.
    pub(crate) fn part(&self, id: PartId) -> bool {
        is_set(&self.parts, id.place())
    }

    /// Whether anything carries a caution.
    pub(crate) fn caution(&self, id: CautionId) -> bool {
        is_set(&self.cautions, id.place())
    }
}

fn is_set(list: &[bool], place: usize) -> bool {
    list.get(place).copied().unwrap_or(true)
}

fn set(list: &mut [bool], place: usize) {
    if let Some(cell) = list.get_mut(place) {
        *cell = true;
    }
}

fn mark(list: &mut [bool], asked: impl Iterator<Item = bool>) {
    for (cell, asked) in list.iter_mut().zip(asked) {
        *cell |= asked;
    }
}

struct Gatherer<'a> {
    book: &'a Book,
    parts: BTreeMap<String, usize>,
    cautions: BTreeMap<String, usize>,
    uses: NameUses,
}

impl Gatherer<'_> {
    fn declaration(&mut self, declaration: &Declaration) {
        for field in &declaration.fields {
            self.field(field);
        }
    }

    fn field(&mut self, field: &Field) {
        match &field.body {
            FieldBody::Names(_) => self.list(field),
            FieldBody::Items(items) => self.items(items),
            FieldBody::Value(value) => walk::names(value, &mut |name| self.shared(name)),
            FieldBody::LimitLine(line) => walk::names(&line.1, &mut |name| self.shared(name)),
            FieldBody::Range(ends) => {
                [&ends.0, &ends.1].into_iter().for_each(|end| walk::names(end, &mut |name| self.shared(name)))
            }
            FieldBody::Tolerance(ends, items) => {
                [&ends.0, &ends.1].into_iter().for_each(|end| walk::names(end, &mut |name| self.shared(name)));
                self.items(items);
            }
            FieldBody::Sentence(sentence) => {
                walk::concluded(&sentence.conclusions).for_each(|name| self.shared(name));
                walk::condition_names(&sentence.condition, &mut |name| self.shared(name));
            }
            FieldBody::Circuit(line) => self.circuit(line),
            _ => {
                if let Some(condition) = walk::condition(field) {
                    walk::condition_names(condition, &mut |name| self.shared(name));
                }
            }
        }
    }

    fn list(&mut self, field: &Field) {
        for name in listed(field) {
            match field.word {
                FieldWord::First => self.shared(name),
                FieldWord::Swaps | FieldWord::OfPart => {
                    if let Some(place) = self.parts.get(&name.key()) {
                        set(&mut self.uses.parts, *place);
                    }
                }
                FieldWord::Caution => {
                    if let Some(place) = self.cautions.get(&name.key()) {
                        set(&mut self.uses.cautions, *place);
                    }
                }
                _ => {}
            }
        }
    }

    fn items(&mut self, items: &[SetupItem]) {
        items.iter().for_each(|item| self.shared(&item.name));
    }

    fn circuit(&mut self, line: &CircuitLine) {
        match line {
            CircuitLine::Across(name, ..) | CircuitLine::Through(name, _) | CircuitLine::Fault(name, _) => {
                self.shared(name)
            }
            CircuitLine::OthersUntouched => {}
            CircuitLine::Untouched(faults) => faults.iter().for_each(|fault| self.shared(fault)),
            CircuitLine::Element(element) => element.properties.iter().for_each(|property| self.property(property)),
        }
    }

    fn property(&mut self, property: &Property) {
        match property {
            Property::OpensWith(items) | Property::ClosedWith(items) | Property::OpenWith(items) => self.items(items),
            Property::Load { current, setup, .. } => {
                self.spread(current);
                self.items(setup);
            }
            Property::Size(value, _) | Property::Limit(_, value) => walk::names(value, &mut |name| self.shared(name)),
            Property::EmfShare(spread, reading) => {
                self.spread(spread);
                self.shared(reading);
            }
            Property::Emf(spread)
            | Property::Behind(spread)
            | Property::PullsIn(spread)
            | Property::DropsOut(spread)
            | Property::Driven(spread)
            | Property::Value(spread) => self.spread(spread),
            Property::Coil(..) | Property::Contact(..) => {}
        }
    }

    fn spread(&mut self, spread: &Spread) {
        for value in std::iter::once(&spread.low).chain(&spread.high) {
            walk::names(value, &mut |name| self.shared(name));
        }
    }

    fn shared(&mut self, name: &Name) {
        match self.book.symbol(&name.text) {
            Some(Symbol::Limit(id)) => set(&mut self.uses.limits, id.place()),
            Some(Symbol::Setting(id)) => set(&mut self.uses.settings, id.place()),
            Some(Symbol::Indication(id)) => set(&mut self.uses.indications, id.place()),
            Some(Symbol::Finding(id)) => set(&mut self.uses.findings, id.place()),
            Some(Symbol::Fault(id)) => set(&mut self.uses.faults, id.place()),
            Some(Symbol::Complaint(_)) | None => {}
        }
    }
}

//! The names of a book: each declared once in its space. Places in the lists are filled by later passes.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{Declaration, Name, Piece};
use crate::syntax::words::DeclarationWord as D;
use crate::units::{Dimension, Exact};

use super::super::condition::{Condition, Node};
use super::super::ids::{CautionId, ComplaintId, FaultId, FindingId, IndicationId, LimitId, PartId, SettingId};
use super::super::model::{
    Affects, Caution, Complaint, Fault, Finding, Indication, IndicationKind, Limit, Observation, Part, Reading,
    Setting, SettingKind, Steps,
};
use super::super::names::Symbol;
use super::super::setup::Demand;
use super::Resolver;

/// Beyond so many problems unknown names are not compared with known ones.
pub(super) const ENOUGH_PROBLEMS: usize = 200;

impl Resolver<'_> {
    pub(super) fn declare_names(&mut self) {
        let all: Vec<&Declaration> = self.declarations.iter().map(|(d, _)| *d).collect();
        let count = |one, other| all.iter().filter(|d| d.word == one || d.word == other).count();
        let book = &mut self.book;
        book.limits.reserve_exact(count(D::Limit, D::Limit));
        book.settings.reserve_exact(count(D::State, D::Change));
        book.indications.reserve_exact(count(D::Reading, D::Observation));
        book.faults.reserve_exact(count(D::Fault, D::Fault));
        book.rules.reserve_exact(count(D::Rule, D::Rule));
        for declaration in all {
            if matches!(declaration.word, D::Rulebook | D::Rule | D::Circuit | D::Case | D::Profile) {
                continue;
            }
            let key = declaration.name.key();
            let first = match declaration.word {
                D::Part => self.shelves.parts.get(&key).map(|id| self.book.part(*id).span),
                D::Caution => self.shelves.cautions.get(&key).map(|id| self.book.caution(*id).span),
                _ => self.book.names.get(&key).map(|symbol| self.declared_at(*symbol)),
            };
            match first {
                Some(first) => self.report(twice(&declaration.name, first)),
                None => self.declare(declaration, key),
            }
        }
    }

    fn declare(&mut self, declaration: &Declaration, key: String) {
        let name = declaration.name.text.as_str().to_string();
        let span = declaration.name.span;
        let book = &mut self.book;
        let symbol = match declaration.word {
            D::Limit => {
                let id = LimitId::at(book.limits.len());
                self.unsound.limits.insert(id);
                book.limits.push(empty_limit(name, span));
                Symbol::Limit(id)
            }
            D::State | D::Change => {
                book.settings.push(empty_setting(name, span, declaration.word == D::Change));
                Symbol::Setting(SettingId::at(book.settings.len() - 1))
            }
            D::Reading | D::Observation => {
                book.indications.push(empty_indication(name, span, declaration.word == D::Reading));
                Symbol::Indication(IndicationId::at(book.indications.len() - 1))
            }
            D::Complaint => {
                book.complaints.push(Complaint { name, may_be: None, first: Vec::new(), gone: None, span });
                Symbol::Complaint(ComplaintId::at(book.complaints.len() - 1))
            }
            D::Fault => {
                book.faults.push(empty_fault(name, span));
                Symbol::Fault(FaultId::at(book.faults.len() - 1))
            }
            D::Finding => {
                let condition = Condition { node: Node::Any(Vec::new()), slots: Vec::new(), span };
                book.findings.push(Finding { name, condition, because: None, span });
                Symbol::Finding(FindingId::at(book.findings.len() - 1))
            }
            D::Part => {
                let id = PartId::at(book.parts.len());
                self.shelves.parts.insert(key, id);
                book.parts.push(Part { name, kind: None, place: None, rating: None, may_lend: false, span });
                return;
            }
            D::Caution => {
                let id = CautionId::at(book.cautions.len());
                self.shelves.cautions.insert(key, id);
                book.cautions.push(Caution { name, text: Piece::new(), stop: false, span });
                return;
            }
            _ => return,
        };
        book.names.insert(key, symbol);
    }

    /// The declaration of a thing whose name was taken by it (not by an earlier one).
    pub(super) fn owns(&self, declaration: &Declaration) -> Option<Symbol> {
        let symbol = self.book.symbol(&declaration.name.text)?;
        (self.declared_at(symbol) == declaration.name.span).then_some(symbol)
    }

    /// Where the name stands that a symbol is declared by.
    fn declared_at(&self, symbol: Symbol) -> Span {
        match symbol {
            Symbol::Limit(id) => self.book.limit(id).span,
            Symbol::Setting(id) => self.book.setting(id).span,
            Symbol::Indication(id) => self.book.indication(id).span,
            Symbol::Complaint(id) => self.book.complaint(id).span,
            Symbol::Fault(id) => self.book.fault(id).span,
            Symbol::Finding(id) => self.book.finding(id).span,
        }
    }

    /// The shared names as they were declared, for messages; none once so many problems are known that no one reads
    /// what the next name might have meant.
    pub(super) fn known_names(&self, wanted: fn(Symbol) -> bool) -> Vec<String> {
        if self.problems.len() > ENOUGH_PROBLEMS {
            return Vec::new();
        }
        let named = |symbol: &Symbol| match *symbol {
            Symbol::Limit(id) => self.book.limit(id).name.clone(),
            Symbol::Setting(id) => self.book.setting(id).name.clone(),
            Symbol::Indication(id) => self.book.indication(id).name.clone(),
            Symbol::Complaint(id) => self.book.complaint(id).name.clone(),
            Symbol::Fault(id) => self.book.fault(id).name.clone(),
            Symbol::Finding(id) => self.book.finding(id).name.clone(),
        };
        self.book.names.values().filter(|symbol| wanted(**symbol)).map(named).collect()
    }
}

/// Two declarations of one name.
pub(super) fn twice(name: &Name, first: Span) -> Problem {
    Problem::error("book/name-twice", name.span, format!("`{}` is declared twice", name.text))
        .here("again here")
        .also(first, "here first")
        .help("give one of them another name; names are compared without regard to case")
}

fn empty_limit(name: String, span: Span) -> Limit {
    Limit { name, value: Exact::zero(), dimension: Dimension::NONE, unit: None, because: None, source: None, span }
}

fn empty_setting(name: String, span: Span, change: bool) -> Setting {
    let values = if change { ["not in place", "in place"] } else { ["off", "on"] };
    Setting {
        name,
        kind: if change { SettingKind::Change } else { SettingKind::State },
        values: values.map(String::from).to_vec(),
        one_of: false,
        normal: 0,
        inactive: 0,
        provokes: false,
        needs: Vec::new(),
        excludes: Vec::new(),
        steps: Steps::default(),
        swaps: None,
        put_back: None,
        affects: Affects::Everything,
        span,
    }
}

fn empty_indication(name: String, span: Span, reading: bool) -> Indication {
    let kind = if reading {
        IndicationKind::Reading(Reading {
            unit: None,
            dimension: Dimension::NONE,
            range: None,
            tolerance: Vec::new(),
            meter: None,
            bands: Vec::new(),
            computed: None,
            root_sum_square: None,
            parts: Vec::new(),
        })
    } else {
        IndicationKind::Observation(Observation { answers: Vec::new(), sound: 0 })
    };
    Indication {
        name,
        kind,
        needs: Vec::new(),
        demand: Demand::default(),
        unaffected_by_any: false,
        unaffected_by: Vec::new(),
        steps: Steps::default(),
        span,
    }
}

fn empty_fault(name: String, span: Span) -> Fault {
    Fault {
        name,
        description: None,
        part: None,
        share: Exact::one(),
        remedy: None,
        steps: Steps::default(),
        shows: Vec::new(),
        verify: Vec::new(),
        span,
    }
}

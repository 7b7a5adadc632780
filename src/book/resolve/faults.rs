//! Parts, cautions, faults, complaints.

use crate::problem::Problem;
use crate::syntax::tree::{Declaration, FieldBody, Name};
use crate::syntax::words::{DeclarationWord as D, FieldWord as F};

use super::super::ids::{ComplaintId, FaultId};
use super::super::model::Shows;
use super::super::names::Symbol;
use super::{Resolver, fields, numbers};

impl Resolver<'_> {
    pub(super) fn parts_and_cautions(&mut self) {
        for declaration in self.of(D::Part) {
            if let Some(part) = self.book.parts.iter_mut().find(|p| p.span == declaration.name.span) {
                part.kind = fields::text(declaration, F::Kind);
                part.place = fields::text(declaration, F::Where);
                part.rating = fields::text(declaration, F::Rating);
                part.may_lend = fields::has(declaration, F::MayLend);
            }
        }
        for declaration in self.of(D::Caution) {
            let text = fields::text(declaration, F::Description);
            if text.is_none() && !declaration.broken {
                self.report(
                    Problem::error(
                        "book/no-text",
                        declaration.name.span,
                        format!("caution `{}` says nothing", declaration.name.text),
                    )
                    .help("write its words in quotes on the next, indented line"),
                );
            }
            if let Some(caution) = self.book.cautions.iter_mut().find(|c| c.span == declaration.name.span) {
                caution.text = text.unwrap_or_default();
                caution.stop = fields::has(declaration, F::Stop);
            }
        }
    }

    pub(super) fn faults(&mut self) {
        for declaration in self.of(D::Fault) {
            let Some(Symbol::Fault(id)) = self.owns(declaration) else { continue };
            self.fault(id, declaration);
        }
    }

    fn fault(&mut self, id: FaultId, declaration: &Declaration) {
        let part = fields::names(declaration, F::OfPart).first().and_then(|name| self.part(name));
        let steps = self.steps(declaration);
        let share = fields::number(declaration, F::Share).and_then(|number| match numbers::plain(number) {
            Ok(share) if !share.is_negative() => Some(share),
            Ok(_) => {
                self.error("book/share", number.span, "a share can't be negative");
                None
            }
            Err(problem) => {
                self.report(problem);
                None
            }
        });
        let count = |word| declaration.fields.iter().filter(|field| field.word == word).count();
        let (mut shows, mut verify) = (Vec::with_capacity(count(F::Shows)), Vec::with_capacity(count(F::Verify)));
        for field in &declaration.fields {
            match &field.body {
                FieldBody::Shows(condition, chance) => {
                    let chance = chance.and_then(|(m, n, span)| self.chance(m, n, span));
                    let condition = self.condition(condition);
                    shows.extend(condition.map(|condition| Shows { condition, chance, span: field.span }));
                }
                FieldBody::Condition(condition) if field.word == F::Verify => verify.extend(self.condition(condition)),
                _ => {}
            }
        }
        let Some(fault) = self.book.faults.get_mut(id.place()) else { return };
        fault.description = fields::text(declaration, F::Description);
        fault.part = part;
        fault.steps = steps;
        fault.share = share.unwrap_or_else(|| fault.share.clone());
        fault.remedy = fields::text(declaration, F::Remedy);
        fault.shows = shows;
        fault.verify = verify;
    }

    fn chance(&mut self, m: u32, n: u32, span: crate::source::Span) -> Option<(u32, u32)> {
        if m > n || n == 0 {
            self.report(
                Problem::error("book/chance", span, format!("`in {m} of {n}` is no frequency"))
                    .help("write the smaller count first: `in 8 of 10`"),
            );
            return None;
        }
        Some((m, n))
    }

    /// Names of faults; others are reported.
    pub(super) fn fault_ids(&mut self, names: &[Name]) -> Vec<FaultId> {
        let mut ids = Vec::new();
        for name in names {
            match self.book.symbol(&name.text) {
                Some(Symbol::Fault(id)) if ids.contains(&id) => self.report(
                    Problem::error("book/fault-twice", name.span, format!("`{}` is named twice", name.text))
                        .help("name it once"),
                ),
                Some(Symbol::Fault(id)) => ids.push(id),
                Some(Symbol::Finding(_)) => self.report(
                    Problem::error(
                        "book/wrong-kind",
                        name.span,
                        format!("`{}` is a finding; a rule concludes faults", name.text),
                    )
                    .help("a finding is defined by `means`; name a fault here"),
                ),
                Some(other) => self.report(
                    Problem::error(
                        "book/wrong-kind",
                        name.span,
                        format!("`{}` is {}, not a fault", name.text, other.noun()),
                    )
                    .help("name a fault here"),
                ),
                None => {
                    let problem = self.unknown(name, "a fault", self.book.faults.iter().map(|f| f.name.as_str()));
                    self.report(problem);
                }
            }
        }
        ids
    }

    pub(super) fn complaints(&mut self) {
        for declaration in self.of(D::Complaint) {
            let Some(Symbol::Complaint(id)) = self.owns(declaration) else { continue };
            self.complaint(id, declaration);
        }
    }

    fn complaint(&mut self, id: ComplaintId, declaration: &Declaration) {
        let listed = fields::has(declaration, F::MayBe);
        let names: Vec<Name> = fields::names(declaration, F::MayBe).into_iter().cloned().collect();
        let may_be = self.fault_ids(&names);
        let mut first = Vec::new();
        for name in fields::names(declaration, F::First) {
            first.extend(self.indication(name));
        }
        let mut gone = None;
        for field in &declaration.fields {
            if let (F::GoneWhen, FieldBody::Condition(condition)) = (field.word, &field.body) {
                gone = self.condition(condition);
            }
        }
        let Some(complaint) = self.book.complaints.get_mut(id.place()) else { return };
        complaint.may_be = listed.then_some(may_be);
        complaint.first = first;
        complaint.gone = gone;
    }
}

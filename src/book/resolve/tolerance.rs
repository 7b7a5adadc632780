//! Tolerance lines: checked once here, resolved again for each comparison that asks for them.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{self, Atom, Expr, FieldBody, Name, SetupItem, Test};

use super::super::condition::Condition;
use super::super::ids::IndicationId;
use super::super::model::{IndicationKind, ToleranceWords};
use super::super::setup::is_change;
use super::Resolver;
use super::conditions::Compiler;
use super::expressions::Typed;

impl Resolver<'_> {
    pub(super) fn tolerances(&mut self) {
        for (id, declaration) in self.indication_declarations() {
            for field in &declaration.fields {
                let FieldBody::Tolerance(ends, setup) = &field.body else { continue };
                let (low, high) = &**ends;
                let Some(line) = self.tolerance_line(id, low, high, setup, field.span) else { continue };
                if let Some(IndicationKind::Reading(reading)) =
                    self.book.indications.get_mut(id.place()).map(|i| &mut i.kind)
                {
                    reading.tolerance.push(line);
                }
            }
        }
    }

    /// `Q out of tolerance` for every reading that has one, for the question whether the vehicle is sound.
    pub(super) fn tolerance_tests(&mut self) {
        let mut tests = Vec::new();
        for id in self.book.indication_ids() {
            let indication = self.book.indication(id);
            let judged = indication.reading().is_some_and(|r| !r.tolerance.is_empty());
            let (name, span) = (indication.name.clone(), indication.span);
            tests.push(if judged { self.out_of_tolerance(&name, span) } else { None });
        }
        self.book.tolerance_tests = tests;
    }

    fn out_of_tolerance(&mut self, name: &str, span: Span) -> Option<Condition> {
        let subject = Expr::Name(Name { text: name.into(), span });
        let atom = Atom {
            subject,
            test: Some(Test::OutOfTolerance),
            negated: false,
            setup: Vec::new(),
            signal: Vec::new(),
            span,
        };
        self.condition(&tree::Condition::Atom(Box::new(atom)))
    }

    fn tolerance_line(
        &mut self,
        id: IndicationId,
        low: &Expr,
        high: &Expr,
        setup: &[SetupItem],
        span: Span,
    ) -> Option<ToleranceWords> {
        let words = self.terms(setup);
        if words.len() < setup.len() {
            return None;
        }
        let reading = self.book.indication(id).reading()?;
        let (unit, dimension) = (reading.unit, reading.dimension);
        let mut compiler = Compiler::new(self);
        let (low_typed, high_typed) = compiler.pair(low, high)?;
        let beside = Typed { value: low_typed.value.clone(), dimension, unit, bare: false, span };
        let right =
            compiler.check_against(&beside, low, &low_typed) & compiler.check_against(&beside, high, &high_typed);
        if !right {
            return None;
        }
        if let (Some(a), Some(b)) = (low_typed.value.as_constant(), high_typed.value.as_constant())
            && a > b
        {
            self.report(
                Problem::error(
                    "book/range-reversed",
                    low.span().to(high.span()),
                    "this tolerance ends below its beginning",
                )
                .help("write the lower end first"),
            );
            return None;
        }
        let demand = self.following.closure(&self.book.settings, &words);
        for word in &words {
            if !is_change(&self.book, word.setting) {
                self.together.push((word.setting, id));
            }
        }
        Some(ToleranceWords { low: low.clone(), high: high.clone(), words, demand, span })
    }
}

//! `Q in tolerance` and its like: the reading's tolerance lines, each resolved for the place where it is asked.

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{Atom, Expr};

use super::super::condition::{Node, Test, ToleranceLine, ToleranceSide};
use super::super::ids::{IndicationId, SettingId};
use super::super::model::ToleranceWords;
use super::super::names::Symbol;
use super::super::setup::is_change;
use super::conditions::Compiler;

impl Compiler<'_, '_> {
    pub(super) fn tolerance(&mut self, subject: &Expr, side: ToleranceSide, atom: &Atom) -> Option<Node> {
        let id = match subject {
            Expr::Name(name) => match self.resolver.book.symbol(&name.text) {
                Some(Symbol::Indication(id)) if self.resolver.book.indication(id).reading().is_some() => id,
                _ => {
                    self.value(subject)?;
                    return self.refuse(no_tolerance(subject.span(), &name.text));
                }
            },
            other => return self.refuse(no_tolerance(other.span(), "a sum")),
        };
        let written = self.resolver.book.indication(id).reading().map(|r| r.tolerance.clone()).unwrap_or_default();
        if written.is_empty() {
            let name = self.resolver.book.indication(id).name.clone();
            return self.refuse(no_tolerance(subject.span(), &name));
        }
        self.set_siblings(&[subject]);
        let subject = self.value(subject)?;
        let subject_siblings = self.siblings.clone();
        let mut lines = Vec::with_capacity(written.len());
        for line in &written {
            if !self.spend(atom.span) {
                return None;
            }
            lines.extend(self.line(line, &subject_siblings));
        }
        let mut loose: Vec<SettingId> = lines.iter().flat_map(|l| l.changes.iter().copied()).collect();
        loose.sort_unstable();
        loose.dedup();
        let unit = subject.unit;
        Some(self.comparison(subject, Test::Tolerance(side, lines), unit, loose, atom.span))
    }

    fn line(&mut self, line: &ToleranceWords, subject: &[IndicationId]) -> Option<ToleranceLine> {
        let before = self.words.len();
        self.words.extend(line.words.iter().copied());
        self.siblings = subject.to_vec();
        let mut more = self.siblings.clone();
        self.leaves(&line.low, &mut more);
        self.leaves(&line.high, &mut more);
        self.siblings = more;
        let pair = self.pair(&line.low, &line.high);
        self.words.truncate(before);
        let (low, high) = pair?;
        let mut slots = Vec::new();
        low.value.collect_slots(&mut slots);
        high.value.collect_slots(&mut slots);
        let book = &self.resolver.book;
        let changes =
            line.words.iter().filter(|w| is_change(book, w.setting) && w.allowed & 1 == 0).map(|w| w.setting).collect();
        Some(ToleranceLine {
            demand: line.demand.clone(),
            named: line.words.len(),
            changes,
            low: low.value,
            high: high.value,
            slots,
            span: line.span,
        })
    }
}

fn no_tolerance(span: Span, name: &str) -> Problem {
    Problem::error("book/no-tolerance", span, format!("`{name}` has no tolerance"))
        .help("give the reading a line such as `tolerance 24 V to 28.8 V`, or compare with a number")
}

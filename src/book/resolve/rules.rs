//! Findings, rules, cases.

use std::collections::BTreeMap;

use crate::problem::Problem;
use crate::source::Span;
use crate::syntax::tree::{self, Declaration, FieldBody, Odds, fold};
use crate::syntax::words::{DeclarationWord as D, FieldWord as F};
use crate::units::Exact;

use super::super::model::{Case, Conclusion, Rule};
use super::super::names::Symbol;
use super::{Resolver, circles, fields, numbers};

impl<'t> Resolver<'t> {
    pub(super) fn findings(&mut self) {
        self.findings =
            self.of(D::Finding).into_iter().filter(|d| matches!(self.owns(d), Some(Symbol::Finding(_)))).collect();
        self.break_finding_circles();
        for (place, declaration) in self.findings.clone().into_iter().enumerate() {
            if self.circular.contains(&place) {
                continue;
            }
            let because = fields::text(declaration, F::Because);
            let means = declaration.fields.iter().find_map(|field| match (&field.body, field.word) {
                (FieldBody::Condition(condition), F::Means) => Some(condition),
                _ => None,
            });
            let Some(means) = means else {
                if declaration.broken {
                    continue;
                }
                self.report(
                    Problem::error(
                        "book/no-meaning",
                        declaration.name.span,
                        format!("finding `{}` doesn't say what it means", declaration.name.text),
                    )
                    .help("write `finding NAME means CONDITION`"),
                );
                continue;
            };
            let condition = self.meaning(means);
            if let (Some(finding), Some(condition)) = (self.book.findings.get_mut(place), condition) {
                finding.condition = condition;
                finding.because = because;
            }
        }
    }

    fn break_finding_circles(&mut self) {
        loop {
            let followed = |place: usize, d: &Declaration| {
                if self.circular.contains(&place) { Vec::new() } else { self.findings_in(d) }
            };
            let edges: Vec<Vec<usize>> =
                self.findings.iter().enumerate().map(|(place, d)| followed(place, d)).collect();
            let Some(circle) = circles::find(edges.len(), &edges) else { return };
            let on_it: Vec<&'t Declaration> = circle.iter().filter_map(|at| self.findings.get(*at)).copied().collect();
            let names: Vec<String> = on_it.iter().map(|d| format!("`{}`", d.name.text)).collect();
            let Some(first) = on_it.first() else { return };
            self.report(
                Problem::error(
                    "book/circle",
                    first.name.span,
                    format!("these findings mean each other in a circle: {}", names.join(" → ")),
                )
                .help("let one of them rest on readings"),
            );
            // Without a meaning they can't be followed; the circle alone is reported.
            self.circular.extend(circle);
        }
    }

    fn findings_in(&self, declaration: &Declaration) -> Vec<usize> {
        let mut names = Vec::new();
        for field in &declaration.fields {
            if let FieldBody::Condition(condition) = &field.body {
                bare_names(condition, &mut names);
            }
        }
        let found = names.iter().filter_map(|name| match self.book.symbol(name) {
            Some(Symbol::Finding(id)) => Some(id.place()),
            _ => None,
        });
        found.collect()
    }

    pub(super) fn rules(&mut self) {
        let mut labels: BTreeMap<String, Span> = BTreeMap::new();
        for declaration in self.of(D::Rule) {
            if let Some(first) = labels.insert(declaration.name.key(), declaration.name.span) {
                labels.insert(declaration.name.key(), first);
                self.report(
                    Problem::error(
                        "book/name-twice",
                        declaration.name.span,
                        format!("two rules are labelled `{}`", declaration.name.text),
                    )
                    .also(first, "here first")
                    .help("give one of them another label"),
                );
            }
            self.rule(declaration);
        }
    }

    fn rule(&mut self, declaration: &Declaration) {
        let sentence = declaration.fields.iter().find_map(|field| match &field.body {
            FieldBody::Sentence(sentence) => Some(sentence),
            _ => None,
        });
        let Some(sentence) = sentence else {
            if !declaration.broken {
                self.report(
                    Problem::error(
                        "book/no-sentence",
                        declaration.name.span,
                        format!("rule `{}` says nothing", declaration.name.text),
                    )
                    .help("write its sentence on the next, indented line: `READING below 11.5 V implies FAULT`"),
                );
            }
            return;
        };
        let condition = self.condition(&sentence.condition);
        let mut conclusions = Vec::with_capacity(sentence.conclusions.len());
        for conclusion in &sentence.conclusions {
            conclusions.extend(self.conclusion(conclusion));
        }
        let Some(condition) = condition else { return };
        self.book.rules.push(Rule {
            label: declaration.name.text.as_str().to_string(),
            condition,
            conclusions,
            because: fields::text(declaration, F::Because),
            source: fields::text(declaration, F::Source),
            span: declaration.name.span,
        });
    }

    fn conclusion(&mut self, conclusion: &tree::Conclusion) -> Option<Conclusion> {
        match conclusion {
            tree::Conclusion::Implies(names, span) => {
                let ids = self.fault_ids(names);
                let at_once = self.book.at_once;
                if ids.len() > at_once {
                    self.report(
                        Problem::error(
                            "book/at-once",
                            *span,
                            format!("this implies {} faults, and the book knows at most {at_once} at once", ids.len()),
                        )
                        .help(format!(
                            "write `implies A or B` for one of them, or `at most {} faults at once` in the header",
                            ids.len()
                        )),
                    );
                    return None;
                }
                (!ids.is_empty()).then_some(Conclusion::Implies(ids))
            }
            tree::Conclusion::ImpliesOneOf(names, _) => {
                let ids = self.fault_ids(names);
                (ids.len() == names.len()).then_some(Conclusion::ImpliesOneOf(ids))
            }
            tree::Conclusion::RulesOut(names, _) => {
                let ids = self.fault_ids(names);
                (!ids.is_empty()).then_some(Conclusion::RulesOut(ids))
            }
            tree::Conclusion::Suggests(names, odds, _) => {
                self.odds(names, odds, |above, below| above.checked_div(below))
            }
            tree::Conclusion::SpeaksAgainst(names, odds, _) => {
                self.odds(names, odds, |above, below| below.checked_div(above))
            }
        }
    }

    fn odds(
        &mut self,
        names: &[tree::Name],
        odds: &Odds,
        divide: fn(&Exact, &Exact) -> Option<Exact>,
    ) -> Option<Conclusion> {
        let ids = self.fault_ids(names);
        let figures =
            numbers::plain(&odds.above).and_then(|above| numbers::plain(&odds.below).map(|below| (above, below)));
        let (above, below) = match figures {
            Ok(figures) => figures,
            Err(problem) => {
                self.report(problem);
                return None;
            }
        };
        let factor = divide(&above, &below).filter(|factor| !factor.is_zero());
        let Some(factor) = factor else {
            self.report(
                Problem::error("book/odds", odds.above.span.to(odds.below.span), "odds can't have a 0")
                    .help("use `implies` or `rules out` for what is certain"),
            );
            return None;
        };
        (!ids.is_empty()).then_some(Conclusion::Odds(ids, factor))
    }

    pub(super) fn cases(&mut self) {
        let mut labels: BTreeMap<String, Span> = BTreeMap::new();
        for (declaration, own) in self.declarations.clone() {
            match declaration.word {
                D::Case if own => {
                    let first = *labels.entry(declaration.name.key()).or_insert(declaration.name.span);
                    if first != declaration.name.span {
                        self.report(super::names::twice(&declaration.name, first));
                    }
                    let lines = declaration.fields.iter().filter_map(|field| match &field.body {
                        FieldBody::Statement(statement) => Some((tree::Statement::clone(statement), field.span)),
                        _ => None,
                    });
                    self.book.cases.push(Case {
                        label: declaration.name.text.as_str().to_string(),
                        lines: lines.collect(),
                        span: declaration.name.span,
                    });
                }
                _ => {}
            }
        }
    }
}

fn bare_names(condition: &tree::Condition, names: &mut Vec<String>) {
    match condition {
        tree::Condition::All(parts) | tree::Condition::Any(parts) => parts.iter().for_each(|p| bare_names(p, names)),
        tree::Condition::Not(inner, _) | tree::Condition::Group(inner, _, _) => bare_names(inner, names),
        tree::Condition::Atom(atom) => {
            if let (None, tree::Expr::Name(name)) = (&atom.test, &atom.subject) {
                names.push(fold(&name.text));
            }
        }
    }
}

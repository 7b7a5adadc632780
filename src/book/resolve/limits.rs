//! Limits: constants, perhaps made of others, and the profile that replaces some.

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::Problem;
use crate::syntax::tree::{Declaration, Expr, FieldBody, fold};
use crate::syntax::words::{DeclarationWord as D, FieldWord as F};

use super::super::ids::LimitId;
use super::super::names::Symbol;
use super::expressions::Typed;
use super::{Resolver, fields};

impl<'t> Resolver<'t> {
    pub(super) fn limits(&mut self) {
        let declared: Vec<&'t Declaration> = self.of(D::Limit);
        let profile = self.profile_values();
        let said = |d: &'t Declaration| profile.get(&d.name.key()).copied().or_else(|| fields::value(d, F::Value));
        let exprs: Vec<(&'t Declaration, Option<&'t Expr>)> = declared.iter().map(|d| (*d, said(d))).collect();
        let mut waiting: Vec<(&'t Declaration, &'t Expr)> = Vec::new();
        for (declaration, expr) in exprs {
            match expr {
                Some(expr) => waiting.push((declaration, expr)),
                None => self.report(
                    Problem::error(
                        "book/no-value",
                        declaration.name.span,
                        format!("limit `{}` has no value", declaration.name.text),
                    )
                    .help("write `limit NAME = 22.5 V`"),
                ),
            }
        }
        self.resolve_waiting(waiting);
        self.check_profiles();
    }

    /// Limits are resolved once their parts are, in book order where that is open; what is left goes in a circle.
    fn resolve_waiting(&mut self, waiting: Vec<(&'t Declaration, &'t Expr)>) {
        let (mut parts, mut users) = links(&waiting);
        let mut ready: BTreeSet<usize> = (0..waiting.len()).filter(|place| parts.get(*place) == Some(&0)).collect();
        let mut open: BTreeSet<usize> = (0..waiting.len()).collect();
        while let Some(place) = ready.pop_first() {
            open.remove(&place);
            for user in users.get_mut(place).map(std::mem::take).unwrap_or_default() {
                let Some(count) = parts.get_mut(user) else { continue };
                *count -= 1;
                if *count == 0 {
                    ready.insert(user);
                }
            }
            let Some((declaration, expr)) = waiting.get(place) else { continue };
            if let Some(Symbol::Limit(id)) = self.owns(declaration)
                && let Some(typed) = self.constant(expr)
            {
                self.store_limit(id, declaration, &typed);
            }
        }
        let waiting: Vec<_> = open.into_iter().filter_map(|place| waiting.get(place)).collect();
        if let Some((declaration, _)) = waiting.first() {
            let names: Vec<String> = waiting.iter().map(|(d, _)| format!("`{}`", d.name.text)).collect();
            self.report(
                Problem::error(
                    "book/circle",
                    declaration.name.span,
                    format!("these limits go in a circle: {}", names.join(", ")),
                )
                .help("give one of them a number"),
            );
        }
    }

    fn store_limit(&mut self, id: LimitId, declaration: &Declaration, typed: &Typed) {
        let Some(limit) = self.book.limits.get_mut(id.place()) else { return };
        if let Some(value) = typed.value.as_constant() {
            limit.value = value.clone();
        }
        self.unsound.limits.remove(&id);
        limit.dimension = typed.dimension;
        limit.unit = typed.unit;
        limit.because = fields::text(declaration, F::Because);
        limit.source = fields::text(declaration, F::Source);
    }

    /// What the chosen profile says instead, by folded name.
    fn profile_values(&self) -> BTreeMap<String, &'t Expr> {
        let chosen = self.book.profile.as_ref().map(|name| fold(name));
        let profiles = self.of(D::Profile).into_iter().filter(|p| Some(fold(&p.name.text)) == chosen);
        let lines = profiles.flat_map(|p| &p.fields).filter_map(|field| match &field.body {
            FieldBody::LimitLine(line) => Some((line.0.key(), &line.1)),
            _ => None,
        });
        lines.collect()
    }

    /// A profile may only replace limits that exist.
    fn check_profiles(&mut self) {
        let mut problems = Vec::new();
        for profile in self.of(D::Profile) {
            for field in &profile.fields {
                let FieldBody::LimitLine(line) = &field.body else { continue };
                let (name, expr) = &**line;
                if let Some(Symbol::Limit(id)) = self.book.symbol(&name.text) {
                    problems.extend(self.other_kind(id, expr));
                } else {
                    let known = self.known_names(|s| matches!(s, Symbol::Limit(_)));
                    problems.push(self.unknown(name, "a limit", known.iter().map(String::as_str)));
                }
            }
        }
        self.problems.extend(problems);
    }

    /// A profile's value that is of another kind than the limit's own.
    fn other_kind(&mut self, id: LimitId, expr: &Expr) -> Option<Problem> {
        let at = self.book.limit(id).span;
        let declared = self.declarations.iter().find(|(d, _)| d.name.span == at).map(|(d, _)| *d)?;
        let before = self.problems.len();
        let own = fields::value(declared, F::Value).and_then(|own| self.constant(own));
        self.problems.truncate(before);
        let (own, typed) = (own?, self.constant(expr)?);
        let clash = own.dimension.compare(typed.dimension).err()?;
        Some(super::expressions::clash_problem(&clash, expr, &typed, &own))
    }
}

/// Of how many of these limits each is made, and which are made of it.
fn links(waiting: &[(&Declaration, &Expr)]) -> (Vec<usize>, Vec<Vec<usize>>) {
    let keyed = waiting.iter().enumerate().rev().map(|(place, (d, _))| (d.name.key(), place));
    let places: BTreeMap<String, usize> = keyed.collect();
    let mut parts = vec![0; waiting.len()];
    let mut users = vec![Vec::new(); waiting.len()];
    for ((user, (_, expr)), count) in waiting.iter().enumerate().zip(&mut parts) {
        mentioned(expr, &mut |key| {
            if let Some(list) = places.get(&key).and_then(|part| users.get_mut(*part)) {
                list.push(user);
                *count += 1;
            }
        });
    }
    (parts, users)
}

/// The folded names in a sum.
fn mentioned(expr: &Expr, found: &mut dyn FnMut(String)) {
    match expr {
        Expr::Number(_) => {}
        Expr::Name(name) => found(name.key()),
        Expr::Call { arguments, .. } => arguments.iter().for_each(|argument| mentioned(argument, found)),
        Expr::Negative(inner, _) => mentioned(inner, found),
        Expr::Binary { left, right, .. } => {
            mentioned(left, found);
            mentioned(right, found);
        }
    }
}

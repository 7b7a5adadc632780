//! States and changes.

use crate::problem::Problem;
use crate::syntax::tree::{Declaration, fold};
use crate::syntax::words::{DeclarationWord as D, FieldWord as F};

use super::super::following::Following;
use super::super::ids::{IndicationId, PartId, SettingId};
use super::super::model::{Affects, Hazard, Steps};
use super::super::names::Symbol;
use super::super::setup::Term;
use super::{Resolver, circles, entries, fields, numbers};

/// Settings may need each other this deep.
const DEEPEST: usize = 64;

impl<'t> Resolver<'t> {
    fn setting_declarations(&self) -> Vec<(SettingId, &'t Declaration)> {
        let all = self.declarations.iter().filter(|(d, _)| matches!(d.word, D::State | D::Change));
        let owned = all.filter_map(|(d, _)| match self.owns(d) {
            Some(Symbol::Setting(id)) => Some((id, *d)),
            _ => None,
        });
        owned.collect()
    }

    /// Values, then what they need and exclude.
    pub(super) fn settings(&mut self) {
        let declared = self.setting_declarations();
        for (id, declaration) in &declared {
            self.setting_values(*id, declaration);
        }
        for (id, declaration) in &declared {
            let needs = self.terms(fields::items(declaration, F::Needs));
            let excludes = self.terms(fields::items(declaration, F::Excludes));
            if let Some(setting) = self.book.settings.get_mut(id.place()) {
                setting.needs = needs;
                setting.excludes = excludes;
            }
        }
        self.exclude_both_ways();
        self.following = Following::of(&self.book.settings);
        self.check_needs(&declared);
    }

    fn setting_values(&mut self, id: SettingId, declaration: &Declaration) {
        let names = fields::names(declaration, F::OneOf);
        let on = fields::has(declaration, F::NormallyOn);
        let mut problem = None;
        let word = declaration.fields.iter().find(|field| field.word == F::NormallyOn);
        if let (Some(first), Some(word)) = (names.first(), word) {
            problem = Some(
                Problem::error("book/normally-on", word.span, "a state with values can't be `normally on`")
                    .also(first.span, "its values")
                    .help("put its usual value first in `one of`"),
            );
        }
        for (name, earlier) in fields::with_earlier(names.iter().copied()) {
            if let Some(earlier) = earlier {
                problem = Some(super::names::twice(name, earlier.span));
            }
        }
        if let Some(too_many) = names.get(64) {
            problem = Some(Problem::error("book/too-many-values", too_many.span, "a state has at most 64 values"));
        }
        self.problems.extend(problem);
        let Some(setting) = self.book.settings.get_mut(id.place()) else { return };
        if !names.is_empty() {
            setting.values = names.iter().take(64).map(|n| n.text.as_str().to_string()).collect();
            setting.one_of = true;
        }
        setting.normal = u8::from(on && names.is_empty());
        setting.provokes = fields::has(declaration, F::Provokes);
    }

    /// The terms of a list; problems are reported and left out.
    pub(super) fn terms<'n>(
        &mut self,
        items: impl IntoIterator<Item = &'n crate::syntax::tree::SetupItem>,
    ) -> Vec<Term> {
        let mut terms = Vec::new();
        for item in items {
            match entries::resolve_item(&self.book, item) {
                Ok(term) => terms.push(term),
                Err(problem) => self.report(problem),
            }
        }
        terms.sort_unstable();
        terms.dedup();
        terms
    }

    fn exclude_both_ways(&mut self) {
        let mut mirrored = Vec::new();
        for (place, setting) in self.book.settings.iter().enumerate() {
            let active = setting.every_value() & !(1 << setting.inactive);
            for other in &setting.excludes {
                mirrored.push((other.setting, other.allowed, Term { setting: SettingId::at(place), allowed: active }));
            }
        }
        for (owner, allowed, term) in mirrored {
            let Some(setting) = self.book.settings.get_mut(owner.place()) else { continue };
            let active = setting.every_value() & !(1 << setting.inactive);
            // Only a whole setting mirrors plainly; a single value is denied by the closure.
            if allowed & active == active && !setting.excludes.contains(&term) {
                setting.excludes.push(term);
            }
        }
    }

    fn check_needs(&mut self, declared: &[(SettingId, &Declaration)]) {
        let edges: Vec<Vec<usize>> =
            self.book.settings.iter().map(|s| s.needs.iter().map(|need| need.setting.place()).collect()).collect();
        if let Some(circle) = circles::find(edges.len(), &edges) {
            let names: Vec<String> =
                circle.iter().filter_map(|at| self.book.settings.get(*at)).map(|s| format!("`{}`", s.name)).collect();
            let span = circle.first().and_then(|at| self.book.settings.get(*at)).map(|s| s.span).unwrap_or_default();
            self.report(
                Problem::error(
                    "book/circle",
                    span,
                    format!("these need each other in a circle: {}", names.join(" → ")),
                )
                .help("take out one of the `needs`"),
            );
        } else if self.needs_too_deep() {
            return;
        }
        for (id, declaration) in declared {
            let setting = self.book.setting(*id);
            if setting.needs.is_empty() && setting.excludes.is_empty() {
                continue;
            }
            let active = Term { setting: *id, allowed: setting.every_value() & !(1 << setting.inactive) };
            if self.following.closure(&self.book.settings, &[active]).is_impossible() {
                self.report(
                    Problem::error(
                        "book/never-set",
                        declaration.name.span,
                        format!("`{}` can never be set: it needs what it excludes", declaration.name.text),
                    )
                    .help("take out the `needs` or the `excludes` that quarrel"),
                );
            }
        }
    }

    /// Reports a setting that needs others through too many steps, and cuts all needs there.
    fn needs_too_deep(&mut self) -> bool {
        let mut depths: Vec<Option<usize>> = vec![None; self.book.settings.len()];
        for _ in 0..DEEPEST + 2 {
            let mut changed = false;
            for (place, setting) in self.book.settings.iter().enumerate() {
                let below = setting.needs.iter().filter_map(|need| depths.get(need.setting.place()).copied().flatten());
                let depth = Some(below.max().map_or(0, |depth| depth + 1));
                if let Some(known) = depths.get_mut(place).filter(|known| **known != depth) {
                    *known = depth;
                    changed = true;
                }
            }
            if !changed {
                break;
            }
        }
        let deep = depths.iter().position(|depth| depth.is_some_and(|depth| depth > DEEPEST));
        let Some(setting) = deep.and_then(|place| self.book.settings.get(place)) else { return false };
        let message = format!("`{}` needs others that need others, more than {DEEPEST} deep", setting.name);
        let problem = Problem::error("book/too-deep", setting.span, message).help("take some of the `needs` out");
        self.report(problem);
        self.book.settings.iter_mut().for_each(|setting| setting.needs.clear());
        self.following = Following::of(&self.book.settings);
        true
    }

    /// Steps, swaps, put back, affects: what needs other names.
    pub(super) fn settings_second(&mut self) {
        for (id, declaration) in self.setting_declarations() {
            let steps = self.steps(declaration);
            let swaps = fields::names(declaration, F::Swaps).first().and_then(|name| self.part(name));
            let affects = self.affects_of(declaration);
            if let Some(setting) = self.book.settings.get_mut(id.place()) {
                setting.steps = steps;
                setting.swaps = swaps;
                setting.put_back = fields::text(declaration, F::PutBack);
                setting.affects = affects;
            }
        }
    }

    fn affects_of(&mut self, declaration: &Declaration) -> Affects {
        let names = fields::names(declaration, F::Affects);
        if names.is_empty() {
            return Affects::Everything;
        }
        let mut list: Vec<IndicationId> = Vec::new();
        for name in names {
            if fold(&name.text) == "nothing" {
                continue;
            }
            if let Some(id) = self.indication(name) {
                match self.book.indication(id).reading() {
                    Some(reading) if reading.computed.is_some() => list.extend(reading.parts.iter().copied()),
                    _ => list.push(id),
                }
            }
        }
        list.sort_unstable();
        list.dedup();
        Affects::Only(list)
    }

    /// The reading or observation of a name; unknown ones are reported.
    pub(super) fn indication(&mut self, name: &crate::syntax::tree::Name) -> Option<IndicationId> {
        match self.book.symbol(&name.text) {
            Some(Symbol::Indication(id)) => Some(id),
            Some(other) => {
                self.report(
                    Problem::error(
                        "book/wrong-kind",
                        name.span,
                        format!("`{}` is {}, not a reading or observation", name.text, other.noun()),
                    )
                    .help("name a reading or an observation here"),
                );
                None
            }
            None => {
                let problem = self.unknown(
                    name,
                    "a reading or observation",
                    self.book.indications.iter().map(|i| i.name.as_str()),
                );
                self.report(problem);
                None
            }
        }
    }

    /// The part of a name; unknown ones are reported.
    pub(super) fn part(&mut self, name: &crate::syntax::tree::Name) -> Option<PartId> {
        let found = self.shelves.parts.get(&name.key()).copied();
        if found.is_none() {
            let problem = self.unknown(name, "a part", self.book.parts.iter().map(|p| p.name.as_str()));
            self.report(problem);
        }
        found
    }

    /// How something is done, how long it takes, how dangerous it is.
    pub(super) fn steps(&mut self, declaration: &Declaration) -> Steps {
        let mut steps = Steps {
            how: fields::text(declaration, F::How),
            place: fields::text(declaration, F::Where),
            ..Steps::default()
        };
        if let Some(number) = fields::number(declaration, F::Takes) {
            match numbers::seconds(number) {
                Ok(seconds) => steps.takes = Some(seconds),
                Err(problem) => self.report(problem),
            }
        }
        for name in fields::names(declaration, F::Caution) {
            match self.shelves.cautions.get(&name.key()) {
                Some(id) => steps.cautions.push(*id),
                None => {
                    let problem = self.unknown(name, "a caution", self.book.cautions.iter().map(|c| c.name.as_str()));
                    self.report(problem);
                }
            }
        }
        for name in fields::names(declaration, F::Hazard) {
            match Hazard::find(&name.text) {
                Some(hazard) => steps.hazards.push(hazard),
                None => {
                    let problem = self.unknown(name, "a hazard", Hazard::ALL.iter().map(|h| h.word()));
                    self.report(problem);
                }
            }
        }
        steps
    }
}

//! Readings and observations: units, ranges, bands, answers, what they need.

use crate::problem::Problem;
use crate::syntax::tree::{BandRange, Declaration, FieldBody, Name, Number, Side, fold, is_alike};
use crate::syntax::words::{DeclarationWord as D, FieldWord as F};
use crate::units::{Bound, Dimension, Exact, Unit};

use super::super::ids::{IndicationId, SettingId};
use super::super::model::{Band, IndicationKind, Reading};
use super::super::names::Symbol;
use super::expressions::Typed;
use super::{Resolver, circles, fields, numbers};

impl<'t> Resolver<'t> {
    pub(super) fn indication_declarations(&self) -> Vec<(IndicationId, &'t Declaration)> {
        let all = self.declarations.iter().filter(|(d, _)| matches!(d.word, D::Reading | D::Observation));
        let owned = all.filter_map(|(d, _)| match self.owns(d) {
            Some(Symbol::Indication(id)) => Some((id, *d)),
            _ => None,
        });
        owned.collect()
    }

    pub(super) fn indications(&mut self) {
        for (id, declaration) in self.indication_declarations() {
            let needs = self.terms(fields::items(declaration, F::Needs));
            let demand = self.following.closure(&self.book.settings, &needs);
            if demand.is_impossible() {
                self.report(
                    Problem::error(
                        "book/never-set",
                        declaration.name.span,
                        format!("`{}` can never be taken: its needs quarrel", declaration.name.text),
                    )
                    .help("take out the `needs` that excludes another"),
                );
            }
            for need in &needs {
                self.together.push((need.setting, id));
            }
            let (any, unaffected_by) = self.unaffected(declaration);
            let steps = self.steps(declaration);
            if declaration.word == D::Reading {
                self.reading(id, declaration)
            } else {
                self.observation(id, declaration)
            }
            if let Some(indication) = self.book.indications.get_mut(id.place()) {
                indication.needs = needs;
                indication.demand = demand;
                indication.unaffected_by_any = any;
                indication.unaffected_by = unaffected_by;
                indication.steps = steps;
            }
        }
    }

    fn unaffected(&mut self, declaration: &Declaration) -> (bool, Vec<SettingId>) {
        let (mut any, mut list) = (false, Vec::new());
        for name in fields::names(declaration, F::UnaffectedBy) {
            if fold(&name.text) == "any change" {
                any = true;
                continue;
            }
            match self.book.symbol(&name.text) {
                Some(Symbol::Setting(id)) if super::super::setup::is_change(&self.book, id) => list.push(id),
                Some(other) => self.report(
                    Problem::error(
                        "book/wrong-kind",
                        name.span,
                        format!("`{}` is {}, not a change", name.text, other.noun()),
                    )
                    .help("a state matters always; only a change can leave a reading alone"),
                ),
                None => {
                    let changes = self.book.changes().map(|id| self.book.setting(id).name.clone()).collect::<Vec<_>>();
                    let problem = self.unknown(name, "a change", changes.iter().map(String::as_str));
                    self.report(problem);
                }
            }
        }
        list.sort_unstable();
        list.dedup();
        (any, list)
    }

    fn reading(&mut self, id: IndicationId, declaration: &Declaration) {
        let computed = fields::value(declaration, F::Value).cloned();
        let unit = match fields::unit(declaration) {
            Some(name) => match numbers::unit(name) {
                Ok(unit) => Some(unit),
                Err(problem) => {
                    self.report(problem);
                    None
                }
            },
            None if computed.is_none() && !declaration.broken => {
                self.report(
                    Problem::error(
                        "book/no-unit",
                        declaration.name.span,
                        format!("reading `{}` has no unit", declaration.name.text),
                    )
                    .help("add an indented line such as `unit V`"),
                );
                None
            }
            None => None,
        };
        if unit.is_none() && (computed.is_none() || fields::unit(declaration).is_some()) {
            self.unsound.indications.insert(id);
        }
        let dimension = unit.map_or(Dimension::NONE, |unit| unit.dimension);
        let range = self.range(declaration, unit);
        let bands = self.bands(declaration, unit, range.as_ref());
        let meter = fields::meter(declaration).and_then(|words| match numbers::accuracy(words, dimension) {
            Ok(accuracy) => Some(accuracy),
            Err(problem) => {
                self.report(problem);
                None
            }
        });
        let root_sum_square = self.root_sum_square(declaration);
        if let Some(IndicationKind::Reading(reading)) = self.book.indications.get_mut(id.place()).map(|i| &mut i.kind) {
            let (tolerance, parts) = (Vec::new(), Vec::new());
            *reading = Reading { unit, dimension, range, tolerance, meter, bands, computed, root_sum_square, parts };
        }
    }

    fn range(&mut self, declaration: &Declaration, unit: Option<&'static Unit>) -> Option<(Bound, Bound)> {
        let (low, high, span) = fields::range(declaration, F::From)?;
        let mut compiler = super::conditions::Compiler::new(self);
        compiler.constant_only = true;
        let (low_typed, high_typed) = compiler.pair(low, high)?;
        let beside = Typed { value: low_typed.value.clone(), dimension: unit?.dimension, unit, bare: false, span };
        if !(compiler.check_against(&beside, low, &low_typed) & compiler.check_against(&beside, high, &high_typed)) {
            return None;
        }
        let (low, high) = (low_typed.value.as_constant()?.clone(), high_typed.value.as_constant()?.clone());
        if low > high {
            self.report(
                Problem::error("book/range-reversed", span, "this range ends below its beginning")
                    .help("write the lower end first"),
            );
            return None;
        }
        Some((Bound::Closed(low), Bound::Closed(high)))
    }

    /// Bands in order of their lower ends; gaps and overlaps are errors, for each value must lie in one band.
    fn bands(
        &mut self,
        declaration: &Declaration,
        unit: Option<&'static Unit>,
        range: Option<&(Bound, Bound)>,
    ) -> Vec<Band> {
        let words = declaration.fields.iter().find_map(|field| match &field.body {
            FieldBody::Bands(bands) => Some(bands),
            _ => None,
        });
        let (Some(words), Some(unit)) = (words, unit) else { return Vec::new() };
        let mut raw: Vec<(Option<Exact>, Option<Exact>, &Name)> = Vec::new();
        let earlier = fields::with_earlier(words.iter().map(|band| &band.name));
        for (band, (_, earlier)) in words.iter().zip(earlier) {
            if let Some(earlier) = earlier {
                self.report(super::names::twice(&band.name, earlier.span));
                continue;
            }
            if let Some((low, high)) = self.band_ends(&band.range, unit) {
                raw.push((low, high, &band.name));
            }
        }
        raw.sort_by(|a, b| a.0.cmp(&b.0));
        self.check_bands(&raw, unit);
        self.check_reach(&raw, unit, range);
        let lows: Vec<Option<Exact>> = raw.iter().map(|(low, ..)| low.clone()).collect();
        let each = raw.iter().enumerate().map(|(place, (low, _, name))| Band {
            name: name.text.as_str().to_string(),
            low: if place == 0 { None } else { low.clone() },
            high: lows.get(place + 1).cloned().flatten(),
            span: name.span,
        });
        each.collect()
    }

    fn check_bands(&mut self, raw: &[(Option<Exact>, Option<Exact>, &Name)], unit: &Unit) {
        for pair in raw.windows(2) {
            let [(_, high, lower), (low, _, upper)] = pair else { continue };
            let shown = |end: &Option<Exact>| end.as_ref().map_or("no end".to_string(), |end| unit.show(end));
            let wrong = match (high, low) {
                (Some(high), Some(low)) if high == low => continue,
                (Some(high), Some(low)) if high < low => "leave a gap",
                _ => "overlap",
            };
            let message = format!(
                "bands `{}` and `{}` {wrong}: one ends at {}, the other begins at {}",
                lower.text,
                upper.text,
                shown(high),
                shown(low)
            );
            self.report(
                Problem::error("book/bands", upper.span, message)
                    .also(lower.span, "the other one")
                    .help("let each band begin where the one below it ends"),
            );
        }
    }

    /// The lowest and the highest band must reach the ends of the range.
    fn check_reach(
        &mut self,
        raw: &[(Option<Exact>, Option<Exact>, &Name)],
        unit: &Unit,
        range: Option<&(Bound, Bound)>,
    ) {
        let (Some(first), Some(last), Some((low, high))) = (raw.first(), raw.last(), range) else { return };
        let short_below = first.0.as_ref().zip(low.value()).filter(|(begins, low)| begins > low);
        let short_above = last.1.as_ref().zip(high.value()).filter(|(ends, high)| ends < high);
        let gaps = [(first.2, short_below, "begins", "below"), (last.2, short_above, "ends", "above")];
        for (name, gap, does, side) in gaps {
            let Some((end, limit)) = gap else { continue };
            let message = format!(
                "band `{}` {does} at {}, and the reading goes on to {}",
                name.text,
                unit.show(end),
                unit.show(limit)
            );
            self.report(Problem::error("book/bands", name.span, message).help(format!(
                "let it reach the end of the range, or name a band {side} it: every value lies in one band"
            )));
        }
    }

    fn band_ends(&mut self, range: &BandRange, unit: &'static Unit) -> Option<(Option<Exact>, Option<Exact>)> {
        match range {
            BandRange::Between(low, high) => {
                let lent = Number { unit: low.unit.clone().or(high.unit.clone()), ..low.clone() };
                Some((Some(self.in_unit(&lent, unit)?), Some(self.in_unit(high, unit)?)))
            }
            BandRange::Open(Side::Below | Side::AtMost, number) => Some((None, Some(self.in_unit(number, unit)?))),
            BandRange::Open(_, number) => Some((Some(self.in_unit(number, unit)?), None)),
        }
    }

    /// A number of the same kind as a unit, in base units.
    fn in_unit(&mut self, number: &Number, unit: &'static Unit) -> Option<Exact> {
        let amount = match numbers::amount(number) {
            Ok(amount) => amount,
            Err(problem) => {
                self.report(problem);
                return None;
            }
        };
        if amount.unit.is_none() {
            self.report(
                Problem::error("units/missing", number.span, "this number has no unit")
                    .help(format!("write `{} {}`", number.digits, unit.symbol)),
            );
            return None;
        }
        if let Err(clash) = unit.dimension.compare(amount.dimension) {
            let span = number.unit.as_ref().map_or(number.span, |unit| unit.span);
            self.report(Problem::error("units/mismatch", span, clash.explain()).help_if(clash.fix()));
            return None;
        }
        Some(amount.base)
    }

    fn observation(&mut self, id: IndicationId, declaration: &Declaration) {
        let names = fields::names(declaration, F::Answers);
        if names.is_empty() && !declaration.broken {
            self.report(
                Problem::error(
                    "book/no-answers",
                    declaration.name.span,
                    format!("observation `{}` has no answers", declaration.name.text),
                )
                .help("add an indented line such as `answers yes, no`"),
            );
        }
        let mut answers: Vec<String> = Vec::new();
        for (name, earlier) in fields::with_earlier(names.iter().copied()) {
            if let Some(earlier) = earlier {
                self.report(super::names::twice(name, earlier.span));
            } else if answers.len() == 64 {
                self.error("book/too-many-values", name.span, "an observation has at most 64 answers");
                break;
            } else {
                answers.push(name.text.as_str().to_string());
            }
        }
        let mut sound = 0;
        for name in fields::names(declaration, F::Sound) {
            match answers.iter().position(|answer| is_alike(answer, &name.text)) {
                Some(place) => sound |= 1 << place.min(63),
                None => {
                    let problem =
                        self.unknown(name, "an answer of this observation", answers.iter().map(String::as_str));
                    self.report(problem);
                }
            }
        }
        if let Some(IndicationKind::Observation(observation)) =
            self.book.indications.get_mut(id.place()).map(|i| &mut i.kind)
        {
            observation.answers = answers;
            observation.sound = sound;
        }
    }

    /// What computed readings are made of, and what they measure.
    pub(super) fn computed(&mut self) {
        self.break_circles();
        for (id, declaration) in self.indication_declarations() {
            let Some(expr) = self.book.indication(id).reading().and_then(|r| r.computed.clone()) else { continue };
            let before = self.problems.len();
            let mut compiler = super::conditions::Compiler::new(self);
            let typed = compiler.value(&expr);
            let mut parts = Vec::new();
            compiler.leaves(&expr, &mut parts);
            let Some(typed) = typed else {
                self.unsound.indications.insert(id);
                continue;
            };
            let stated = fields::unit(declaration).and_then(|name| numbers::unit(name).ok().map(|unit| (name, unit)));
            if let Some((name, unit)) = stated
                && let Err(clash) = typed.dimension.compare(unit.dimension)
            {
                let message =
                    format!("`{}` is {}, not {}", declaration.name.text, clash.left.a_noun(), clash.right.a_noun());
                self.report(
                    Problem::error("units/mismatch", name.span, message)
                        .help("name a unit of that kind, or leave it out"),
                );
            }
            if self.has_error_since(before) {
                self.unsound.indications.insert(id);
                continue;
            }
            if let Some(IndicationKind::Reading(reading)) =
                self.book.indications.get_mut(id.place()).map(|i| &mut i.kind)
            {
                reading.dimension = typed.dimension;
                reading.unit = stated.map(|(_, unit)| unit).or(typed.unit);
                reading.parts = parts;
            }
        }
    }

    /// Computed readings that are made of each other lose their sum.
    fn break_circles(&mut self) {
        loop {
            let edges: Vec<Vec<usize>> = self.book.indications.iter().map(|i| self.named_in(i)).collect();
            let Some(circle) = circles::find(edges.len(), &edges) else { return };
            let names: Vec<String> = circle
                .iter()
                .filter_map(|at| self.book.indications.get(*at))
                .map(|i| format!("`{}`", i.name))
                .collect();
            let span = circle.first().and_then(|at| self.book.indications.get(*at)).map(|i| i.span).unwrap_or_default();
            self.report(
                Problem::error(
                    "book/circle",
                    span,
                    format!("these readings are computed from each other in a circle: {}", names.join(" → ")),
                )
                .help("one of them must be measured"),
            );
            for at in circle {
                if let Some(IndicationKind::Reading(reading)) = self.book.indications.get_mut(at).map(|i| &mut i.kind) {
                    reading.computed = None;
                }
            }
        }
    }

    fn named_in(&self, indication: &super::super::model::Indication) -> Vec<usize> {
        let mut names = Vec::new();
        if let Some(expr) = indication.reading().and_then(|r| r.computed.as_ref()) {
            collect_names(expr, &mut names);
        }
        let ids = names.iter().filter_map(|name| self.book.find_indication(name));
        ids.map(IndicationId::place).collect()
    }
}

fn collect_names(expr: &crate::syntax::tree::Expr, names: &mut Vec<String>) {
    use crate::syntax::tree::Expr;
    match expr {
        Expr::Number(_) => {}
        Expr::Name(name) => names.push(name.text.as_str().to_string()),
        Expr::Call { arguments, .. } => arguments.iter().for_each(|a| collect_names(a, names)),
        Expr::Negative(inner, _) => collect_names(inner, names),
        Expr::Binary { left, right, .. } => {
            collect_names(left, names);
            collect_names(right, names);
        }
    }
}

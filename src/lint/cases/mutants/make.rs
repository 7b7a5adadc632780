//! Mutants of a rule: the smallest slips that an author makes. A limit moved by the meter's accuracy, a test turned round,
//! a part or a `with` forgotten, a conclusion the wrong way. Rules that only change odds have none: no `expect` sees them.

use crate::book::{Book, Comparison, Conclusion, Condition, Node, Rule, RuleId, Slot, SlotIx, Test, Value};
use crate::lint::meaning::{left_out, span_of};
use crate::source::Span;
use crate::units::Exact;

/// One slip in a rule.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Slip {
    pub(super) rule: RuleId,
    pub(super) kind: Kind,
    /// Where.
    pub(super) span: Span,
}

/// What was changed. A path leads to a part of the condition.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// One of a comparison's limits is moved up or down by the meter's accuracy.
    Moved { path: Vec<usize>, second: bool, up: bool },
    /// A test asks for the opposite.
    Turned { path: Vec<usize> },
    /// A part is left out.
    Dropped { path: Vec<usize> },
    /// A reading is asked for without its setup words.
    Bare { slot: usize },
    /// A conclusion says the opposite.
    Swapped { nth: usize },
}

impl Kind {
    /// In words.
    pub(super) fn says(&self) -> &'static str {
        match self {
            Kind::Moved { up: true, .. } => "limit moved up by the meter's accuracy",
            Kind::Moved { up: false, .. } => "limit moved down by the meter's accuracy",
            Kind::Turned { .. } => "test turned round",
            Kind::Dropped { .. } => "part left out",
            Kind::Bare { .. } => "`with` left out",
            Kind::Swapped { .. } => "conclusion turned round",
        }
    }
}

/// Every slip in a rule, in the order of its words.
pub(super) fn slips(book: &Book, id: RuleId) -> Vec<Slip> {
    let rule = book.rule(id);
    if rule.conclusions.iter().all(|one| matches!(one, Conclusion::Odds(..))) {
        return Vec::new();
    }
    let mut kinds: Vec<(Kind, Span)> = Vec::new();
    in_node(book, &rule.condition, &rule.condition.node, &mut Vec::new(), &mut kinds);
    for (place, slot) in rule.condition.slots.iter().enumerate() {
        if slot.demand != book.indication(slot.indication).demand {
            kinds.push((Kind::Bare { slot: place }, rule.condition.span));
        }
    }
    for (nth, conclusion) in rule.conclusions.iter().enumerate() {
        if !matches!(conclusion, Conclusion::Odds(..)) {
            kinds.push((Kind::Swapped { nth }, rule.span));
        }
    }
    kinds.into_iter().map(|(kind, span)| Slip { rule: id, kind, span }).collect()
}

/// Slips in a node; findings are whole words here.
fn in_node(book: &Book, condition: &Condition, node: &Node, path: &mut Vec<usize>, all: &mut Vec<(Kind, Span)>) {
    let span = span_of(node).unwrap_or(condition.span);
    match node {
        Node::All(parts) | Node::Any(parts) => {
            for (place, part) in parts.iter().enumerate() {
                path.push(place);
                all.push((Kind::Dropped { path: path.clone() }, span_of(part).unwrap_or(span)));
                in_node(book, condition, part, path, all);
                path.pop();
            }
        }
        Node::Not(inner) => {
            path.push(0);
            in_node(book, condition, inner, path, all);
            path.pop();
        }
        Node::Finding(..) | Node::Answer(..) | Node::Signal(_) => {
            all.push((Kind::Turned { path: path.clone() }, span));
        }
        Node::Compare(comparison) => {
            all.push((Kind::Turned { path: path.clone() }, span));
            let limits = match comparison.test {
                Test::Below(_) | Test::Above(_) | Test::AtLeast(_) | Test::AtMost(_) => 1,
                Test::Between(..) | Test::Outside(..) => 2,
                Test::Band(..) | Test::Tolerance(..) => 0,
            };
            for second in [false, true].into_iter().take(limits) {
                for up in [true, false] {
                    if accuracy(book, condition, comparison, second).is_some() {
                        all.push((Kind::Moved { path: path.clone(), second, up }, span));
                    }
                }
            }
        }
    }
}

/// The limit of a comparison that is a number, and how far the meter may be off there, in base units.
pub(super) fn accuracy(
    book: &Book,
    condition: &Condition,
    comparison: &Comparison,
    second: bool,
) -> Option<(Exact, Exact)> {
    let limit = limit(&comparison.test, second)?.as_constant()?.clone();
    let mut slots = Vec::new();
    comparison.subject.collect_slots(&mut slots);
    let each = slots.iter().map(|slot| error_at(book, condition.slot(*slot)?, &limit));
    let widths: Vec<Exact> = each.collect::<Option<_>>()?;
    let sum = widths.into_iter().fold(Exact::zero(), |sum, width| sum + width);
    (!sum.is_zero()).then_some((limit, sum))
}

fn error_at(book: &Book, slot: &Slot, limit: &Exact) -> Option<Exact> {
    let reading = book.indication(slot.indication).reading()?;
    let (meter, unit) = (reading.meter.as_ref()?, reading.unit?);
    let digit = unit.width_to_base(&Exact::pow10(-2)).abs();
    Some(meter.with_digit(&digit).half_width_in(unit, &unit.from_base(limit)))
}

pub(super) fn limit(test: &Test, second: bool) -> Option<&Value> {
    match (test, second) {
        (Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x), false) => Some(x),
        (Test::Between(x, _) | Test::Outside(x, _), false) => Some(x),
        (Test::Between(_, y) | Test::Outside(_, y), true) => Some(y),
        _ => None,
    }
}

impl Slip {
    /// The rule with the slip in it; none where this book's rule has no such place.
    pub(super) fn in_rule(&self, book: &Book) -> Option<Rule> {
        let mut rule = book.rules.get(self.rule.place())?.clone();
        match &self.kind {
            Kind::Moved { path, second, up } => {
                let condition = rule.condition.clone();
                let Node::Compare(comparison) = part(&condition.node, path)? else { return None };
                let (_, width) = accuracy(book, &condition, comparison, *second)?;
                let by = if *up { width } else { -width };
                let mut moved = comparison.clone();
                shift(&mut moved.test, *second, &by)?;
                *part_mut(&mut rule.condition.node, path)? = Node::Compare(moved);
            }
            Kind::Turned { path } => {
                let place = part_mut(&mut rule.condition.node, path)?;
                *place = Node::Not(Box::new(place.clone()));
            }
            Kind::Dropped { path } => rule.condition.node = left_out(&rule.condition.node, path)?.0,
            Kind::Bare { slot } => {
                let place = rule.condition.slots.get_mut(*slot)?;
                let own = book.indication(place.indication);
                *place = Slot { words: own.needs.clone(), demand: own.demand.clone(), ..place.clone() };
            }
            Kind::Swapped { nth } => {
                let conclusion = rule.conclusions.get_mut(*nth)?;
                *conclusion = match conclusion.clone() {
                    Conclusion::Implies(faults) | Conclusion::ImpliesOneOf(faults) => Conclusion::RulesOut(faults),
                    Conclusion::RulesOut(faults) => Conclusion::Implies(faults.into_iter().take(1).collect()),
                    odds @ Conclusion::Odds(..) => odds,
                };
            }
        }
        Some(rule)
    }

    /// The book with the slip in it.
    pub(super) fn in_book(&self, book: &Book) -> Option<Book> {
        let rule = self.in_rule(book)?;
        let mut slipped = book.clone();
        *slipped.rules.get_mut(self.rule.place())? = rule;
        Some(slipped)
    }

    /// The moved limit, the meter's error there, and the one slot that is compared with it.
    pub(super) fn moved(&self, book: &Book) -> Option<(SlotIx, Exact, Exact)> {
        let Kind::Moved { path, second, .. } = &self.kind else { return None };
        let condition = &book.rules.get(self.rule.place())?.condition;
        let Node::Compare(comparison) = part(&condition.node, path)? else { return None };
        let Value::Slot(slot) = comparison.subject else { return None };
        let (limit, width) = accuracy(book, condition, comparison, *second)?;
        Some((slot, limit, width))
    }
}

fn shift(test: &mut Test, second: bool, by: &Exact) -> Option<()> {
    let limit = match (test, second) {
        (Test::Below(x) | Test::Above(x) | Test::AtLeast(x) | Test::AtMost(x), false) => x,
        (Test::Between(x, _) | Test::Outside(x, _), false) => x,
        (Test::Between(_, y) | Test::Outside(_, y), true) => y,
        _ => return None,
    };
    *limit = Value::Constant(limit.as_constant()? + by);
    Some(())
}

fn part<'n>(node: &'n Node, path: &[usize]) -> Option<&'n Node> {
    let Some((first, rest)) = path.split_first() else { return Some(node) };
    match node {
        Node::All(parts) | Node::Any(parts) => part(parts.get(*first)?, rest),
        Node::Not(inner) => part(inner, rest),
        _ => None,
    }
}

fn part_mut<'n>(node: &'n mut Node, path: &[usize]) -> Option<&'n mut Node> {
    let Some((first, rest)) = path.split_first() else { return Some(node) };
    match node {
        Node::All(parts) | Node::Any(parts) => part_mut(parts.get_mut(*first)?, rest),
        Node::Not(inner) => part_mut(inner, rest),
        _ => None,
    }
}

//! In which order to look at the parts that may be at fault, and in which order to try repairs.
//!
//! Falling p / C (probability over cost of looking) is the best order only where its assumptions hold: one fault,
//! each part looked at on its own, costs that do not depend on the order (Heckerman, Breese & Rommelse,
//! *Decision-theoretic troubleshooting*, CACM 38(3), 1995; the rule is older: Kadane & Simon 1977, Mitten 1960). It
//! fails where the last part is concluded without looking, and where one action repairs several faults. With several
//! independent faults the rule is odds over cost. So each cost is computed for an order as it is, and for a few parts
//! the best order is found by trying all of them.
//!
//! Plain numbers; it must not know of books or jobs.

/// Up to this many parts or actions all orders are tried.
pub const MOST_TRIED: usize = 16;

/// Costs closer than this, relatively, are the same; then the part declared first goes first.
const SAME: f64 = 1e-9;

/// A part that may be at fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// The chance that it is at fault, 0 to 1.
    pub probability: f64,
    /// What it costs to look at it, in any unit (minutes, say).
    pub inspect: f64,
    /// What it costs to repair it once found.
    pub repair: f64,
}

impl Part {
    fn makes_sense(&self) -> bool {
        let cost = |cost: f64| cost.is_finite() && cost >= 0.0;
        (0.0..=1.0).contains(&self.probability) && cost(self.inspect) && cost(self.repair)
    }
}

/// What is taken for granted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assume {
    /// One fault; every part is looked at before it is repaired.
    OneFault,
    /// One fault; the last part left is known to be at fault without looking.
    LastConcluded,
    /// Faults independent of each other, at least one of them there; looking ends when all that are there have been
    /// found (Srinivas 1995). The chances are those before it was known that there is a fault.
    Several,
}

/// An action that repairs whichever of some faults is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Action {
    /// What it costs.
    pub cost: f64,
    /// The faults it repairs, by number.
    pub repairs: Vec<usize>,
}

/// An order with its cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The numbers of the parts or actions, first to last.
    pub order: Vec<usize>,
    /// The expected cost until repaired.
    pub cost: f64,
}

/// The order by falling p / C, or odds / C for [`Assume::Several`]; ties (to twelve digits) as declared. A part
/// that costs nothing to look at comes first.
#[must_use]
pub fn by_worth(parts: &[Part], assume: Assume) -> Vec<usize> {
    let worth = |part: &Part| {
        let likely = match assume {
            Assume::OneFault | Assume::LastConcluded => part.probability,
            Assume::Several => part.probability / (1.0 - part.probability),
        };
        if part.inspect > 0.0 { twelve_digits(likely / part.inspect) } else { f64::INFINITY }
    };
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|&a, &b| worth(&parts[b]).total_cmp(&worth(&parts[a])).then(a.cmp(&b)));
    order
}

fn twelve_digits(worth: f64) -> f64 {
    format!("{worth:.11e}").parse().unwrap_or(worth)
}

/// The expected cost of repair (ECR) of an order; none if the order does not name each part once, or a number makes no
/// sense.
///
/// For one fault, `sum of (1 - sum of p before) C + p R` (Heckerman, Breese & Rommelse 1995).
#[must_use]
pub fn expected_cost(parts: &[Part], order: &[usize], assume: Assume) -> Option<f64> {
    let any = some_fault(parts.iter());
    if !is_order(order, parts.len()) || !parts.iter().all(Part::makes_sense) || assume == Assume::Several && any <= 0.0
    {
        return None;
    }
    let (mut cost, mut left) = (0.0, 1.0);
    for (place, &number) in order.iter().enumerate() {
        let Part { probability, inspect, repair } = parts[number];
        match assume {
            Assume::Several => {
                let looked = some_fault(order[place..].iter().map(|&other| &parts[other]));
                cost += (inspect * looked + probability * repair) / any;
            }
            Assume::LastConcluded if place + 1 == order.len() => cost += probability * repair,
            Assume::OneFault | Assume::LastConcluded => cost += inspect * f64::max(left, 0.0) + probability * repair,
        }
        left -= probability;
    }
    Some(cost)
}

/// The chance that at least one of independent faults is there.
fn some_fault<'p>(parts: impl Iterator<Item = &'p Part>) -> f64 {
    1.0 - parts.map(|part| 1.0 - part.probability).product::<f64>()
}

/// The cheapest order of all, ties as declared; none for more than [`MOST_TRIED`] parts.
#[must_use]
pub fn best_order(parts: &[Part], assume: Assume) -> Option<Order> {
    let of = |set: usize| (0..parts.len()).filter(move |part| set >> part & 1 == 1).map(|part| &parts[part]);
    let all = (1_usize << parts.len().min(MOST_TRIED)) - 1;
    let any = some_fault(parts.iter());
    let order = cheapest(parts.len(), |done, next| {
        let inspect = parts[next].inspect;
        match assume {
            Assume::LastConcluded if done | 1 << next == all => 0.0,
            Assume::OneFault | Assume::LastConcluded => {
                inspect * f64::max(1.0 - of(done).map(|part| part.probability).sum::<f64>(), 0.0)
            }
            Assume::Several => inspect * some_fault(of(all & !done)) / any,
        }
    })?;
    let cost = expected_cost(parts, &order, assume)?;
    Some(Order { order, cost })
}

/// The order by falling (probability of the faults left that it repairs) / cost, looked at anew after each action.
/// Those that repair nothing that is left come last. Ties as declared.
#[must_use]
pub fn greedy_actions(probabilities: &[f64], actions: &[Action]) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    while order.len() < actions.len() {
        let worth = |number: usize| {
            let gain = unrepaired(probabilities, actions, &order) - {
                let with: Vec<usize> = order.iter().copied().chain([number]).collect();
                unrepaired(probabilities, actions, &with)
            };
            if actions[number].cost > 0.0 { twelve_digits(gain / actions[number].cost) } else { f64::INFINITY }
        };
        let left = (0..actions.len()).filter(|number| !order.contains(number));
        let best = left.fold(None, |best: Option<(f64, usize)>, number| match best {
            Some((most, _)) if most >= worth(number) => best,
            _ => Some((worth(number), number)),
        });
        order.extend(best.map(|(_, number)| number));
    }
    order
}

/// What trying actions in this order costs until the fault is repaired (one fault); none if the order does not name
/// each action once.
#[must_use]
pub fn cost_of_actions(probabilities: &[f64], actions: &[Action], order: &[usize]) -> Option<f64> {
    let step = |place: usize| actions[order[place]].cost * unrepaired(probabilities, actions, &order[..place]);
    is_order(order, actions.len()).then(|| (0..order.len()).map(step).sum())
}

/// The cheapest order of actions of all, ties as declared; none for more than [`MOST_TRIED`] actions.
#[must_use]
pub fn best_actions(probabilities: &[f64], actions: &[Action]) -> Option<Order> {
    let order = cheapest(actions.len(), |done, next| {
        let before: Vec<usize> = (0..actions.len()).filter(|action| done >> action & 1 == 1).collect();
        actions[next].cost * unrepaired(probabilities, actions, &before)
    })?;
    let cost = cost_of_actions(probabilities, actions, &order)?;
    Some(Order { order, cost })
}

/// The chance that none of these actions repaired the fault.
fn unrepaired(probabilities: &[f64], actions: &[Action], done: &[usize]) -> f64 {
    let repaired = |fault: &usize| done.iter().any(|&action| actions[action].repairs.contains(fault));
    (0..probabilities.len()).filter(|fault| !repaired(fault)).map(|fault| probabilities[fault]).sum()
}

fn is_order(order: &[usize], count: usize) -> bool {
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    sorted.into_iter().eq(0..count)
}

/// The order of least total where a step costs what `step(done, next)` says, `done` being a set of bits: dynamic
/// programming over all sets.
fn cheapest(count: usize, step: impl Fn(usize, usize) -> f64) -> Option<Vec<usize>> {
    if count > MOST_TRIED {
        return None;
    }
    let all = (1_usize << count) - 1;
    let mut rest: Vec<(f64, usize)> = vec![(0.0, 0); all + 1];
    for done in (0..all).rev() {
        let mut best = (f64::INFINITY, 0);
        for next in (0..count).filter(|next| done >> next & 1 == 0) {
            let cost = step(done, next) + rest[done | 1 << next].0;
            if cost < best.0 - SAME * best.0.abs() || best.0.is_infinite() {
                best = (cost, next);
            }
        }
        rest[done] = best;
    }
    let mut order = Vec::with_capacity(count);
    let mut done = 0;
    while done != all {
        let next = rest[done].1;
        order.push(next);
        done |= 1 << next;
    }
    Some(order)
}

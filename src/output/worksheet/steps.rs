//! Which steps of an order stand on the paper: those that are most often come to, numbered so that the likeliest answer
//! mostly leads to the next one. Where the paper ends, it says what may still be there.

use crate::advice::order::MeasuringOrder;
use crate::advice::planner::{Branch, Node, Plan, Step as PlanStep};
use crate::book::{FaultId, IndicationId, Setup};
use crate::output::leaf::{Answer, Block};
use crate::output::order_text::{order_quality, ways};
use crate::output::words::{Wording, about, counted};
use crate::reasoning::{Judgement, Verdict};

/// The most steps on paper.
const MOST: usize = 40;
/// The most faults that are named at the end of a path.
const MOST_NAMED: usize = 6;

/// The steps on paper.
pub(super) struct Chosen {
    /// Nodes of the plan, in the order of their numbers.
    pub(super) numbered: Vec<usize>,
}

impl Chosen {
    /// Chooses the steps.
    pub(super) fn of(order: &MeasuringOrder) -> Self {
        let Some(plan) = &order.plan else { return Self { numbered: Vec::new() } };
        let kept = kept(plan);
        let mut numbered: Vec<usize> = Vec::new();
        let mut waiting = vec![0];
        while let Some(at) = waiting.pop() {
            if numbered.contains(&at) || !kept.contains(&at) {
                continue;
            }
            numbered.push(at);
            let mut branches: Vec<&Branch> = plan.tree.nodes.get(at).map_or(&[][..], Node::branches).iter().collect();
            branches.sort_by(|a, b| a.chance.total_cmp(&b.chance).then(b.answer.cmp(&a.answer)));
            waiting.extend(branches.into_iter().map(|branch| branch.next));
        }
        Self { numbered }
    }

    fn number(&self, node: usize) -> Option<usize> {
        self.numbered.iter().position(|known| *known == node).map(|place| place + 1)
    }

    /// The tests on paper with their setups.
    pub(super) fn tests(&self, order: &MeasuringOrder) -> Vec<(IndicationId, Setup)> {
        let nodes = self.numbered.iter().filter_map(|at| order.plan.as_ref()?.tree.nodes.get(*at));
        let tests = nodes.filter_map(|node| match &node.step {
            PlanStep::Measure { test, .. } => order.tests.get(*test),
            _ => None,
        });
        tests.map(|test| (test.indication, test.setup.clone())).collect()
    }
}

/// The nodes with tests that are most often come to; each but the first has one before it that is kept.
fn kept(plan: &Plan) -> Vec<usize> {
    let measures = |at: usize| plan.tree.nodes.get(at).is_some_and(|node| !node.branches().is_empty());
    let mut kept: Vec<usize> = Vec::new();
    let mut open: Vec<usize> = if measures(0) { vec![0] } else { Vec::new() };
    while kept.len() < MOST {
        let reached = |at: &usize| plan.tree.nodes.get(*at).map_or(0.0, |node| node.reached);
        let likeliest = open.iter().enumerate().max_by(|a, b| reached(a.1).total_cmp(&reached(b.1)).then(b.1.cmp(a.1)));
        let Some(at) = likeliest.map(|(place, _)| place) else { break };
        let node = open.swap_remove(at);
        kept.push(node);
        for branch in plan.tree.nodes.get(node).map_or(&[][..], Node::branches) {
            if measures(branch.next) && !kept.contains(&branch.next) && !open.contains(&branch.next) {
                open.push(branch.next);
            }
        }
    }
    kept
}

impl Wording<'_> {
    pub(super) fn order_words(&self, order: &MeasuringOrder, chosen: &Chosen) -> String {
        let Some(plan) = &order.plan else {
            return "No test on offer tells apart what is left; see the repairs.".into();
        };
        let whole = plan.tree.tests() <= chosen.numbered.len();
        let steps = if whole {
            "All steps are on this paper.".to_string()
        } else {
            format!(
                "On this paper: the {} that are most often come to.",
                counted(chosen.numbered.len(), "step", "steps")
            )
        };
        let handed = match order.handed_over {
            0 => String::new(),
            many => {
                format!(" {} left out: work for licensed or qualified staff.", counted(many, "test is", "tests are"))
            }
        };
        format!("{} {steps}{handed}", order_quality(plan))
    }

    pub(super) fn numbered_step(&self, order: &MeasuringOrder, chosen: &Chosen, node: usize) -> Option<Block> {
        let plan = order.plan.as_ref()?;
        let PlanStep::Measure { test, branches, .. } = &plan.tree.nodes.get(node)?.step else { return None };
        let test = order.tests.get(*test)?;
        let mut step = self.bare_step(test.indication, &test.setup);
        step.number = chosen.number(node);
        for way in ways(plan, &test.answers, branches) {
            let to = chosen.number(way.next);
            let then = match to {
                Some(number) => format!("go to step {number}"),
                None => self.end_of_path(order, plan, way.next),
            };
            step.answers.push(Answer { when: self.cells(test.indication, &way.cells), then, to });
        }
        Some(Block::Step(step))
    }

    fn end_of_path(&self, order: &MeasuringOrder, plan: &Plan, at: usize) -> String {
        let Some(node) = plan.tree.nodes.get(at) else { return String::new() };
        let sets: Vec<&Vec<FaultId>> = node.left.iter().filter_map(|n| order.sets.get(*n)).collect();
        let name = |set: &&Vec<FaultId>| {
            set.iter().map(|id| self.book.fault(*id).name.as_str()).collect::<Vec<_>>().join(" with ")
        };
        let named: Vec<String> = sets.iter().take(MOST_NAMED).map(name).collect();
        let more = match sets.len().saturating_sub(MOST_NAMED) {
            0 => String::new(),
            many => format!(" and {many} more"),
        };
        let (named, ends) = (named.join(", "), node.branches().is_empty() && node.step != PlanStep::Later);
        match (ends, sets.len()) {
            (true, 0) => "nothing of this book is left; check what was written down".into(),
            (true, 1) => format!("only {named} is left; see its repair"),
            (true, _) => {
                format!("no single test tells these apart: {named}{more}; see what proves each, and their repairs")
            }
            (false, _) => {
                format!("comes up rarely ({}); the paper ends here. May be there: {named}{more}", about(node.reached))
            }
        }
    }

    /// The faults whose repairs stand on the paper: those at the ends of its paths; without an order, what may be there.
    pub(super) fn repairs_of(&self, order: &MeasuringOrder, chosen: &Chosen, judgement: &Judgement) -> Vec<FaultId> {
        let mut all: Vec<FaultId> = Vec::new();
        if let Some(plan) = &order.plan {
            for at in &chosen.numbered {
                for branch in plan.tree.nodes.get(*at).map_or(&[][..], Node::branches) {
                    let Some(node) = plan.tree.nodes.get(branch.next) else { continue };
                    if node.step == PlanStep::Stop {
                        all.extend(node.left.iter().filter_map(|n| order.sets.get(*n)).flatten().copied());
                    }
                }
            }
        } else {
            let left = [Verdict::Proved, Verdict::OnlyOneLeft, Verdict::Open];
            all.extend(judgement.verdicts.iter().filter(|v| left.contains(&v.verdict)).map(|v| v.fault));
        }
        all.sort_unstable();
        all.dedup();
        all
    }
}

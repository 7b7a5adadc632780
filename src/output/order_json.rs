//! A measuring order for machines.

use schemars::JsonSchema;
use serde::Serialize;

use crate::advice::order::MeasuringOrder;
use crate::advice::planner::Step;
use crate::job::setup_words;

use super::judgement_json::{JsonBook, json_book};
use super::judgement_text::SAFETY;
use super::words::Wording;

/// Name and version of the shape.
pub const SCHEMA: &str = "ruleout/order/1";

/// One answer of a test.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonBranch {
    /// In words.
    pub answer: String,
    /// Its chance there.
    pub chance: f64,
    /// The number of the moment that follows.
    pub next: usize,
}

/// One moment of the order.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonMoment {
    /// Its number, from 1.
    pub number: usize,
    /// `measure`, `stop`, `later`.
    pub does: &'static str,
    /// The test to take.
    pub test: Option<String>,
    /// Under which setup.
    pub setup: Option<String>,
    /// What it takes here, the way from the test before included.
    pub seconds: Option<f64>,
    /// Its answers.
    pub answers: Vec<JsonBranch>,
    /// What may still be there.
    pub left: Vec<String>,
    /// The chance of coming here.
    pub reached: f64,
}

/// The whole answer.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JsonOrder {
    /// Name and version of this shape.
    pub schema: &'static str,
    /// The book.
    pub book: JsonBook,
    /// What the order costs on average, in seconds; null where no test tells anything apart.
    pub expected_seconds: Option<f64>,
    /// No order costs less than this on average.
    pub lower_bound_seconds: Option<f64>,
    /// Whether it is proved to be the best.
    pub exact: bool,
    /// States that were looked at.
    pub states: usize,
    /// The moments; the first one is where it begins.
    pub moments: Vec<JsonMoment>,
    /// What stands before all.
    pub safety: &'static str,
}

/// The answer for an order.
pub fn json_order(wording: &Wording<'_>, order: &MeasuringOrder) -> JsonOrder {
    let plan = order.plan.as_ref();
    let nodes = plan.map_or(&[][..], |plan| &plan.tree.nodes);
    let moments = nodes.iter().enumerate().map(|(place, node)| {
        let mut moment = JsonMoment {
            number: place + 1,
            does: "stop",
            test: None,
            setup: None,
            seconds: None,
            answers: Vec::new(),
            left: node.left.iter().map(|n| wording.order_left(order, &[*n])).collect(),
            reached: node.reached,
        };
        match &node.step {
            Step::Stop => {}
            Step::Later => moment.does = "later",
            Step::Measure { test, cost, branches } => {
                let Some(test) = order.tests.get(*test) else { return moment };
                moment.does = "measure";
                moment.test = Some(wording.indication(test.indication).to_string());
                moment.setup = Some(setup_words(wording.book, &test.setup));
                moment.seconds = Some(*cost);
                let answer =
                    |n: usize| wording.cells(test.indication, test.answers.get(n).map_or(&[][..], Vec::as_slice));
                let each = branches.iter();
                moment.answers =
                    each.map(|b| JsonBranch { answer: answer(b.answer), chance: b.chance, next: b.next + 1 }).collect();
            }
        }
        moment
    });
    JsonOrder {
        schema: SCHEMA,
        book: json_book(wording.book),
        expected_seconds: plan.map(|plan| plan.expected_cost),
        lower_bound_seconds: plan.map(|plan| plan.lower_bound),
        exact: plan.is_some_and(|plan| plan.exact),
        states: plan.map_or(0, |plan| plan.states),
        moments: moments.collect(),
        safety: SAFETY,
    }
}

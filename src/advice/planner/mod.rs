//! The cheapest measuring order.
mod bounds;
mod chain;
mod gain;
mod matrix;
mod offer;
mod plan;
mod problem;
mod refused;
mod rollout;
mod search;
mod state;
mod tree;

pub use gain::{By, Value, myopic};
pub use plan::{Budget, Plan, greedy, plan};
pub use problem::{Problem, Test};
pub use refused::Refused;
pub use tree::{Branch, Node, Step, Tree};

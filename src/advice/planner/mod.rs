//! The cheapest measuring order: which test first, and for each answer which one then.
mod bounds;
mod chain;
mod gain;
mod matrix;
mod offer;
mod pairs;
mod plan;
mod problem;
mod purse;
mod refused;
mod rollout;
mod search;
mod setup;
mod singles;
mod state;
mod tree;

pub use gain::{By, Value, myopic};
pub use plan::{Budget, Plan, greedy, plan, plan_starting_with};
pub use problem::{Problem, Test};
pub use refused::Refused;
pub use setup::{Cost, myopic_from, plan_from};
pub use tree::{Branch, Node, Step, Tree};

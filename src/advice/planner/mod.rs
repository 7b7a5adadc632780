//! The cheapest measuring order: which test first, and for each answer which one then.
//!
//! [`plan()`] finds the order of least expected cost until the hypotheses left can't be separated further, proves it,
//! or says how far from the best it can be at most. [`greedy()`] and [`myopic()`] look one step ahead only; `myopic` is
//! what the advice for the next step goes by. [`plan_from`] and [`myopic_from`] reckon with costs that depend on
//! where the vehicle stands.
//!
//! Everything works on plain tables of chances ([`Problem`]) and must not know of books, jobs or names. The same
//! problem and [`Budget`] give the same answer on any machine.
//!
//! How it works: hypotheses that no test separates are merged (`matrix.rs`); a state is what is left (`state.rs`);
//! the search goes depth first over tests and answers with a memo (`search.rs`) and cuts off what seven lower bounds
//! show to be too dear (`bounds.rs`, and `huffman.rs`, `pairs.rs`, `chain.rs`, `purse.rs`, `needs.rs`, `cover.rs`, `parting.rs` with
//! their proofs); states
//! in which each test singles out one hypothesis need no search (`singles.rs`). If the budget ends first, the best of
//! a few tests is taken at each step by what going on greedily would cost (`rollout.rs`).
//!
//! After Pattipati & Alexandridis, *Application of heuristic search and information theory to sequential fault
//! diagnosis*, IEEE Trans. SMC 20(4), 1990, and Garey, *Optimal binary identification procedures*, 1972.
//!
//! ```
//! use ruleout::advice::planner::{Budget, Problem, Test, plan};
//!
//! // three faults; the first test singles out fault 0, the second fault 2
//! let problem = Problem {
//!     weights: vec![5.0, 3.0, 2.0],
//!     tests: vec![Test::decided(3.0, &[1, 0, 0]), Test::decided(1.0, &[0, 0, 1])],
//! };
//! let plan = plan(&problem, Budget::default())?;
//! assert_eq!(plan.tree.first_test(), Some(1)); // 1 + 0.8 * 3 is less than 3 + 0.5 * 1
//! assert!(plan.exact && (plan.expected_cost - 3.4).abs() < 1e-12);
//! # Ok::<(), ruleout::advice::planner::Refused>(())
//! ```

mod bounds;
mod candidate;
mod chain;
mod core;
mod costs;
mod cover;
mod gain;
mod grow;
mod huffman;
mod matrix;
mod myopic;
mod needs;
mod offer;
mod pairs;
mod parting;
mod plan;
mod problem;
mod purse;
mod refused;
mod rollout;
mod search;
mod setup;
mod singles;
mod solution;
mod state;
mod sums;
mod tree;
mod view;

pub use bounds::{Bounds, bounds};
pub use gain::By;
pub use myopic::{Value, myopic};
pub use plan::{Budget, Plan, greedy, plan, plan_starting_with};
pub use problem::{Problem, Test};
pub use refused::Refused;
pub use setup::{Cost, myopic_from, plan_from};
pub use tree::{Branch, Node, Step, Tree};

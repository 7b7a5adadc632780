//! The search of this folder against solvers of other hands, on random questions: sums against a simplex in floating
//! point, where its answer is clear of rounding; answers of observations against a SAT solver.

use batsat::{BasicSolver, Lit, SolverInterface, lbool};
use microlp::{ComparisonOp, OptimizationDirection, Problem};

use crate::units::{Exact, Interval};

use super::formula::Formula;
use super::solve::{Answer, solve};
use super::system::{Domain, System, Under};

struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % sides
    }

    fn within(&mut self, reach: i64) -> i64 {
        self.roll(2 * reach as u64 + 1) as i64 - reach
    }
}

/// Readings from 0 to 9 each, and sums of them with small whole factors that lie at or below nought.
struct Sums {
    readings: usize,
    sums: Vec<(Vec<i64>, i64, bool)>,
}

impl Sums {
    fn roll(dice: &mut Dice) -> Self {
        let readings = 2 + dice.roll(4) as usize;
        let sums = (0..2 + dice.roll(6)).map(|_| {
            let factors = (0..readings).map(|_| if dice.roll(3) == 0 { 0 } else { dice.within(3) });
            (factors.collect(), dice.within(12), dice.roll(2) == 0)
        });
        Self { readings, sums: sums.collect() }
    }

    /// What our own elimination says.
    fn ours(&self) -> Option<bool> {
        let all = Interval::between(Exact::zero(), Exact::from_int(9));
        let mut system = System::new(vec![Domain::Number(all); self.readings]);
        for (factors, constant, strict) in &self.sums {
            let terms = factors.iter().enumerate().map(|(var, factor)| (var, Exact::from_int(*factor)));
            if !system.under(&Under::new(terms, Exact::from_int(*constant), *strict)) {
                return Some(false);
            }
        }
        system.is_possible()
    }

    /// The most that every sum can be held below nought together, by a simplex; less than nought where it can't.
    fn room(&self) -> f64 {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let readings: Vec<_> = (0..self.readings).map(|_| problem.add_var(0.0, (0.0, 9.0))).collect();
        let room = problem.add_var(1.0, (-1000.0, 1.0));
        for (factors, constant, _) in &self.sums {
            let mut terms: Vec<_> = readings.iter().copied().zip(factors.iter().map(|factor| *factor as f64)).collect();
            terms.push((room, 1.0));
            problem.add_constraint(terms.as_slice(), ComparisonOp::Le, -(*constant as f64));
        }
        problem.solve().unwrap().into_solution().unwrap().objective()
    }
}

#[test]
fn sums_can_be_where_a_simplex_says_so() {
    let mut dice = Dice(0x2545_F491_4F6C_DD1D);
    let (mut possible, mut impossible, mut border, mut spent) = (0, 0, 0, 0);
    for _ in 0..4000 {
        let sums = Sums::roll(&mut dice);
        let room = sums.room();
        let expected = match room {
            room if room > 1e-6 => true,
            room if room < -1e-6 => false,
            _ => {
                border += 1;
                continue;
            }
        };
        let Some(ours) = sums.ours() else {
            spent += 1;
            continue;
        };
        assert_eq!(ours, expected, "room {room}: {:?}", sums.sums);
        *(if expected { &mut possible } else { &mut impossible }) += 1;
    }
    assert!(possible > 800 && impossible > 800, "{possible} {impossible}");
    assert!(border < 400 && spent == 0, "{border} {spent}");
}

/// What may be, over the answers of some observations.
fn random_formula(dice: &mut Dice, deep: u64) -> Formula {
    let parts = |dice: &mut Dice| (0..2 + dice.roll(2)).map(|_| random_formula(dice, deep - 1)).collect::<Vec<_>>();
    match if deep == 0 { 0 } else { dice.roll(3) } {
        1 => Formula::all(parts(dice)),
        2 => Formula::any(parts(dice)),
        _ => Formula::Answer(dice.roll(OBSERVATIONS as u64) as usize, dice.roll(8)),
    }
}

const OBSERVATIONS: usize = 5;
const ANSWERS: usize = 3;

struct Sat {
    solver: BasicSolver,
    /// By observation and answer.
    given: Vec<Vec<Lit>>,
}

impl Sat {
    /// Each observation has exactly one answer.
    fn new() -> Self {
        let mut solver = BasicSolver::default();
        let given: Vec<Vec<Lit>> = (0..OBSERVATIONS)
            .map(|_| (0..ANSWERS).map(|_| Lit::new(solver.new_var_default(), true)).collect())
            .collect();
        for answers in &given {
            solver.add_clause_reuse(&mut answers.clone());
            for (n, one) in answers.iter().enumerate() {
                for other in &answers[n + 1..] {
                    solver.add_clause_reuse(&mut vec![!*one, !*other]);
                }
            }
        }
        Self { solver, given }
    }

    /// A literal that makes a formula be so (Plaisted & Greenbaum 1986: one direction is enough).
    fn literal(&mut self, formula: &Formula) -> Lit {
        let own = Lit::new(self.solver.new_var_default(), true);
        match formula {
            Formula::All(parts) => {
                for part in parts {
                    let part = self.literal(part);
                    self.solver.add_clause_reuse(&mut vec![!own, part]);
                }
            }
            Formula::Any(parts) => {
                let mut clause: Vec<Lit> = parts.iter().map(|part| self.literal(part)).collect();
                clause.push(!own);
                self.solver.add_clause_reuse(&mut clause);
            }
            Formula::Answer(var, mask) => {
                let mut clause: Vec<Lit> =
                    (0..ANSWERS).filter(|n| mask >> n & 1 == 1).map(|n| self.given[*var][n]).collect();
                clause.push(!own);
                self.solver.add_clause_reuse(&mut clause);
            }
            Formula::Never => {
                self.solver.add_clause_reuse(&mut vec![!own]);
            }
            Formula::Holds | Formula::Bent | Formula::Under(_) => {}
        }
        own
    }

    fn can_be(formulas: &[Formula]) -> bool {
        let mut sat = Self::new();
        let wanted: Vec<Lit> = formulas.iter().map(|formula| sat.literal(formula)).collect();
        sat.solver.solve_limited(&wanted) == lbool::TRUE
    }
}

#[test]
fn answers_can_be_where_a_sat_solver_says_so() {
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let (mut possible, mut impossible) = (0, 0);
    for _ in 0..3000 {
        let formulas: Vec<Formula> = (0..3 + dice.roll(6)).map(|_| random_formula(&mut dice, 3)).collect();
        // One of them turned round, so that `not` is tried too.
        let turned = formulas[0].not();
        let all: Vec<Formula> = std::iter::once(turned).chain(formulas.into_iter().skip(1)).collect();
        let domains = vec![Domain::Answers(0b111); OBSERVATIONS];
        let expected = Sat::can_be(&all);
        match solve(&all, System::new(domains)) {
            Answer::Can(_) => assert!(expected, "{all:?}"),
            Answer::Cannot => assert!(!expected, "{all:?}"),
            Answer::Open => panic!("left open: {all:?}"),
        }
        *(if expected { &mut possible } else { &mut impossible }) += 1;
    }
    assert!(possible > 500 && impossible > 500, "{possible} {impossible}");
}

//! The 1,000-rule workload in Ruleout's flat form, in plain structs, and in two general-purpose crates: equal conclusions
//! first, then rule evaluations a second, on one core, and their ratios. One run, so that the machine is the same for all.

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use evalexpr::{ContextWithMutableVariables, HashMapContext, Node, Value, build_operator_tree};
use rhai::{AST, Engine, Scope};
use ruleout::batch::{Given, Layout};
use ruleout::book::{Book, Library, load};

#[path = "../../common/rules.rs"]
mod rules;
use rules::{FAULTS, Fact, Rule, WIDTH, facts, text};

struct Text(String);

impl Library for Text {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn book(rules: &[Rule]) -> Book {
    load(&Text(text(rules)), Path::new("workload.rulebook")).expect("it is text").resolve(None).0
}

/// A rule as an expression that both crates read.
fn expression(rule: &Rule) -> String {
    let mut all = format!("x{} < {:.2} && s{} == true", rule.x, rule.a, rule.s);
    if let Some((y, b, c)) = rule.between {
        all.push_str(&format!(" && x{y} >= {b:.2} && x{y} <= {c:.2}"));
    }
    all
}

/// Which faults are ruled out.
type Conclusions = Vec<bool>;

fn plain(rules: &[Rule], fact: &Fact) -> Conclusions {
    let mut out = vec![false; FAULTS];
    rules.iter().for_each(|rule| out[rule.fault] |= rule.fires(fact));
    out
}

/// All rules as one script, compiled once: the fastest that a script of rules can be.
struct Script {
    engine: Engine,
    ast: AST,
}

impl Script {
    fn new(rules: &[Rule]) -> Self {
        let mut script = String::new();
        for rule in rules {
            script.push_str(&format!("if {} {{ f[{}] = true; }}\n", expression(rule), rule.fault));
        }
        script.push_str("f");
        let mut engine = Engine::new();
        engine.set_optimization_level(rhai::OptimizationLevel::Full).set_max_expr_depths(0, 0);
        let ast = engine.compile(&script).expect("it is a script");
        Self { engine, ast }
    }

    fn judge(&self, fact: &Fact) -> Conclusions {
        let mut scope = Scope::new();
        for n in 0..WIDTH {
            scope.push(format!("x{n}"), fact.x[n]);
            scope.push(format!("s{n}"), fact.s[n]);
        }
        scope.push("f", vec![rhai::Dynamic::from(false); FAULTS]);
        let out: rhai::Array = self.engine.eval_ast_with_scope(&mut scope, &self.ast).expect("it runs");
        out.into_iter().map(|value| value.as_bool().expect("it is true or false")).collect()
    }
}

/// Each rule as an expression, parsed once.
struct Expressions(Vec<(Node, usize)>);

impl Expressions {
    fn new(rules: &[Rule]) -> Self {
        Self(
            rules
                .iter()
                .map(|rule| (build_operator_tree(&expression(rule)).expect("it is an expression"), rule.fault))
                .collect(),
        )
    }

    fn judge(&self, fact: &Fact) -> Conclusions {
        let mut context = HashMapContext::new();
        for n in 0..WIDTH {
            context.set_value(format!("x{n}"), Value::Float(fact.x[n])).expect("a new name");
            context.set_value(format!("s{n}"), Value::Boolean(fact.s[n])).expect("a new name");
        }
        let mut out = vec![false; FAULTS];
        for (node, fault) in &self.0 {
            out[*fault] |= node.eval_boolean_with_context(&context).expect("all names are set");
        }
        out
    }
}

/// Best time of all facts over some rounds, as million rule evaluations a second.
fn rate(rules: usize, facts: usize, rounds: usize, mut work: impl FnMut()) -> f64 {
    let time = |_| {
        let start = Instant::now();
        work();
        start.elapsed().as_secs_f64()
    };
    let best = (0..rounds).map(time).fold(f64::INFINITY, f64::min);
    (rules * facts) as f64 / best / 1e6
}

fn main() {
    let rules = Rule::all(1_000);
    let facts = facts(256);
    let book = book(&rules);
    let headings = Fact::headings();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let layout = Layout::new(&book, "", &headings).expect("its readings are there");
    let plan = layout.plan().expect("it is flat");
    let mut standing = plan.standing();
    let cells: Vec<Vec<i64>> = facts
        .iter()
        .map(|fact| {
            let said = fact.said();
            let given = Given { said: said.iter().map(String::as_str).collect(), complaint: "" };
            layout.cells(&book, &given).expect("all can be taken").expect("all are whole")
        })
        .collect();
    let (script, expressions) = (Script::new(&rules), Expressions::new(&rules));
    for (fact, cells) in facts.iter().zip(&cells) {
        let expected = plain(&rules, fact);
        assert!(plan.judge(&mut cells.clone(), None, &mut standing));
        let mut ours = vec![true; FAULTS];
        standing.open().for_each(|fault| ours[fault.place()] = false);
        assert_eq!(ours, expected, "ruleout");
        assert_eq!(script.judge(fact), expected, "rhai");
        assert_eq!(expressions.judge(fact), expected, "evalexpr");
    }
    let mut own = plan.blank();
    let ours = rate(1_000, facts.len(), 9, || {
        for job in &cells {
            own[..job.len()].copy_from_slice(job);
            black_box(plan.judge(&mut own, None, &mut standing));
        }
    });
    let structs = rate(1_000, facts.len(), 9, || facts.iter().for_each(|fact| drop(black_box(plain(&rules, fact)))));
    let few = facts.get(..64).unwrap_or(&facts);
    let rhai = rate(1_000, few.len(), 3, || few.iter().for_each(|fact| drop(black_box(script.judge(fact)))));
    let evalexpr = rate(1_000, few.len(), 3, || few.iter().for_each(|fact| drop(black_box(expressions.judge(fact)))));
    let best = rhai.max(evalexpr);
    println!("1,000 rules, equal conclusions on {} fact sets; million rule evaluations/s a core:", facts.len());
    println!("ruleout {ours:.0}, plain structs {structs:.0}, rhai {rhai:.1}, evalexpr {evalexpr:.1}");
    println!("ruleout is {:.1} x the better crate; plain structs are {:.1} x ruleout", ours / best, structs / ours);
}

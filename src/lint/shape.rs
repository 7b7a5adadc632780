//! A condition as words that are the same wherever two conditions ask the same: the order of `and`, of `or` and of
//! setup words doesn't count, nor do case, blanks, and parentheses that change nothing.

use crate::syntax::tree::{Atom, Condition, Expr, Operator, SetupItem, SignalWord, Test, fold};

/// The words of a condition.
pub(crate) fn of(condition: &Condition) -> String {
    let mut out = String::with_capacity(64);
    write(condition, &mut out);
    out
}

fn write(condition: &Condition, out: &mut String) {
    match condition {
        Condition::All(parts) => joined(parts, "&", out),
        Condition::Any(parts) => joined(parts, "|", out),
        Condition::Not(inner, _) => {
            out.push('!');
            write(inner, out);
        }
        Condition::Group(inner, setup, _) if setup.is_empty() => write(inner, out),
        Condition::Group(inner, setup, _) => {
            out.push('(');
            write(inner, out);
            out.push(')');
            items(setup, out);
        }
        Condition::Atom(one) => atom(one, out),
    }
}

fn joined(parts: &[Condition], by: &str, out: &mut String) {
    let mut all: Vec<String> = parts.iter().map(of).collect();
    all.sort_unstable();
    out.push('(');
    out.push_str(&all.join(by));
    out.push(')');
}

fn atom(atom: &Atom, out: &mut String) {
    if atom.negated {
        out.push('!');
    }
    expr(&atom.subject, out);
    match &atom.test {
        None => {}
        Some(Test::Below(x)) => compared("<", &[x], out),
        Some(Test::Above(x)) => compared(">", &[x], out),
        Some(Test::AtLeast(x)) => compared(">=", &[x], out),
        Some(Test::AtMost(x)) => compared("<=", &[x], out),
        Some(Test::Between(ends)) => compared("between", &[&ends.0, &ends.1], out),
        Some(Test::Outside(ends)) => compared("outside", &[&ends.0, &ends.1], out),
        Some(Test::InTolerance) => out.push_str(" in"),
        Some(Test::OutOfTolerance) => out.push_str(" out"),
        Some(Test::BelowTolerance) => out.push_str(" below"),
        Some(Test::AboveTolerance) => out.push_str(" above"),
        Some(Test::Is(word)) => {
            out.push_str(" is ");
            out.push_str(&word.key());
        }
    }
    for signal in &atom.signal {
        out.push_str(match signal {
            SignalWord::Ever => " ever",
            SignalWord::Always => " always",
            SignalWord::ForAtLeast(_) => " for",
            SignalWord::Times(_) => " times",
            SignalWord::Within(..) => " within",
        });
        if let SignalWord::ForAtLeast(number) | SignalWord::Times(number) | SignalWord::Within(number, _) = signal {
            expr(&Expr::Number(number.clone()), out);
        }
        if let SignalWord::Within(_, inner) = signal {
            write(inner, out);
        }
    }
    items(&atom.setup, out);
}

fn compared(sign: &str, limits: &[&Expr], out: &mut String) {
    out.push(' ');
    out.push_str(sign);
    for limit in limits {
        out.push(' ');
        expr(limit, out);
    }
}

fn items(setup: &[SetupItem], out: &mut String) {
    let mut all: Vec<String> = setup.iter().map(item).collect();
    all.sort_unstable();
    all.dedup();
    for one in all {
        out.push(' ');
        out.push_str(&one);
    }
}

/// One state or change with its value.
pub(crate) fn item(item: &SetupItem) -> String {
    let name = item.name.key();
    match &item.value {
        None => format!("{}{name}", if item.with { "with " } else { "without " }),
        Some((plain, value)) => format!("with {name} {} {}", if *plain == item.with { "=" } else { "!=" }, value.key()),
    }
}

fn expr(expr: &Expr, out: &mut String) {
    match expr {
        Expr::Number(number) => {
            out.push_str(&number.digits);
            // Units keep their case: mohm and Mohm are two.
            out.push_str(number.unit.as_ref().map_or("", |unit| &unit.text));
        }
        Expr::Name(name) => out.push_str(&name.key()),
        Expr::Call { name, arguments, .. } => {
            out.push_str(&fold(&name.text));
            out.push('(');
            for argument in arguments {
                self::expr(argument, out);
                out.push(',');
            }
            out.push(')');
        }
        Expr::Negative(inner, _) => {
            out.push('-');
            self::expr(inner, out);
        }
        Expr::Binary { operator, left, right } => {
            out.push('(');
            self::expr(left, out);
            out.push(match operator {
                Operator::Plus => '+',
                Operator::Minus => '-',
                Operator::Times => '*',
                Operator::Over => '/',
            });
            self::expr(right, out);
            out.push(')');
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn shape(text: &str) -> String {
        of(&crate::syntax::parse_condition(SourceId(0), text).unwrap())
    }

    #[test]
    fn order_case_and_idle_parentheses_do_not_count() {
        assert_eq!(shape("a below 1 V and b is yes with x, y"), shape("(B is YES with y, with x) and A  below 1 V"));
    }

    #[test]
    fn what_changes_the_meaning_counts() {
        for (one, other) in [
            ("a below 1 V", "a at most 1 V"),
            ("a below 1 mohm", "a below 1 Mohm"),
            ("a is yes with x", "a is yes without x"),
            ("a is yes and b is yes", "a is yes or b is yes"),
            ("a is yes with s is high", "a is yes with s is not high"),
            ("(a is yes and b is yes) with x", "a is yes and b is yes with x"),
        ] {
            assert_ne!(shape(one), shape(other), "{one} / {other}");
        }
    }
}

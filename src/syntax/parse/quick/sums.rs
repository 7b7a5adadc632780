//! Sums of numbers and names.

use crate::syntax::tree::{Expr, Name, Number, Operator};

use super::super::expressions::{binary, joined};
use super::{Kind, Words};

/// Longer sums are left to the grammar, which has a word for them.
const MOST_TERMS: usize = 8;

impl Words<'_> {
    /// Values and what joins them, left to right; `*` and `/` bind before `+` and `-`.
    pub(super) fn sum(&mut self) -> Option<Expr> {
        let mut product = self.value()?;
        let mut waiting: Option<(Expr, Operator)> = None;
        for _ in 0..MOST_TERMS {
            let Some(operator) = self.operator() else { return Some(joined(waiting, product)) };
            let right = self.value()?;
            if matches!(operator, Operator::Times | Operator::Over) {
                product = binary(operator, product, right);
            } else {
                waiting = Some((joined(waiting, product), operator));
                product = right;
            }
        }
        None
    }

    fn operator(&mut self) -> Option<Operator> {
        let operator = match self.ahead(0) {
            "+" => Operator::Plus,
            "-" => Operator::Minus,
            "*" => Operator::Times,
            "/" => Operator::Over,
            _ => return None,
        };
        self.next();
        Some(operator)
    }

    /// `name(a, b)`
    fn call(&mut self, name: Name) -> Option<Expr> {
        let arguments = self.in_parentheses(|words| {
            let mut arguments = vec![words.sum()?];
            while words.take(",").is_some() {
                arguments.push(words.sum()?);
            }
            Some(arguments)
        })?;
        let span = name.span.to(self.span(self.end(), self.end()));
        Some(Expr::Call { name, arguments, span })
    }

    /// A number, a name or a call, perhaps with a minus before it.
    fn value(&mut self) -> Option<Expr> {
        let minus = self.take("-");
        if matches!(self.peek()?.kind, Kind::Whole | Kind::Decimal) {
            let number = self.number()?;
            let Some(minus) = minus else { return Some(Expr::Number(number)) };
            let span = self.span(minus.start, minus.end).to(number.span);
            return Some(Expr::Number(Number { digits: format!("-{}", number.digits).into(), span, ..number }));
        }
        let name = self.name()?;
        let name = if self.next_is("(") { self.call(name)? } else { Expr::Name(name) };
        let Some(minus) = minus else { return Some(name) };
        let span = self.span(minus.start, minus.end).to(name.span());
        Some(Expr::Negative(Box::new(name), span))
    }
}

//! Where a line may end: before the joiners and conclusions of a sentence, after a comma, before a setup or an
//! operator, and always between two texts.

use super::token::{Break, Kind, Token};
use crate::syntax::words::{DeclarationRow, field_at};

const CONCLUSIONS: &[&str] = &["implies", "rules", "suggests", "speaks"];

/// Sets [`Token::breaks`] of a line that may go on over several lines.
pub(super) fn mark(row: &DeclarationRow, tokens: &mut [Token<'_>]) {
    let mut state = State { between: vec![false], one_of: false };
    if tokens.first().is_some_and(|first| first.kind == Kind::Open) {
        state.between.push(false);
    }
    for at in 1..tokens.len() {
        let Some((before, [token, ..])) = tokens.split_at_mut_checked(at) else { continue };
        let Some(left) = before.last() else { continue };
        token.breaks = state.before(row, left, token);
    }
}

/// Whether a piece that began a line would be read as a field of its own.
pub(super) fn begins_field(row: &DeclarationRow, token: &Token<'_>) -> bool {
    token.kind == Kind::Name && field_at(row, &token.text).is_some()
}

struct State {
    /// For each open parenthesis, whether a `between` still waits for its `and`.
    between: Vec<bool>,
    /// Whether an `or` stands between the faults that a rule implies.
    one_of: bool,
}

impl State {
    fn before(&mut self, row: &DeclarationRow, left: &Token<'_>, token: &Token<'_>) -> Break {
        match token.kind {
            Kind::Text if left.kind == Kind::Text => return Break::Must,
            Kind::Operator => return Break::May,
            Kind::Open => self.between.push(false),
            Kind::Close if self.between.len() > 1 => {
                self.between.pop();
            }
            Kind::Word => return self.before_word(left, token),
            _ => {}
        }
        if left.kind == Kind::Comma && !begins_field(row, token) { Break::May } else { Break::Never }
    }

    fn before_word(&mut self, left: &Token<'_>, token: &Token<'_>) -> Break {
        let outside = self.between.len() == 1;
        let clause = if outside { Break::Clause } else { Break::May };
        match &*token.text {
            "between" => {
                if let Some(waits) = self.between.last_mut() {
                    *waits = true;
                }
                Break::Never
            }
            "and" => match self.between.last_mut() {
                Some(waits) if *waits => {
                    *waits = false;
                    Break::Never
                }
                _ => clause,
            },
            "or" if self.one_of => Break::May,
            "or" => clause,
            "with" | "without" => Break::May,
            word if outside && CONCLUSIONS.contains(&word) => {
                self.one_of = word == "implies";
                if left.is_word("and") { Break::Never } else { Break::Clause }
            }
            _ => Break::Never,
        }
    }
}

//! Where a comment stands when the words around it move: past the comma that it was written before, ahead of the
//! joiner that it was written after. No comment is lost and none overtakes another.

use std::borrow::Cow;

use super::token::{Kind, Token};

/// Moves the comments of a line that may go on over several lines.
pub(super) fn settle(tokens: &mut [Token<'_>]) {
    for at in 1..tokens.len() {
        let Some(token) = tokens.get(at) else { continue };
        if token.is_word("and") || token.is_word("or") {
            ahead_of_joiner(tokens, at);
        } else if token.kind == Kind::Comma || token.text == "=" || token.is_word("means") {
            past_link(tokens, at);
        }
    }
}

/// A comma ends its line; `=` and `means` at the start of one would be fields.
fn past_link(tokens: &mut [Token<'_>], at: usize) {
    let Some([left, link, right]) = tokens.get_mut(at - 1..at + 2) else { return };
    if left.after.is_none() && link.before.is_empty() {
        return;
    }
    let mut moved = std::mem::take(&mut link.before);
    moved.extend(link.after.take());
    link.after = left.after.take();
    moved.append(&mut right.before);
    right.before = moved;
}

fn ahead_of_joiner(tokens: &mut [Token<'_>], at: usize) {
    let Some([left, joiner, right]) = tokens.get_mut(at - 1..at + 2) else { return };
    let after = joiner.after.take();
    if joiner.before.is_empty() && left.after.is_none() {
        left.after = after;
    } else {
        joiner.before.extend(after);
    }
    joiner.before.append(&mut right.before);
}

/// Takes every comment out of a line that can't go on on a second one, the trailing one aside.
pub(super) fn take_inner<'t>(tokens: &mut [Token<'t>]) -> Vec<Cow<'t, str>> {
    let last = tokens.len().saturating_sub(1);
    let mut taken = Vec::new();
    for (at, token) in tokens.iter_mut().enumerate() {
        taken.append(&mut token.before);
        if at < last {
            taken.extend(token.after.take());
        }
    }
    taken
}

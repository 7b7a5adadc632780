//! Rules that ask the same.

use std::collections::HashMap;

use crate::lint::check::{Finding, Findings, check};
use crate::lint::shape;
use crate::lint::subject::Subject;
use crate::syntax::tree::{FieldBody, Name};
use crate::syntax::words::DeclarationWord;

check! {
    /// Finds: two rules with the same condition; the order of `and`, `or` and `with` doesn't count.
    ///
    /// Harm: one was copied and not finished, or two conclusions of one condition will drift apart.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   fan runs is no and supply at fan connector below 0.5 V
    ///   implies open feed wire
    /// rule the fan is not fed:
    ///   supply at fan connector below 0.5 V and fan runs is no
    ///   rules out blown fuse
    /// ```
    /// Good:
    /// ```rulebook
    /// rule no feed:
    ///   fan runs is no and supply at fan connector below 0.5 V
    ///   implies open feed wire
    ///   rules out blown fuse
    /// ```
    "same-conditions", Warning, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let mut first: HashMap<String, &Name> = HashMap::new();
    for rule in subject.trees.iter().flat_map(|tree| &tree.declarations).filter(|d| d.word == DeclarationWord::Rule) {
        for field in &rule.fields {
            let FieldBody::Sentence(sentence) = &field.body else { continue };
            let name = *first.entry(shape::of(&sentence.condition)).or_insert(&rule.name);
            if name.span != rule.name.span && subject.is_own(rule.name.span) {
                found.add(
                    Finding::at(
                        rule.name.span,
                        format!("rule `{}` asks the same as rule `{}`", rule.name.text, name.text),
                    )
                    .also(name.span, "this one")
                    .help("join them: one rule can have several conclusions; or finish the condition of one of them"),
                );
            }
        }
    }
}

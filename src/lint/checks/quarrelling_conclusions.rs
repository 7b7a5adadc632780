//! Sentences that conclude both ways.

use std::collections::BTreeMap;

use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::{Conclusion, FieldBody, Name};
use crate::syntax::words::DeclarationWord;

check! {
    /// Finds: a rule that concludes for a fault and against it.
    ///
    /// Harm: wherever the rule applies, the job ends in a conflict with itself.
    ///
    /// Bad:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    ///   rules out open feed wire
    /// ```
    /// Good:
    /// ```rulebook
    /// rule no feed:
    ///   supply at fan connector below 0.5 V
    ///   implies open feed wire
    ///   rules out blown fuse
    /// ```
    "quarrelling-conclusions", Error, Tree, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for rule in subject.of(DeclarationWord::Rule) {
        let sentences = rule
            .fields
            .iter()
            .filter_map(|field| if let FieldBody::Sentence(sentence) = &field.body { Some(sentence) } else { None });
        for sentence in sentences {
            one(&sentence.conclusions, found);
        }
    }
}

fn one(conclusions: &[Conclusion], found: &mut Findings) {
    let mut pro: BTreeMap<String, &Name> = BTreeMap::new();
    let mut contra: Vec<&Name> = Vec::new();
    for conclusion in conclusions {
        match conclusion {
            Conclusion::Implies(names, _) | Conclusion::ImpliesOneOf(names, _) | Conclusion::Suggests(names, ..) => {
                pro.extend(names.iter().map(|name| (name.key(), name)));
            }
            Conclusion::RulesOut(names, _) | Conclusion::SpeaksAgainst(names, ..) => contra.extend(names),
        }
    }
    for against in contra {
        if let Some(favour) = pro.get(&against.key()) {
            found.add(
                Finding::at(against.span, format!("this rule speaks for `{}` and against it", against.text))
                    .also(favour.span, "for it here")
                    .help("take one of them out"),
            );
        }
    }
}

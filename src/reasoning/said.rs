//! What the rules that apply say of each fault, gathered once, so that the reasons of all faults cost one walk.

use crate::book::{Book, Conclusion, FaultId};

use super::evidence::{Applied, Evidence};
use super::judge::Reason;

/// The conclusions of the rules that apply, by fault.
#[derive(Debug, Default)]
pub(super) struct Said<'a> {
    /// By fault: those that name it, in order.
    naming: Vec<Vec<(usize, &'a Applied, &'a Conclusion)>>,
    /// Those by which one of several is there, in order.
    one_of: Vec<(usize, &'a Applied, &'a [FaultId])>,
}

impl<'a> Said<'a> {
    pub(super) fn by(book: &'a Book, evidence: &'a Evidence) -> Self {
        let mut said = Self { naming: vec![Vec::new(); book.faults.len()], one_of: Vec::new() };
        for (order, (applied, conclusion)) in evidence.conclusions(book).enumerate() {
            let named = match conclusion {
                Conclusion::ImpliesOneOf(faults) => {
                    said.one_of.push((order, applied, faults));
                    continue;
                }
                Conclusion::Implies(faults) | Conclusion::RulesOut(faults) | Conclusion::Odds(faults, _) => faults,
            };
            for fault in named {
                let list = said.naming.get_mut(fault.place());
                // A fault named twice by one conclusion is said once.
                if let Some(list) = list.filter(|list| list.last().is_none_or(|(last, ..)| *last != order)) {
                    list.push((order, applied, conclusion));
                }
            }
        }
        said
    }

    fn naming(&self, fault: FaultId) -> &[(usize, &'a Applied, &'a Conclusion)] {
        self.naming.get(fault.place()).map_or(&[], Vec::as_slice)
    }

    /// What implies a fault or changes its odds.
    pub(super) fn about(&self, fault: FaultId) -> impl Iterator<Item = Reason> + '_ {
        self.naming(fault).iter().filter_map(|(_, applied, conclusion)| match conclusion {
            Conclusion::Implies(_) => Some(Reason::Implied(applied.rule, applied.choice.clone())),
            Conclusion::Odds(_, factor) => Some(Reason::Odds(applied.rule, applied.choice.clone(), factor.to_f64())),
            _ => None,
        })
    }

    /// What rules a fault out, in order of rules.
    pub(super) fn against(&self, fault: FaultId, at_once: usize) -> Vec<Reason> {
        let out = self.naming(fault).iter().filter_map(|(order, applied, conclusion)| match conclusion {
            Conclusion::RulesOut(_) => Some((*order, Reason::RuledOutBy(applied.rule, applied.choice.clone()))),
            _ => None,
        });
        let others = self.one_of.iter().filter(|(.., faults)| at_once == 1 && !faults.contains(&fault));
        let others =
            others.map(|(order, applied, _)| (*order, Reason::OneOfOthers(applied.rule, applied.choice.clone())));
        let mut all: Vec<(usize, Reason)> = out.chain(others).collect();
        all.sort_by_key(|(order, _)| *order);
        all.into_iter().map(|(_, reason)| reason).collect()
    }
}

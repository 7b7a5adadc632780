//! Finding things in a book: by id, by name, by kind.

use crate::syntax::tree;

use super::circuits::Circuit;
use super::condition::Condition;
use super::ids::{
    CautionId, CircuitId, ComplaintId, FaultId, FindingId, IndicationId, LimitId, PartId, RuleId, SettingId,
};
use super::model::{Book, Caution, Complaint, Fault, Finding, Indication, Limit, Part, Rule, Setting, SettingKind};
use super::names::Symbol;

impl Book {
    /// The ids of all settings.
    pub fn setting_ids(&self) -> impl Iterator<Item = SettingId> + use<> {
        (0..self.settings.len()).map(SettingId::at)
    }

    /// The ids of all changes.
    pub fn changes(&self) -> impl Iterator<Item = SettingId> + '_ {
        self.setting_ids().filter(|id| self.settings.get(id.place()).is_some_and(|s| s.kind == SettingKind::Change))
    }

    /// The ids of all faults.
    pub fn fault_ids(&self) -> impl Iterator<Item = FaultId> + use<> {
        (0..self.faults.len()).map(FaultId::at)
    }

    /// The ids of all readings and observations.
    pub fn indication_ids(&self) -> impl Iterator<Item = IndicationId> + use<> {
        (0..self.indications.len()).map(IndicationId::at)
    }

    /// The ids of all rules.
    pub fn rule_ids(&self) -> impl Iterator<Item = RuleId> + use<> {
        (0..self.rules.len()).map(RuleId::at)
    }

    /// Whether a state matters to an indication: the book names the two together.
    pub fn state_matters(&self, state: SettingId, indication: IndicationId) -> bool {
        self.matters.binary_search(&(state, indication)).is_ok()
    }

    /// What a name of the shared space stands for.
    pub fn symbol(&self, name: &str) -> Option<Symbol> {
        // A name typed as it is kept needs no folding.
        self.names.get(name).or_else(|| self.names.get(&tree::fold(name))).copied()
    }

    /// The reading or observation of that name.
    pub fn find_indication(&self, name: &str) -> Option<IndicationId> {
        match self.symbol(name) {
            Some(Symbol::Indication(id)) => Some(id),
            _ => None,
        }
    }

    /// `Q out of tolerance`, for a reading that has a tolerance.
    pub fn tolerance_test(&self, id: IndicationId) -> Option<&Condition> {
        self.tolerance_tests.get(id.place())?.as_ref()
    }

    /// The fault of that name.
    pub fn find_fault(&self, name: &str) -> Option<FaultId> {
        match self.symbol(name) {
            Some(Symbol::Fault(id)) => Some(id),
            _ => None,
        }
    }
}

macro_rules! look_up {
    ($($method:ident, $list:ident, $id:ty, $item:ty);* $(;)?) => {
        impl Book {$(
            /// The declared thing of that id. Ids come from this book, so it is there.
            pub fn $method(&self, id: $id) -> &$item {
                &self.$list[id.place()]
            }
        )*}
    };
}

look_up! {
    setting, settings, SettingId, Setting;
    indication, indications, IndicationId, Indication;
    limit, limits, LimitId, Limit;
    part, parts, PartId, Part;
    caution, cautions, CautionId, Caution;
    circuit, circuits, CircuitId, Circuit;
    fault, faults, FaultId, Fault;
    finding, findings, FindingId, Finding;
    rule, rules, RuleId, Rule;
    complaint, complaints, ComplaintId, Complaint;
}

//! The shared space of names. Parts, cautions, cases and rule labels each have a space of their own.

use super::ids::{ComplaintId, FaultId, FindingId, IndicationId, LimitId, SettingId};

/// What a name of the shared space stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Symbol {
    /// A limit.
    Limit(LimitId),
    /// A state or change.
    Setting(SettingId),
    /// A reading or observation.
    Indication(IndicationId),
    /// A complaint.
    Complaint(ComplaintId),
    /// A fault.
    Fault(FaultId),
    /// A finding.
    Finding(FindingId),
}

impl Symbol {
    /// Its kind in a message.
    pub fn noun(self) -> &'static str {
        match self {
            Symbol::Limit(_) => "a limit",
            Symbol::Setting(_) => "a state or change",
            Symbol::Indication(_) => "a reading or observation",
            Symbol::Complaint(_) => "a complaint",
            Symbol::Fault(_) => "a fault",
            Symbol::Finding(_) => "a finding",
        }
    }
}

//! Dense numbers of what a book declares: each is an index into the book's list of its kind, in book order.

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(pub u32);

        impl $name {
            /// The id of the element at that place of the book's list.
            pub fn at(place: usize) -> Self {
                Self(u32::try_from(place).unwrap_or(u32::MAX))
            }

            /// The place in the book's list.
            pub fn place(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

ids! {
    /// A state or a change.
    SettingId,
    /// A reading or an observation.
    IndicationId,
    /// A fault.
    FaultId,
    /// A finding.
    FindingId,
    /// A rule.
    RuleId,
    /// A complaint.
    ComplaintId,
    /// A part.
    PartId,
    /// A caution.
    CautionId,
    /// A limit.
    LimitId,
    /// A circuit.
    CircuitId,
    /// An element, in its circuit's list.
    ElementIx,
    /// A point, in its circuit's list.
    PointIx,
}

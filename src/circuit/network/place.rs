//! Which part, and which of its current paths.
//!
//! Why: a fault or a current belongs to one path; a relay has two. It must not know what the part is.

/// Which of a part's current paths is meant: a relay has two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Path {
    /// The part itself; of a relay, its contact.
    Main,
    /// A relay's coil.
    Coil,
}

/// A part's number in its network, in order of addition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PartId(pub(super) usize);

/// One current path of one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The part.
    pub part: PartId,
    /// Which of its paths.
    pub path: Path,
}

impl From<PartId> for Place {
    fn from(part: PartId) -> Place {
        Place { part, path: Path::Main }
    }
}

impl PartId {
    /// The coil of this relay.
    pub fn coil(self) -> Place {
        Place { part: self, path: Path::Coil }
    }
}

//! Three values, after Kleene (1952): and is the least, or the greatest, not the mirror.

/// A truth value; the order false < unknown < true is Kleene's.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Truth {
    /// False for every value that the entries allow.
    False,
    /// Not decided.
    Unknown,
    /// True for every value that the entries allow.
    True,
}

impl Truth {
    /// Kleene's and.
    #[must_use]
    pub fn and(self, other: Truth) -> Truth {
        self.min(other)
    }

    /// Kleene's or.
    #[must_use]
    pub fn or(self, other: Truth) -> Truth {
        self.max(other)
    }

    /// Whether it is decided, and how.
    pub fn decided(self) -> Option<bool> {
        match self {
            Truth::True => Some(true),
            Truth::False => Some(false),
            Truth::Unknown => None,
        }
    }
}

impl std::ops::Not for Truth {
    type Output = Truth;

    fn not(self) -> Truth {
        match self {
            Truth::True => Truth::False,
            Truth::Unknown => Truth::Unknown,
            Truth::False => Truth::True,
        }
    }
}

impl From<bool> for Truth {
    fn from(value: bool) -> Truth {
        if value { Truth::True } else { Truth::False }
    }
}

impl From<Option<bool>> for Truth {
    fn from(value: Option<bool>) -> Truth {
        value.map_or(Truth::Unknown, Truth::from)
    }
}

#[cfg(test)]
mod tests {
    use super::Truth::{False, True, Unknown};

    #[test]
    fn kleene_tables() {
        // Source: Kleene, Introduction to Metamathematics (1952), strong tables.
        assert_eq!(Unknown.and(False), False);
        assert_eq!(Unknown.and(True), Unknown);
        assert_eq!(Unknown.or(True), True);
        assert_eq!(Unknown.or(False), Unknown);
        assert_eq!(!Unknown, Unknown);
    }
}

//! Which points hang together.
//!
//! Why: a point with no path to ground floats; its voltage means nothing, and a meter on it shows 0. It must not know voltages.

/// Groups of points, by union and find.
pub(super) struct Islands {
    parent: Vec<usize>,
}

impl Islands {
    /// The groups that these pairs make; each is led by its lowest number.
    pub(super) fn new(points: usize, pairs: impl Iterator<Item = (usize, usize)>) -> Islands {
        let mut islands = Islands { parent: (0..points).collect() };
        for (one, other) in pairs {
            let (one, other) = (islands.find(one), islands.find(other));
            islands.parent[one.max(other)] = one.min(other);
        }
        islands
    }

    /// The lowest number of the group.
    pub(super) fn find(&self, point: usize) -> usize {
        let mut at = point;
        while self.parent[at] != at {
            at = self.parent[at];
        }
        at
    }
}

//! The points of a network: where parts meet and probes are set.
//!
//! Why: names are the technician's, numbers are the solver's; this file is the only place that holds both. It must not know parts.

use std::collections::BTreeMap;

/// A point's number in its network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PointId(pub(super) usize);

/// The reference point: battery negative, 31 after DIN 72552.
pub const GROUND: PointId = PointId(0);

/// All points in order of first mention. Nameless ones lie inside a part.
#[derive(Clone, Debug)]
pub(super) struct Points {
    names: Vec<Option<String>>,
    numbers: BTreeMap<String, usize>,
}

impl Points {
    /// Ground alone.
    pub(super) fn new() -> Points {
        let mut points = Points { names: Vec::new(), numbers: BTreeMap::new() };
        points.named("ground");
        points
    }

    /// The point of this name, made if need be.
    pub(super) fn named(&mut self, name: &str) -> PointId {
        if let Some(&number) = self.numbers.get(name) {
            return PointId(number);
        }
        self.numbers.insert(name.to_owned(), self.names.len());
        self.names.push(Some(name.to_owned()));
        PointId(self.names.len() - 1)
    }

    /// A new point inside a part.
    pub(super) fn inner(&mut self) -> PointId {
        self.names.push(None);
        PointId(self.names.len() - 1)
    }

    /// The point of this name, if there is one.
    pub(super) fn find(&self, name: &str) -> Option<PointId> {
        self.numbers.get(name).map(|&number| PointId(number))
    }

    /// The name; none for an inner point or one of another network.
    pub(super) fn name(&self, point: PointId) -> Option<&str> {
        self.names.get(point.0)?.as_deref()
    }

    /// Whether it belongs to this network.
    pub(super) fn holds(&self, point: PointId) -> bool {
        point.0 < self.names.len()
    }

    /// How many there are, inner ones included.
    pub(super) fn len(&self) -> usize {
        self.names.len()
    }

    /// All points with names, in order.
    pub(super) fn all_named(&self) -> impl Iterator<Item = PointId> {
        self.names.iter().enumerate().filter(|(_, name)| name.is_some()).map(|(number, _)| PointId(number))
    }
}

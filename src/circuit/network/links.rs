//! Points joined by parts without any resistance: ideal sources and 0-ohm links.
//!
//! Why: such points stand a fixed voltage apart, so they become one point with offsets, exactly, with no tiny resistance in the way. Sources that
//! close a loop among themselves are found here. It must not know names.

use super::amount::Amount;
use super::branch::Branch;

/// Points after joining: U(point) = U(root of point) + offset of point.
pub(super) struct Joined<T> {
    /// The root of each point.
    pub(super) root: Vec<usize>,
    /// How far each lies above its root, volts.
    pub(super) offset: Vec<T>,
    /// The links that join, as numbers of branches.
    pub(super) links: Vec<usize>,
    /// Links that close a loop of links without sources: they share a current that nothing divides.
    pub(super) spare: Vec<usize>,
}

/// A loop of sources without resistance: the number of the branch that closes it.
#[derive(Debug)]
pub(super) struct SourceLoop(pub(super) usize);

/// Joins the points of all branches of exactly 0 ohm.
pub(super) fn join<T: Amount>(points: usize, branches: &[Branch<T>]) -> Result<Joined<T>, SourceLoop> {
    let mut joined =
        Joined { root: (0..points).collect(), offset: vec![T::ZERO; points], links: Vec::new(), spare: Vec::new() };
    for (number, branch) in branches.iter().enumerate() {
        if branch.ohms.is_zero() {
            joined.link(number, branch)?;
        }
    }
    Ok(joined)
}

impl<T: Amount> Joined<T> {
    fn link(&mut self, number: usize, branch: &Branch<T>) -> Result<(), SourceLoop> {
        let (from, to) = (self.root[branch.from], self.root[branch.to]);
        if from == to {
            let apart = self.offset[branch.from] != self.offset[branch.to];
            if apart || !branch.volts.is_zero() {
                return Err(SourceLoop(number));
            }
            self.spare.push(number);
            return Ok(());
        }
        // ground's group stays, so that a point at ground is at exactly 0
        let rise = branch.volts + self.offset[branch.to] - self.offset[branch.from];
        let (moving, staying, rise) = if from == self.root[0] { (to, from, -rise) } else { (from, to, rise) };
        for (root, offset) in self.root.iter_mut().zip(&mut self.offset) {
            if *root == moving {
                *root = staying;
                *offset = *offset + rise;
            }
        }
        self.links.push(number);
        Ok(())
    }

    /// The branch between roots, its voltage corrected for the offsets.
    pub(super) fn between_roots(&self, branch: &Branch<T>) -> Branch<T> {
        Branch {
            from: self.root[branch.from],
            to: self.root[branch.to],
            volts: branch.volts - self.offset[branch.from] + self.offset[branch.to],
            ..*branch
        }
    }
}

//! Elimination of points from a network of conductances: the star-mesh transformation (A. Rosen, J. IEE 62, 1924), which is Gaussian elimination
//! of the node equations (Ho, Ruehli & Brennan, IEEE Trans. CAS 22(6), 1975) written without a single subtraction.
//!
//! Why not a general LU: a star's new conductances g_i·g_k/Σg are sums, products and quotients of positive numbers, so nothing cancels. Each is
//! right to a few units in the last place even where a joint of 1 µohm meets a meter of 10 Mohm, a ratio of 1e13 of which the diagonal of
//! the node matrix keeps but three digits. For the same reason it runs on outward ranges without blowing up, and it can't be
//! singular: a point without neighbours is an island's last.

use super::amount::Amount;

/// The feeding of a network by its own sources.
pub(super) const SOURCES: usize = 0;
/// The feeding by one ampere that is put in at one point and comes out at another.
pub(super) const ASKED: usize = 1;

/// Conductances between points, and the currents that are fed into each. Several feedings are followed at once, since taking a point out
/// is most of the work: the first is that of the sources, others are made by [`Mesh::feed`].
pub(super) struct Mesh<T, const FEEDINGS: usize = 1> {
    size: usize,
    between: Vec<T>,
    inflow: Vec<[T; FEEDINGS]>,
    /// Points taken out, in order, with the sum of their conductances at that moment.
    gone: Vec<(usize, T)>,
    neighbours: Vec<usize>,
}

impl<T: Amount, const FEEDINGS: usize> Mesh<T, FEEDINGS> {
    /// Points without branches.
    pub(super) fn new(size: usize) -> Self {
        Mesh {
            size,
            between: vec![T::ZERO; size * size],
            inflow: vec![[T::ZERO; FEEDINGS]; size],
            gone: Vec::with_capacity(size),
            neighbours: Vec::with_capacity(size),
        }
    }

    /// Becomes a copy of the first `count` points of a mesh that is as large or larger; what has gone from it is forgotten.
    pub(super) fn copy_from(&mut self, other: &Self, count: usize) {
        self.size = count;
        self.between.clear();
        for row in other.between.chunks_exact(other.size).take(count) {
            self.between.extend_from_slice(&row[..count]);
        }
        self.inflow.clear();
        self.inflow.extend_from_slice(&other.inflow[..count]);
        self.gone.clear();
    }

    /// Adds a branch with U(from) − U(to) = volts + ohms · I; one from a point to itself does nothing.
    pub(super) fn add(&mut self, from: usize, to: usize, volts: T, ohms: T) {
        if from == to {
            return;
        }
        let siemens = T::ONE / ohms;
        let sum = self.between(from, to) + siemens;
        self.between[from * self.size + to] = sum;
        self.between[to * self.size + from] = sum;
        if !volts.is_zero() {
            let current = volts / ohms;
            self.inflow[from][SOURCES] = self.inflow[from][SOURCES] + current;
            self.inflow[to][SOURCES] = self.inflow[to][SOURCES] - current;
        }
    }

    /// Feeds a current into a point, in one of the feedings.
    pub(super) fn feed(&mut self, point: usize, feeding: usize, ampere: T) {
        self.inflow[point][feeding] = self.inflow[point][feeding] + ampere;
    }

    /// The conductance between two points.
    pub(super) fn between(&self, one: usize, other: usize) -> T {
        self.between[one * self.size + other]
    }

    /// The current that each feeding brings to a point.
    pub(super) fn inflow(&self, point: usize) -> [T; FEEDINGS] {
        self.inflow[point]
    }

    /// Takes a point out: its star becomes a mesh between its neighbours, its inflow is divided among them.
    pub(super) fn eliminate(&mut self, point: usize) {
        let row = point * self.size;
        let mut neighbours = std::mem::take(&mut self.neighbours);
        neighbours.clear();
        neighbours.extend((0..self.size).filter(|&other| !self.between[row + other].is_zero()));
        let mut total = T::ZERO;
        for &other in &neighbours {
            total = total + self.between[row + other];
        }
        let inflow = self.inflow[point];
        for (place, &one) in neighbours.iter().enumerate() {
            let share = self.between[row + one] / total;
            for (sum, &more) in self.inflow[one].iter_mut().zip(&inflow) {
                if !more.is_zero() {
                    *sum = *sum + share * more;
                }
            }
            for &other in &neighbours[place + 1..] {
                let sum = self.between(one, other) + share * self.between[row + other];
                self.between[one * self.size + other] = sum;
                self.between[other * self.size + one] = sum;
            }
            self.between[one * self.size + point] = T::ZERO;
        }
        self.neighbours = neighbours;
        self.gone.push((point, total));
    }

    /// Takes out all points but two, each time one that has the fewest neighbours.
    pub(super) fn eliminate_all_but(&mut self, kept: [usize; 2]) {
        let mut open: Vec<usize> = (0..self.size).filter(|point| !kept.contains(point)).collect();
        let neighbours = |mesh: &Self, point: usize| {
            mesh.between[point * mesh.size..][..mesh.size].iter().filter(|siemens| !siemens.is_zero()).count()
        };
        while let Some(place) = (0..open.len()).min_by_key(|&place| neighbours(self, open[place])) {
            self.eliminate(open.swap_remove(place));
        }
    }

    /// The voltage of every point in each feeding, those not taken out being at 0.
    pub(super) fn voltages(&self) -> Vec<[T; FEEDINGS]> {
        let mut voltage = vec![[T::ZERO; FEEDINGS]; self.size];
        for &(point, total) in self.gone.iter().rev() {
            if total.is_zero() {
                continue;
            }
            let mut sum = self.inflow[point];
            for (other, level) in voltage.iter().enumerate() {
                let siemens = self.between(point, other);
                if !siemens.is_zero() {
                    for (sum, &level) in sum.iter_mut().zip(level) {
                        *sum = *sum + siemens * level;
                    }
                }
            }
            voltage[point] = sum.map(|sum| sum / total);
        }
        voltage
    }
}

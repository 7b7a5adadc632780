//! Vehicles to try advice on, drawn from a model apart from the advisor's: the true fault from shares halved, kept or
//! doubled at random; what it shows at random within what its book says of it; everything else sound more often than
//! not; every reading wrong by up to what its meter is good for. Recorded cases answer what they recorded.

use ruleout::book::{Book, FaultId, IndicationId, IndicationKind, Setup};
use ruleout::job::{Entry, EntryValue, Job};
use ruleout::reasoning::cells::{Cell, Limits, cells};
use ruleout::reasoning::choice::truth;
use ruleout::reasoning::{Facts, Truth, Verdict, judge};
use ruleout::units::{Exact, Interval};

/// Random numbers that depend on nothing but the seed (SplitMix64, Steele, Lea & Flood 2014).
#[derive(Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A place in a list of weights.
    pub(crate) fn pick(&mut self, weights: &[f64]) -> usize {
        let total: f64 = weights.iter().sum();
        let mut left = self.unit() * total;
        for (place, weight) in weights.iter().enumerate() {
            left -= weight;
            if left < 0.0 {
                return place;
            }
        }
        weights.iter().rposition(|w| *w > 0.0).unwrap_or(0)
    }
}

/// A vehicle with one fault.
pub(crate) struct World<'a> {
    pub(crate) book: &'a Book,
    pub(crate) truth: FaultId,
    seed: u64,
    /// What a recorded case found, if it is one.
    pub(crate) recorded: Vec<Entry>,
}

/// How often a thing that the fault says nothing about is as on a sound vehicle.
const SOUND: f64 = 0.8;

impl<'a> World<'a> {
    /// A vehicle whose fault is drawn from perturbed shares.
    pub(crate) fn drawn(book: &'a Book, seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        let shares: Vec<f64> =
            book.faults.iter().map(|f| f.share.to_f64() * [0.5, 1.0, 2.0][dice.pick(&[1.0; 3])]).collect();
        Self { book, truth: FaultId::at(dice.pick(&shares)), seed, recorded: Vec::new() }
    }

    /// A vehicle that was recorded.
    pub(crate) fn recorded(book: &'a Book, truth: FaultId, seed: u64, recorded: Vec<Entry>) -> Self {
        Self { book, truth, seed, recorded }
    }

    /// What a test finds, given what was found before.
    pub(crate) fn answer(&self, job: &Job, indication: IndicationId, setup: &Setup) -> Entry {
        if let Some(entry) = self.recorded.iter().find(|e| e.indication == indication && e.setup == *setup) {
            return Entry { epoch: 0, line: 0, ..entry.clone() };
        }
        let facts = Facts::of(self.book, job, 0, |_| true);
        let cells = cells(&facts, indication, setup, Limits::Known);
        let mut dice = Dice::new(self.seed ^ (u64::from(indication.0) << 20) ^ hash(&format!("{setup:?}")));
        let weights: Vec<f64> = cells.iter().map(|cell| self.fits(job, indication, setup, cell)).collect();
        let weights = if weights.iter().sum::<f64>() > 0.0 { weights } else { vec![1.0; cells.len()] };
        let mut last = None;
        // A value that would rule the true fault out is drawn again: this vehicle has it. A circuit may leave little room.
        for _ in 0..400 {
            let cell = &cells[dice.pick(&weights)];
            let found = entry(indication, setup, self.value(cell, indication, &mut dice));
            if self.agrees(job, &found) {
                return found;
            }
            last = Some(found);
        }
        last.unwrap()
    }

    fn agrees(&self, job: &Job, found: &Entry) -> bool {
        let mut after = job.clone();
        after.entries.add(self.book, found.clone());
        let judgement = judge(self.book, &after);
        let verdict = judgement.of(self.truth).map(|v| v.verdict);
        judgement.conflicts.is_empty()
            && matches!(verdict, Some(Verdict::Open | Verdict::OnlyOneLeft | Verdict::Proved))
    }

    /// How well an answer fits the true fault.
    fn fits(&self, job: &Job, indication: IndicationId, setup: &Setup, cell: &Cell) -> f64 {
        let mut after = job.clone();
        after.entries.add(self.book, entry(indication, setup, cell.value()));
        let judgement = judge(self.book, &after);
        let verdict = judgement.of(self.truth).map(|v| v.verdict);
        if !judgement.conflicts.is_empty()
            || !matches!(verdict, Some(Verdict::Open | Verdict::OnlyOneLeft | Verdict::Proved))
        {
            return 0.0;
        }
        let (before, facts) = (Facts::of(self.book, job, 0, |_| true), Facts::of(self.book, &after, 0, |_| true));
        let mut weight =
            if self.is_sound(&judgement, after.entries.len() - 1, indication) { SOUND } else { 1.0 - SOUND };
        for shows in &self.book.fault(self.truth).shows {
            let new = truth(&before, &shows.condition) == Truth::Unknown;
            let often = shows.chance.map_or(1.0, |(m, n)| f64::from(m) / f64::from(n));
            weight *= match truth(&facts, &shows.condition) {
                Truth::True if new => often,
                Truth::False if new => 1.0 - often,
                _ => 1.0,
            };
        }
        weight
    }

    fn is_sound(&self, judgement: &ruleout::reasoning::Judgement, place: usize, indication: IndicationId) -> bool {
        use ruleout::reasoning::Disturbed;
        let says = match &self.book.indication(indication).kind {
            IndicationKind::Reading(reading) => !reading.tolerance.is_empty(),
            IndicationKind::Observation(observation) => observation.sound != 0,
        };
        let off = judgement
            .disturbed
            .iter()
            .any(|d| matches!(d, Disturbed::OutOfTolerance(id) | Disturbed::NotSound(id) if id.place() == place));
        says && !off
    }

    /// A value within a cell, read by a meter that may be wrong by what it is good for.
    fn value(&self, cell: &Cell, indication: IndicationId, dice: &mut Dice) -> EntryValue {
        let Cell::Range { inside, .. } = cell else { return cell.value() };
        let ends = (inside.low.value().map(Exact::to_f64), inside.high.value().map(Exact::to_f64));
        let true_value = match ends {
            (Some(low), Some(high)) => low + (high - low) * (0.02 + 0.96 * dice.unit()),
            (Some(low), None) => low + low.abs().max(1.0) * dice.unit(),
            (None, Some(high)) => high - high.abs().max(1.0) * dice.unit(),
            (None, None) => 0.0,
        };
        let reading = self.book.indication(indication).reading();
        let exact = |value: f64| Exact::from_f64((value * 1e6).round() / 1e6).unwrap_or_default();
        let meter = reading.and_then(|reading| Some((reading.meter.as_ref()?, reading.unit?)));
        let width = meter.map(|(meter, unit)| meter.half_width_in(unit, &unit.from_base(&exact(true_value))));
        let width = width.unwrap_or_default();
        // A meter shows whole digits.
        let digit = meter.and_then(|(meter, _)| meter.digit.as_ref()).map_or(0.0, Exact::to_f64);
        let off = (width.to_f64() - digit / 2.0).max(0.0) * (2.0 * dice.unit() - 1.0);
        let shown = true_value + off;
        let shown = if digit > 0.0 { (shown / digit).round() * digit } else { shown };
        EntryValue::Interval(Interval::around(exact(shown), width))
    }
}

/// An entry of the simulation.
pub(crate) fn entry(indication: IndicationId, setup: &Setup, value: EntryValue) -> Entry {
    Entry::supposed(indication, value, setup.clone(), 0)
}

fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3))
}

//! Whether a relay or diode may, must or can't move under what drives it.
//!
//! Why: one set of judgements serves the nominal solution (ranges of one value) and the enclosing one. It must not know how a drive is measured.

use super::circuit::Network;
use super::fuse::{FuseAnswer, fuse_answer};
use super::part::Part;
use super::place::PartId;
use super::range::Range;
use super::relay::Relay;
use super::state::{Device, State};

/// Voltages closer than this, relative, count as equal.
const SAME: f64 = 1e-9;

/// A device with the quantity that moves it: coil volts without sign, share of the fuse's rating, volts or ampere forward.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drive {
    /// The part.
    pub(super) part: PartId,
    /// Its kind.
    pub(super) device: Device,
    /// Within what the quantity lies.
    pub(super) size: Range,
}

/// What a relay or diode does, over all of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Judgement {
    /// Whether it may stay as it is.
    pub(super) may_stay: bool,
    /// Whether it may move.
    pub(super) may_move: bool,
    /// Whether it must move for a part of the range at least.
    pub(super) is_driven: bool,
}

/// A relay: surely in from `pull_in`, surely out up to `drop_out`, either way between.
fn judge_relay(relay: &Relay, coil: Range, pulled_in: bool) -> Judgement {
    let surely_in = |volts: f64| volts >= relay.pull_in * (1.0 - SAME);
    let surely_out = |volts: f64| volts <= relay.drop_out * (1.0 + SAME);
    if pulled_in {
        Judgement { may_stay: !surely_out(coil.high), may_move: !surely_in(coil.low), is_driven: surely_out(coil.low) }
    } else {
        Judgement { may_stay: !surely_in(coil.low), may_move: !surely_out(coil.high), is_driven: surely_in(coil.high) }
    }
}

/// A diode: starts at its forward voltage, stops when its current would turn round.
fn judge_diode(drop: Range, size: Range, conducting: bool) -> Judgement {
    let (least, most) = if conducting { (-size.high, -size.low) } else { (size.low - drop.high, size.high - drop.low) };
    let edge = SAME * drop.high;
    Judgement { may_stay: least <= edge, may_move: most > edge, is_driven: most > edge }
}

impl Network {
    /// What a relay or diode does under this drive.
    pub(super) fn judge(&self, drive: &Drive, state: &State) -> Judgement {
        let moved = state.has_moved(drive.part);
        match self.fitted(drive.part).map(|fitted| &fitted.part) {
            Ok(Part::Relay(relay)) => judge_relay(relay, drive.size, moved),
            Ok(Part::Diode { drop, .. }) => judge_diode(drop.range(), drive.size, moved),
            _ => Judgement { may_stay: true, may_move: false, is_driven: false },
        }
    }

    /// Whether a drive leaves no doubt about what its device does.
    pub(super) fn is_decided(&self, drive: &Drive, state: &State) -> bool {
        if drive.device == Device::Fuse {
            return fuse_answer(drive.size.high) == FuseAnswer::Holds;
        }
        let judgement = self.judge(drive, state);
        judgement.may_stay != judgement.may_move
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diode_starts_at_its_drop_and_stops_at_no_current() {
        let drop = Range::exactly(0.7);
        assert!(!judge_diode(drop, Range::exactly(0.6), false).may_move);
        assert!(judge_diode(drop, Range::exactly(0.8), false).is_driven);
        assert!(!judge_diode(drop, Range::exactly(0.1), true).may_move);
        assert!(!judge_diode(drop, Range::exactly(-0.1), true).may_stay);
        let either = judge_diode(drop, Range::between(0.5, 0.9), false);
        assert!(either.may_stay && either.may_move);
    }
}

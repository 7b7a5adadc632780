//! How the moving parts of a network end up: which relays are pulled in, which fuses have opened, which diodes conduct.
//!
//! Why: an expected reading is only understood together with its outcome: "0 V, because F3 has opened". It must not know readings.

use super::circuit::Network;
use super::fuse::opening_time;
use super::place::PartId;
use super::range::Range;
use super::state::{Device, State};

/// A fuse that has opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blown {
    /// The fuse.
    pub fuse: PartId,
    /// The share of its rating that opened it (1.35 for 135 %).
    pub share: Range,
}

/// Where relays, fuses and diodes stand in the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Relays that are pulled in of themselves, in order.
    pub pulled_in: Vec<PartId>,
    /// Fuses that have opened, in order of opening.
    pub blown: Vec<Blown>,
    /// Diodes that conduct, in order.
    pub conducting: Vec<PartId>,
    /// Relays that pull in and drop out again without end; this is one of their positions.
    pub chattering: Vec<PartId>,
    pub(super) state: State,
}

impl Outcome {
    /// The outcome of a state that holds, its fuses not yet explained.
    pub(super) fn still(network: &Network, state: &State) -> Outcome {
        let moved = |kind: Device| -> Vec<PartId> {
            let devices = network.devices().into_iter();
            devices.filter(|&(part, device)| device == kind && state.has_moved(part)).map(|(part, _)| part).collect()
        };
        Outcome {
            pulled_in: moved(Device::Relay),
            blown: Vec::new(),
            conducting: moved(Device::Diode),
            chattering: Vec::new(),
            state: state.clone(),
        }
    }

    /// The outcome in words, one phrase for each thing that is not as at rest.
    pub fn words(&self, network: &Network) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for blown in &self.blown {
            words.push(format!("fuse `{}` opens, {}", network.part_name(blown.fuse), load_words(blown.share)));
        }
        for &relay in self.pulled_in.iter().filter(|relay| !self.chattering.contains(relay)) {
            words.push(format!("relay `{}` pulled in", network.part_name(relay)));
        }
        for &relay in &self.chattering {
            let at_the_moment = if self.pulled_in.contains(&relay) { "while it is in" } else { "while it is out" };
            words.push(format!("relay `{}` chatters, {at_the_moment}", network.part_name(relay)));
        }
        for &diode in &self.conducting {
            words.push(format!("diode `{}` conducts", network.part_name(diode)));
        }
        words
    }
}

/// How much over its rating, and how soon it opens.
fn load_words(share: Range) -> String {
    let percent = share.low * 100.0;
    match opening_time(share.low) {
        (_, Some(most)) => format!("at {percent:.0} % of its rating or more, within {}", duration(most)),
        (_, None) => format!("if at all: up to {:.0} % of its rating", share.high * 100.0),
    }
}

/// Seconds, or minutes from two of them on.
fn duration(seconds: f64) -> String {
    if seconds >= 120.0 { format!("{:.0} min", seconds / 60.0) } else { format!("{seconds} s") }
}

//! Counting: by fault, how often proved, repaired, verified, in vain, and how long such jobs took; by part, what was
//! replaced and proved good.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use super::JobFacts;

/// What is counted of one fault.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FaultTally {
    /// Which.
    pub fault: String,
    /// Jobs in which it was proved.
    pub proved: usize,
    /// Repairs of it.
    pub repaired: usize,
    /// Repairs that were verified.
    pub verified: usize,
    /// Repairs in vain.
    pub in_vain: usize,
    /// Minutes of the jobs that repaired or proved it, the middle one of them; none without stamps.
    pub median_minutes: Option<i64>,
}

/// A part that was replaced and proved good.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VainPart {
    /// The part; the fault's name where the book names none.
    pub part: String,
    /// The fault that it was replaced for.
    pub fault: String,
    /// In how many repairs it proved good.
    pub in_vain: usize,
    /// Of how many repairs.
    pub repaired: usize,
    /// The jobs.
    pub jobs: Vec<String>,
}

/// What the jobs come to.
#[derive(Clone, Debug, PartialEq, Eq, Default, Serialize, JsonSchema)]
pub struct Tally {
    /// How many jobs.
    pub jobs: usize,
    /// How many of them are done.
    pub done: usize,
    /// Minutes worked on all of them.
    pub minutes: i64,
    /// By fault, the most frequent first.
    pub faults: Vec<FaultTally>,
    /// Parts replaced that proved good, the most frequent first.
    pub parts_in_vain: Vec<VainPart>,
}

#[derive(Default)]
struct Count<'j> {
    proved: usize,
    repaired: usize,
    verified: usize,
    in_vain: Vec<&'j str>,
    part: Option<&'j str>,
    minutes: Vec<i64>,
}

/// Counts some jobs.
pub fn tally(jobs: &[JobFacts]) -> Tally {
    let mut counts: BTreeMap<&str, Count<'_>> = BTreeMap::new();
    for job in jobs {
        count(&mut counts, job);
    }
    let mut faults: Vec<FaultTally> = Vec::new();
    let mut parts: Vec<VainPart> = Vec::new();
    for (fault, mut count) in counts {
        count.minutes.sort_unstable();
        faults.push(FaultTally {
            fault: fault.to_string(),
            proved: count.proved,
            repaired: count.repaired,
            verified: count.verified,
            in_vain: count.in_vain.len(),
            median_minutes: count.minutes.get(count.minutes.len() / 2).copied(),
        });
        if !count.in_vain.is_empty() {
            parts.push(VainPart {
                part: count.part.unwrap_or(fault).to_string(),
                fault: fault.to_string(),
                in_vain: count.in_vain.len(),
                repaired: count.repaired,
                jobs: count.in_vain.iter().map(|file| file.to_string()).collect(),
            });
        }
    }
    faults.sort_by(|a, b| (b.repaired + b.proved, &a.fault).cmp(&(a.repaired + a.proved, &b.fault)));
    parts.sort_by(|a, b| (b.in_vain, &a.part).cmp(&(a.in_vain, &b.part)));
    Tally {
        jobs: jobs.len(),
        done: jobs.iter().filter(|job| job.done).count(),
        minutes: jobs.iter().filter_map(|job| job.minutes).sum(),
        faults,
        parts_in_vain: parts,
    }
}

fn count<'j>(counts: &mut BTreeMap<&'j str, Count<'j>>, job: &'j JobFacts) {
    let mut seen: Vec<&str> = Vec::new();
    let proved_then = job.repairs.iter().filter(|repair| repair.proved).map(|repair| repair.fault.as_str());
    for fault in proved_then.chain(job.proved.iter().map(String::as_str)) {
        if !seen.contains(&fault) {
            seen.push(fault);
            counts.entry(fault).or_default().proved += 1;
        }
    }
    for repair in &job.repairs {
        let count = counts.entry(&repair.fault).or_default();
        count.repaired += 1;
        count.verified += usize::from(repair.came == "verified");
        count.part = count.part.or(repair.part.as_deref());
        if repair.came == "in_vain" {
            count.in_vain.push(&job.file);
        }
        if !seen.contains(&repair.fault.as_str()) {
            seen.push(&repair.fault);
        }
    }
    for fault in seen {
        counts.entry(fault).or_default().minutes.extend(job.minutes);
    }
}

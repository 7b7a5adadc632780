//! Many jobs as text: one line a job, then what they come to.

use crate::output::page::Page;
use crate::output::words::counted;

use super::{JobFacts, JobList};

/// The list.
pub fn jobs_text(list: &JobList) -> Page {
    let mut page = Page::new();
    for job in &list.jobs {
        page.line(0, job_line(job));
        for remark in &job.remarks {
            page.line(1, remark);
        }
    }
    tally(&mut page, list);
    if !list.bad.is_empty() {
        page.gap().line(0, "Not listed:");
    }
    for bad in &list.bad {
        page.line(1, format!("{}: {}", bad.file, bad.why));
    }
    page
}

/// `2026-11-12 shuttle 2, 42 min: burnt resistor repaired and verified (jobs/a.job)`
fn job_line(job: &JobFacts) -> String {
    let day = job.begun.as_deref().unwrap_or("no date");
    let vehicle = job.vehicle.as_deref().unwrap_or("no vehicle named");
    let minutes = job.minutes.map_or(String::new(), |minutes| format!(", {minutes} min"));
    let repaired = job.repairs.iter().map(|repair| format!("{}, {}", repair.fault, repair.words));
    let new = job.proved.iter().filter(|fault| !job.repairs.iter().any(|repair| repair.fault == **fault));
    let mut found: Vec<String> = repaired.chain(new.map(|fault| format!("{fault}, proved, not repaired"))).collect();
    if found.is_empty() {
        found.push(outcome(job.outcome).to_string());
    }
    format!("{day} {vehicle}{minutes}: {} ({})", found.join("; "), job.file)
}

fn outcome(word: &str) -> &str {
    match word {
        "only_one_left" => "one fault left, not proved",
        "not_covered_or_wrong_entry" => "no fault of the book left",
        "no_fault_seen" => "no fault seen",
        "conflict" => "entries quarrel",
        _ => "not proved yet",
    }
}

fn tally(page: &mut Page, list: &JobList) {
    let sum = &list.tally;
    let jobs = counted(sum.jobs, "job", "jobs");
    page.gap().line(0, format!("{jobs}, {} done, {} min worked", sum.done, sum.minutes));
    for fault in &sum.faults {
        let minutes = fault.median_minutes.map_or(String::new(), |median| format!(", {median} min at the median"));
        page.line(
            1,
            format!(
                "{}: proved {}, repaired {}, verified {}, in vain {}{minutes}",
                fault.fault, fault.proved, fault.repaired, fault.verified, fault.in_vain
            ),
        );
    }
    if !sum.parts_in_vain.is_empty() {
        page.gap().line(0, "Replaced, and proved good:");
    }
    for part in &sum.parts_in_vain {
        let mut jobs: Vec<&str> = part.jobs.iter().map(String::as_str).take(5).collect();
        let more = part.jobs.len() - jobs.len();
        let more = if more > 0 { format!("and {more} more") } else { String::new() };
        jobs.extend((!more.is_empty()).then_some(more.as_str()));
        let repairs = counted(part.repaired, "repair", "repairs");
        page.line(1, format!("{} ({}): {} of {repairs}: {}", part.part, part.fault, part.in_vain, jobs.join(", ")));
    }
}

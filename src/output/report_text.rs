//! A job report as text: the first page for the customer and the file, the rest only where it is asked for.

use super::page::Page;
use super::report::{Cause, EntryRow, JobReport, LogLine, ReportCaution, ReportCheck, ReportLine, ReportStage};

/// How much is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Extent {
    /// What the customer and the file need.
    #[default]
    FirstPage,
    /// Every line and every reason too.
    Whole,
}

/// The report.
pub fn report_text(report: &JobReport, extent: Extent) -> Page {
    let mut page = Page::new();
    let vehicle = report.vehicle.as_deref().map_or(String::new(), |vehicle| format!(": {vehicle}"));
    page.line(0, format!("Job report{vehicle}")).line(0, &report.state).gap();
    page.line(0, "Cautions").line(1, report.safety);
    cautions(&mut page, &report.cautions, extent);
    complaint(&mut page, report);
    page.gap().line(0, "Cause and repair");
    if report.causes.is_empty() {
        page.line(1, &report.outcome);
    }
    report.causes.iter().for_each(|cause| cause_lines(&mut page, cause));
    page.gap().line(0, "Not verified, still to do");
    if report.not_verified.is_empty() {
        page.line(1, "nothing");
    }
    list(&mut page, 1, &report.not_verified);
    facts(&mut page, report);
    if extent == Extent::Whole {
        annex(&mut page, report);
    }
    page
}

/// Those of the repair and those that forbid the work in full; the others by name on the first page alone.
fn cautions(page: &mut Page, all: &[ReportCaution], extent: Extent) {
    let full = |caution: &&ReportCaution| extent == Extent::Whole || caution.of_repair || caution.stop;
    for caution in all.iter().filter(full) {
        let stop = if caution.stop { ", licensed or qualified hands only" } else { "" };
        page.line(1, format!("{}{stop}: {}", caution.name, caution.text));
    }
    let others: Vec<&str> = all.iter().filter(|c| !full(c)).map(|caution| caution.name.as_str()).collect();
    if !others.is_empty() {
        page.line(1, format!("minded while measuring: {}", others.join(", ")));
    }
}

fn list(page: &mut Page, depth: usize, lines: &[ReportLine]) {
    for line in lines {
        page.line(depth + line.depth, &line.text);
    }
}

fn complaint(page: &mut Page, report: &JobReport) {
    page.gap().line(0, "Complaint");
    for words in &report.customer_words {
        page.line(1, format!("\"{words}\""));
    }
    for complaint in &report.complaints {
        page.line(1, format!("{}; gone: {}", complaint.words, said(complaint)));
    }
    if report.customer_words.is_empty() && report.complaints.is_empty() {
        page.line(1, "none was entered");
    }
}

/// `yes (entry 14: fan runs is yes)`
fn said(check: &ReportCheck) -> String {
    let entries: Vec<String> = check.entries.iter().map(|e| format!("entry {}: {}", e.entry, e.text)).collect();
    if entries.is_empty() { check.holds.clone() } else { format!("{} ({})", check.holds, entries.join("; ")) }
}

fn cause_lines(page: &mut Page, cause: &Cause) {
    page.line(1, format!("{}: {}", cause.fault, cause.verdict));
    for step in &cause.proof {
        page.line(2, format!("proof: {}", step.says));
        if let Some(because) = &step.because {
            page.line(3, format!("because {because}"));
        }
        step.entries.iter().for_each(|entry| {
            page.line(3, entry_line(entry));
        });
    }
    if cause.proof.is_empty() {
        page.line(2, "no proof: it was repaired without one");
    }
    let (ruled_out, all) = cause.ruled_out;
    page.line(2, format!("{ruled_out} of {all} faults of the book were ruled out by then"));
    if let Some(remedy) = &cause.remedy {
        page.line(2, format!("remedy: {remedy}"));
    }
    if let Some(part) = &cause.part {
        page.line(2, format!("part: {part}"));
    }
    let at = cause.repaired_at.as_ref().map_or(String::new(), |at| format!(", {at}"));
    page.line(2, format!("repair: {}{at}", cause.came));
    for check in &cause.checks {
        page.line(2, format!("verify {}: {}", check.words, said(check)));
    }
}

/// `08:35:39 12. relay contact drop = 0.004 V ± 0.0005 V, with output test is low; in tolerance (0 V to 0.2 V)`
fn entry_line(entry: &EntryRow) -> String {
    let time = entry.stamp.as_deref().and_then(|stamp| stamp.get(11..19)).map_or(String::new(), |t| format!("{t} "));
    let accuracy = entry.accuracy.as_ref().map_or(String::new(), |accuracy| format!(" {accuracy}"));
    let lies = match (&entry.lies, &entry.tolerance) {
        (Some(lies), Some(tolerance)) => format!("; {lies} ({tolerance})"),
        _ => String::new(),
    };
    let note = entry.note.as_ref().map_or(String::new(), |note| format!(" ({note})"));
    format!("{time}{}. {}{accuracy}, {}{lies}{note}", entry.entry, entry.text, entry.setup)
}

fn facts(page: &mut Page, report: &JobReport) {
    let revision = |revision: &Option<String>| revision.clone().unwrap_or_else(|| "none".into());
    let short = |digest: &str| digest.get(..12).unwrap_or(digest).to_string();
    page.gap().line(0, "Time, vehicle, book");
    if let Some(times) = &report.times {
        let repair = times.minutes_to_repair.map_or(String::new(), |m| format!(", {m} min of them up to the repair"));
        page.line(1, format!("worked: {} min{repair}; {} to {}", times.minutes, times.started, times.ended));
        if times.pauses > 0 {
            page.line(2, format!("pauses over 30 min left out: {}", times.pauses));
        }
        if times.backward {
            page.line(2, "the clock was set back meanwhile");
        }
    }
    let mut named = |word: &str, value: &Option<String>| {
        if let Some(value) = value {
            page.line(1, format!("{word}: {value}"));
        }
    };
    named("odometer", &report.odometer);
    named("technician", &report.technician);
    for said in &report.conditions {
        page.line(1, said);
    }
    let book = &report.book;
    let profile = book.profile.as_ref().map_or(String::new(), |profile| format!(", profile {profile}"));
    page.line(
        1,
        format!("book: {}, revision {}, digest {}{profile}", book.title, revision(&book.revision), short(&book.digest)),
    );
    if let Some(with) = &report.recorded_with {
        page.line(
            1,
            format!(
                "recorded with another state of it: revision {}, digest {}",
                revision(&with.revision),
                short(&with.digest)
            ),
        );
    }
    for remark in &report.remarks {
        page.line(1, format!("record: {remark}"));
    }
    if report.recorded && report.remarks.is_empty() {
        page.line(1, format!("record: whole, {} lines, no sign of a change", report.log.len()));
    }
}

fn annex(page: &mut Page, report: &JobReport) {
    page.gap().line(0, "Setup and readings");
    let mut day = "";
    for line in &report.log {
        let on = line.stamp.as_deref().and_then(|stamp| stamp.get(..10)).unwrap_or(day);
        if on != day {
            page.line(1, format!("{on}:"));
            day = on;
        }
        page.line(2, log_line(line));
    }
    for stage in &report.stages {
        page.gap().line(0, &stage.heading);
        stage_lines(page, stage);
    }
}

fn log_line(line: &LogLine) -> String {
    let time = line.stamp.as_deref().and_then(|stamp| stamp.get(11..19)).map_or(String::new(), |t| format!("{t} "));
    match &line.entry {
        Some(entry) => entry_line(entry),
        None if line.taken_back => format!("{time}{} (taken back)", line.words),
        None => format!("{time}{}", line.words),
    }
}

fn stage_lines(page: &mut Page, stage: &ReportStage) {
    page.line(1, &stage.outcome);
    for (fault, lines) in &stage.chains {
        page.line(1, format!("{fault}:"));
        list(page, 2, lines);
    }
    list(page, 1, &stage.conflicts);
    if !stage.ruled_out.is_empty() {
        page.line(1, "Ruled out, and how:");
    }
    for group in &stage.ruled_out {
        page.line(2, format!("{}:", group.faults.join(", ")));
        list(page, 3, &group.proof);
    }
    if !stage.open.is_empty() {
        page.line(1, "May still be there:");
    }
    for open in &stage.open {
        page.line(2, format!("{}: {}", open.fault, open.standing));
    }
    page.line(1, &stage.standing);
}

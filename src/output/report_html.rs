//! A job report as one page of HTML: what the customer and the file need on the first sheet, the rest as annex.

use maud::{Markup, html};

use super::report::drawings::{Drawing, Drawings};
use super::report::{Cause, EntryRow, JobReport, LogLine, ReportCheck, ReportStage};
use super::sheet;

/// The page.
pub fn report_page(report: &JobReport, drawings: &Drawings) -> String {
    let vehicle = report.vehicle.as_deref().unwrap_or("no vehicle named");
    let body = html! {
        (first_sheet(report))
        section.new-page aria-labelledby="annex" {
            h1 #annex { "Annex" }
            (log(&report.log))
            (figures("Recorded signals", &drawings.plots))
            (figures("Circuit", &drawings.circuits))
            @for stage in &report.stages { (stage_section(stage)) }
        }
    };
    sheet::page(&format!("Job report, {vehicle}"), &body)
}

fn figures(heading: &str, drawings: &[Drawing]) -> Markup {
    html! {
        @if !drawings.is_empty() {
            h2 { (heading) }
            @for drawing in drawings { (sheet::figure(&drawing.title, &drawing.svg)) }
        }
    }
}

fn first_sheet(report: &JobReport) -> Markup {
    html! {
        header {
            h1 { "Job report" @if let Some(vehicle) = &report.vehicle { ": " (vehicle) } }
            p.state { (report.state) }
        }
        (sheet::cautions(&report.cautions, report.safety))
        section aria-labelledby="complaint" {
            h2 #complaint { "Complaint" }
            @for words in &report.customer_words { p { "“" (words) "”" } }
            @for complaint in &report.complaints {
                p { (complaint.words) ". " span.key { "Gone: " (complaint.holds) "." } (by(&complaint.entries)) }
            }
            @if report.customer_words.is_empty() && report.complaints.is_empty() { p { "None was entered." } }
        }
        section aria-labelledby="cause" {
            h2 #cause { "Cause and repair" }
            @if report.causes.is_empty() { p { (report.outcome) } }
            @for cause in &report.causes { (cause_section(cause)) }
        }
        section aria-labelledby="open" {
            h2 #open { "Not verified, still to do" }
            @if report.not_verified.is_empty() { p { "Nothing." } } @else { (sheet::nested(&report.not_verified)) }
        }
        (facts(report))
    }
}

fn cause_section(cause: &Cause) -> Markup {
    let (ruled_out, all) = cause.ruled_out;
    html! {
        div.cause {
            h3 { (cause.fault) ": " (cause.verdict) }
            @if let Some(description) = &cause.description { p { (description) } }
            @for step in &cause.proof {
                p { span.key { "Proof: " } @if let Some(because) = &step.because { (because) } @else { (step.says) } }
                (entry_list(&step.entries))
                @if step.because.is_some() {
                    p.quiet { (step.says) @if let Some(source) = &step.source { "; source: " (source) } }
                }
            }
            @if cause.proof.is_empty() { p { "No proof: it was repaired without one." } }
            p.quiet { (ruled_out) " of " (all) " faults of the book were ruled out by then." }
            @if let Some(remedy) = &cause.remedy { p { span.key { "Remedy: " } (remedy) } }
            @if let Some(part) = &cause.part { p { span.key { "Part: " } (part) } }
            p { span.key { "Repair: " } (cause.came) @if let Some(at) = &cause.repaired_at { span.quiet { ", " (at) } } }
            @if !cause.checks.is_empty() {
                p.key { "Verification" }
                ul { @for check in &cause.checks { li { (check_line(check)) } } }
            }
        }
    }
}

fn check_line(check: &ReportCheck) -> Markup {
    html! { (check.words) ": " span.key { (check.holds) } (by(&check.entries)) }
}

/// The entries that say so, in a phrase.
fn by(entries: &[EntryRow]) -> Markup {
    html! {
        @if !entries.is_empty() {
            span.quiet {
                " ("
                @for (nth, entry) in entries.iter().enumerate() {
                    @if nth > 0 { "; " }
                    a href={ "#entry-" (entry.entry) } { "entry " (entry.entry) } ": " (entry.text)
                }
                ")"
            }
        }
    }
}

fn entry_list(entries: &[EntryRow]) -> Markup {
    html! {
        @if !entries.is_empty() {
            ul {
                @for entry in entries {
                    li {
                        a href={ "#entry-" (entry.entry) } { "entry " (entry.entry) } ": "
                        span.key { (entry.text) }
                        @if let Some(accuracy) = &entry.accuracy { " " (accuracy) }
                        ", " (entry.setup)
                        @if let (Some(tolerance), Some(lies)) = (&entry.tolerance, &entry.lies) {
                            "; " (lies) " (" (tolerance) ")"
                        }
                        @if let Some(stamp) = &entry.stamp { span.quiet { ", " (stamp) } }
                    }
                }
            }
        }
    }
}

fn facts(report: &JobReport) -> Markup {
    let digest = |digest: &str| digest.get(..12).unwrap_or(digest).to_string();
    let revision = |revision: &Option<String>| revision.clone().map_or("none".to_string(), |revision| revision);
    html! {
        section aria-labelledby="facts" {
            h2 #facts { "Time, book, record" }
            dl.facts.two {
                @if let Some(times) = &report.times {
                    dt { "Worked" }
                    dd {
                        (times.minutes) " min"
                        @if let Some(minutes) = times.minutes_to_repair { ", " (minutes) " min of them up to the repair" }
                        @if times.pauses > 0 { "; pauses over 30 min left out: " (times.pauses) }
                        @if times.backward { "; the clock was set back meanwhile" }
                    }
                    dt { "From, to" } dd { (times.started) " to " (times.ended) }
                }
                @if let Some(odometer) = &report.odometer { dt { "Odometer" } dd { (odometer) } }
                @if let Some(technician) = &report.technician { dt { "Technician" } dd { (technician) } }
                @for said in &report.conditions { dt { "Entered" } dd { (said) } }
                dt { "Book" }
                dd { (report.book.title) ", revision " (revision(&report.book.revision)) ", digest " (digest(&report.book.digest))
                    @if let Some(profile) = &report.book.profile { ", profile " (profile) } }
                @if let Some(with) = &report.recorded_with {
                    dt { "Recorded with" }
                    dd { "another state of it: revision " (revision(&with.revision)) ", digest " (digest(&with.digest)) }
                }
                dt { "Record" }
                dd {
                    @if !report.recorded { "none is kept" }
                    @if report.recorded && report.remarks.is_empty() { "whole: " (report.log.len()) " lines, no sign of a change" }
                    @for remark in &report.remarks { p { (remark) } }
                }
            }
        }
    }
}

fn log(lines: &[LogLine]) -> Markup {
    html! {
        h2 { "Setup and readings" }
        table.rows {
            thead { tr { th scope="col" { "Time" } th scope="col" { "Entered" } th scope="col" { "Accuracy" } th scope="col" { "A sound vehicle shows" } th scope="col" { "It is" } } }
            tbody { @for line in lines { (log_row(line)) } }
        }
        @if lines.is_empty() { p { "Nothing yet." } }
    }
}

fn log_row(line: &LogLine) -> Markup {
    let time = line.stamp.as_deref().map_or("", |stamp| stamp.get(..19).unwrap_or(stamp));
    html! {
        @if let Some(entry) = &line.entry {
            tr id={ "entry-" (entry.entry) } {
                td.time { (time) }
                td { (entry.entry) ". " span.key { (entry.text) } ", " (entry.setup) @if let Some(note) = &entry.note { span.quiet { " (" (note) ")" } } }
                td data-label="Accuracy" { @if let Some(accuracy) = &entry.accuracy { (accuracy) } }
                td data-label="A sound vehicle shows" { @if let Some(tolerance) = &entry.tolerance { (tolerance) } }
                td data-label="It is" { @if let Some(lies) = &entry.lies { (lies) } }
            }
        } @else {
            tr {
                td.time { (time) }
                td colspan="4" {
                    @if line.taken_back { del { (line.words) } " (taken back)" }
                    @else if line.kind == "repair" { span.key { (line.words) } }
                    @else { span.quiet { (line.words) } }
                }
            }
        }
    }
}

fn stage_section(stage: &ReportStage) -> Markup {
    html! {
        h2 { (stage.heading) }
        p.key { (stage.outcome) }
        @for (fault, lines) in &stage.chains {
            h3 { (fault) }
            (sheet::nested(lines))
        }
        @if !stage.conflicts.is_empty() {
            h3 { "Entries that quarrel" }
            (sheet::nested(&stage.conflicts))
        }
        @if !stage.ruled_out.is_empty() {
            h3 { "Ruled out, and how" }
            @for group in &stage.ruled_out {
                p { span.key { (group.faults.join(", ")) } }
                (sheet::nested(&group.proof))
            }
        }
        @if !stage.open.is_empty() {
            h3 { "May still be there" }
            ul { @for open in &stage.open { li { (open.fault) ": " (open.standing) } } }
        }
        p { (stage.standing) }
    }
}

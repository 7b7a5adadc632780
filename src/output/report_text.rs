//! A job as a page of text for the customer and the file: complaint, setup and readings, chain of reasons, repair,
//! verification, cautions, what is still open.

use crate::job::record::Header;
use crate::job::setup_words;
use crate::reasoning::{Judgement, Verdict, judge};

use super::cautions;
use super::judgement_text::SAFETY;
use super::page::Page;
use super::why::verdict_words;
use super::words::Wording;

impl Wording<'_> {
    /// The report.
    pub fn report(&self, header: Option<&Header>, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        page.line(0, "Job report").gap();
        self.report_header(&mut page, header);
        page.gap().line(0, SAFETY).gap();
        self.report_entries(&mut page);
        for repair in &self.job.repairs {
            let earlier = self.job.before(self.book, repair.line);
            let found = judge(self.book, &earlier);
            let heading = format!("What was found before {} was repaired", self.book.fault(repair.fault).name);
            page.gap().line(0, heading).page(1, &Wording { book: self.book, job: &earlier }.findings(&found));
        }
        let heading = if self.job.repairs.is_empty() { "What was found" } else { "Since the repair" };
        page.gap().line(0, heading).page(1, &self.findings(judgement));
        self.report_repairs(&mut page, judgement);
        self.report_cautions(&mut page);
        let open = self.open_ends(judgement);
        page.gap().line(0, "Still open");
        if open.is_empty() {
            page.line(1, "nothing");
        }
        page.page(1, &open);
        page
    }

    /// Every verdict with its chain of reasons, and what can't be right together.
    fn findings(&self, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        page.line(0, self.outcome(judgement));
        let nothing_entered = judgement.verdicts.iter().all(|verdict| verdict.reasons.is_empty());
        for verdict in judgement.verdicts.iter().filter(|_| !nothing_entered) {
            let name = &self.book.fault(verdict.fault).name;
            page.line(0, format!("{name}: {}", verdict_words(verdict.verdict)));
            page.page(1, &self.reasons(verdict));
        }
        page.line(0, self.standing(judgement));
        for conflict in &judgement.conflicts {
            page.page(0, &self.conflict(conflict));
        }
        page
    }

    fn report_header(&self, page: &mut Page, header: Option<&Header>) {
        let mut said = |word: &str, value: Option<&str>| {
            if let Some(value) = value {
                page.line(0, format!("{word}: {value}"));
            }
        };
        if let Some(header) = header {
            said("Vehicle", header.vehicle.as_deref());
            said("Odometer", header.odometer.as_deref());
            said("Technician", header.technician.as_deref());
        }
        let revision = self.book.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
        let profile = self.book.profile.as_deref().map_or(String::new(), |p| format!(", profile {p}"));
        said(
            "Book",
            Some(&format!(
                "{}{revision}{profile}, digest {}",
                self.book.title,
                self.book.digest.get(..12).unwrap_or("")
            )),
        );
        for words in &self.job.customer_words {
            said("Complaint, in the customer's words", Some(words));
        }
        for complaint in &self.job.complaints {
            said("Complaint", Some(&self.book.complaint(complaint.complaint).name));
        }
        for meter in &self.job.meters {
            said("Meter", Some(meter.name.as_deref().unwrap_or("unnamed")));
        }
    }

    fn report_entries(&self, page: &mut Page) {
        page.line(0, "What was measured and seen");
        let mut setup = String::new();
        for (place, entry) in self.job.entries.iter().enumerate() {
            let now = setup_words(self.book, &entry.setup);
            if now != setup {
                page.line(1, format!("{now}:"));
                setup = now;
            }
            let history = if entry.epoch == self.job.epoch() { "" } else { " (before the repair)" };
            page.line(2, format!("{}. {}{history}", place + 1, self.entry(entry)));
        }
        if self.job.entries.is_empty() {
            page.line(1, "nothing yet");
        }
    }

    fn report_repairs(&self, page: &mut Page, judgement: &Judgement) {
        if judgement.evidence.repairs.is_empty() {
            for fault in judgement.with(Verdict::Proved) {
                if let Some(remedy) = &self.book.fault(fault).remedy {
                    page.gap().line(0, "Remedy").line(1, remedy);
                }
            }
            return;
        }
        page.gap().line(0, "Repair");
        for repair in &judgement.evidence.repairs {
            let fault = self.book.fault(repair.fault);
            let state = if repair.verified.is_some() { "verified" } else { "not yet verified" };
            page.line(1, format!("{}: repaired, {state}", fault.name));
            if let Some(remedy) = &fault.remedy {
                page.line(2, format!("remedy: {remedy}"));
            }
        }
    }

    fn report_cautions(&self, page: &mut Page) {
        let all = cautions::of_job(self.book, self.job);
        if all.is_empty() {
            return;
        }
        page.gap().line(0, "Cautions");
        for caution in all {
            page.line(1, &caution.text);
        }
    }
}

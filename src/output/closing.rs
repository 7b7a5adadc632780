//! What is still to be done before a job is closed: repairs to verify, complaints to see gone, changes to put back.

use crate::book::ConditionRef;
use crate::reasoning::choice::{decide, truth};
use crate::reasoning::truth::Truth;
use crate::reasoning::{Facts, Judgement, describe};

use super::page::Page;
use super::words::Wording;

impl Wording<'_> {
    /// Everything that is still open at the end; empty where the job is done.
    pub fn open_ends(&self, judgement: &Judgement) -> Page {
        let mut page = Page::new();
        self.unverified(&mut page, judgement);
        self.complaints_not_gone(&mut page);
        page.page(0, &self.put_back());
        page
    }

    /// Whether something was repaired and nothing is left to be done.
    pub fn is_job_done(&self, judgement: &Judgement) -> bool {
        !self.job.repairs.is_empty() && self.open_ends(judgement).is_empty()
    }

    fn unverified(&self, page: &mut Page, judgement: &Judgement) {
        let facts = self.facts();
        for repair in judgement.evidence.repairs.iter().filter(|repair| repair.verified.is_none()) {
            let fault = self.book.fault(repair.fault);
            page.line(0, format!("{} is repaired and not yet verified:", fault.name));
            if fault.verify.is_empty() {
                page.line(1, "this book doesn't say how to verify it; repeat the failed measurement and the complaint's own conditions");
            }
            for condition in &fault.verify {
                match decide(&facts, condition, true) {
                    Some(_) => page.line(1, format!("{}: yes", self.source_words(condition.span))),
                    None => page.page(1, &self.steps(&describe::survey(&facts, condition))),
                };
            }
        }
    }

    fn complaints_not_gone(&self, page: &mut Page) {
        if self.job.repairs.is_empty() {
            return;
        }
        let facts = Facts::of(self.book, self.job, self.job.epoch(), |_| true);
        let mut seen = Vec::new();
        for entered in &self.job.complaints {
            if seen.contains(&entered.complaint) {
                continue;
            }
            seen.push(entered.complaint);
            let complaint = self.book.complaint(entered.complaint);
            match self.book.condition(ConditionRef::Gone(entered.complaint)) {
                None => {
                    page.line(0, format!("complaint `{}`: this book doesn't say when it is gone; try it under the customer's own conditions", complaint.name));
                }
                Some(condition) if truth(&facts, condition) != Truth::True => {
                    page.line(0, format!("complaint `{}` is not seen to be gone:", complaint.name));
                    page.page(1, &self.steps(&describe::survey(&facts, condition)));
                }
                Some(_) => {}
            }
        }
    }

    /// Changes still in place, and how each is put back.
    pub fn put_back(&self) -> Page {
        let mut page = Page::new();
        let changes: Vec<_> = self.job.setup.changes(self.book).collect();
        if changes.is_empty() {
            return page;
        }
        page.line(0, "Still in place, to be put back:");
        for id in changes {
            let setting = self.book.setting(id);
            let how = setting.put_back.as_ref().map_or(String::new(), |how| format!(": {how}"));
            page.line(1, format!("{}{how}", setting.name));
        }
        page
    }
}

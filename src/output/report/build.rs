//! Putting the report together from a book, a job, its record and its course.

use crate::book::Book;
use crate::job::Job;
use crate::job::record::Header;
use crate::output::cautions::{self, Shown};
use crate::output::judgement_json::json_book;
use crate::output::judgement_text::SAFETY;
use crate::output::page::Page;
use crate::output::words::Wording;
use crate::reasoning::Verdict;
use crate::reasoning::history::{Came, Course};

use super::{JobReport, RecordedWith, ReportCaution, ReportStage, SCHEMA, lines_of, log};

/// What a report is made of.
#[derive(Clone, Copy)]
pub struct Papers<'a> {
    /// The book.
    pub book: &'a Book,
    /// The job.
    pub job: &'a Job,
    /// What stands above the entries of its record, if there is one.
    pub header: Option<&'a Header>,
    /// Its course.
    pub course: &'a Course,
    /// What the record suffers from, in sentences.
    pub remarks: &'a [String],
}

impl Papers<'_> {
    /// The report.
    pub fn report(&self) -> JobReport {
        let wording = Wording { book: self.book, job: self.job };
        let open = wording.open_ends(&self.course.last);
        let done = !self.job.repairs.is_empty() && open.is_empty();
        let said = |pick: fn(&Header) -> &Option<String>| self.header.and_then(|header| pick(header).clone());
        let other = self.header.filter(|header| !header.digest.is_empty() && header.digest != self.book.digest.hex());
        JobReport {
            schema: SCHEMA,
            done,
            state: self.state(done),
            safety: SAFETY,
            cautions: self.cautions(),
            vehicle: said(|header| &header.vehicle),
            odometer: said(|header| &header.odometer),
            technician: said(|header| &header.technician),
            customer_words: self.job.customer_words.clone(),
            complaints: wording.complaints(),
            causes: wording.causes(self.course),
            outcome: wording.outcome(&self.course.last),
            not_verified: lines_of(&self.left_open(open)),
            times: log::times(self.job),
            book: json_book(self.book),
            recorded_with: other.map(|h| RecordedWith { revision: h.revision.clone(), digest: h.digest.clone() }),
            recorded: self.header.is_some(),
            remarks: self.remarks.to_vec(),
            conditions: wording.conditions(),
            log: wording.log(),
            stages: closed(wording.stages(self.course), done),
        }
    }

    fn state(&self, done: bool) -> String {
        if done {
            return "Done: the repair is verified, the complaint is gone, nothing is left in place.".into();
        }
        let last = &self.course.last;
        if !last.conflicts.is_empty() {
            return "Not finished: entries quarrel; they are settled first.".into();
        }
        match (self.course.stages.last().map(|stage| stage.came), last.with(Verdict::Proved).next()) {
            (_, Some(_)) => "Not finished: the cause is proved and not yet repaired.".into(),
            (None, None) => "Not finished: no cause is proved yet.".into(),
            (Some(Came::Verified), None) => {
                "Not finished: the repair is verified, but something is still to do; see below.".into()
            }
            (Some(Came::NotVerified), None) => "Not finished: the repair is not yet verified.".into(),
            (Some(Came::InVain(_)), None) => "Not finished: the repair did not help.".into(),
        }
    }

    /// What is still open, what quarrels, and what could not be looked at.
    fn left_open(&self, mut open: Page) -> Page {
        let wording = Wording { book: self.book, job: self.job };
        if self.job.repairs.is_empty() {
            open.line(0, "nothing is repaired yet");
        }
        for conflict in &self.course.last.conflicts {
            open.page(0, &wording.conflict(conflict));
        }
        for id in &self.job.unreachable {
            open.line(0, format!("{} could not be reached", self.book.indication(*id).name));
        }
        open
    }

    fn cautions(&self) -> Vec<ReportCaution> {
        let proved = self.course.last.with(Verdict::Proved);
        let repaired = self.course.stages.iter().map(|stage| stage.fault);
        let of_faults = repaired.chain(proved).map(|fault| &self.book.fault(fault).steps);
        let in_place = self.job.setup.changes(self.book).map(|id| &self.book.setting(id).steps);
        let of_repair = of_faults.chain(in_place).flat_map(|steps| cautions::of_steps(self.book, steps));
        let earlier = self.course.stages.iter().flat_map(|stage| cautions::of_job(self.book, &stage.job));
        let of_tests = cautions::of_job(self.book, self.job).into_iter().chain(earlier);
        let mut once: Vec<ReportCaution> = Vec::new();
        let each = of_repair.map(|shown| (shown, true)).chain(of_tests.map(|shown| (shown, false)));
        for (Shown { name, text, stop, .. }, of_repair) in each {
            if !once.iter().any(|known| known.name == name) {
                once.push(ReportCaution { name, text, stop, of_repair });
            }
        }
        once
    }
}

/// Of a job that is done the last stage says only that.
fn closed(mut stages: Vec<ReportStage>, done: bool) -> Vec<ReportStage> {
    if let Some(last) = stages.last_mut().filter(|_| done) {
        last.outcome = "The job is done.".into();
        last.open.clear();
        last.standing = "Nothing seen since then says that there is still a fault.".into();
    }
    stages
}

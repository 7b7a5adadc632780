//! One job of many: flat where it can be, else by the ordinary judge.

use crate::book::{Book, ComplaintId, FaultId};
use crate::job::Job;
use crate::problem::Problem;
use crate::reasoning::{Verdict, judge};

use super::cell::{Read, read};
use super::fixed::NO_END;
use super::flat::{Plan, Standing};
use super::layout::{Layout, enter};

/// A job as given: what stands under each column of its layout, and its complaint.
#[derive(Clone, Debug, Default)]
pub struct Given<'t> {
    /// By column; empty where nothing was entered.
    pub said: Vec<&'t str>,
    /// The complaint, by its name; empty for none.
    pub complaint: &'t str,
}

/// How a job was judged.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// As whole numbers.
    Flat,
    /// One by one, by the ordinary judge.
    OneByOne,
}

/// A job judged.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Judged {
    /// What it comes to.
    pub standing: Standing,
    /// How.
    pub way: Way,
}

/// Judges a job the ordinary way.
pub fn judge_job(book: &Book, job: &Job) -> Judged {
    let judgement = judge(book, job);
    let of = |verdict: Verdict| judgement.with(verdict).collect::<Vec<_>>().into_iter();
    let lists: [&mut dyn Iterator<Item = FaultId>; 3] =
        [&mut of(Verdict::Proved), &mut of(Verdict::Conflict), &mut of(Verdict::Open).chain(of(Verdict::OnlyOneLeft))];
    Judged { standing: Standing::by(judgement.outcome, book, lists), way: Way::OneByOne }
}

/// A job that can't be judged as it is given.
#[derive(Clone, Debug)]
pub struct BadRow {
    /// Which column, if one.
    pub column: Option<usize>,
    /// Why.
    pub problem: Problem,
}

impl Layout {
    /// Judges one job.
    ///
    /// # Errors
    /// What of it can't be taken, in order.
    pub fn judge(&self, book: &Book, given: &Given<'_>) -> Result<Judged, Vec<BadRow>> {
        let complaint = self.complaint(book, given)?;
        if let (Some(plan), Some(mut cells)) = (self.plan(), self.cells(book, given)?) {
            plan.learn(book, &cells);
            let mut standing = plan.standing();
            if plan.judge(&mut cells, complaint, &mut standing) {
                return Ok(Judged { standing, way: Way::Flat });
            }
        }
        self.one_by_one(book, given)
    }

    /// A job as whole numbers; none where it can't be said so.
    ///
    /// # Errors
    /// What of it can't be taken, in order.
    pub fn cells(&self, book: &Book, given: &Given<'_>) -> Result<Option<Vec<i64>>, Vec<BadRow>> {
        let mut bad = Vec::new();
        let mut whole = true;
        let mut cells = self.plan().map_or_else(|| vec![NO_END; 2 * self.columns.len()], Plan::blank);
        for (place, (column, said)) in self.columns.iter().zip(&given.said).enumerate() {
            let said = said.trim();
            if said.is_empty() {
                continue;
            }
            match read(book, &self.start, column, said) {
                Read::Cells(pair) => {
                    if let Some(into) = cells.get_mut(2 * place..2 * place + 2) {
                        into.copy_from_slice(&pair);
                    }
                }
                Read::Ordinary => whole = false,
                Read::Bad(problems) => {
                    bad.extend(problems.into_iter().map(|problem| BadRow { column: Some(place), problem }));
                }
            }
        }
        if bad.is_empty() { Ok(whole.then_some(cells)) } else { Err(bad) }
    }

    fn complaint(&self, book: &Book, given: &Given<'_>) -> Result<Option<ComplaintId>, Vec<BadRow>> {
        let name = given.complaint.trim();
        if name.is_empty() {
            return Ok(None);
        }
        if let Some(place) = book.complaints.iter().position(|complaint| complaint.name.eq_ignore_ascii_case(name)) {
            return Ok(Some(ComplaintId::at(place)));
        }
        let mut job = Job::new(book);
        match enter(book, &mut job, &format!("complaint {name}")) {
            Ok(()) => Ok(job.complaints.first().map(|entered| entered.complaint)),
            Err(problems) => Err(problems.into_iter().map(|problem| BadRow { column: None, problem }).collect()),
        }
    }

    /// The job as one would enter it by hand, judged.
    fn one_by_one(&self, book: &Book, given: &Given<'_>) -> Result<Judged, Vec<BadRow>> {
        Ok(judge_job(book, &self.job(book, given)?))
    }

    /// The job as one would enter it by hand.
    ///
    /// # Errors
    /// What of it can't be taken.
    pub fn job(&self, book: &Book, given: &Given<'_>) -> Result<Job, Vec<BadRow>> {
        let mut job = self.start.clone();
        let mut bad = Vec::new();
        let mut say = |job: &mut Job, column: Option<usize>, sentence: &str| {
            let problems = enter(book, job, sentence).err().unwrap_or_default();
            bad.extend(problems.into_iter().map(|problem| BadRow { column, problem }));
        };
        if !given.complaint.trim().is_empty() {
            say(&mut job, None, &format!("complaint {}", given.complaint.trim()));
        }
        for (place, (column, said)) in self.columns.iter().zip(&given.said).enumerate() {
            if !said.trim().is_empty() {
                say(&mut job, Some(place), &column.sentence(book, said));
            }
        }
        if bad.is_empty() { Ok(job) } else { Err(bad) }
    }
}

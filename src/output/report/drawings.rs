//! The drawings of a report: a plot of each recorded signal; each circuit that knows a cause, with the cause in it, under the setup of its proof;
//! without a cause, each circuit that was measured in, as it should be.

use std::borrow::Cow;

use crate::book::{CircuitId, FaultId, Setup};
use crate::circuit::Stand;
use crate::circuit::picture::picture;
use crate::job::{Entry, setup_words};
use crate::output::circuit_svg::{Plate, figure};
use crate::output::circuit_words::supposed;
use crate::output::signal_svg::signal_svg;
use crate::output::words::Wording;
use crate::reasoning::history::Course;
use crate::reasoning::{FaultVerdict, Reason, Verdict};

use super::build::Papers;

/// The most drawings of one report.
const MOST: usize = 4;
/// The most plots.
const MOST_PLOTS: usize = 12;

/// A drawing with what it shows.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Drawing {
    /// What is drawn.
    pub title: String,
    /// The drawing, an SVG element.
    pub svg: String,
}

/// All drawings of a job.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Drawings {
    /// Recorded signals.
    pub plots: Vec<Drawing>,
    /// Circuits.
    pub circuits: Vec<Drawing>,
}

/// The drawings of a job.
pub fn drawings(papers: &Papers<'_>) -> Drawings {
    Drawings { plots: plots(papers), circuits: circuits(papers) }
}

fn circuits(papers: &Papers<'_>) -> Vec<Drawing> {
    let mut wanted = causes(papers.course, papers);
    if wanted.is_empty() {
        wanted = measured(papers);
    }
    let drawn = wanted.into_iter().take(MOST).enumerate();
    drawn.filter_map(|(nth, (circuit, faults, setup))| draw(papers, nth, circuit, &faults, &setup)).collect()
}

fn plots(papers: &Papers<'_>) -> Vec<Drawing> {
    let wording = Wording { book: papers.book, job: papers.job };
    let drawn = papers.job.entries.iter().enumerate().filter_map(|(place, entry)| {
        let recording = entry.recording.as_ref()?;
        let under = setup_words(papers.book, &entry.setup);
        let title = format!("entry {}: {}, {under}", place + 1, wording.entry(&entry));
        Some(Drawing { svg: signal_svg(recording, &title), title })
    });
    drawn.take(MOST_PLOTS).collect()
}

type Wanted = (CircuitId, Vec<FaultId>, Setup);

fn causes(course: &Course, papers: &Papers<'_>) -> Vec<Wanted> {
    let repaired = course.stages.iter().map(|stage| (stage.fault, &stage.job, &stage.judgement));
    let proved = course.last.with(Verdict::Proved).map(|fault| (fault, papers.job, &course.last));
    let mut all: Vec<Wanted> = Vec::new();
    for (fault, job, judgement) in repaired.chain(proved) {
        let proof = judgement.of(fault).and_then(first_choice);
        let entry = proof.and_then(|entries| entries.last().and_then(|id| job.entry(*id)));
        let setup = entry.or(job.entries.last()).map_or(&job.setup, |entry| &entry.setup);
        let knows = |id: &CircuitId| papers.book.circuit(*id).faults().contains(&fault);
        let new = papers.book.circuit_ids().filter(knows).map(|id| (id, vec![fault], setup.clone()));
        all.extend(
            new.filter(|(id, faults, _)| !all.iter().any(|(i, f, _)| i == id && f == faults)).collect::<Vec<_>>(),
        );
    }
    all
}

fn first_choice(verdict: &FaultVerdict) -> Option<Vec<crate::job::EntryId>> {
    verdict.reasons.iter().find_map(|reason| match reason {
        Reason::Implied(_, choice) => Some(choice.entries()),
        _ => None,
    })
}

fn measured(papers: &Papers<'_>) -> Vec<Wanted> {
    let last_of = |id: CircuitId| {
        let circuit = papers.book.circuit(id);
        let read = |entry: &Cow<'_, Entry>| circuit.probes_of(entry.indication).next().is_some();
        papers.job.entries.iter().rev().find(read).map(|entry| (id, Vec::new(), entry.setup.clone()))
    };
    papers.book.circuit_ids().filter_map(last_of).collect()
}

fn draw(papers: &Papers<'_>, nth: usize, circuit: CircuitId, faults: &[FaultId], setup: &Setup) -> Option<Drawing> {
    let book = papers.book;
    let circuit = book.circuit(circuit);
    let found = picture(&Stand { book, circuit, setup, faults, warmth: None }, &[]).ok()?;
    let said = supposed(book, faults).replace('`', "");
    let title = format!("{}, {}, {said}", circuit.name, setup_words(book, setup));
    let svg = figure(&[Plate { title: title.clone(), picture: &found }], &format!("circuit-{nth}"));
    Some(Drawing { title, svg })
}

//! Faults that no rule can prove.

use crate::book::{Conclusion, FaultId};
use crate::lint::check::{Finding, Findings, check};
use crate::lint::space::stood::{Stood, blank, reach};
use crate::lint::space::system::System;
use crate::lint::subject::Subject;

use super::claim::Claim;
use super::sides::{Can, Joint, Sides, Source, proves};

check! {
    /// Finds: a fault that no rule can prove, by itself or as the last of several that it names; and none that can apply.
    ///
    /// Harm: the job can only end with *the only one left*, if it ends at all.
    ///
    /// Bad:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    /// rule feed lost:
    ///   supply at fan connector below 5 V and supply at fan connector above 8 V
    ///   implies open feed wire
    /// rule the fuse:
    ///   fan runs is no
    ///   implies blown fuse
    /// ```
    /// Good:
    /// ```rulebook
    /// fault open feed wire
    ///   "Open between the relay and the fan connector"
    /// rule feed lost:
    ///   supply at fan connector below 5 V
    ///   implies open feed wire
    /// rule the fuse:
    ///   fan runs is no
    ///   implies blown fuse
    /// ```
    "fault-never-proved", Advice, Meaning, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    let Some(sides) = subject.meaning else { return };
    let book = sides.book;
    let mut can_be = vec![false; book.faults.len()];
    let mut open = vec![false; book.faults.len()];
    for rule in book.rule_ids() {
        let marks = match sides.can_apply(rule) {
            Can::Yes(_) | Can::Tried => &mut can_be,
            Can::Open => &mut open,
            Can::No => continue,
        };
        let of_several = book.rule(rule).conclusions.iter().filter_map(|conclusion| match conclusion {
            Conclusion::ImpliesOneOf(faults) => Some(faults),
            _ => None,
        });
        for fault in proves(book, rule).into_iter().chain(of_several.flatten().copied()) {
            if let Some(mark) = marks.get_mut(fault.place()) {
                *mark = true;
            }
        }
    }
    for (place, fault) in subject.own(&book.faults) {
        let (can_be, open) = (can_be.get(place) == Some(&true), open.get(place) == Some(&true));
        if can_be {
            continue;
        }
        if open {
            found.leave_open();
            continue;
        }
        let id = FaultId::at(place);
        let joint = sides.all_shown(id);
        found.add(
            Finding::at(fault.span, format!("nothing can prove `{}`", fault.name))
                .here("no rule that can apply implies it")
                .help("write the rule that proves it: what is measured when only this can be left")
                .witness(joint.and_then(|joint| joint.shows(book, Claim::NotProved(id)))),
        );
    }
}

impl Sides<'_> {
    /// An entry of something that a fault shows, or of anything at all.
    pub(crate) fn all_shown(&self, fault: FaultId) -> Option<Joint> {
        let shown = self.book.fault(fault).shows.iter().find_map(|shows| self.comes_out(&shows.condition, true));
        let asked = || {
            self.sources.iter().find_map(|(source, _)| match source {
                Source::Rule(rule) => self.comes_out(&self.book.rule(*rule).condition, false),
                Source::Shows(..) => None,
            })
        };
        shown.or_else(asked).or_else(|| self.anything())
    }

    /// An entry of the first test of the book.
    fn anything(&self) -> Option<Joint> {
        let measured = self
            .book
            .indication_ids()
            .filter(|id| self.book.indication(*id).reading().is_none_or(|reading| reading.computed.is_none()));
        measured.into_iter().find_map(|id| {
            let setup = reach(self.book, &self.book.indication(id).demand)?;
            let stood = Stood { entries: vec![blank(id, &setup)], fill: Vec::new() };
            let system = System::new(stood.domains(self.book));
            Some(Joint { entries: stood.entries, vars: vec![0], system })
        })
    }
}

//! Advice for people: cautions first, then how to get there, where to measure, what each answer would mean.

use crate::advice::reach::SetStep;
use crate::advice::{Advice, Aim, AnswerOutcome, HandOver, Note, Purpose, RepairAdvice, Repeat, TestAdvice};
use crate::book::{ConditionRef, FaultId, IndicationId, PartId};
use crate::reasoning::cells::Cell;
use crate::units::Interval;

use super::cautions::{self, Shown};
use super::page::Page;
use super::words::{Wording, about};

impl Wording<'_> {
    /// What to do next. `cautioned` holds the names of cautions already shown in full, and learns new ones.
    pub fn advice(&self, advice: &Advice, cautioned: &mut Vec<String>) -> Page {
        let mut page = Page::new();
        if let Some(note) = &advice.note {
            page.line(0, self.note(note)).gap();
        }
        for (place, step) in advice.steps.iter().enumerate() {
            let lead = match (place, step.purpose) {
                (0, _) => "Next",
                (_, Purpose::TellApart | Purpose::Beside(_)) => "Else",
                _ => "Then",
            };
            page.page(0, &self.test(lead, step, cautioned)).gap();
        }
        for over in &advice.hand_over {
            page.page(0, &self.hand_over(*over)).gap();
        }
        for repair in &advice.repairs {
            page.page(0, &self.repair("Repair", repair, cautioned)).gap();
        }
        if let Some(repair) = &advice.instead {
            page.page(0, &self.repair("Or repair at once", repair, cautioned));
            page.line(1, "with its verification that may cost less than the tests that are left").gap();
        }
        page
    }

    fn note(&self, note: &Note) -> String {
        match note {
            Note::MoreAtOnce(count) => format!(
                "{count} faults are proved, and the book knows only {} at once: if all are really there, it may need `at most {count} faults at once`.",
                self.book.at_once
            ),
            Note::Quarrel => "Entries quarrel; settle that before anything else is measured.".into(),
            Note::NotCovered => "No fault of this book is left: take the entries again that can't all be right, else this book does not cover what is wrong.".into(),
            Note::NoFaultSeen => "No fault seen: every fault is ruled out and nothing is out of order. There is nothing to measure.".into(),
            Note::NothingSeparates => "No test on offer separates what is left.".into(),
            Note::NothingProves(fault) => format!(
                "Only {} is left, and no test on offer would prove it or rule it out: repair it and verify the repair.",
                self.book.fault(*fault).name
            ),
            Note::NothingLeft => "There is nothing left to advise.".into(),
        }
    }

    /// One test with all that goes with it.
    pub fn test(&self, lead: &str, test: &TestAdvice, cautioned: &mut Vec<String>) -> Page {
        let mut page = Page::new();
        page.line(
            0,
            format!("{lead}: {}, {}{}", self.indication(test.indication), duration(test.seconds), self.purpose(test)),
        );
        self.cautions(&mut page, &self.cautions_of(test), cautioned);
        for step in &test.steps {
            self.set_step(&mut page, step);
        }
        let steps = &self.book.indication(test.indication).steps;
        if let Some(place) = &steps.place {
            page.line(1, format!("where: {place}"));
        }
        if let Some(how) = &steps.how {
            page.line(1, format!("how: {how}"));
        }
        if !test.timed {
            page.line(1, "the book does not say how long the test takes; 2 min are assumed");
        }
        self.meter(&mut page, test);
        if test.silent > 0 && test.open > 1 {
            page.line(
                1,
                format!(
                    "the book says nothing here of {} of the {} faults left: they may show any answer",
                    test.silent, test.open
                ),
            );
        }
        if let Some(repeat) = &test.repeat {
            page.line(1, self.repeat(repeat));
        }
        // A single answer that tells nothing, whatever is read, is no news.
        for answer in test.answers.iter().filter(|answer| test.answers.len() > 1 || !answer.is_idle()) {
            page.line(1, self.answer(test, answer));
        }
        if let Some((decides, others)) = &test.together {
            let others: Vec<&str> = others.iter().map(|id| self.indication(*id)).collect();
            page.line(
                1,
                format!("then {}: only together they decide {}", others.join(", then "), self.condition_name(*decides)),
            );
        }
        page
    }

    /// What trying again would come to.
    fn repeat(&self, repeat: &Repeat) -> String {
        let fault = &self.book.fault(repeat.fault).name;
        let so_far = match repeat.so_far {
            0 => String::new(),
            1 => "tried once so far; ".into(),
            count => format!("tried {count} times so far; "),
        };
        let share = |weight: f64| format!("1 in {}", (1.0 / weight).round());
        let more: Vec<String> = repeat
            .more
            .iter()
            .enumerate()
            .map(|(place, (tries, left))| match (place, tries) {
                (0, 1) => format!("one more without it would leave {}", share(*left)),
                (0, tries) => format!("{tries} more without it would leave {}", share(*left)),
                (_, tries) => format!("{tries} more {}", share(*left)),
            })
            .collect();
        let told = if more.is_empty() { "trying again tells little".to_string() } else { more.join(", ") };
        format!("shows `{fault}` only sometimes, so try it again: {so_far}{told}")
    }

    /// How well the meter tells the answers apart, where that matters.
    fn meter(&self, page: &mut Page, test: &TestAdvice) {
        let unit = self.book.indication(test.indication).reading().and_then(|reading| reading.unit);
        let (Some(meter), Some(unit)) = (&test.meter, unit) else { return };
        if test.too_close >= 0.02 {
            let likely = about(test.too_close);
            page.line(
                1,
                format!(
                    "meter: ± {} at the limits; {likely} that the reading lies too close to one to decide",
                    unit.show_width(meter)
                ),
            );
        }
    }

    /// A condition by what it belongs to.
    pub(crate) fn condition_name(&self, which: ConditionRef) -> String {
        match which {
            ConditionRef::Rule(rule) => format!("rule `{}`", self.book.rule(rule).label),
            ConditionRef::Shows(fault, _) => format!("what `{}` shows", self.book.fault(fault).name),
            ConditionRef::Verify(fault, _) => {
                format!("whether the repair of `{}` is verified", self.book.fault(fault).name)
            }
            ConditionRef::Gone(complaint) => format!("whether `{}` is gone", self.book.complaint(complaint).name),
        }
    }

    fn purpose(&self, test: &TestAdvice) -> String {
        match test.purpose {
            Purpose::Baseline(complaint) => {
                format!(" (asked for first by the complaint `{}`)", self.book.complaint(complaint).name)
            }
            Purpose::TellApart => String::new(),
            Purpose::Retake(_) => " (take it again first)".into(),
            Purpose::Beside(id) => {
                let other = self.job.entry(id).map_or("", |entry| self.indication(entry.indication));
                format!(
                    " (again: it and entry {}, {other}, were taken under different setups; retake it under that of entry {0})",
                    id.place() + 1
                )
            }
            Purpose::Verify(fault) => format!(" (verifies the repair of {})", self.book.fault(fault).name),
            Purpose::Prove(fault) => format!(" (may prove {}, the only fault left)", self.book.fault(fault).name),
            Purpose::Gone(complaint) => format!(" (shows whether `{}` is gone)", self.book.complaint(complaint).name),
        }
    }

    pub(crate) fn cautions_of(&self, test: &TestAdvice) -> Vec<Shown> {
        let active = cautions::active(self.book, &test.setup);
        let on_the_way = test.steps.iter().map(|step| step.setting).filter(|id| !active.contains(id));
        let all: Vec<_> = active.iter().copied().chain(on_the_way).collect();
        cautions::of_test(self.book, test.indication, all.into_iter())
    }

    fn cautions(&self, page: &mut Page, all: &[Shown], cautioned: &mut Vec<String>) {
        for caution in all {
            if cautioned.contains(&caution.name) {
                page.line(1, format!("mind: {}", caution.reminder));
            } else {
                page.line(1, format!("CAUTION {}: {}", caution.name, caution.text));
                cautioned.push(caution.name.clone());
            }
        }
    }

    fn set_step(&self, page: &mut Page, step: &SetStep) {
        let setting = self.book.setting(step.setting);
        let said = setting.said(step.value);
        let time = if step.seconds > 0.0 { format!(", {}", duration(step.seconds)) } else { String::new() };
        if step.back && !setting.one_of {
            let how = setting.put_back.as_ref().map_or(String::new(), |how| format!(": {how}"));
            page.line(1, format!("`without {}`{time}{how}", setting.name));
            return;
        }
        let how = setting.steps.how.as_ref().map_or(String::new(), |how| format!(": {how}"));
        page.line(1, format!("`with {said}`{time}{how}"));
        if let Some(place) = &setting.steps.place {
            page.line(2, format!("where: {place}"));
        }
        if let (Some(part), false) = (setting.swaps, step.back) {
            let donors: Vec<String> = step.donors.iter().map(|id| self.part(*id)).collect();
            page.line(
                2,
                match donors.is_empty() {
                    true => format!("{}: the book names no donor of the same kind that may lend", self.part(part)),
                    false => format!("{}: borrow {}", self.part(part), donors.join(", or ")),
                },
            );
        }
    }

    fn part(&self, id: PartId) -> String {
        let part = self.book.part(id);
        match &part.place {
            Some(place) => format!("{} ({place})", part.name),
            None => part.name.clone(),
        }
    }

    fn answer(&self, test: &TestAdvice, answer: &AnswerOutcome) -> String {
        let cells = self.cells(test.indication, &answer.cells);
        let means = match (answer.aim, answer.proves.is_empty()) {
            (None, _) => self.means(answer),
            (Some(aim), true) => self.aim(test.purpose, aim),
            (Some(aim), false) => format!("{}; {}", self.aim(test.purpose, aim), self.means(answer)),
        };
        format!("{cells} ({}): {means}", about(answer.probability))
    }

    /// What an answer does to what the test is taken for.
    fn aim(&self, purpose: Purpose, aim: Aim) -> String {
        let fault = |id: FaultId| &self.book.fault(id).name;
        match (purpose, aim) {
            (Purpose::Verify(id), Aim::Reached) => format!("verifies the repair of {}", fault(id)),
            (Purpose::Verify(id), Aim::Missed) => format!("the repair of {} did not help", fault(id)),
            (Purpose::Gone(id), Aim::Reached) => format!("`{}` is gone", self.book.complaint(id).name),
            (Purpose::Gone(id), Aim::Missed) => format!("`{}` is still there", self.book.complaint(id).name),
            (_, Aim::Reached) => "ends the quarrel".into(),
            (_, Aim::Missed) => "the quarrel stays".into(),
            (_, Aim::Open) => "not enough by itself".into(),
        }
    }

    /// What an answer says of the faults.
    fn means(&self, answer: &AnswerOutcome) -> String {
        match (answer.proves.is_empty(), answer.rules_out.is_empty(), answer.leaves.is_empty()) {
            (false, ..) => format!("proves {}", self.listed(&answer.proves)),
            (true, true, _) => match answer.likeliest {
                Some((fault, weight)) => {
                    format!("rules nothing out; likeliest then {}, {}", self.book.fault(fault).name, about(weight))
                }
                None => "rules nothing out".into(),
            },
            (true, false, true) => "would leave no fault of this book".into(),
            (true, false, false) => match answer.leaves.len() {
                few if few <= 3 && few < answer.rules_out.len() => {
                    format!("leaves only {}", self.listed(&answer.leaves))
                }
                many => format!("rules out {}; leaves {many}", self.listed(&answer.rules_out)),
            },
        }
    }

    /// At most six names, and how many more.
    fn listed(&self, faults: &[FaultId]) -> String {
        let names: Vec<&str> = faults.iter().take(6).map(|id| self.book.fault(*id).name.as_str()).collect();
        let more = faults.len().saturating_sub(6);
        let names = names.join(", ");
        if more == 0 { names } else { format!("{names} and {more} more") }
    }

    /// Answers in words: `yes or slowly`, `below 22.5 V`, `below 5 V or above 20 V`.
    pub fn cells(&self, indication: IndicationId, cells: &[Cell]) -> String {
        let indication = self.book.indication(indication);
        let mut ranges: Vec<Interval> = Vec::new();
        let mut answers: Vec<String> = Vec::new();
        for cell in cells {
            match cell {
                Cell::Answer(mask) => {
                    let all = indication.observation().map_or(&[][..], |o| &o.answers);
                    let named = all.iter().enumerate().filter(|(n, _)| mask & (1 << n) != 0);
                    answers.extend(named.map(|(_, answer)| answer.clone()));
                }
                Cell::Log(seen) => {
                    answers.push(if *seen { "the log shows it" } else { "the log shows nothing" }.into())
                }
                Cell::Range { owned, .. } => {
                    match ranges.last_mut().filter(|last| last.high.value() == owned.low.value()) {
                        Some(last) => *last = last.hull(owned),
                        None => ranges.push(owned.clone()),
                    }
                }
            }
        }
        let unit = indication.reading().and_then(|r| r.unit);
        let shown = |range: &Interval| unit.map_or_else(|| "a value".to_string(), |unit| unit.show_range_short(range));
        answers.extend(ranges.iter().map(shown));
        answers.join(" or ")
    }

    fn hand_over(&self, over: HandOver) -> Page {
        let (what, caution) = match over {
            HandOver::Test(id, caution) => (format!("the test `{}`", self.indication(id)), caution),
            HandOver::Repair(id, caution) => (format!("the repair of `{}`", self.book.fault(id).name), caution),
        };
        let caution = self.book.caution(caution);
        let mut page = Page::new();
        page.line(0, format!("Hand over to licensed or qualified staff and take their result: {what}"));
        page.line(1, format!("CAUTION {}: {}", caution.name, caution.text));
        page
    }

    /// One repair with its cautions and what verifies it.
    pub fn repair(&self, lead: &str, repair: &RepairAdvice, cautioned: &mut Vec<String>) -> Page {
        let fault = self.book.fault(repair.fault);
        let mut page = Page::new();
        page.line(0, format!("{lead}: {}, {}, {}", fault.name, about(repair.weight), duration(repair.seconds)));
        self.cautions(&mut page, &cautions::of_steps(self.book, &fault.steps), cautioned);
        if let Some(remedy) = &fault.remedy {
            page.line(1, format!("remedy: {remedy}"));
        }
        if let Some(place) = fault.part.map(|part| self.part(part)) {
            page.line(1, format!("part: {place}"));
        }
        if !repair.timed {
            page.line(1, "the book does not say how long the repair takes; 30 min are assumed");
        }
        if fault.verify.is_empty() {
            page.line(1, "the book names nothing that verifies this repair");
        }
        for condition in &fault.verify {
            page.line(1, format!("then verify: {}", self.source_words(condition.span)));
        }
        page.line(1, format!("when done, enter `repaired {}`", fault.name));
        page
    }
}

/// Seconds as a technician says them: `40 s`, `about 3 min`, `about 2 h`.
pub fn duration(seconds: f64) -> String {
    let minutes = seconds / 60.0;
    if seconds < 50.0 {
        format!("{} s", seconds.round())
    } else if minutes < 90.0 {
        format!("about {} min", minutes.round())
    } else {
        format!("about {} h", (minutes / 30.0).round() / 2.0)
    }
}

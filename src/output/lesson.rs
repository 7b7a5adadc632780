//! A teaching page of a book: each test and what it shows, why each rule holds, each fault, the circuits, exercises from
//! the worked cases with their solutions on a sheet of their own.

use indexmap::IndexMap;

use crate::book::{CircuitId, Conclusion, ConditionRef, FaultId, IndicationId, RuleId, Setup};
use crate::circuit::Stand;
use crate::circuit::picture::picture;
use crate::job::Job;
use crate::lint::cases::CaseResult;
use crate::reasoning::{Judgement, Verdict};
use crate::syntax::tree::Statement;

use super::advice_text::duration;
use super::cautions;
use super::circuit_svg::{Plate, figure};
use super::judgement_text::SAFETY;
use super::leaf::{Block, Leaf};
use super::report::drawings::Drawing;
use super::report::{ReportCaution, ReportLine};
use super::why::verdict_words;
use super::words::Wording;

impl Wording<'_> {
    /// The lesson; `cases` are the book's own, run.
    pub fn lesson(&self, cases: &[CaseResult]) -> Leaf {
        let mut blocks = Vec::new();
        self.circuits_taught(&mut blocks);
        blocks.push(Block::Section("The tests".into()));
        for id in self.book.indication_ids() {
            self.test_taught(&mut blocks, id);
        }
        blocks.push(Block::Section("The rules, and why each holds".into()));
        for id in self.book.rule_ids() {
            self.rule_taught(&mut blocks, id);
        }
        blocks.push(Block::Section("The faults".into()));
        for id in self.book.fault_ids() {
            self.fault_taught(&mut blocks, id);
        }
        exercises(&mut blocks, cases);
        let revision = self.book.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
        let scope = self.book.scope.as_ref().map_or(String::new(), |scope| format!("{scope}. "));
        Leaf {
            title: format!("Lesson: {}", self.book.title),
            purpose: format!("{scope}Book digest {}{revision}.", self.book.digest.hex().get(..12).unwrap_or("")),
            cautions: self.cautions_taught(),
            safety: SAFETY,
            blocks,
        }
    }

    fn cautions_taught(&self) -> Vec<ReportCaution> {
        let own = self.book.cautions.iter();
        own.map(|c| ReportCaution { name: c.name.clone(), text: c.text.to_string(), stop: c.stop, of_repair: false })
            .collect()
    }

    /// Each circuit with all that it knows switched on, nothing wrong.
    fn circuits_taught(&self, blocks: &mut Vec<Block>) {
        let mut drawn: Vec<Block> = Vec::new();
        for (nth, id) in self.book.circuit_ids().enumerate() {
            let circuit = self.book.circuit(id);
            let setup = self.running(id);
            let stand = Stand { book: self.book, circuit, setup: &setup, faults: &[], warmth: None };
            if let Ok(found) = picture(&stand, &[]) {
                let title = format!("{}, {}", circuit.name, crate::job::setup_words(self.book, &setup));
                let plate = Plate { title: title.clone(), picture: &found };
                drawn.push(Block::Drawing(Drawing { svg: figure(&[plate], &format!("circuit-{nth}")), title }));
            }
        }
        if !drawn.is_empty() {
            blocks.push(Block::Section("The circuit".into()));
            blocks.append(&mut drawn);
        }
    }

    /// The setup that most readings of a circuit need.
    fn running(&self, id: CircuitId) -> Setup {
        let mut setup = Setup::normal(&self.book.settings);
        let probes = self.book.circuit(id).probes.iter().map(|probe| self.book.indication(probe.reading));
        if let Some(indication) = probes.max_by_key(|indication| indication.needs.len()) {
            for need in &indication.needs {
                let value = self.book.setting(need.setting).lowest(need.allowed);
                setup.set(self.book, need.setting, value);
            }
        }
        setup
    }

    fn test_taught(&self, blocks: &mut Vec<Block>, id: IndicationId) {
        let indication = self.book.indication(id);
        blocks.push(Block::Topic(indication.name.clone()));
        let mut facts: Vec<(String, String)> = Vec::new();
        let mut fact = |word: &str, value: Option<String>| facts.extend(value.map(|value| (word.to_string(), value)));
        let steps = &indication.steps;
        fact("Where", steps.place.as_ref().map(ToString::to_string));
        fact("How", steps.how.as_ref().map(ToString::to_string));
        let needs: Vec<String> = indication.needs.iter().map(|need| self.term(need)).collect();
        fact("Needs", (!needs.is_empty()).then(|| needs.join(", ")));
        fact("Takes", steps.takes.as_ref().map(|takes| duration(takes.to_f64())));
        fact("Answers", indication.observation().map(|observation| observation.answers.join(", ")));
        fact("A sound vehicle shows", self.tolerance_words(id, None));
        let minds: Vec<String> = cautions::of_steps(self.book, steps).into_iter().map(|shown| shown.name).collect();
        fact("Mind", (!minds.is_empty()).then(|| minds.join(", ")));
        blocks.push(Block::Facts(facts));
        let shows: Vec<ReportLine> =
            self.what_it_shows(id).into_iter().map(|text| ReportLine { depth: 0, text }).collect();
        if !shows.is_empty() {
            blocks.push(Block::Words("What it shows:".into()));
            blocks.push(Block::Lines(shows));
        }
    }

    fn term(&self, term: &crate::book::Term) -> String {
        let setting = self.book.setting(term.setting);
        let value = setting.lowest(term.allowed);
        if value == setting.inactive && !setting.one_of {
            format!("without {}", setting.name)
        } else {
            setting.said(value)
        }
    }

    /// What each rule or fault that asks for a test makes of it.
    fn what_it_shows(&self, id: IndicationId) -> Vec<String> {
        let conditions = self.book.uses_of(id).map_or(&[][..], |uses| &uses.conditions);
        let each = conditions.iter().filter_map(|which| match which {
            ConditionRef::Rule(rule) => {
                let rule = self.book.rule(*rule);
                Some(format!("{}: {}", rule.label, self.concluded(&rule.conclusions)))
            }
            ConditionRef::Shows(fault, nth) => {
                let fault = self.book.fault(*fault);
                let shows = fault.shows.get(*nth)?;
                Some(format!("{} {}", fault.name, self.source_words(shows.span)))
            }
            ConditionRef::Verify(fault, _) => Some(format!("verifies the repair of {}", self.book.fault(*fault).name)),
            ConditionRef::Gone(complaint) => {
                Some(format!("whether the complaint `{}` is gone", self.book.complaint(*complaint).name))
            }
        });
        let mut all: Vec<String> = Vec::new();
        for line in each {
            if !all.contains(&line) {
                all.push(line);
            }
        }
        all
    }

    fn concluded(&self, conclusions: &[Conclusion]) -> String {
        let names = |faults: &[FaultId], joint: &str| {
            faults.iter().map(|id| self.book.fault(*id).name.as_str()).collect::<Vec<_>>().join(joint)
        };
        let each = conclusions.iter().map(|conclusion| match conclusion {
            Conclusion::Implies(faults) => format!("implies {}", names(faults, ", ")),
            Conclusion::ImpliesOneOf(faults) => format!("implies {}", names(faults, " or ")),
            Conclusion::RulesOut(faults) => format!("rules out {}", names(faults, ", ")),
            Conclusion::Odds(faults, factor) if factor.to_f64() >= 1.0 => {
                format!("makes likelier: {}", names(faults, ", "))
            }
            Conclusion::Odds(faults, _) => format!("makes less likely: {}", names(faults, ", ")),
        });
        each.collect::<Vec<_>>().join("; ")
    }

    fn rule_taught(&self, blocks: &mut Vec<Block>, id: RuleId) {
        let rule = self.book.rule(id);
        blocks.push(Block::Topic(rule.label.clone()));
        let mut facts = vec![
            ("If".to_string(), self.explained(&self.source_words(rule.condition.span))),
            ("Then".to_string(), self.concluded(&rule.conclusions)),
        ];
        facts.extend(rule.because.iter().map(|because| ("Because".to_string(), because.to_string())));
        facts.extend(rule.source.iter().map(|source| ("Source".to_string(), source.to_string())));
        blocks.push(Block::Facts(facts));
    }

    fn fault_taught(&self, blocks: &mut Vec<Block>, id: FaultId) {
        let fault = self.book.fault(id);
        blocks.push(Block::Topic(fault.name.clone()));
        let mut facts: Vec<(String, String)> = Vec::new();
        let mut fact = |word: &str, value: Option<String>| facts.extend(value.map(|value| (word.to_string(), value)));
        fact("What it is", fault.description.as_ref().map(ToString::to_string));
        let shows: Vec<String> =
            fault.shows.iter().map(|shows| self.explained(&self.source_words(shows.span))).collect();
        fact("It", (!shows.is_empty()).then(|| shows.join("; ")));
        fact("Remedy", fault.remedy.as_ref().map(ToString::to_string));
        let verify: Vec<String> = fault.verify.iter().map(|c| self.explained(&self.source_words(c.span))).collect();
        fact("Verified by", (!verify.is_empty()).then(|| verify.join("; ")));
        blocks.push(Block::Facts(facts));
    }
}

/// The cases as questions, then, on a new sheet, what they come to.
fn exercises(blocks: &mut Vec<Block>, cases: &[CaseResult]) {
    let cases: Vec<&CaseResult> = cases.iter().filter(|case| !case.moments.is_empty()).collect();
    if cases.is_empty() {
        return;
    }
    blocks.push(Block::NewSheet);
    blocks.push(Block::Section("Exercises".into()));
    blocks.push(Block::Words("What is proved, what is ruled out, and why? What would you measure next?".into()));
    for (nth, case) in cases.iter().enumerate() {
        // The label may give the answer away: it stands with the solution.
        blocks.push(Block::Topic(format!("Exercise {}", nth + 1)));
        let job = case.moments.last().map_or(&case.job, |moment| &moment.job);
        let lines = job.lines.iter().filter(|line| !matches!(line.statement().as_deref(), Some(Statement::Expect(..))));
        blocks.push(Block::Lines(lines.map(|line| ReportLine { depth: 0, text: line.text.to_string() }).collect()));
    }
    blocks.push(Block::NewSheet);
    blocks.push(Block::Section("Solutions".into()));
    for (nth, case) in cases.iter().enumerate() {
        blocks.push(Block::Topic(format!("Exercise {}: {}", nth + 1, case.label)));
        blocks.push(Block::Lines(solution(case)));
    }
}

/// What a case comes to at its last `expect`, with the proofs.
fn solution(case: &CaseResult) -> Vec<ReportLine> {
    let Some(moment) = case.moments.last() else { return Vec::new() };
    let (job, judgement): (&Job, _) = (&moment.job, &moment.judgement);
    let wording = Wording { book: &case.book, job };
    let mut lines = vec![ReportLine { depth: 0, text: wording.outcome(judgement) }];
    let telling = [Verdict::Proved, Verdict::Conflict, Verdict::OnlyOneLeft];
    for verdict in judgement.verdicts.iter().filter(|v| telling.contains(&v.verdict)) {
        let name = &case.book.fault(verdict.fault).name;
        lines.push(ReportLine { depth: 0, text: format!("{name}: {}", verdict_words(verdict.verdict)) });
        let proof = wording.reasons(verdict);
        lines.extend(proof.lines().iter().map(|(depth, text)| ReportLine { depth: depth + 1, text: text.clone() }));
    }
    if judgement.with(Verdict::Proved).next().is_none() {
        lines.extend(ruled_out(&wording, judgement));
    }
    lines
}

/// What is ruled out, faults with one reason together.
fn ruled_out(wording: &Wording<'_>, judgement: &Judgement) -> Vec<ReportLine> {
    let mut groups: IndexMap<String, Vec<&str>> = IndexMap::new();
    for verdict in judgement.verdicts.iter().filter(|verdict| verdict.verdict == Verdict::RuledOut) {
        let why = wording.main_reason(verdict).unwrap_or_default();
        groups.entry(why).or_default().push(&wording.book.fault(verdict.fault).name);
    }
    let each = groups.into_iter().map(|(why, faults)| format!("ruled out: {}; {why}", faults.join(", ")));
    each.map(|text| ReportLine { depth: 0, text }).collect()
}

//! The measuring order on paper, for a technician without a screen: each test with setup, place, tolerance, a box to
//! fill, and where to go for each answer; cautions first, at full length.

mod steps;

use crate::advice::order::MeasuringOrder;
use crate::book::{ComplaintId, Conclusion, FaultId, IndicationId, Setup};
use crate::job::setup_words;
use crate::reasoning::Judgement;

use super::advice_text::duration;
use super::cautions;
use super::judgement_text::SAFETY;
use super::leaf::{Answer, Block, Leaf, Step};
use super::report::ReportCaution;
use super::words::Wording;

use steps::Chosen;

impl Wording<'_> {
    /// The worksheet of an order.
    pub fn worksheet(&self, order: &MeasuringOrder, judgement: &Judgement) -> Leaf {
        let chosen = Chosen::of(order);
        let faults = self.repairs_of(order, &chosen, judgement);
        let tests = chosen.tests(order);
        let asked_first = self.asked_first();
        let mut blocks =
            vec![Block::Fill(["Vehicle", "Odometer", "Date", "Technician"].into_iter().map(str::to_string).collect())];
        self.complaint_block(&mut blocks);
        self.setups_block(&mut blocks, &tests);
        if !asked_first.is_empty() {
            blocks.push(Block::Section("First of all".into()));
            blocks.extend(asked_first.iter().map(|id| Block::Step(self.first_step(*id))));
        }
        blocks.push(Block::Section("Measuring order".into()));
        blocks.push(Block::Words(self.order_words(order, &chosen)));
        blocks.extend(chosen.numbered.iter().filter_map(|node| self.numbered_step(order, &chosen, *node)));
        self.repairs_block(&mut blocks, &faults);
        let revision = self.book.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
        Leaf {
            title: format!("Worksheet: {}", self.book.title),
            purpose: format!(
                "Take the tests in order, write down what you find, go where the answer sends you. If you find what no box names, measure again; if it stays, this sheet doesn't cover it. Book digest {}{revision}.",
                self.book.digest.hex().get(..12).unwrap_or("")
            ),
            cautions: self.all_cautions(&tests, &asked_first, &faults),
            safety: SAFETY,
            blocks,
        }
    }

    fn complaint_block(&self, blocks: &mut Vec<Block>) {
        blocks.push(Block::Section("Complaint".into()));
        for words in &self.job.customer_words {
            blocks.push(Block::Words(format!("\"{words}\"")));
        }
        for entered in &self.job.complaints {
            blocks.push(Block::Words(self.book.complaint(entered.complaint).name.clone()));
        }
        if self.job.customer_words.is_empty() && self.job.complaints.is_empty() {
            blocks.push(Block::Fill(vec!["In the customer's words".into()]));
        }
        if !self.job.entries.is_empty() {
            let known =
                self.job.entries.iter().map(|e| format!("{}, {}", self.entry(&e), setup_words(self.book, &e.setup)));
            blocks.push(Block::Words("Known already:".into()));
            let known = known.map(|text| super::report::ReportLine { depth: 0, text });
            blocks.push(Block::Lines(known.collect()));
        }
    }

    /// How each state and change is set and put back, once.
    fn setups_block(&self, blocks: &mut Vec<Block>, tests: &[(IndicationId, Setup)]) {
        let used = self.book.setting_ids().filter(|id| {
            let inactive = self.book.setting(*id).inactive;
            tests.iter().any(|(_, setup)| setup.value(*id) != inactive)
        });
        let mut facts: Vec<(String, String)> = Vec::new();
        for id in used {
            let setting = self.book.setting(id);
            let back = setting.put_back.as_ref().map_or(String::new(), |back| format!(" Put back: {back}"));
            let place = setting.steps.place.as_ref().map_or(String::new(), |place| format!(" Where: {place}."));
            let how = setting.steps.how.as_deref().unwrap_or("as its name says");
            facts.push((setting.name.clone(), format!("{how}{place}{back}")));
        }
        if !facts.is_empty() {
            blocks.push(Block::Section("How to set up".into()));
            blocks.push(Block::Facts(facts));
        }
    }

    /// The tests that the complaints ask for first and that are not taken yet.
    fn asked_first(&self) -> Vec<IndicationId> {
        let mut all: Vec<IndicationId> = Vec::new();
        let complaints = self.job.complaints.iter().map(|entered| entered.complaint);
        for id in complaints.flat_map(|id: ComplaintId| self.book.complaint(id).first.iter().copied()) {
            let taken = self.job.entries.iter().any(|entry| entry.indication == id);
            if !taken && !all.contains(&id) {
                all.push(id);
            }
        }
        all
    }

    fn first_step(&self, id: IndicationId) -> Step {
        let mut setup = Setup::normal(&self.book.settings);
        for need in &self.book.indication(id).needs {
            let value = self.book.setting(need.setting).lowest(need.allowed);
            setup.set(self.book, need.setting, value);
        }
        let mut step = self.bare_step(id, &setup);
        let answer = |when: &str, then: &str| Answer { when: when.into(), then: then.into(), to: None };
        step.answers = vec![
            answer("as it should be", "go on"),
            answer("not as it should be", "settle this first; it spoils what is measured after it"),
        ];
        step
    }

    /// A test with all that goes with it, without answers.
    fn bare_step(&self, id: IndicationId, setup: &Setup) -> Step {
        let indication = self.book.indication(id);
        let takes = crate::advice::reach::seconds(&indication.steps).0;
        let mut facts = vec![("Setup".to_string(), setup_words(self.book, setup))];
        facts.extend(indication.steps.place.iter().map(|place| ("Where".to_string(), place.to_string())));
        facts.extend(indication.steps.how.iter().map(|how| ("How".to_string(), how.to_string())));
        facts.extend(self.tolerance_words(id, Some(setup)).map(|words| ("A sound vehicle shows".to_string(), words)));
        let active = cautions::active(self.book, setup);
        let minds = cautions::of_test(self.book, id, active.into_iter());
        if !minds.is_empty() {
            let names: Vec<&str> = minds.iter().map(|shown| shown.name.as_str()).collect();
            facts.push(("Mind".to_string(), names.join(", ")));
        }
        let unit =
            indication.reading().map(|reading| reading.unit.map_or(String::new(), |unit| unit.symbol.to_string()));
        Step {
            number: None,
            title: format!("{}, {}", indication.name, duration(takes)),
            facts,
            unit,
            answers: Vec::new(),
        }
    }

    /// What a sound vehicle shows: under a setup, or all that the book says.
    pub fn tolerance_words(&self, id: IndicationId, setup: Option<&Setup>) -> Option<String> {
        let indication = self.book.indication(id);
        if let Some(observation) = indication.observation() {
            let answers = observation.answers.iter().enumerate();
            let sound = answers.filter(|(n, _)| observation.sound & (1 << (*n).min(63)) != 0).map(|(_, a)| a.as_str());
            let sound: Vec<&str> = sound.collect();
            return (!sound.is_empty()).then(|| sound.join(" or "));
        }
        let lines = indication.reading()?.tolerance.iter();
        let fits = lines.filter(|line| setup.is_none_or(|setup| line.demand.holds(setup)));
        let best = fits.clone().map(|line| line.words.len()).max();
        let named = fits.filter(|line| setup.is_none() || Some(line.words.len()) == best);
        let words: Vec<String> =
            named.map(|line| self.valued(self.source_words(line.span).trim_start_matches("tolerance "))).collect();
        (!words.is_empty()).then(|| words.join("; "))
    }

    fn all_cautions(
        &self,
        tests: &[(IndicationId, Setup)],
        first: &[IndicationId],
        faults: &[FaultId],
    ) -> Vec<ReportCaution> {
        let of_tests = tests
            .iter()
            .flat_map(|(id, setup)| cautions::of_test(self.book, *id, cautions::active(self.book, setup).into_iter()));
        let of_first = first.iter().flat_map(|id| cautions::of_steps(self.book, &self.book.indication(*id).steps));
        let of_repairs = faults.iter().flat_map(|id| cautions::of_steps(self.book, &self.book.fault(*id).steps));
        let mut once: Vec<ReportCaution> = Vec::new();
        for shown in of_tests.chain(of_first).chain(of_repairs) {
            if !once.iter().any(|known| known.name == shown.name) {
                once.push(ReportCaution { name: shown.name, text: shown.text, stop: shown.stop, of_repair: false });
            }
        }
        once
    }

    /// The sentences that prove a fault.
    fn proofs_of(&self, fault: FaultId) -> Vec<String> {
        let proves = |conclusion: &Conclusion| matches!(conclusion, Conclusion::Implies(all) if all.contains(&fault));
        let rules = self.book.rule_ids().map(|id| self.book.rule(id));
        let proving = rules.filter(|rule| rule.conclusions.iter().any(proves));
        proving.map(|rule| self.explained(&self.source_words(rule.condition.span))).collect()
    }

    fn repairs_block(&self, blocks: &mut Vec<Block>, faults: &[FaultId]) {
        if faults.is_empty() {
            return;
        }
        blocks.push(Block::NewSheet);
        blocks.push(Block::Section("Repairs".into()));
        for id in faults {
            let fault = self.book.fault(*id);
            blocks.push(Block::Topic(fault.name.clone()));
            let mut facts: Vec<(String, String)> = Vec::new();
            let mut fact =
                |word: &str, value: Option<String>| facts.extend(value.map(|value| (word.to_string(), value)));
            fact("What it is", fault.description.as_ref().map(ToString::to_string));
            let proofs = self.proofs_of(*id);
            fact("Proved by", (!proofs.is_empty()).then(|| proofs.join("; or ")));
            fact("Remedy", fault.remedy.as_ref().map(ToString::to_string));
            fact("Part", fault.part.map(|part| self.book.part(part).name.clone()));
            let minds = cautions::of_steps(self.book, &fault.steps);
            let minds: Vec<String> = minds.into_iter().map(|shown| shown.name).collect();
            fact("Mind", (!minds.is_empty()).then(|| minds.join(", ")));
            let verify: Vec<String> = fault.verify.iter().map(|c| self.explained(&self.source_words(c.span))).collect();
            fact("Then verify", (!verify.is_empty()).then(|| verify.join("; ")));
            blocks.push(Block::Facts(facts));
        }
        blocks.push(Block::Fill(
            ["Repaired", "Verified by", "Complaint gone", "All put back"].into_iter().map(str::to_string).collect(),
        ));
    }
}

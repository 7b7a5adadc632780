//! A paper to work or learn from as blocks, so that a worksheet and a lesson are put together once and written as text
//! or as a page of HTML.

use maud::{Markup, html};

use super::page::Page;
use super::report::drawings::Drawing;
use super::report::{ReportCaution, ReportLine};
use super::sheet;

/// An answer of a step.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// `below 22.5 V`
    pub when: String,
    /// What to do then.
    pub then: String,
    /// The step to go to.
    pub to: Option<usize>,
}

/// A test to take, with room for what is found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// Its number; none for one that is not gone to.
    pub number: Option<usize>,
    /// Which test, and how long it takes.
    pub title: String,
    /// Word and value: setup, place, tolerance.
    pub facts: Vec<(String, String)>,
    /// The unit behind the box; none where an answer is ticked.
    pub unit: Option<String>,
    /// Where to go for each answer.
    pub answers: Vec<Answer>,
}

/// A piece of a paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Block {
    /// A heading.
    Section(String),
    /// A heading below it.
    Topic(String),
    /// A sentence or more.
    Words(String),
    /// Word and value.
    Facts(Vec<(String, String)>),
    /// Lists within lists.
    Lines(Vec<ReportLine>),
    /// Lines to write on, each with its label.
    Fill(Vec<String>),
    /// A test to take.
    Step(Step),
    /// A drawing.
    Drawing(Drawing),
    /// What follows begins on a new sheet.
    NewSheet,
}

/// A paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Leaf {
    /// Its title.
    pub title: String,
    /// What it is for, in a sentence.
    pub purpose: String,
    /// Cautions in full.
    pub cautions: Vec<ReportCaution>,
    /// What stands on every page that people act on.
    pub safety: &'static str,
    /// The rest.
    pub blocks: Vec<Block>,
}

impl Leaf {
    /// As a page of HTML.
    pub fn html(&self) -> String {
        let body = html! {
            header {
                h1 { (self.title) }
                p { (self.purpose) }
            }
            (sheet::cautions(&self.cautions, self.safety))
            @for block in &self.blocks { (markup(block)) }
        };
        sheet::page(&self.title, &body)
    }

    /// As text.
    pub fn text(&self) -> Page {
        let mut page = Page::new();
        page.line(0, &self.title).line(0, &self.purpose).gap();
        page.line(0, "Cautions").line(1, self.safety);
        for caution in &self.cautions {
            let stop = if caution.stop { ", licensed or qualified hands only" } else { "" };
            page.line(1, format!("{}{stop}: {}", caution.name, caution.text));
        }
        self.blocks.iter().for_each(|block| written(&mut page, block));
        page
    }
}

fn markup(block: &Block) -> Markup {
    match block {
        Block::Section(heading) => html! { h2 { (heading) } },
        Block::Topic(heading) => html! { h3 { (heading) } },
        Block::Words(words) => html! { p { (words) } },
        Block::Facts(facts) => facts_markup(facts),
        Block::Lines(lines) => sheet::nested(lines),
        Block::Fill(labels) => html! { div.fills { @for label in labels { p { (label) ": " span.fill {} } } } },
        Block::Step(step) => step_markup(step),
        Block::Drawing(drawing) => sheet::figure(&drawing.title, &drawing.svg),
        Block::NewSheet => html! { div.new-page {} },
    }
}

fn facts_markup(facts: &[(String, String)]) -> Markup {
    html! { dl.facts { @for (word, value) in facts { dt { (word) } dd { (value) } } } }
}

fn step_markup(step: &Step) -> Markup {
    let id = step.number.map(|number| format!("step-{number}"));
    html! {
        section.step id=[id] {
            h3 { @if let Some(number) = step.number { (number) ". " } (step.title) }
            (facts_markup(&step.facts))
            @if let Some(unit) = &step.unit { p { span.box {} (unit) } }
            ul.answers {
                @for answer in &step.answers {
                    li {
                        span.tick {} span.key { (answer.when) } ": "
                        @match answer.to {
                            Some(number) => a href={ "#step-" (number) } { (answer.then) },
                            None => (answer.then),
                        }
                    }
                }
            }
        }
    }
}

fn written(page: &mut Page, block: &Block) {
    let mut lines = |depth: usize, each: &mut dyn Iterator<Item = String>| {
        each.for_each(|line| {
            page.line(depth, line);
        });
    };
    match block {
        Block::Facts(facts) => lines(2, &mut facts.iter().map(|(word, value)| format!("{word}: {value}"))),
        Block::Fill(labels) => lines(1, &mut labels.iter().map(|label| format!("{label}: {BLANK}"))),
        Block::Words(words) => lines(1, &mut std::iter::once(words.clone())),
        Block::Drawing(drawing) => {
            lines(1, &mut std::iter::once(format!("(drawn on the page of HTML: {})", drawing.title)));
        }
        Block::Lines(list) => list.iter().for_each(|line| {
            page.line(2 + line.depth, &line.text);
        }),
        Block::Section(heading) => {
            page.gap().line(0, heading);
        }
        Block::Topic(heading) => {
            page.gap().line(1, heading);
        }
        Block::Step(step) => step_written(page, step),
        Block::NewSheet => {}
    }
}

const BLANK: &str = "____________";

fn step_written(page: &mut Page, step: &Step) {
    let number = step.number.map_or(String::new(), |number| format!("{number}. "));
    page.gap().line(1, format!("{number}{}", step.title));
    for (word, value) in &step.facts {
        page.line(2, format!("{word}: {value}"));
    }
    if let Some(unit) = &step.unit {
        page.line(2, format!("found: {BLANK} {unit}"));
    }
    for answer in &step.answers {
        page.line(2, format!("[ ] {}: {}", answer.when, answer.then));
    }
}

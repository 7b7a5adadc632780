//! What is entered and expected, as lines of a case. A name is written bare where that reads back as the same name,
//! else in backticks.

use crate::book::{Book, Conclusion, FaultId, RuleId, SettingId};
use crate::reasoning::{Judgement, Verdict};
use crate::source::SourceId;
use crate::syntax::parse_statement;
use crate::syntax::tree::{Expected, Name, SetupItem, Statement, Value, fold};

use super::search::Found;
use super::stands::Steps;

/// The comment above a draft.
const ABOVE: &str = "# drafted by ruleout cases --write-missing; check the values";
/// How wide a line of expectations may be.
const WIDTH: usize = 96;

/// A line of a case, read.
pub(in crate::lint) fn read(line: &str) -> Option<Statement> {
    parse_statement(SourceId::default(), 0, line).ok()
}

/// `with cooling demanded, relay swapped` and `without lights on, without doors open`: one line for each run of settings
/// made alike. A bare name after a comma is always set, so `without` is said of each.
pub(in crate::lint) fn setup_lines(book: &Book, steps: &Steps) -> Option<Vec<String>> {
    let mut lines: Vec<(&str, Vec<String>)> = Vec::new();
    for (setting, value) in steps {
        let (word, item) = setup_item(book, *setting, *value)?;
        match lines.last_mut().filter(|(last, _)| *last == word) {
            Some((_, items)) => items.push(item),
            None => lines.push((word, vec![item])),
        }
    }
    let lines = lines.into_iter().map(|(word, items)| {
        let joint = if word == "with" { ", ".to_string() } else { format!(", {word} ") };
        format!("{word} {}", items.join(&joint))
    });
    Some(lines.collect())
}

fn setup_item(book: &Book, id: SettingId, value: u8) -> Option<(&'static str, String)> {
    let setting = book.setting(id);
    let is_named = |name: &Name, wanted: &str| name.key() == fold(wanted);
    if !setting.one_of {
        let word = if value == setting.inactive { "without" } else { "with" };
        let reads = |item: &SetupItem| is_named(&item.name, &setting.name) && item.value.is_none();
        return Some((
            word,
            spelt(
                &[&setting.name],
                |said| format!("{word} {}", said.join("")),
                "",
                |statement| matches!(statement, Statement::Setup(items) if matches!(items.as_slice(), [one] if reads(one))),
            )?,
        ));
    }
    let value = setting.values.get(usize::from(value))?;
    let reads = |item: &SetupItem| {
        is_named(&item.name, &setting.name)
            && item.value.as_ref().is_some_and(|(is, name)| *is && is_named(name, value))
    };
    let item = spelt(
        &[&setting.name, value],
        |said| format!("with {}", said.join(" is ")),
        " is ",
        |statement| matches!(statement, Statement::Setup(items) if matches!(items.as_slice(), [one] if reads(one))),
    )?;
    Some(("with", item))
}

/// `supply at fan connector = 4.2 V`
pub(in crate::lint) fn reading_line(name: &str, value: &str) -> Option<String> {
    let line = |said: &[String]| format!("{} = {value}", said.join(""));
    let said = spelt(
        &[name],
        line,
        "",
        |statement| matches!(statement, Statement::Entry(entry) if entry.name.key() == fold(name)),
    )?;
    Some(format!("{said} = {value}"))
}

/// `fan runs is no`
pub(in crate::lint) fn answer_line(name: &str, answer: &str) -> Option<String> {
    spelt(
        &[name, answer],
        |said| said.join(" is "),
        " is ",
        |statement| match statement {
            Statement::Entry(entry) => {
                let word = matches!(&entry.value, Value::Word(word) if word.key() == fold(answer));
                entry.name.key() == fold(name) && word
            }
            _ => false,
        },
    )
}

/// Names joined by some words, each bare if that reads as wanted, else in backticks; the fewest of those.
fn spelt(
    names: &[&str],
    line: impl Fn(&[String]) -> String,
    joint: &str,
    wanted: impl Fn(&Statement) -> bool,
) -> Option<String> {
    let ways = 0..1_usize << names.len().min(4);
    let each = ways.map(|quoted| {
        let said = names.iter().enumerate();
        said.map(|(nth, name)| if quoted >> nth & 1 == 1 { format!("`{name}`") } else { (*name).to_string() }).collect()
    });
    let mut each = each.filter(|said: &Vec<String>| read(&line(said)).is_some_and(|statement| wanted(&statement)));
    each.next().map(|said| said.join(joint))
}

/// The text of a drafted case.
pub(super) fn case(book: &Book, rule: RuleId, label: &str, found: &Found) -> String {
    let mut lines = vec![ABOVE.to_string(), format!("case {label}:")];
    if let Some(profile) = &book.profile {
        lines.push(format!("  profile \"{}\"", profile.replace('\\', "\\\\").replace('"', "\\\"")));
    }
    lines.extend(found.lines.iter().map(|line| format!("  {line}")));
    let mut spoken = found.also.clone();
    spoken.extend(book.rule(rule).conclusions.iter().flat_map(faults_of).copied());
    lines.extend(expectations(book, spoken, &found.judgement).iter().map(|line| format!("  {line}")));
    lines.join("\n") + "\n"
}

/// What is found of the faults that are spoken of, and of all that are proved or in conflict.
fn expectations(book: &Book, mut spoken: Vec<FaultId>, judgement: &Judgement) -> Vec<String> {
    spoken.extend(judgement.with(Verdict::Proved).chain(judgement.with(Verdict::Conflict)));
    spoken.sort_unstable();
    spoken.dedup();
    let mut said: Vec<String> = spoken.iter().filter_map(|fault| expected(book, judgement, *fault)).collect();
    if !judgement.conflicts.is_empty() && judgement.with(Verdict::Conflict).next().is_none() {
        said.push("conflict".into());
    }
    if said.is_empty() && judgement.no_fault_stands() {
        said.push("no fault present".into());
    }
    let mut lines: Vec<String> = Vec::new();
    for one in said {
        match lines.last_mut().filter(|line| line.chars().count() + one.chars().count() + 2 <= WIDTH) {
            Some(line) => line.push_str(&format!(", {one}")),
            None => lines.push(format!("expect {one}")),
        }
    }
    lines
}

fn faults_of(conclusion: &Conclusion) -> &[FaultId] {
    match conclusion {
        Conclusion::Implies(faults)
        | Conclusion::ImpliesOneOf(faults)
        | Conclusion::RulesOut(faults)
        | Conclusion::Odds(faults, _) => faults,
    }
}

fn expected(book: &Book, judgement: &Judgement, fault: FaultId) -> Option<String> {
    let words = match judgement.of(fault)?.verdict {
        Verdict::Proved => "proved",
        Verdict::RuledOut => "ruled out",
        Verdict::Open => "open",
        Verdict::OnlyOneLeft => "the only one left",
        Verdict::Conflict => "in conflict",
    };
    let name = &book.fault(fault).name;
    let line = |said: &[String]| format!("expect {} {words}", said.join(""));
    let said = spelt(&[name], line, "", |statement| match statement {
        Statement::Expect(all, _) => {
            matches!(all.as_slice(), [Expected::Fault(said, _)] if said.key() == fold(name))
        }
        _ => false,
    })?;
    Some(format!("{said} {words}"))
}

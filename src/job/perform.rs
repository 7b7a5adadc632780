//! What each statement does to a job.

use crate::book::setup::{is_change, unnamed_change};
use crate::book::{Book, Consequences, IndicationId, SettingId, Setup, Symbol, Term, numbers, resolve_item};
use crate::problem::Problem;
use crate::syntax::tree::{AccuracyWords, EntryWords, Name, Number, SetupItem, Statement, Text, Value as EnteredValue};
use crate::units::{Dimension, Exact};

use super::{EnteredComplaint, Entry, EntryValue, Job, MeterInUse, Notice, NoticeKind, Repair, Undo, entry};

type Done = Result<Vec<Notice>, Vec<Problem>>;

impl Job {
    pub(super) fn perform(&mut self, book: &Book, statement: &Statement, line: usize) -> Done {
        match statement {
            Statement::Setup(items) => self.stand(book, items, line),
            Statement::Entry(words) => self.record(book, words, line),
            Statement::ThatWas(items, span) => self.restamp(book, items, *span, line),
            Statement::CustomerWords(text) => {
                self.customer_words.push(text.text.to_string());
                self.undo.push((line, Undo::CustomerWords));
                Ok(Vec::new())
            }
            Statement::Complaint(name) => self.complain(book, name, line),
            Statement::Repaired(name) => self.repaired(book, name, line),
            Statement::Meter { name, unit, accuracy } => self.meter(name.as_ref(), unit, accuracy, line),
            Statement::Ambient(numbers) => self.ambient(numbers, line),
            Statement::Profile(text) => self.profile(book, text, line),
            Statement::CannotReach(name) => self.cannot_reach(book, name, line),
            Statement::Expect(_, span) => Err(vec![
                Problem::error("job/expect", *span, "`expect` belongs to the cases of a rulebook")
                    .help("ask `faults` or `why F` instead"),
            ]),
            Statement::TakeBack(_) => Ok(Vec::new()),
        }
    }

    fn stand(&mut self, book: &Book, items: &[SetupItem], line: usize) -> Done {
        let mut setup = self.setup.clone();
        let notices = set_up(book, &mut setup, items)?;
        let setup = self.entries.shared(setup);
        let before = std::mem::replace(&mut self.setup, setup);
        self.undo.push((line, Undo::Setup(before)));
        Ok(notices)
    }

    fn record(&mut self, book: &Book, words: &EntryWords, line: usize) -> Done {
        let resolved = entry::resolve(book, self, words).map_err(|problem| vec![problem])?;
        let mut setup = self.setup.clone();
        let mut notices = set_up(book, &mut setup, &words.setup)?;
        notices.iter_mut().for_each(|notice| notice.text.push_str(", for this entry only"));
        notices.extend(resolved.notices);
        let new = Entry {
            indication: resolved.indication,
            value: resolved.value,
            said: resolved.said,
            setup,
            epoch: self.epoch(),
            line,
            by_meter: matches!(words.value, EnteredValue::Measured { .. }),
            tries: tries(words).map_err(|problem| vec![problem])?,
            recording: resolved.recording,
        };
        let idle = idle(book, &new);
        // What decides nothing doesn't count beside another.
        let beside = self.beside_earlier(book, &new);
        notices.extend(beside.filter(|one| idle.is_none() || one.kind != NoticeKind::BothCount));
        notices.extend(idle);
        self.entries.add(book, new);
        Ok(notices)
    }

    /// What the new entry does to earlier ones of the same reading.
    fn beside_earlier(&self, book: &Book, new: &Entry) -> Option<Notice> {
        if new.value == EntryValue::NotMeasured {
            return None;
        }
        let earlier = self.live(new.epoch).iter().filter_map(|id| self.entry(*id));
        let mut earlier = earlier.filter(|old| old.indication == new.indication).collect::<Vec<_>>();
        let name = &book.indication(new.indication).name;
        if let Some(at) = earlier.iter().position(|old| new.replaces(book, old)) {
            let old = earlier.remove(at);
            return Some(Notice::new(
                NoticeKind::Replaced,
                format!("this replaces {name} {} taken under the same setup", old.said),
            ));
        }
        if book.is_try(new.indication, &new.setup) {
            let alike = |old: &&&Entry| old.setup == new.setup;
            let tries = earlier.iter().filter(alike).map(|old| old.tries).sum::<u32>() + new.tries;
            let text = format!("that makes {tries} tries of {name} under this setup; each counts by itself");
            return (tries > 1).then(|| Notice::new(NoticeKind::BothCount, text));
        }
        let other = earlier.last()?;
        let under = setup_words(book, &other.setup);
        let text = format!(
            "{name} was also entered as {} under another setup ({under}); both count. If the setup of this one is wrong, say `that was with …`; if it was entered by mistake, `take back`",
            other.said
        );
        Some(Notice::new(NoticeKind::BothCount, text))
    }

    fn restamp(&mut self, book: &Book, items: &[SetupItem], span: crate::source::Span, line: usize) -> Done {
        let Some(mut last) = self.entries.last().cloned() else {
            return Err(vec![Problem::error("job/no-entry", span, "there is no entry yet that this could be said of")]);
        };
        let mut notices = set_up(book, &mut last.setup, items)?;
        notices.extend(idle(book, &last));
        let name = book.indication(last.indication).name.clone();
        let under = setup_words(book, &last.setup);
        notices.push(Notice::new(
            NoticeKind::Note,
            format!("{name} {} now counts as taken {under}; the setup from here on is not changed by this", last.said),
        ));
        self.undo.extend(self.entries.last().cloned().map(|before| (line, Undo::Restamp(Box::new(before)))));
        self.put_latest(book, last);
        Ok(notices)
    }

    fn complain(&mut self, book: &Book, name: &Name, line: usize) -> Done {
        match book.symbol(&name.text) {
            Some(Symbol::Complaint(complaint)) => {
                self.complaints.push(EnteredComplaint { complaint, line, epoch: self.epoch() });
                self.undo.push((line, Undo::Complaint));
                Ok(Vec::new())
            }
            _ => {
                let known = book.complaints.iter().map(|c| c.name.as_str());
                let problem = super::unknown(name, "complaint", known);
                let help = problem.help.clone().unwrap_or_default();
                let quoted = format!("the customer's own words stand in quotes: `complaint \"{}\"`", name.text);
                Err(vec![problem.help(format!("{help}; {quoted}"))])
            }
        }
    }

    fn repaired(&mut self, book: &Book, name: &Name, line: usize) -> Done {
        match book.symbol(&name.text) {
            Some(Symbol::Fault(fault)) => {
                self.repairs.push(Repair { fault, line });
                self.undo.push((line, Undo::Repair));
                Ok(Vec::new())
            }
            _ => Err(vec![super::unknown(name, "fault", book.faults.iter().map(|f| f.name.as_str()))]),
        }
    }

    fn meter(&mut self, name: Option<&Text>, unit: &Name, words: &AccuracyWords, line: usize) -> Done {
        let unit = numbers::unit(unit).map_err(|problem| vec![problem])?;
        let accuracy = numbers::accuracy(words, unit.dimension).map_err(|problem| vec![problem])?;
        self.meters.push(MeterInUse { name: name.map(|n| n.text.to_string()), dimension: unit.dimension, accuracy });
        self.undo.push((line, Undo::Meter));
        Ok(Vec::new())
    }

    fn ambient(&mut self, all: &[Number], line: usize) -> Done {
        let (mut temperature, mut pressure) = (None, None);
        for number in all {
            let amount = numbers::amount(number).map_err(|problem| vec![problem])?;
            if amount.dimension == Dimension::TEMPERATURE {
                temperature = Some(amount.base);
            } else if amount.dimension == Dimension::ABSOLUTE_PRESSURE && amount.base > Exact::zero() {
                pressure = Some(amount.base);
            } else {
                return Err(vec![
                    Problem::error(
                        "job/ambient",
                        number.span,
                        "ambient is a temperature, an absolute pressure, or both",
                    )
                    .help("type for example `ambient 31 degC` or `ambient 31 degC, 98 kPa absolute`"),
                ]);
            }
        }
        let before = (self.ambient.clone(), self.surroundings.ambient_pressure.clone());
        self.undo.push((line, Undo::Air(Box::new(before))));
        self.ambient = temperature.or(self.ambient.take());
        if let Some(pressure) = pressure {
            self.surroundings.ambient_pressure = pressure;
        }
        Ok(Vec::new())
    }

    fn profile(&mut self, book: &Book, text: &Text, line: usize) -> Done {
        let wanted = text.text.to_lowercase();
        if !book.profiles.iter().any(|profile| profile.to_lowercase() == wanted) {
            let offered = if book.profiles.is_empty() {
                "this book has none".into()
            } else {
                format!("this book has `{}`", book.profiles.join("`, `"))
            };
            return Err(vec![
                Problem::error("job/unknown-profile", text.span, format!("there is no profile `{}`", text.text))
                    .help(offered),
            ]);
        }
        let before = self.profile.replace(text.text.to_string());
        self.undo.push((line, Undo::Profile(before)));
        Ok(Vec::new())
    }

    fn cannot_reach(&mut self, book: &Book, name: &Name, line: usize) -> Done {
        match book.symbol(&name.text) {
            Some(Symbol::Indication(id)) => {
                let new = !self.unreachable.contains(&id);
                self.unreachable.extend(new.then_some(id));
                self.undo.push((line, if new { Undo::Unreachable } else { Undo::Nothing }));
                Ok(Vec::new())
            }
            _ => Err(vec![super::unknown(
                name,
                "reading or observation",
                book.indications.iter().map(|i| i.name.as_str()),
            )]),
        }
    }
}

/// In how many tries something was found.
fn tries(words: &EntryWords) -> Result<u32, Problem> {
    let Some(number) = &words.tries else { return Ok(1) };
    match number.digits.parse::<u32>() {
        Ok(tries) if (1..=1_000).contains(&tries) => Ok(tries),
        _ => Err(Problem::error("job/tries", number.span, "how many times is a whole number from 1 to 1000")
            .help("type for example `fan cuts out is no, 5 times`")),
    }
}

/// Sets up item by item; what follows from each is told. Nothing is set where an item can't be.
///
/// # Errors
/// What is wrong with the items.
pub fn set_up(book: &Book, setup: &mut Setup, items: &[SetupItem]) -> Done {
    let (mut values, mut problems) = (Vec::new(), Vec::new());
    for item in items {
        match wanted(book, item) {
            Ok(value) => values.push(value),
            // Who types a job can't declare anything.
            Err(problem) if problem.code == "book/unknown-name" => {
                problems.push(no_such_setting(book, item));
            }
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(values.into_iter().flat_map(|(setting, value)| told(book, setting, &setup.set(book, setting, value))).collect())
}

/// A state or change that the book doesn't have; `ignition off` is said as `without ignition on`.
fn no_such_setting(book: &Book, item: &SetupItem) -> Problem {
    let typed = item.name.text.to_lowercase();
    let problem = super::unknown(&item.name, "state or change", book.settings.iter().map(|s| s.name.as_str()));
    let stem = typed.strip_suffix(" off").or_else(|| typed.strip_prefix("no ")).or_else(|| typed.strip_prefix("not "));
    let on = stem.and_then(|stem| {
        let named = |s: &&crate::book::Setting| {
            let name = s.name.to_lowercase();
            name == stem || name.strip_suffix(" on") == Some(stem)
        };
        book.settings.iter().find(named)
    });
    match on {
        Some(setting) if item.with => problem.help(format!("type `without {}`", setting.name)),
        Some(setting) => problem.help(format!("type `with {}`", setting.name)),
        None => problem,
    }
}

/// The one value that an item sets.
fn wanted(book: &Book, item: &SetupItem) -> Result<(SettingId, u8), Problem> {
    let term = resolve_item(book, item)?;
    let setting = book.setting(term.setting);
    if let (false, Some((_, value))) = (item.with, &item.value) {
        let first = setting.values.first().map_or("", String::as_str);
        return Err(Problem::error("setup/without-value", value.span, "`without` takes no value here").help(format!(
            "write `without {0}` for its first value, `{first}`, or `with {0} is VALUE`",
            setting.name
        )));
    }
    if term.allowed.count_ones() != 1 {
        let list = setting.values.join("`, `");
        return Err(Problem::error("setup/which-value", item.span, format!("say which value `{}` has", setting.name))
            .help(format!("write `with {} is VALUE`, one of `{list}`", setting.name)));
    }
    Ok((term.setting, setting.lowest(term.allowed)))
}

fn told(book: &Book, asked: SettingId, done: &Consequences) -> Vec<Notice> {
    let name = &book.setting(asked).name;
    let brought = done.brought.iter().map(|(id, value)| {
        Notice::new(NoticeKind::Brought, format!("`{name}` needs `{}`: set too", book.setting(*id).said(*value)))
    });
    let removed = done.removed.iter().map(|(id, value)| {
        let setting = book.setting(*id);
        let text = match (is_change(book, *id), setting.one_of) {
            (true, _) => format!("this ends `{}`: put it back", setting.name),
            (false, true) => format!("`{name}` excludes what it was: now `{}`", setting.said(*value)),
            (false, false) => format!("this ends `{}`", setting.name),
        };
        Notice::new(NoticeKind::Removed, text)
    });
    brought.chain(removed).collect()
}

/// Why an entry decides nothing, and what to do about it.
fn idle(book: &Book, entry: &Entry) -> Option<Notice> {
    if entry.value == EntryValue::NotMeasured {
        return None;
    }
    let indication = book.indication(entry.indication);
    let name = &indication.name;
    let note = |text: String| Some(Notice::new(NoticeKind::Idle, text));
    let unmet = |term: &&Term| entry.setup.mask(term.setting) & term.allowed == 0;
    if let Some(first) = indication.demand.terms.iter().find(unmet) {
        let term = indication.needs.iter().find(unmet).unwrap_or(first);
        let fix = set_words(book, term.setting, term.allowed);
        return note(format!(
            "{name} is kept but decides nothing: it needs `{fix}`; set that and take it again, or say `that was {fix}`"
        ));
    }
    let uses = book.uses_of(entry.indication)?;
    if uses.any_matches(book, entry.indication, &entry.setup) || book.foretells(entry.indication, &entry.setup) {
        return None;
    }
    if uses.asked.is_empty() {
        let judged = indication.reading().is_some_and(|r| !r.tolerance.is_empty())
            || indication.observation().is_some_and(|o| o.sound != 0);
        return if judged {
            None
        } else {
            note(format!("{name} is kept but decides nothing: no rule of this book asks for it"))
        };
    }
    note(format!(
        "{name} is kept but decides nothing as things stand: {}",
        way_out(book, entry.indication, &entry.setup)
    ))
}

/// Whether no atom of the book can match an entry.
pub fn decides_nothing(book: &Book, entry: &Entry) -> bool {
    idle(book, entry).is_some()
}

/// The setup change that would let an atom match.
fn way_out(book: &Book, indication: IndicationId, setup: &Setup) -> String {
    let Some(uses) = book.uses_of(indication) else { return String::new() };
    for asked in &uses.asked {
        if asked.demand.holds(setup)
            && let Some(change) = unnamed_change(book, &asked.demand, indication, setup, &asked.loose)
        {
            return format!(
                "no rule asks for it with `{}` in place; put that back and take it again",
                book.setting(change).name
            );
        }
    }
    let wrong = uses.asked.iter().filter_map(|asked| {
        let unmet = |term: &&Term| setup.mask(term.setting) & term.allowed == 0;
        let missing: Vec<&Term> = asked.demand.terms.iter().filter(unmet).collect();
        let named = asked.words.iter().find(unmet).or(missing.first().copied())?;
        Some((missing.len(), *named))
    });
    match wrong.min_by_key(|(count, _)| *count) {
        Some((_, term)) => format!(
            "it is asked for under another setup; set `{}` and take it again",
            set_words(book, term.setting, term.allowed)
        ),
        None => "no rule asks for it under this setup".into(),
    }
}

/// How a value of a setting is set: `with relay swapped`, `without engine running`, `with speed is high`.
pub fn set_words(book: &Book, setting: SettingId, allowed: u64) -> String {
    let declared = book.setting(setting);
    let value = declared.lowest(allowed);
    if value == declared.inactive && !declared.one_of {
        format!("without {}", declared.name)
    } else {
        format!("with {}", declared.said(value))
    }
}

/// After a comma a bare name means `with`; what is without says so each time.
fn joint(word: &str) -> String {
    if word == "without" { ", without ".into() } else { ", ".into() }
}

/// The setup in words, normal settings left out: `with ignition on, relay swapped, without lights on`.
pub fn setup_words(book: &Book, setup: &Setup) -> String {
    let (mut with, mut without) = (Vec::new(), Vec::new());
    for id in book.setting_ids() {
        let (setting, value) = (book.setting(id), setup.value(id));
        if value == setting.normal {
            continue;
        }
        if value == setting.inactive && !setting.one_of {
            without.push(setting.name.clone())
        } else {
            with.push(setting.said(value))
        }
    }
    let list =
        |word: &str, names: &[String]| (!names.is_empty()).then(|| format!("{word} {}", names.join(&joint(word))));
    let said: Vec<String> = [list("with", &with), list("without", &without)].into_iter().flatten().collect();
    if said.is_empty() { "with everything normal".into() } else { said.join(", ") }
}

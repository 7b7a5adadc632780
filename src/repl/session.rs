//! One job at work: sentences in, answers out. Entries go to the keeper (the job record) before they are
//! acknowledged.

use crate::book::{Book, SettingId};
use crate::job::record::Header;
use crate::job::{EntryId, Job, Notice, NoticeKind, set_up};
use crate::output::cautions::{self, Shown};
use crate::output::judgement_text::SAFETY;
use crate::output::signal_plot::Look;
use crate::output::words::Wording;
use crate::output::{Page, clean};
use crate::problem::{Problem, nearest_first};
use crate::reasoning::{Judgement, Outcome, Recall, Verdict};
use crate::source::Sources;
use crate::syntax::parse_statement;
use crate::syntax::tree::Statement;

use super::commands;
use super::meant::{customers_words, meant};
use super::spelling::mended;

/// Where accepted sentences are kept.
pub trait Keeper {
    /// Keeps a sentence for good; returns once it is safe.
    ///
    /// # Errors
    /// Why it could not be kept, in words.
    fn keep(&mut self, sentence: &str) -> Result<(), String>;
}

/// The answer to a sentence.
#[derive(Debug, Default)]
pub struct Reply {
    /// What to show.
    pub page: Page,
    /// What is wrong with the sentence.
    pub problems: Vec<Problem>,
    /// The sentence as a source, for drawing the problems.
    pub sources: Sources,
    /// Whether the session is over.
    pub over: bool,
    /// A profile that the technician chose: the book must be resolved again.
    pub profile: Option<String>,
}

impl Reply {
    /// An answer that only shows something.
    pub fn showing(page: Page) -> Self {
        Self { page, ..Self::default() }
    }
}

/// A job at work.
pub struct Session {
    /// The book.
    pub book: Book,
    /// The job.
    pub job: Job,
    /// The judgement of the job as it stands.
    pub judgement: Judgement,
    /// What it rests on, kept from sentence to sentence.
    recall: Recall,
    /// The header of its record, if it has one.
    pub header: Option<Header>,
    /// What plots are drawn with.
    pub look: Look,
    keeper: Option<Box<dyn Keeper>>,
    /// Cautions that were shown in full.
    shown: Vec<String>,
    /// Whether the job was done after the last sentence.
    done: bool,
}

impl Session {
    /// A session that goes on with a job.
    pub fn new(book: Book, job: Job, header: Option<Header>, keeper: Option<Box<dyn Keeper>>) -> Self {
        let mut recall = Recall::default();
        let judgement = recall.judge(&book, &job);
        Self { book, job, judgement, recall, header, look: Look::default(), keeper, shown: Vec::new(), done: false }
    }

    /// Words for this book and job.
    pub fn wording(&self) -> Wording<'_> {
        Wording { book: &self.book, job: &self.job }
    }

    /// The first screen.
    pub fn greeting(&self) -> Page {
        let mut page = Page::new();
        let revision = self.book.revision.as_deref().map_or(String::new(), |r| format!(", revision {r}"));
        page.line(0, format!("{}{revision}", self.book.title));
        if let Some(scope) = &self.book.scope {
            page.line(0, scope);
        }
        if let Some(profile) = &self.book.profile {
            page.line(0, format!("limits for {profile}"));
        }
        page.line(0, SAFETY).gap();
        if self.job.lines.is_empty() {
            if self.book.complaints.is_empty() {
                page.line(
                    0,
                    "Enter what you set up and measure; `next` says what to measure, `help` lists the sentences.",
                );
            } else {
                page.line(
                    0,
                    "What is complained of? Type `complaint` and one of these, or the customer's words in quotes:",
                );
                for complaint in &self.book.complaints {
                    page.line(1, &complaint.name);
                }
                page.line(0, "`next` says what to measure, `help` lists the sentences.");
            }
        } else {
            page.page(0, &self.so_far());
        }
        page
    }

    /// Where a job stands that is taken up again.
    fn so_far(&self) -> Page {
        let mut page = Page::new();
        let entries = crate::output::words::counted(self.job.entries.len(), "entry", "entries");
        let complaints = self.job.complaints.iter().map(|one| self.book.complaint(one.complaint).name.clone());
        let said = self.job.customer_words.iter().map(|words| format!("\"{words}\""));
        let complained: Vec<String> = complaints.chain(said).collect();
        let done = self.wording().is_job_done(&self.judgement);
        let stands = if done { "The job is done: repaired, verified, the complaint gone" } else { "The job goes on" };
        page.line(0, format!("{stands}; {entries} so far."));
        if !complained.is_empty() {
            page.line(0, format!("Complained of: {}", complained.join("; ")));
        }
        if done {
            page.line(0, "`report` shows it; what you enter now is judged on from here.");
        } else {
            page.line(0, self.wording().outcome(&self.judgement));
        }
        page.page(0, &self.wording().put_back());
        page
    }

    /// The setup as the prompt shows it; empty where all is normal.
    pub fn prompt(&self) -> String {
        let said = |ids: Vec<SettingId>| -> String {
            let names = ids.into_iter().map(|id| {
                let (setting, value) = (self.book.setting(id), self.job.setup.value(id));
                let off = value == setting.inactive && !setting.one_of;
                if off { format!("without {}", setting.name) } else { setting.said(value) }
            });
            names.collect::<Vec<_>>().join(", ")
        };
        let off_normal = |id: &SettingId| self.job.setup.value(*id) != self.book.setting(*id).normal;
        let (changes, states): (Vec<SettingId>, Vec<SettingId>) =
            self.book.setting_ids().filter(off_normal).partition(|id| crate::book::setup::is_change(&self.book, *id));
        let parts = [(said(states), ""), (said(changes), "changed: ")];
        let parts: Vec<String> =
            parts.iter().filter(|(s, _)| !s.is_empty()).map(|(s, lead)| format!("{lead}{s}")).collect();
        if parts.is_empty() { "> ".into() } else { format!("({}) > ", clean(&parts.join(" | "))) }
    }

    /// Answers one line.
    pub fn line(&mut self, line: &str) -> Reply {
        let line = &mended(line.trim());
        if line.is_empty() || line.starts_with('#') {
            return Reply::default();
        }
        if let Some(control) = line.chars().find(|c| c.is_control() && *c != '\t') {
            return self.refused(line, vec![control_character(line, control)]);
        }
        if let Some(reply) = commands::answer(self, line) {
            return reply;
        }
        self.sentence(line)
    }

    fn refused(&self, line: &str, problems: Vec<Problem>) -> Reply {
        let mut sources = Sources::new();
        sources.add("what you typed", line);
        Reply { problems, sources, ..Reply::default() }
    }

    /// A line that is no sentence, while nothing is complained of yet, may be what the customer says.
    fn or_complaint(&self, line: &str, problem: Problem) -> Problem {
        let said = customers_words(&self.book, line);
        let silent = self.job.complaints.is_empty() && self.job.customer_words.is_empty();
        let Some(said) = said.filter(|_| silent && problem.code == "syntax/unexpected") else { return problem };
        let help = problem.help.iter().cloned().chain([said]).collect::<Vec<_>>().join("; ");
        problem.help(help)
    }

    /// A problem with what was typed.
    pub(super) fn refuse(&self, line: &str, problem: Problem) -> Reply {
        self.refused(line, vec![problem])
    }

    /// Enters a sentence: understood, kept, then acknowledged.
    fn sentence(&mut self, line: &str) -> Reply {
        let statement = match parse_statement(Default::default(), 0, line) {
            Ok(statement) => statement,
            Err(problem) => {
                let problem = match meant(&self.book, line) {
                    Some(help) if problem.code == "syntax/unexpected" => problem.help(help),
                    _ => self.or_complaint(line, commands::or_command(line, problem)),
                };
                return self.refused(line, vec![problem]);
            }
        };
        let mut page = self.cautions_before(&statement);
        // What `take back` takes back can't be told from the job afterwards.
        let before = matches!(statement, Statement::TakeBack(_)).then(|| self.job.clone());
        let notices = match self.job.enter(&self.book, statement.clone(), line) {
            Ok(notices) => notices,
            Err(problems) => return self.refused(line, problems),
        };
        if let Some(keeper) = &mut self.keeper
            && let Err(why) = keeper.keep(&self.job.kept_words(line, &statement))
        {
            match before {
                Some(before) => self.job = before,
                None => self.job.withdraw(&self.book),
            }
            let problem = Problem::error(
                "job/not-kept",
                Default::default(),
                format!("this was not entered: the job record can't be written ({why})"),
            )
            .help("free some space or leave and choose another file; all earlier entries are safe");
            return self.refused(line, vec![problem]);
        }
        let profile = match &statement {
            Statement::Profile(text) => Some(text.text.to_string()),
            _ => None,
        };
        let proved: Vec<_> = self.judgement.with(Verdict::Proved).collect();
        page.page(0, &self.acknowledge(&statement, &notices));
        if notices.iter().any(|notice| notice.kind == NoticeKind::Replaced) {
            for fault in proved
                .into_iter()
                .filter(|fault| self.judgement.of(*fault).is_some_and(|v| v.verdict != Verdict::Proved))
            {
                page.line(
                    1,
                    format!(
                        "the proof of {} rested on what this replaces; `take back` restores it",
                        self.book.fault(fault).name
                    ),
                );
            }
        }
        Reply { page, profile, ..Reply::default() }
    }

    /// Cautions that the step carries, before its acknowledgement: in full the first time, one line later.
    fn cautions_before(&mut self, statement: &Statement) -> Page {
        let mut page = Page::new();
        let mut setup = self.job.setup.clone();
        let cautions = match statement {
            Statement::Setup(items) => {
                if set_up(&self.book, &mut setup, items).is_err() {
                    return page;
                }
                let active = cautions::active(&self.book, &setup);
                let new = active.into_iter().filter(|id| setup.value(*id) != self.job.setup.value(*id));
                cautions::of_settings(&self.book, new)
            }
            Statement::Entry(words) => {
                if set_up(&self.book, &mut setup, &words.setup).is_err() {
                    return page;
                }
                let Some(indication) = self.book.find_indication(&words.name.text) else { return page };
                cautions::of_test(&self.book, indication, cautions::active(&self.book, &setup).into_iter())
            }
            _ => return page,
        };
        let (known, new): (Vec<Shown>, Vec<Shown>) =
            cautions.into_iter().partition(|caution| self.shown.contains(&caution.name));
        for caution in &new {
            self.show_caution(&mut page, caution);
        }
        if !known.is_empty() {
            let reminders: Vec<String> = known.into_iter().map(|caution| caution.reminder).collect();
            page.line(0, format!("mind: {}", reminders.join("; ")));
        }
        page
    }

    fn show_caution(&mut self, page: &mut Page, caution: &Shown) {
        self.shown.push(caution.name.clone());
        page.line(0, format!("Caution: {}", caution.text));
        if caution.stop {
            page.line(0, "This is work for licensed or qualified hands only: hand it over and enter their result.");
        }
    }

    fn acknowledge(&mut self, statement: &Statement, notices: &[Notice]) -> Page {
        let mut page = Page::new();
        let after = self.recall.judge(&self.book, &self.job);
        let before = std::mem::replace(&mut self.judgement, after);
        let wording = self.wording();
        page.line(0, self.taken(statement));
        for notice in notices {
            page.line(1, &notice.text);
        }
        if matches!(statement, Statement::Entry(_) | Statement::ThatWas(..)) && !self.job.entries.is_empty() {
            page.page(1, &wording.against_tolerance(EntryId::at(self.job.entries.len() - 1)));
        }
        if let Statement::CustomerWords(text) = statement {
            page.page(1, &self.complaints_like(&text.text));
        }
        // A repair makes all earlier entries history: that everything is open again needs no list.
        if !matches!(statement, Statement::Repaired(_)) {
            page.page(1, &wording.changes(&before, &self.judgement));
        }
        let new: Vec<_> = self.judgement.conflicts.iter().filter(|c| !before.conflicts.contains(c)).collect();
        for conflict in &new {
            page.page(1, &wording.conflict(conflict));
        }
        if !new.is_empty() {
            page.page(1, &wording.quarrels(&self.judgement));
        }
        if before.outcome != self.judgement.outcome && self.judgement.outcome != Outcome::Open {
            page.line(1, wording.outcome(&self.judgement));
        }
        let open = wording.open_ends(&self.judgement);
        let done = !self.job.repairs.is_empty() && open.is_empty();
        if let Statement::Repaired(_) = statement {
            page.page(1, &open);
        } else if done && !self.done {
            page.line(1, "The job is done: the repair is verified, the complaint is gone, nothing is left in place.");
        }
        self.done = done;
        page
    }

    /// The complaints that the book knows, nearest to the customer's words first.
    fn complaints_like(&self, words: &str) -> Page {
        let mut page = Page::new();
        let known: Vec<&str> = self.book.complaints.iter().map(|complaint| complaint.name.as_str()).collect();
        if known.is_empty() || !self.job.complaints.is_empty() {
            return page;
        }
        page.line(0, "If it is one of these, say so too, as `complaint …`:");
        for name in nearest_first(words, &known) {
            page.line(1, name);
        }
        page
    }

    /// The acknowledgement of a sentence in one line.
    fn taken(&self, statement: &Statement) -> String {
        match statement {
            Statement::Entry(_) => match self.job.entries.last() {
                Some(entry) => format!(
                    "{} entered as entry {}, {}",
                    self.wording().entry(entry),
                    self.job.entries.len(),
                    crate::job::setup_words(&self.book, &entry.setup)
                ),
                None => "entered".into(),
            },
            Statement::Setup(_) => format!("set up: {}", crate::job::setup_words(&self.book, &self.job.setup)),
            Statement::TakeBack(_) => "taken back; the line stays in the record".into(),
            Statement::Repaired(_) => "repair noted; entries before it are history now".into(),
            Statement::CustomerWords(_) => "noted in the customer's words; it decides nothing by itself".into(),
            Statement::CannotReach(_) => "noted; it won't be advised in this job".into(),
            _ => "noted".into(),
        }
    }

    /// The next tests.
    pub(super) fn advise(&mut self, count: usize) -> Page {
        if self.wording().is_job_done(&self.judgement) {
            let mut page = Page::new();
            page.line(0, "The job is done: there is nothing left to measure. `report` shows it, `quit` leaves.");
            return page;
        }
        let advice = crate::advice::advise(&self.book, &self.job, &self.judgement, count);
        let mut shown = std::mem::take(&mut self.shown);
        let page = self.wording().advice(&advice, &mut shown);
        self.shown = shown;
        page
    }

    /// What to say on leaving.
    pub fn farewell(&self) -> Page {
        let mut page = Page::new();
        let open = self.wording().open_ends(&self.judgement);
        if !open.is_empty() {
            page.line(0, "Before you go:").page(1, &open);
        }
        if self.keeper.is_none() && !self.job.lines.is_empty() {
            page.line(0, "Nothing of this is kept: begin with `--job FILE` to keep a job.");
        }
        page
    }

    /// Takes the book resolved under another profile; the job is played again.
    pub fn change_book(&mut self, book: Book) -> Page {
        let mut page = Page::new();
        self.book = book;
        for (line, problems) in self.job.rebuild(&self.book) {
            for problem in problems {
                page.line(0, format!("line {} no longer fits: {}", line + 1, problem.message));
            }
        }
        self.judgement = self.recall.judge(&self.book, &self.job);
        page
    }
}

fn control_character(line: &str, control: char) -> Problem {
    let at = line.find(control).unwrap_or(0);
    let span = crate::source::Span::new(Default::default(), at, at + control.len_utf8());
    Problem::error("repl/control-character", span, "this line holds a control character")
        .help("type it again without it")
}

//! What a check is: an id that names the fault, a level, a help page that is its own doc comment, and a function from
//! a book to findings. Knows nothing of single checks; they stand in [`super::checks`], one a file.

use crate::problem::{Problem, Severity};
use crate::source::Span;

use super::fix::Fix;
use super::meaning::Witness;
use super::subject::Subject;

/// What a check builds on. A check whose needs are broken is skipped: it would only repeat what reading the book
/// has already said.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Needs {
    /// The bare text; it always runs.
    Text,
    /// Declarations that could be read; those with an error inside are passed over.
    Tree,
    /// A book without errors.
    Sound,
    /// A book without errors, asked by meaning.
    Meaning,
    /// The findings of all other checks, and what the book allows.
    Findings,
}

/// One check.
#[derive(Debug)]
pub struct Check {
    /// Names the fault, in kebab case; stable, for allowances name it.
    pub id: &'static str,
    /// How grave its findings are unless the command line says otherwise.
    pub level: Severity,
    /// What it builds on.
    pub needs: Needs,
    /// Its doc comment, which is its help page.
    pub(crate) doc: &'static str,
    /// Looks for the fault.
    pub(crate) find: fn(&Subject<'_>, &mut Findings),
}

/// A check's help page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HelpPage {
    /// What is found, and when the check stays silent.
    pub finds: String,
    /// What the fault does to the technician who uses the book.
    pub harm: String,
    /// What `--fix` does; absent where no fix is safe.
    pub fix: Option<String>,
    /// Lines of a rulebook that have the fault.
    pub bad: String,
    /// The same without it.
    pub good: String,
}

impl HelpPage {
    /// An example as it would stand in a file. On the page, letters that can't be told from others by eye stand as
    /// `\u{…}`.
    pub fn typed(example: &str) -> String {
        let mut out = String::new();
        let mut parts = example.split("\\u{");
        out.push_str(parts.next().unwrap_or(""));
        for part in parts {
            let (code, rest) = part.split_once('}').unwrap_or(("", part));
            out.extend(u32::from_str_radix(code, 16).ok().and_then(char::from_u32));
            out.push_str(rest);
        }
        out
    }
}

impl Check {
    /// Its help page.
    pub fn page(&self) -> HelpPage {
        let (words, examples) = self.doc.split_once("Bad:").unwrap_or((self.doc, ""));
        let (bad, good) = examples.split_once("Good:").unwrap_or((examples, ""));
        HelpPage {
            finds: paragraph(words, "Finds:").unwrap_or_default(),
            harm: paragraph(words, "Harm:").unwrap_or_default(),
            fix: paragraph(words, "Fix:"),
            bad: example(bad),
            good: example(good),
        }
    }
}

/// A paragraph that begins with a word, on one line, its backticks kept.
fn paragraph(doc: &str, word: &str) -> Option<String> {
    let lines: Vec<&str> = doc.lines().map(str::trim).collect();
    let first = lines.iter().position(|line| line.starts_with(word))?;
    let said = lines.get(first..)?.iter().take_while(|line| !line.is_empty());
    let joined = said.copied().collect::<Vec<_>>().join(" ");
    Some(joined.get(word.len()..)?.trim().to_string())
}

/// The lines of a fenced block; each loses the blank that a doc comment puts before it.
fn example(doc: &str) -> String {
    let inside = doc.lines().skip_while(|line| !line.trim().starts_with("```")).skip(1);
    let lines = inside.take_while(|line| !line.trim().starts_with("```"));
    lines.map(|line| line.strip_prefix(' ').unwrap_or(line).to_string() + "\n").collect()
}

/// One thing found, with its fix where a safe one is known.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// What and where; its code is the check's id, or that of the problem which reading the book met.
    pub problem: Problem,
    /// What mends it without changing what the book says.
    pub fix: Option<Fix>,
    /// A little job that shows it; only findings by meaning have one.
    pub witness: Option<Witness>,
}

impl Finding {
    /// A finding at a place; its id and level are set when it is handed in.
    pub(crate) fn at(span: Span, message: impl Into<String>) -> Self {
        Self { problem: Problem::error("", span, message), fix: None, witness: None }
    }

    /// With words beside the place.
    #[must_use]
    pub(crate) fn here(self, text: impl Into<String>) -> Self {
        Self { problem: self.problem.here(text), ..self }
    }

    /// With a further place.
    #[must_use]
    pub(crate) fn also(self, span: Span, text: impl Into<String>) -> Self {
        Self { problem: self.problem.also(span, text), ..self }
    }

    /// With what to type instead.
    #[must_use]
    pub(crate) fn help(self, help: impl Into<String>) -> Self {
        Self { problem: self.problem.help(help), ..self }
    }

    /// With a job that shows it, where one was found.
    #[must_use]
    pub(crate) fn witness(self, witness: Option<Witness>) -> Self {
        Self { witness, ..self }
    }

    /// With a safe fix.
    #[must_use]
    pub(crate) fn fix(self, fix: Option<Fix>) -> Self {
        Self { fix, ..self }
    }

    /// Its id.
    pub fn id(&self) -> &'static str {
        self.problem.code
    }
}

/// Where a check hands in what it finds.
#[derive(Debug)]
pub(crate) struct Findings {
    id: &'static str,
    level: Severity,
    list: Vec<Finding>,
    open: usize,
}

impl Findings {
    /// For one check.
    pub(crate) fn of(check: &Check) -> Self {
        Self { id: check.id, level: check.level, list: Vec::new(), open: 0 }
    }

    /// Hands one in.
    pub(crate) fn add(&mut self, mut finding: Finding) {
        finding.problem.code = self.id;
        finding.problem.severity = self.level;
        self.list.push(finding);
    }

    /// Says that a question could not be decided.
    pub(crate) fn leave_open(&mut self) {
        self.open += 1;
    }

    /// How many questions could not be decided.
    pub(crate) fn open(&self) -> usize {
        self.open
    }

    /// All that was handed in.
    pub(crate) fn into_list(self) -> Vec<Finding> {
        self.list
    }
}

/// Declares the check of a file; its doc comment (Finds, Harm, perhaps Fix, Bad, Good) is the help page.
macro_rules! check {
    ($(#[doc = $doc:literal])+ $id:literal, $level:ident, $needs:ident, $find:path) => {
        $(#[doc = $doc])+
        pub(crate) static CHECK: $crate::lint::check::Check = $crate::lint::check::Check {
            id: $id,
            level: $crate::problem::Severity::$level,
            needs: $crate::lint::check::Needs::$needs,
            doc: concat!($($doc, "\n"),+),
            find: $find,
        };
    };
}
pub(crate) use check;

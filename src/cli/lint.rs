//! `ruleout lint`: what is wrong with rulebooks, by name and shape.

mod fixing;
mod pages;
mod watch;

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use rayon::prelude::*;

use crate::book::load;
use crate::book::load::plain;
use crate::lint::{self, Choice, Depth, Linted, MOST_RULES, Opened};
use crate::output::clean;
use crate::output::github::annotations;
use crate::output::lint_json::json_lint;
use crate::output::lint_text;
use crate::output::sarif::sarif;
use crate::output::words::counted;

use super::out::Failure;
use super::{Disk, Exit, ReadingArgs, files, out};

/// How findings are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
enum LintFormat {
    /// For people, drawn into the book
    #[default]
    Text,
    /// Annotations of a workflow run
    Github,
    /// SARIF 2.1.0
    Sarif,
    /// JSON of our own shape
    Json,
}

/// How far the checks go.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
enum By {
    /// By name and shape only: quick even on huge books
    Name,
    /// By meaning too, unless a book has more than 5,000 rules
    #[default]
    Fitting,
    /// By meaning too, whatever it takes: each such finding comes with a little job that shows it
    Meaning,
}

/// Arguments of `lint`.
#[derive(Clone, Debug, Args)]
pub(super) struct LintArgs {
    /// Rulebooks, or folders of such
    #[arg(required_unless_present_any = ["explain", "list"])]
    paths: Vec<PathBuf>,
    /// How findings are written
    #[arg(long, value_enum, default_value_t)]
    format: LintFormat,
    /// How far the checks go
    #[arg(long, value_enum, default_value_t)]
    by: By,
    /// Say what a check finds, why it matters, and how it looks wrong and right
    #[arg(long, value_name = "ID", conflicts_with_all = ["list", "fix", "watch"])]
    explain: Option<String>,
    /// List every check
    #[arg(long, conflicts_with_all = ["fix", "watch"])]
    list: bool,
    /// Do the safe fixes, then say what is left
    #[arg(long)]
    fix: bool,
    /// Count findings of this check as errors
    #[arg(long, value_name = "ID")]
    deny: Vec<String>,
    /// Leave findings of this check out
    #[arg(long, value_name = "ID")]
    allow: Vec<String>,
    /// Look again whenever a file changes, until Ctrl-C
    #[arg(long, conflicts_with = "fix")]
    watch: bool,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &LintArgs) -> Exit {
    if let Some(unknown) = args.deny.iter().chain(&args.allow).chain(&args.explain).find(|id| !is_known(id)) {
        return Failure::said(&unknown_id(unknown)).into();
    }
    if let Some(id) = &args.explain {
        return pages::explain(id);
    }
    if args.list {
        return pages::list();
    }
    if args.fix
        && let Err(failure) = fixing::fix(args)
    {
        return failure.into();
    }
    match look(args) {
        Err(failure) => failure.into(),
        Ok(round) => {
            round.show(args.format);
            if args.watch { watch::again(args, round) } else { round.exit() }
        }
    }
}

/// Ids of checks, and of what reading a book met (those have a stroke).
fn is_known(id: &str) -> bool {
    lint::find(id).is_some() || id.contains('/')
}

fn unknown_id(id: &str) -> String {
    let near = lint::nearest_id(id)
        .map_or_else(|| "`ruleout lint --list` names them all".to_string(), |near| format!("did you mean `{near}`?"));
    format!("no check is called `{id}`; {near}")
}

/// One look at all files.
struct Round {
    files: Vec<Linted>,
    /// Files that can't be read, with the reason.
    unreadable: Vec<(PathBuf, String)>,
}

/// Reads and checks all rulebooks that the arguments name: in parallel, the result in the order of the paths.
///
/// # Errors
/// A path is missing; said already.
fn look(args: &LintArgs) -> Result<Round, Failure> {
    let (opened, unreadable) = open(args)?;
    let outside = lint::outside(&opened);
    let depth = match args.by {
        By::Name => Depth::Names,
        By::Fitting => Depth::Fitting,
        By::Meaning => Depth::Meaning,
    };
    let choice = Choice { deny: args.deny.clone(), allow: args.allow.clone(), depth };
    let both: Vec<(&Opened, &lint::Outside)> = opened.iter().zip(&outside).collect();
    let files = both.into_par_iter().map(|(file, outside)| {
        let (findings, survey) = lint::examine(file, outside, &choice);
        let passed_over = depth == Depth::Fitting && file.book.rules.len() > MOST_RULES;
        Linted { file: file.loaded.file.clone(), sources: file.loaded.sources.clone(), findings, survey, passed_over }
    });
    Ok(Round { files: files.collect(), unreadable })
}

/// The books that could be read, and the files that could not, with the reason.
type Opening = (Vec<Opened>, Vec<(PathBuf, String)>);

fn open(args: &LintArgs) -> Result<Opening, Failure> {
    let mut paths: Vec<PathBuf> = Vec::new();
    let mut known = std::collections::BTreeSet::new();
    for path in files::rulebooks(&args.paths)? {
        if known.insert(plain(&path)) {
            paths.push(path);
        }
    }
    let read = paths.into_par_iter().map(|path| match load(&Disk::of(&path, &args.reading), &path) {
        Ok(loaded) => Ok(Opened::resolve(loaded)),
        Err(why) => Err((path, why)),
    });
    let read: Vec<_> = read.collect();
    let (mut opened, mut unreadable) = (Vec::new(), Vec::new());
    for file in read {
        match file {
            Ok(file) => opened.push(file),
            Err(why) => unreadable.push(why),
        }
    }
    Ok((opened, unreadable))
}

impl Round {
    fn found(&self) -> usize {
        self.files.iter().map(|file| file.findings.len()).sum()
    }

    fn exit(&self) -> Exit {
        match (self.unreadable.is_empty(), self.found()) {
            (false, _) => Exit::Failed,
            (true, 0) => Exit::Done,
            (true, _) => Exit::Found,
        }
    }

    fn show(&self, format: LintFormat) {
        for (path, why) in &self.unreadable {
            let _said = Failure::file(path, why);
        }
        match format {
            LintFormat::Github => out::text(&annotations(&self.files)),
            LintFormat::Sarif => out::json(&sarif(&self.files)),
            LintFormat::Json => out::json(&json_lint(&self.files)),
            LintFormat::Text => self.draw(),
        }
    }

    fn draw(&self) {
        let style = out::style_of(std::io::IsTerminal::is_terminal(&std::io::stdout()));
        for file in &self.files {
            out::text(&lint_text::findings(file, style));
        }
        for file in self.files.iter().filter(|file| file.passed_over) {
            out::text(&format!(
                "{}: too many rules to be asked by meaning; `--by meaning` does it\n",
                clean(&file.file)
            ));
        }
        let fixes = self.files.iter().flat_map(|file| &file.findings).filter(|finding| finding.fix.is_some()).count();
        let fixable = if fixes > 0 { format!("; `--fix` mends {fixes}") } else { String::new() };
        let looked = counted(self.files.len(), "file", "files");
        out::text(&format!("{} found in {looked}{fixable}\n", counted(self.found(), "problem", "problems")));
    }
}

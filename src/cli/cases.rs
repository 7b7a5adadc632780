//! `ruleout cases`: worked cases of rulebooks, in parallel, in stable order; what they reach; drafts for the rest.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::book::load::has_errors;
use crate::book::{Loaded, load};
use crate::lint::cases::draft::Drafts;
use crate::lint::cases::{BookCases, CaseResult, Refused};
use crate::output::cases_json::json_cases;
use crate::output::diagnostic::draw_all;
use crate::output::junit::junit;
use crate::output::words::counted;
use crate::output::{Page, cases_text, clean};

use super::out::Failure;
use super::write::{Patched, replace};
use super::{Disk, Exit, Format, ReadingArgs, disk, files, logs, out};

/// Arguments of `cases`.
#[derive(Clone, Debug, Args)]
pub(super) struct CasesArgs {
    /// Rulebooks, or folders of such
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Limits for another variant of the vehicle, as the book names it
    #[arg(long, value_name = "NAME")]
    profile: Option<String>,
    /// Text for people or JSON for machines
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Say what the cases reach: rules, limits on both sides, verdicts of faults
    #[arg(long)]
    coverage: bool,
    /// Draft a case for each rule that none makes apply, and add it to its book
    #[arg(long)]
    write_missing: bool,
    /// Say how sharp the cases are: slips in rules that no case finds
    #[arg(long)]
    mutants: bool,
    /// Find something wrong where the cases find less than this share of the slips
    #[arg(long, value_name = "PERCENT", requires = "mutants", value_parser = clap::value_parser!(u8).range(0..=100))]
    at_least: Option<u8>,
    /// Only show what `--write-missing` would add
    #[arg(long, requires = "write_missing")]
    dry_run: bool,
    /// Write the results as JUnit XML too
    #[arg(long, value_name = "FILE")]
    junit: Option<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
}

/// Runs it.
pub(super) fn run(args: &CasesArgs) -> Exit {
    let files = match files::rulebooks(&args.paths) {
        Ok(files) => files,
        Err(failure) => return failure.into(),
    };
    let mut exit = Exit::Done;
    let (mut books, mut refused) = (Vec::new(), Vec::new());
    for path in files {
        match one_book(args, &path) {
            Ok((cases, loaded)) => {
                exit = exit.max(shown(args, &cases)).max(added(args, &path, &cases, &loaded));
                exit = exit.max(blunt(args, &cases));
                books.push(cases);
            }
            Err(why) => {
                exit = Exit::Failed;
                refused.push(Refused { file: path.display().to_string(), why });
            }
        }
    }
    match args.format {
        Format::Json => out::json(&json_cases(&books, &refused)),
        Format::Text => out::text(&total(&books, &refused)),
    }
    exit.max(args.junit.as_deref().map_or(Exit::Done, |path| junit_file(path, &books, &refused)))
}

/// Runs the cases of a book, or says why that can't be done.
fn one_book(args: &CasesArgs, path: &Path) -> Result<(BookCases, Loaded), String> {
    let loaded = load(&Disk::of(path, &args.reading), path).inspect_err(|why| {
        let _said = Failure::file(path, why);
    })?;
    let book = disk::resolve_book(&loaded, args.profile.as_deref());
    let book = book.map_err(|_said| "it has errors; `ruleout lint` shows them".to_string())?;
    let logs = logs::beside(path);
    let cases = BookCases::with_logs(&loaded, book, &logs);
    let cases = if args.write_missing { cases.with_drafts() } else { cases };
    Ok((if args.mutants { cases.with_mutants(&loaded, &logs) } else { cases }, loaded))
}

/// Shows what came out; whether anything was found.
fn shown(args: &CasesArgs, cases: &BookCases) -> Exit {
    let failed: Vec<&CaseResult> = cases.results.iter().filter(|result| !result.passed()).collect();
    if args.format == Format::Text {
        failed.iter().for_each(|result| show(result));
        if args.coverage {
            out::page(cases_text::coverage(&cases.book, &cases.coverage).gap());
        }
        if let Some(mutation) = &cases.mutation {
            out::page(cases_text::mutation(&cases.book, mutation).gap());
        }
    }
    if failed.is_empty() { Exit::Done } else { Exit::Found }
}

/// Whether the cases find less of the slips than was asked for; says so.
fn blunt(args: &CasesArgs, cases: &BookCases) -> Exit {
    let (Some(least), Some(mutation)) = (args.at_least, &cases.mutation) else { return Exit::Done };
    if mutation.score() * 100.0 >= f64::from(least) {
        return Exit::Done;
    }
    if args.format == Format::Text {
        out::text(&format!("{}: the cases find less than {least} % of the slips\n", clean(&cases.book.file)));
    }
    Exit::Found
}

fn show(result: &CaseResult) {
    let book = &result.book;
    out::text(&format!("failed: {} ({})\n", clean(&result.label), clean(&book.sources.place(result.span))));
    out::text(&draw_all(&result.failures, &book.sources, out::style_of(false)));
    let found = cases_text::found(result);
    if !found.is_empty() {
        let mut page = Page::new();
        page.line(0, "found:").page(1, &found);
        out::page(page.gap());
    }
}

/// Adds the drafts to their book, or shows them; whether a rule is left without one.
fn added(args: &CasesArgs, path: &Path, cases: &BookCases, loaded: &Loaded) -> Exit {
    let Some(drafts) = &cases.drafts else { return Exit::Done };
    let text = args.format == Format::Text;
    let file = path.display().to_string();
    if text && drafts.drafts.is_empty() && drafts.undrafted.is_empty() {
        out::text(&format!("{}: a case tries every rule\n", clean(&file)));
    }
    if !drafts.drafts.is_empty() {
        if args.dry_run && text {
            out::text(&format!("to be added to {}:\n\n{}\n", clean(&file), clean(&drafts.text())));
        } else if !args.dry_run {
            if let Err(failure) = append(args, path, drafts, loaded) {
                return failure.into();
            }
            if text {
                let many = counted(drafts.drafts.len(), "drafted case", "drafted cases");
                out::text(&format!("{many} added to {}; check the values\n", clean(&file)));
            }
        }
    }
    if text {
        out::page(&cases_text::undrafted(&cases.book, &drafts.undrafted));
    }
    if drafts.undrafted.is_empty() { Exit::Done } else { Exit::Found }
}

/// Writes the drafts to the end of their book, unless that would break it.
fn append(args: &CasesArgs, path: &Path, drafts: &Drafts, loaded: &Loaded) -> Result<(), Failure> {
    let name = path.display();
    let own = loaded.trees.last().and_then(|tree| loaded.sources.get(tree.source));
    let Some(own) = own else { return Err(Failure::said(&format!("`{name}` holds nothing"))) };
    let text = drafts.appended_to(&own.text);
    let patched = Patched { disk: Disk::of(path, &args.reading), path: path.to_path_buf(), text };
    let again = load(&patched, path).map(|loaded| loaded.resolve(args.profile.as_deref()).1);
    if again.map_or(true, |problems| has_errors(&problems)) {
        return Err(Failure::said(&format!("`{name}` would have errors with the drafts; it is left as it is")));
    }
    replace(path, &patched.text).map_err(|error| unwritten(path, &error))
}

fn unwritten(path: &Path, error: &std::io::Error) -> Failure {
    Failure::said(&format!("`{}` can't be written: {}", path.display(), disk::because(error)))
}

fn junit_file(path: &Path, books: &[BookCases], refused: &[Refused]) -> Exit {
    let written = match junit(books, refused) {
        Ok(xml) => replace(path, &xml).map_err(|error| unwritten(path, &error)),
        Err(why) => Err(Failure::said(&format!("the results can't be written as XML: {why}"))),
    };
    written.map_or_else(Exit::from, |()| Exit::Done)
}

fn total(books: &[BookCases], refused: &[Refused]) -> String {
    let unread = match refused.len() {
        0 => String::new(),
        many => format!(", the cases of {} not run", counted(many, "broken book", "broken books")),
    };
    if books.is_empty() && !refused.is_empty() {
        return format!("no case was run: {}\n", unread.trim_start_matches(", "));
    }
    let passed = books.iter().map(|book| book.counts().0).sum();
    let failed: usize = books.iter().map(|book| book.counts().1).sum();
    format!("{} passed, {failed} failed{unread}\n", counted(passed, "case", "cases"))
}

//! Gathering the texts of a book: the file on the command line and all that it `use`s, used ones first, each once.
//! Files come through [`Library`], so that only the command line touches the disk.

use std::path::{Component, Path, PathBuf};

use crate::problem::{Problem, Severity, in_order};
use crate::source::{SourceId, Sources, Span};
use crate::syntax::tree::{FieldBody, Text, Tree};
use crate::syntax::words::{DeclarationWord, FieldWord};
use crate::syntax::{Extent, parse_part};

use super::digest::Digest;
use super::model::Book;
use super::resolve;

/// Where texts come from.
pub trait Library {
    /// The text of a file, or why it can't be had, in words.
    ///
    /// # Errors
    /// A sentence for the technician.
    fn read(&self, path: &Path) -> Result<String, String>;

    /// Whether a path may be read: inside the book's folder, or the library folder.
    fn allows(&self, path: &Path) -> bool;
}

/// The most files that one book may be made of.
const MOST_FILES: usize = 256;

/// The most problems of one file that are kept.
const MOST_PROBLEMS: usize = 20_000;

/// All texts of a book, parsed.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The texts.
    pub sources: Sources,
    /// Used files first, the book itself last.
    pub trees: Vec<Tree>,
    /// What parsing and `use` found wrong.
    pub problems: Vec<Problem>,
    /// Digest of all texts.
    pub digest: Digest,
    /// The book's file, as given.
    pub file: String,
}

impl Loaded {
    /// The profiles that the book's own file and its used files declare, in order.
    pub fn profiles(&self) -> Vec<String> {
        let declarations = self.trees.iter().flat_map(|tree| &tree.declarations);
        declarations.filter(|d| d.word == DeclarationWord::Profile).map(|d| d.name.text.as_str().to_string()).collect()
    }

    /// How large all its texts are together, in bytes.
    pub fn bytes(&self) -> usize {
        let sources = self.trees.iter().filter_map(|tree| self.sources.get(tree.source));
        sources.map(|source| source.text.len()).sum()
    }

    /// Resolves the book, under a profile if one is named. The book is there even where problems are errors.
    pub fn resolve(&self, profile: Option<&str>) -> (Book, Vec<Problem>) {
        let (book, mut problems) = resolve::resolve(self, profile);
        problems.extend(self.problems.iter().cloned());
        in_order(&mut problems);
        (book, problems)
    }
}

/// Whether any problem is an error.
pub fn has_errors(problems: &[Problem]) -> bool {
    problems.iter().any(|problem| problem.severity == Severity::Error)
}

/// Reads a book and all that it uses.
///
/// # Errors
/// Why the book's own file can't be read; trouble with used files is in [`Loaded::problems`].
pub fn load(library: &dyn Library, path: &Path) -> Result<Loaded, String> {
    load_part(library, path, Extent::Whole)
}

/// Reads a book as far as is asked, and all that it uses.
///
/// # Errors
/// As [`load`].
pub fn load_part(library: &dyn Library, path: &Path, extent: Extent) -> Result<Loaded, String> {
    let text = library.read(path)?;
    let mut loader = Loader {
        library,
        extent,
        sources: Sources::new(),
        trees: Vec::new(),
        problems: Vec::new(),
        done: Vec::new(),
        trail: Vec::new(),
    };
    loader.file(path.to_path_buf(), text);
    let texts =
        loader.trees.iter().filter_map(|tree| loader.sources.get(tree.source)).map(|source| source.text.clone());
    let digest = Digest::of(texts.collect());
    Ok(Loaded {
        sources: loader.sources,
        trees: loader.trees,
        problems: loader.problems,
        digest,
        file: path.display().to_string(),
    })
}

struct Loader<'l> {
    library: &'l dyn Library,
    extent: Extent,
    sources: Sources,
    trees: Vec<Tree>,
    problems: Vec<Problem>,
    done: Vec<PathBuf>,
    trail: Vec<PathBuf>,
}

impl Loader<'_> {
    fn file(&mut self, path: PathBuf, text: String) {
        let id = self.sources.add(path.display().to_string(), text);
        let whole = self.sources.get(id).map(|source| source.text.clone()).unwrap_or_default();
        // Cases of used files are never run from here.
        let extent = if self.trail.is_empty() { self.extent } else { Extent::WithoutCases };
        let (tree, mut problems) = parse_part(id, &whole, extent);
        count_off(&mut problems);
        self.problems.extend(problems.into_iter().map(|problem| in_source(problem, id)));
        self.trail.push(plain(&path));
        for wanted in uses(&tree) {
            self.used(&path, &wanted);
        }
        self.trail.pop();
        self.done.push(plain(&path));
        self.trees.push(tree);
    }

    fn used(&mut self, user: &Path, wanted: &Text) {
        let path = plain(&user.parent().unwrap_or(Path::new("")).join(&*wanted.text));
        if let Some(at) = self.trail.iter().position(|p| *p == path) {
            self.problems.push(circle(wanted, self.trail.get(at..).unwrap_or(&[]), &path));
            return;
        }
        if self.done.contains(&path) {
            return;
        }
        if !self.library.allows(&path) {
            self.problems.push(
                Problem::error(
                    "book/use-outside",
                    wanted.span,
                    format!("`{}` lies outside the folder of the book", wanted.text),
                )
                .help("put the file below the book's folder, or name its folder with `--library DIR`"),
            );
            return;
        }
        if self.done.len() + self.trail.len() >= MOST_FILES {
            self.problems.push(
                Problem::error(
                    "book/too-many-files",
                    wanted.span,
                    format!("this book uses more than {MOST_FILES} files"),
                )
                .help("join some of them"),
            );
            return;
        }
        match self.library.read(&path) {
            Ok(text) => self.file(path, text),
            Err(why) => self.problems.push(
                Problem::error("book/use-unreadable", wanted.span, format!("`{}` can't be used: {why}", wanted.text))
                    .help("paths are relative to the file that says `use`"),
            ),
        }
    }
}

/// Keeps so many problems of a file that no one reads on, and counts the rest.
fn count_off(problems: &mut Vec<Problem>) {
    let Some(next) = problems.get(MOST_PROBLEMS).map(Problem::span) else { return };
    let message = format!("{} more problems of this file begin here", problems.len() - MOST_PROBLEMS);
    problems.truncate(MOST_PROBLEMS);
    problems.push(Problem::error("syntax/too-many", next, message).help("mend the first ones, then look again"));
    problems.shrink_to_fit();
}

/// Problems that were made without knowing their source.
fn in_source(mut problem: Problem, id: SourceId) -> Problem {
    for label in &mut problem.labels {
        label.span = Span { source: id, ..label.span };
    }
    problem
}

fn uses(tree: &Tree) -> Vec<Text> {
    let headers = tree.declarations.iter().filter(|d| d.word == DeclarationWord::Rulebook);
    let fields = headers.flat_map(|d| &d.fields).filter(|f| f.word == FieldWord::Use);
    fields.filter_map(|f| if let FieldBody::Text(text) = &f.body { Some(text.clone()) } else { None }).collect()
}

fn circle(wanted: &Text, trail: &[PathBuf], path: &Path) -> Problem {
    let mut names: Vec<String> = trail.iter().map(|p| p.display().to_string()).collect();
    names.push(path.display().to_string());
    Problem::error(
        "book/use-circle",
        wanted.span,
        format!("these files use each other in a circle: {}", names.join(" → ")),
    )
    .help("take out one of the `use` lines; move what both need to a file of its own")
}

/// A path with `.` and `..` worked out on paper, so that one file has one name.
pub fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                let can_pop = matches!(out.components().next_back(), Some(Component::Normal(_)));
                if can_pop {
                    out.pop();
                } else {
                    out.push("..");
                }
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_worked_out_on_paper() {
        assert_eq!(plain(Path::new("a/./b/../c")), Path::new("a/c"));
        assert_eq!(plain(Path::new("../a")), Path::new("../a"));
        assert_eq!(plain(Path::new("a/../../b")), Path::new("../b"));
    }
}

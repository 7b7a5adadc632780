//! What the targets share: books that stand only in memory.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use ruleout::book::load::plain;
use ruleout::book::{Book, Library, Loaded, load};
use ruleout::problem::Problem;
use ruleout::source::Sources;

/// Files in memory, for books that use others.
pub(crate) struct Shelf(BTreeMap<PathBuf, String>);

/// The line that begins a further file.
const NEXT_FILE: &str = "%file ";

impl Shelf {
    /// A text cut at its lines `%file NAME`; what stands before the first is `main`.
    pub(crate) fn of(text: &str) -> Self {
        let mut files = BTreeMap::new();
        let (mut name, mut said) = (PathBuf::from("main"), String::new());
        for line in text.split_inclusive('\n') {
            match line.strip_prefix(NEXT_FILE) {
                Some(next) => {
                    files
                        .insert(std::mem::replace(&mut name, plain(Path::new(next.trim()))), std::mem::take(&mut said));
                }
                None => said.push_str(line),
            }
        }
        files.insert(name, said);
        Self(files)
    }

    /// The main file and all that it uses.
    pub(crate) fn load(&self) -> Option<Loaded> {
        load(self, Path::new("main")).ok()
    }
}

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        self.0.get(&plain(path)).cloned().ok_or_else(|| "there is no such file".into())
    }

    fn allows(&self, path: &Path) -> bool {
        !path.starts_with("..")
    }
}

/// Bytes as the text that the command line would have refused or read.
pub(crate) fn text(data: &[u8]) -> Option<&str> {
    std::str::from_utf8(data).ok()
}

/// The books that jobs are played against: shipped ones and the largest of the corpus.
const BOOKS: &[&str] = &[
    include_str!("../../../../rulebooks/roof-unit-fans.rulebook"),
    include_str!("../../../corpus/points/11-repaired.rulebook"),
    include_str!("../../../corpus/points/09-several-at-once.rulebook"),
    include_str!("../../../corpus/circuits/fan-feed.rulebook"),
    include_str!("../../../../rulebooks/refrigerant-circuit.rulebook"),
    include_str!("../../../corpus/points/05-computed.rulebook"),
    include_str!("../../../corpus/points/meaning-08-several.rulebook"),
];

/// The books, resolved once.
pub(crate) fn books() -> &'static [Book] {
    static RESOLVED: OnceLock<Vec<Book>> = OnceLock::new();
    RESOLVED.get_or_init(|| {
        let resolve = |text: &&str| Shelf::of(text).load().map(|loaded| loaded.resolve(None).0);
        BOOKS.iter().filter_map(resolve).collect()
    })
}

/// Where the books of the corpus stand among them: small ones, of which everything can be asked in little time.
const SMALL: [usize; 5] = [1, 2, 3, 5, 6];

/// Splits off the first byte, which chooses a book.
pub(crate) fn choose(data: &[u8]) -> Option<(&'static Book, &str)> {
    let (first, rest) = data.split_first()?;
    let books = books();
    let book = books.get(usize::from(*first) % books.len())?;
    Some((book, text(rest)?))
}

/// The same of the small books alone: a shipped one with circuits takes a hundred times as long.
pub(crate) fn choose_small(data: &[u8]) -> Option<(&'static Book, &str)> {
    let (first, rest) = data.split_first()?;
    let book = books().get(*SMALL.get(usize::from(*first) % SMALL.len())?)?;
    Some((book, text(rest)?))
}

/// Every place of a problem lies in its text, on whole characters, and the problem says something.
pub(crate) fn well_placed(problems: &[Problem], sources: &Sources) {
    for problem in problems {
        assert!(!problem.message.is_empty(), "{problem:?}");
        for label in &problem.labels {
            let source = sources.get(label.span.source);
            let inside = source.is_some_and(|source| source.text.get(label.span.range()).is_some());
            assert!(inside, "a place outside of its text: {problem:?}");
        }
    }
}

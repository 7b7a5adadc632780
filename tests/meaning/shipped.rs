//! The shipped rulebooks: nothing is found by meaning but what they allow with a reason.

use std::path::{Path, PathBuf};

use ruleout::book::{Library, load};
use ruleout::lint::Opened;

use crate::shelf::{asked, assert_witnessed};

struct Shelf;

impl Library for Shelf {
    fn read(&self, path: &Path) -> Result<String, String> {
        std::fs::read_to_string(path).map_err(|error| error.to_string())
    }

    fn allows(&self, _: &Path) -> bool {
        true
    }
}

fn books() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("rulebooks");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == "rulebook"));
    paths.sort();
    paths
}

#[test]
fn shipped_books_are_clean_by_meaning() {
    let mut wrong = String::new();
    for path in books() {
        let asked = asked(Opened::resolve(load(&Shelf, &path).unwrap()));
        assert_witnessed(&asked);
        if !asked.findings.is_empty() {
            wrong.push_str(&format!("{}\n{}", path.display(), asked.told()));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

//! Reading files: size, encoding and folder are checked here, and every refusal is a sentence.

use std::io::Read;
use std::path::{Path, PathBuf};

use crate::book::load::plain;
use crate::book::{Book, Library, Loaded, load_part};
use crate::job::record;
use crate::problem::{Problem, Severity};
use crate::syntax::Extent;

use super::out::{self, Failure};
use super::{BookArgs, ReadingArgs};

/// Files above this are refused unless `--large`.
pub(super) const LARGEST: u64 = 16 * 1024 * 1024;

/// The disk, as far as a book may see it.
#[derive(Clone, Debug)]
pub struct Disk {
    folder: PathBuf,
    library: Option<PathBuf>,
    large: bool,
}

impl Disk {
    /// The disk for a book of that path.
    pub fn of(book: &Path, reading: &ReadingArgs) -> Self {
        let folder = plain(book).parent().map(Path::to_path_buf).unwrap_or_default();
        Self { folder, library: reading.library.as_deref().map(plain), large: reading.large }
    }
}

impl Library for Disk {
    fn read(&self, path: &Path) -> Result<String, String> {
        if path.exists() || self.library.is_none() {
            return read_text(path, self.large);
        }
        // A file that is not beside its user may stand in the library folder.
        let inside = path.strip_prefix(&self.folder).unwrap_or(path);
        let shelved = self.library.as_ref().map(|library| library.join(inside));
        shelved.filter(|p| p.exists()).map_or_else(|| read_text(path, self.large), |p| read_text(&p, self.large))
    }

    fn allows(&self, path: &Path) -> bool {
        // Links are followed, so that one can't lead out of the folder.
        let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let inside = |folder: &Path| {
            let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
            let on_paper =
                !plain(path).starts_with("..") && !path.is_absolute() || plain(path).starts_with(plain(folder));
            if path.exists() { real(path).starts_with(real(folder)) } else { on_paper }
        };
        inside(&self.folder) || self.library.as_deref().is_some_and(inside)
    }
}

/// The text of a file, or a sentence why not.
pub(super) fn read_text(path: &Path, large: bool) -> Result<String, String> {
    let file = std::fs::File::open(path).map_err(|error| because(&error))?;
    let meta = file.metadata().map_err(|error| because(&error))?;
    if meta.is_dir() {
        return Err("it is a folder".into());
    }
    if meta.len() > LARGEST && !large {
        return Err(too_large());
    }
    let limit = if large { u64::from(u32::MAX) } else { LARGEST + 1 };
    let mut bytes = Vec::with_capacity(usize::try_from(meta.len().min(limit)).unwrap_or(0));
    file.take(limit).read_to_end(&mut bytes).map_err(|error| because(&error))?;
    if !large && bytes.len() as u64 > LARGEST {
        return Err(too_large());
    }
    to_text(bytes)
}

fn too_large() -> String {
    format!("it is larger than {} MB; `--large` reads it all the same", LARGEST / 1024 / 1024)
}

/// Bytes as text, or where they stop being UTF-8.
pub(super) fn to_text(bytes: Vec<u8>) -> Result<String, String> {
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let bytes = error.into_bytes();
            let line = bytes.iter().take(at).filter(|b| **b == b'\n').count() + 1;
            if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
                return Err("it is UTF-16, not UTF-8; save it as UTF-8".into());
            }
            Err(format!("line {line} is not UTF-8; save the file as UTF-8"))
        }
    }
}

/// An operating system's error in plain words.
pub(super) fn because(error: &std::io::Error) -> String {
    use std::io::ErrorKind as K;
    match error.kind() {
        K::NotFound => "there is no such file".into(),
        K::PermissionDenied => "permission is denied".into(),
        K::StorageFull => "the disk is full".into(),
        K::ReadOnlyFilesystem => "the disk is read-only".into(),
        K::IsADirectory => "it is a folder".into(),
        _ => error.to_string(),
    }
}

/// A book that may be judged with. Its problems are shown; errors refuse it.
///
/// # Errors
/// The exit status, everything already said.
pub(super) fn open_book(args: &BookArgs) -> Result<(Loaded, Book), Failure> {
    let disk = Disk::of(&args.book, &args.reading);
    let loaded = load_part(&disk, &args.book, Extent::WithoutCases).map_err(|why| Failure::file(&args.book, &why))?;
    let own = loaded.trees.last().and_then(|tree| loaded.sources.get(tree.source));
    if own.is_some_and(|source| record::is_record(&source.text)) {
        let path = args.book.display();
        return Err(Failure::said(&format!(
            "`{path}` is a job record, not a rulebook; the rulebook comes first, the record after it"
        )));
    }
    let book = resolve_book(&loaded, args.profile.as_deref())?;
    Ok((loaded, book))
}

/// Resolves a loaded book under a profile.
///
/// # Errors
/// The book has errors, already shown.
pub(super) fn resolve_book(loaded: &Loaded, profile: Option<&str>) -> Result<Book, Failure> {
    let (book, problems) = loaded.resolve(profile);
    let errors: Vec<Problem> = problems.into_iter().filter(|p| p.severity == Severity::Error).collect();
    if errors.is_empty() {
        return Ok(book);
    }
    out::problems(&errors, &loaded.sources);
    Err(Failure::said(&format!(
        "`{}` can't be used: {}",
        loaded.file,
        crate::output::words::counted(errors.len(), "error", "errors")
    )))
}

//! A job record on disk: one writer at a time, each line flushed before it is acknowledged. With the command line and
//! the REPL the only place that touches files or the clock.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

use super::record::{self, Header, Record};

/// A file that can only grow, be flushed, and be cut back to a length.
pub trait Store {
    /// Writes at the end.
    ///
    /// # Errors
    /// As the system says.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;
    /// Returns once all that was written is on the medium.
    ///
    /// # Errors
    /// As the system says.
    fn flush_to_disk(&mut self) -> io::Result<()>;
    /// Cuts back to a length.
    ///
    /// # Errors
    /// As the system says.
    fn cut_to(&mut self, length: u64) -> io::Result<()>;
}

/// A real file, locked for one writer.
#[derive(Debug)]
pub struct DiskFile {
    file: File,
}

impl Store for DiskFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.seek(SeekFrom::End(0))?;
        self.file.write_all(bytes)
    }

    fn flush_to_disk(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn cut_to(&mut self, length: u64) -> io::Result<()> {
        self.file.set_len(length)
    }
}

/// Why a journal can't be opened.
#[derive(Debug)]
pub enum OpenProblem {
    /// Another program writes to it.
    Busy,
    /// It is there, but is no job record.
    NotARecord(String),
    /// The system says no.
    Io(io::Error),
}

impl From<io::Error> for OpenProblem {
    fn from(error: io::Error) -> Self {
        OpenProblem::Io(error)
    }
}

/// A record that is being written.
#[derive(Debug)]
pub struct Journal<S: Store> {
    store: S,
    chain: String,
    length: u64,
    /// Whether half a line may stand after what is whole.
    unsure: bool,
    clock: fn() -> String,
}

/// Date, time and UTC offset now.
pub fn now() -> String {
    jiff::ZonedDateTime::now().strftime(super::stamp::FORM).to_string()
}

impl Journal<DiskFile> {
    /// Opens the record at a path, or begins one with that header. Returns what it holds.
    ///
    /// # Errors
    /// Why it can't be written.
    pub fn open(path: &Path, header: &Header) -> Result<(Self, String, Record), OpenProblem> {
        let mut file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(OpenProblem::Busy),
            Err(TryLockError::Error(error)) => return Err(OpenProblem::Io(error)),
        }
        if !file.metadata()?.is_file() {
            return Err(OpenProblem::NotARecord("it is no plain file".into()));
        }
        let mut text = String::new();
        file.read_to_string(&mut text)?;
        let store = DiskFile { file };
        let opened = Self::resume(store, &text, header, now)?;
        if text.is_empty() {
            flush_folder(path)?;
        }
        Ok((opened.0, text, opened.1))
    }
}

/// A new file is only safe once its folder is.
fn flush_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

impl<S: Store> Journal<S> {
    /// Goes on with a record whose text is `text`, or begins one if that is empty. A torn last line is cut off and
    /// kept as a comment.
    ///
    /// # Errors
    /// Why it can't be written.
    pub fn resume(store: S, text: &str, header: &Header, clock: fn() -> String) -> Result<(Self, Record), OpenProblem> {
        if text.is_empty() || (!text.contains('\n') && record::FIRST_LINE.starts_with(text)) {
            return Self::begin(store, header, clock);
        }
        let record = record::read(text).map_err(OpenProblem::NotARecord)?;
        if record.is_unfinished_header(text) {
            return Self::begin(store, &header.or(record.header), clock);
        }
        let length = record.whole as u64;
        let mut journal = Self { store, chain: record.chain.clone(), length, unsure: false, clock };
        if let Some(torn) = &record.torn {
            journal.store.cut_to(journal.length)?;
            let kept = format!("# set aside, a line that was not finished: {}\n", torn.escape_default());
            journal.write(&kept)?;
        } else if !text.is_empty() && !text.ends_with('\n') {
            journal.write("\n")?;
        }
        Ok((journal, record))
    }

    fn begin(mut store: S, header: &Header, clock: fn() -> String) -> Result<(Self, Record), OpenProblem> {
        store.cut_to(0)?;
        let words = header.render();
        store.append(words.as_bytes())?;
        store.flush_to_disk()?;
        let record = record::read(&words).map_err(OpenProblem::NotARecord)?;
        let length = words.len() as u64;
        Ok((Self { store, chain: record.chain.clone(), length, unsure: false, clock }, record))
    }

    /// Adds a sentence. It is on disk when this returns.
    ///
    /// # Errors
    /// As the system says; the record then ends as before.
    pub fn add(&mut self, sentence: &str) -> io::Result<()> {
        let (line, chain) = record::line(&self.chain, &(self.clock)(), sentence);
        self.write(&line)?;
        self.chain = chain;
        Ok(())
    }

    fn write(&mut self, words: &str) -> io::Result<()> {
        if self.unsure {
            self.cut_back()?;
        }
        let written = self.store.append(words.as_bytes()).and_then(|()| self.store.flush_to_disk());
        if let Err(error) = written {
            // Half a line must not stand before the next one, nor a whole one that was refused come back.
            self.unsure = true;
            let _ = self.cut_back();
            return Err(error);
        }
        self.length += words.len() as u64;
        Ok(())
    }

    fn cut_back(&mut self) -> io::Result<()> {
        self.store.cut_to(self.length)?;
        self.store.flush_to_disk()?;
        self.unsure = false;
        Ok(())
    }
}

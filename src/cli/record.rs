//! The record of what is in the unit: where it lies, how it is read, and how lines are added to it.

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::{Trouble, date, output};
use crate::Compiled;
use crate::print::record::{self, HEAD, Source, is_date};
use crate::source::regular;
use crate::syntax::fingerprint::fingerprint;

/// How the name of a record ends.
const ENDING: &str = "programmed";

/// Which record, and what its lines say beside the cells.
#[derive(clap::Args)]
pub(super) struct Keeping {
    /// The record; when left out `unit.programmed` in the book's folder, or beside a book that is a file
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    /// Who did it, for the record
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// When, for the record; else the day of SOURCE_DATE_EPOCH, if it is set
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
}

impl Keeping {
    /// True when something is said that only a record takes.
    pub(super) fn given(&self) -> bool {
        self.record.is_some() || self.by.is_some() || self.date.is_some()
    }

    /// Where it lies.
    pub(super) fn path(&self, book: &Path) -> Result<PathBuf, Trouble> {
        path(self.record.as_deref(), book)
    }

    /// What is said of every line.
    pub(super) fn source(&self, compiled: &Compiled) -> Result<Source, Trouble> {
        let date = date::of(self.date.as_deref())?.unwrap_or_default();
        if !date.is_empty() {
            told(&date)?;
        }
        let version = compiled.book.board.version.as_ref().map_or(String::new(), |v| v.value.clone());
        let fingerprint = fingerprint(&compiled.files, &compiled.trees);
        Ok(Source { date, by: self.by.clone().unwrap_or_default(), version, fingerprint })
    }
}

/// The version word and the fingerprint of a book, as a page that was filled in names them.
pub(super) fn version(said: &str) -> (String, String) {
    let print = |word: &str| word.len() == 12 && word.bytes().all(|b| b.is_ascii_hexdigit());
    let (version, fingerprint) = match said.rsplit_once(' ') {
        Some((version, word)) if print(word) => (version, word),
        None if print(said) => ("", said),
        _ => (said, "-"),
    };
    (version.to_owned(), fingerprint.to_owned())
}

/// Refuses a date that is more than a word.
pub(super) fn told(date: &str) -> Result<(), Trouble> {
    if is_date(date) {
        return Ok(());
    }
    Err(Trouble(format!("`{date}`: a date in the record is one word, as in `2026-11-27`")))
}

/// Where a book's record lies, unless somebody says another place.
pub(super) fn path(given: Option<&Path>, book: &Path) -> Result<PathBuf, Trouble> {
    match given {
        Some(given) => Ok(given.to_path_buf()),
        None if book == Path::new("-") => {
            Err(Trouble("a book from standard input has no record beside it: name one".to_owned()))
        }
        None if book.is_dir() => Ok(book.join("unit").with_extension(ENDING)),
        None => Ok(book.with_extension(ENDING)),
    }
}

/// Reads a record; None where there is none yet. What was cut short is told.
pub(super) fn read(path: &Path) -> Result<Option<record::Record>, Trouble> {
    let shown = path.display();
    let cannot = |why: String| Trouble(format!("cannot read {shown}: {why}"));
    if !path.exists() {
        return Ok(None);
    }
    let mut file = regular::opened(path).map_err(cannot)?;
    // Who writes is waited for.
    file.lock_shared().map_err(|e| cannot(e.to_string()))?;
    let bytes = regular::whole(&mut file).map_err(cannot)?;
    let text = String::from_utf8(bytes).map_err(|_| cannot("it is not UTF-8".to_owned()))?;
    let record = record::read(&text)
        .map_err(|why| Trouble(format!("{shown}: {}: nobody knows what the unit holds", why.replace('\n', ", "))))?;
    for line in &record.short {
        output::complain(&format!(
            "{shown}, line {line} was cut short while it was written: it is passed over, and that slot may have to be read again"
        ));
    }
    Ok(Some(record))
}

/// What a record is called.
pub(super) fn name(given: Option<&Path>, book: &Path) -> Result<String, Trouble> {
    let path = path(given, book)?;
    Ok(path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned())
}

/// A record that must be there.
pub(super) fn there(given: Option<&Path>, book: &Path) -> Result<record::Record, Trouble> {
    let path = path(given, book)?;
    read(&path)?.ok_or_else(|| {
        Trouble(format!("there is no record {}: `tipring readback BOOK --programmed SLOTS` begins one", path.display()))
    })
}

/// Adds lines, whole or not at all as far as the system lets: one writer at a time, on the disk when this returns. What a
/// killed run left half is closed off, never written on.
pub(super) fn add(path: &Path, lines: &str) -> Result<(), Trouble> {
    let cannot = |e: std::io::Error| Trouble(format!("cannot write {}: {e}", path.display()));
    if path.exists() {
        drop(regular::opened(path).map_err(|why| Trouble(format!("cannot write {}: {why}", path.display())))?);
    }
    let mut file = OpenOptions::new().read(true).append(true).create(true).open(path).map_err(cannot)?;
    file.lock().map_err(cannot)?;
    let before = file.metadata().map_err(cannot)?.len();
    let opening = if before == 0 {
        HEAD
    } else if ended(&mut file).map_err(cannot)? {
        ""
    } else {
        "\n"
    };
    let done = file.write_all(format!("{opening}{lines}").as_bytes()).and_then(|()| file.sync_all());
    if let Err(e) = done {
        // A full disk: what went in before it was full is taken back.
        let _ = file.set_len(before).and_then(|()| file.sync_all());
        return Err(cannot(e));
    }
    if before == 0 {
        let folder = super::place::folder(path);
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
    Ok(())
}

/// True when the last line has its end.
fn ended(file: &mut File) -> std::io::Result<bool> {
    let mut last = [0];
    file.seek(SeekFrom::End(-1))?;
    file.read_exact(&mut last)?;
    Ok(last == *b"\n")
}

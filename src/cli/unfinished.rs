//! Several files that change together: what is noted beside them until all are in place, and what the next run says
//! when a run was killed in between.

use std::fs::File;
use std::hash::Hasher;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use siphasher::sip::SipHasher13;

use super::draft::{self, Draft};
use super::{Trouble, output, place};
use crate::Compiled;

/// The note's name: hidden, and no part of a book.
const NOTE: &str = ".tipring-unfinished";

/// More names than this are only counted.
const FEW: usize = 6;

/// A file that is about to change: what it holds, if it is there, and what it will.
pub(super) struct Replacement<'t> {
    pub path: &'t Path,
    pub old: Option<&'t [u8]>,
    pub new: &'t [u8],
}

/// The notes of this run, one in each folder; who holds one holds its lock.
pub(super) struct Unfinished(Vec<(PathBuf, File)>);

impl Unfinished {
    /// Notes which files are about to change.
    pub(super) fn begin(files: &[Replacement<'_>]) -> Result<Unfinished, Trouble> {
        let mut folders: Vec<&Path> = files.iter().map(|turn| place::folder(turn.path)).collect();
        folders.sort_unstable();
        folders.dedup();
        let mut notes = Unfinished(Vec::new());
        for folder in folders {
            let mut text = Vec::new();
            for Replacement { path, old, new } in files {
                let path = path.strip_prefix(folder).unwrap_or(path);
                text.extend(format!("{:016x} {:016x} ", mark(old.unwrap_or_default()), mark(new)).into_bytes());
                text.extend(path.as_os_str().as_encoded_bytes());
                text.push(0);
            }
            let note = folder.join(NOTE);
            let taken = || Trouble(format!("somebody else is writing in {} just now; try again", folder.display()));
            let cannot = |e: std::io::Error| Trouble(format!("cannot write {}: {e}", note.display()));
            if !settled(folder) {
                return Err(taken());
            }
            let draft = Draft::new(folder, &text, None).map_err(cannot)?;
            let file = draft.place(&note).map_err(|e| match e.kind() {
                ErrorKind::AlreadyExists => taken(),
                _ => cannot(e),
            })?;
            notes.0.push((note, file));
        }
        Ok(notes)
    }

    /// All files are in place, or all as they were.
    pub(super) fn end(self) {
        drop(self);
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        for (note, _) in &self.0 {
            let _ = std::fs::remove_file(note);
        }
    }
}

/// Takes away the note of a run that is no more, and what it left; false when one is at work.
pub(super) fn settled(folder: &Path) -> bool {
    sweep(folder);
    let note = folder.join(NOTE);
    let Ok(file) = File::open(&note) else { return true };
    if file.try_lock().is_err() {
        return false;
    }
    let _ = std::fs::remove_file(note);
    true
}

/// Says of the files' folders where a run was killed while it wrote. The note goes when its files are all new or all
/// old; until then every run says so.
pub(super) fn tell<'p>(files: impl Iterator<Item = &'p Path>) {
    let mut folders: Vec<&Path> = files.map(place::folder).collect();
    folders.sort_unstable();
    folders.dedup();
    for folder in folders {
        let note = folder.join(NOTE);
        let Ok(file) = File::open(&note) else { continue };
        if file.try_lock().is_err() {
            continue;
        }
        let files = read(file);
        sweep(folder);
        let state = |wanted: State| -> Vec<String> {
            let files = files.iter().filter(|f| state(folder, f) == wanted);
            files.map(|f| format!("`{}`", f.path.display())).collect()
        };
        let (new, old) = (state(State::New), state(State::Old));
        let cut = format!("the last run that wrote in {} was cut short", folder.display());
        if new.is_empty() || old.is_empty() {
            let how = if new.is_empty() { "before it changed a file" } else { "after its last file" };
            output::complain(&format!("{cut} {how}: nothing is lost"));
            let _ = std::fs::remove_file(note);
        } else {
            let (new, old) = (listed(&new), listed(&old));
            output::complain(&format!(
                "{cut}: {new} changed, {old} did not; run the same command again, or take back what changed"
            ));
        }
    }
}

/// The same, of a book's files.
pub(super) fn of(compiled: &Compiled) {
    tell(compiled.files.iter().filter(|(_, f)| !f.shipped).map(|(_, f)| f.disk.as_path()));
}

fn listed(names: &[String]) -> String {
    if names.len() > FEW { format!("{} files", names.len()) } else { names.join(", ") }
}

/// A file of the note.
struct Noted {
    path: PathBuf,
    old: String,
    new: String,
}

#[derive(PartialEq, Eq, Clone, Copy)]
enum State {
    Old,
    New,
    Neither,
}

#[allow(clippy::disallowed_methods, reason = "whether a file is the old or the new one is found out here")]
fn state(folder: &Path, file: &Noted) -> State {
    let has = format!("{:016x}", mark(&std::fs::read(folder.join(&file.path)).unwrap_or_default()));
    match has {
        has if has == file.new => State::New,
        has if has == file.old => State::Old,
        _ => State::Neither,
    }
}

/// What stands in the note.
fn read(mut file: File) -> Vec<Noted> {
    let mut bytes = Vec::new();
    let _ = file.read_to_end(&mut bytes);
    let files = bytes.split(|b| *b == 0).filter_map(|part| {
        let mut words = part.splitn(3, |b| *b == b' ');
        let (old, new, path) = (words.next()?, words.next()?, words.next()?);
        let word = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Some(Noted { path: named(path), old: word(old), new: word(new) })
    });
    files.collect()
}

#[cfg(unix)]
fn named(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt;
    PathBuf::from(std::ffi::OsStr::from_bytes(bytes))
}

#[cfg(not(unix))]
fn named(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}

/// Removes what a killed run left under a passing name: nobody holds its lock.
#[allow(clippy::disallowed_methods, reason = "what a killed run left is looked for here")]
fn sweep(folder: &Path) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        if draft::passes(&entry.file_name()) && File::open(entry.path()).is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

fn mark(bytes: &[u8]) -> u64 {
    let mut hasher = SipHasher13::new();
    hasher.write(bytes);
    hasher.finish()
}

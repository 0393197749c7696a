//! Files replaced whole or not at all, several together.

use std::collections::BTreeSet;
use std::fs::Metadata;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::draft::Draft;
use super::place::{self, Place};
use super::unfinished::{self, Replacement, Unfinished};
use super::{Trouble, output, progress};

/// What is to stand at a path.
pub(super) struct Change {
    /// As the user knows it.
    pub path: PathBuf,
    /// What was read there, when that is what was changed: anything else there now is somebody's work.
    pub was: Option<Vec<u8>>,
    /// What is to stand there.
    pub bytes: Vec<u8>,
}

/// A file whose new bytes are on the disk already.
struct Ready<'c> {
    change: &'c Change,
    target: PathBuf,
    /// What stands there; None where there is no such file.
    old: Option<Vec<u8>>,
    new: Option<Draft>,
    /// The old bytes as a file, to put back.
    back: Option<Draft>,
}

/// Writes all, or leaves all as it was: every new file is on the disk before the first is put in its place.
pub(super) fn replace(changes: &[Change]) -> Result<(), Trouble> {
    progress::stop();
    let mut ready: Vec<Ready<'_>> = Vec::new();
    let mut streams = Vec::new();
    for change in changes {
        match place::find(&change.path)? {
            Place::File(target, known) => match ready.iter().find(|r| r.target == target) {
                Some(twin) if twin.change.bytes == change.bytes => {}
                Some(twin) => {
                    let (one, other) = (twin.change.path.display(), change.path.display());
                    return Err(Trouble(format!("{one} and {other} are one file: nothing was written")));
                }
                None => ready.push(prepare(change, target, known.as_ref(), changes.len() > 1)?),
            },
            stream => streams.push((change, stream)),
        }
    }
    let together = if ready.len() > 1 { Some(begin(&ready)?) } else { None };
    let placed = place_all(&mut ready);
    if let Some(together) = together {
        together.end();
    }
    placed?;
    let folders: BTreeSet<&Path> = ready.iter().map(|file| place::folder(&file.target)).collect();
    for folder in folders {
        unfinished::settled(folder);
    }
    for (change, stream) in streams {
        match stream {
            Place::Output => output::print(&change.bytes)?,
            _ => pour(change)?,
        }
    }
    Ok(())
}

fn cannot(change: &Change, e: &std::io::Error) -> Trouble {
    Trouble(format!("cannot write {}: {e}", change.path.display()))
}

fn prepare<'c>(
    change: &'c Change,
    target: PathBuf,
    known: Option<&Metadata>,
    together: bool,
) -> Result<Ready<'c>, Trouble> {
    let old = if together || change.was.is_some() { bytes(&target) } else { None };
    let folder = place::folder(&target);
    let draft = |bytes: &[u8]| Draft::new(folder, bytes, known).map_err(|e| cannot(change, &e));
    let new = Some(draft(&change.bytes)?);
    let back = old.as_ref().filter(|_| together).map(|old| draft(old)).transpose()?;
    let ready = Ready { change, old: change.was.clone().or(old), target, new, back };
    ready.untouched()?;
    Ok(ready)
}

#[allow(clippy::disallowed_methods, reason = "a file that is replaced is looked at once more")]
fn bytes(target: &Path) -> Option<Vec<u8>> {
    std::fs::read(target).ok()
}

impl Ready<'_> {
    /// Refuses when the file is no longer what was read.
    fn untouched(&self) -> Result<(), Trouble> {
        if self.change.was.is_none() || bytes(&self.target) == self.old {
            return Ok(());
        }
        let path = self.change.path.display();
        Err(Trouble(format!("{path} was changed by somebody else meanwhile: nothing was written; run it again")))
    }

    fn put(&mut self) -> Result<(), Trouble> {
        self.untouched()?;
        let Some(draft) = self.new.take() else { return Ok(()) };
        draft.replace(&self.target).map_err(|e| cannot(self.change, &e))
    }

    fn put_back(&mut self) -> std::io::Result<()> {
        match self.back.take() {
            Some(draft) => draft.replace(&self.target),
            None => std::fs::remove_file(&self.target),
        }
    }
}

/// One after the other; what fails takes those before it back.
fn place_all(ready: &mut [Ready<'_>]) -> Result<(), Trouble> {
    for file in ready.iter() {
        file.untouched()?;
    }
    for at in 0..ready.len() {
        let (before, rest) = ready.split_at_mut(at);
        let Some(Err(Trouble(why))) = rest.first_mut().map(Ready::put) else { continue };
        let lost: Vec<String> = before
            .iter_mut()
            .filter_map(|file| file.put_back().err().map(|e| format!("{}: {e}", file.change.path.display())))
            .collect();
        return Err(Trouble(match lost.as_slice() {
            [] => why,
            lost => format!("{why}; these could not be put back: {}", lost.join(", ")),
        }));
    }
    // The names are on the disk too when this returns, where the system can promise it.
    for file in ready.iter() {
        let _ = std::fs::File::open(place::folder(&file.target)).and_then(|folder| folder.sync_all());
    }
    Ok(())
}

fn begin(ready: &[Ready<'_>]) -> Result<Unfinished, Trouble> {
    let files = ready.iter().map(|r| Replacement { path: &r.target, old: r.old.as_deref(), new: &r.change.bytes });
    Unfinished::begin(&files.collect::<Vec<_>>())
}

/// Into what is no file: as it comes. A reader that has had enough is no trouble.
fn pour(change: &Change) -> Result<(), Trouble> {
    let open = std::fs::OpenOptions::new().write(true).open(&change.path);
    match open.and_then(|mut to| to.write_all(&change.bytes).and_then(|()| to.flush())) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => Err(cannot(change, &e)),
        _ => Ok(()),
    }
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "what was written is looked at")]
mod tests {
    use super::*;

    /// The second of three cannot be put in its place: the first is as it was, the third too, and nothing else is left.
    #[test]
    fn a_failure_in_the_middle_puts_back() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let text = |name: &str| std::fs::read_to_string(at(name)).ok();
        std::fs::write(at("a"), "old a").unwrap();
        std::fs::write(at("c"), "old c").unwrap();
        let change = |name: &str| Change { path: at(name), was: None, bytes: format!("new {name}").into_bytes() };
        let changes = [change("a"), change("new"), change("b"), change("c")];
        let mut ready: Vec<Ready<'_>> = Vec::new();
        for change in &changes {
            let Ok(Place::File(target, known)) = place::find(&change.path) else { panic!("no file") };
            ready.push(prepare(change, target, known.as_ref(), true).ok().unwrap());
        }
        std::fs::create_dir(at("b")).unwrap();
        assert!(place_all(&mut ready).is_err());
        assert_eq!((text("a").as_deref(), text("c").as_deref(), text("new")), (Some("old a"), Some("old c"), None));
        let mut left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
        left.sort();
        assert_eq!(left, ["a", "b", "c"]);
    }

    #[test]
    fn all_are_written_together_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let change = |n: usize| Change { path: folder.path().join(n.to_string()), was: None, bytes: vec![b'x'; n] };
        let changes: Vec<Change> = (0..20).map(change).collect();
        assert!(replace(&changes).is_ok() && replace(&changes).is_ok());
        assert!((0..20).all(|n| std::fs::read(folder.path().join(n.to_string())).unwrap().len() == n));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 20);
    }
}

//! A file that is written before anybody sees it.

use std::ffi::OsStr;
use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use tempfile::NamedTempFile;

/// How the names begin that a file bears on its way to its own; the number of the run follows.
const PASSING: &str = ".tipring-";

/// True for a name that a file bears on its way to its own. While its run is at work, the file is locked.
pub(super) fn passes(name: &OsStr) -> bool {
    let number = name.to_str().and_then(|name| name.strip_prefix(PASSING)?.split_once('-'));
    number.is_some_and(|(run, _)| !run.is_empty() && run.bytes().all(|b| b.is_ascii_digit()))
}

/// Bytes on the disk, without a name where the system allows that: a run that is killed then leaves nothing behind.
pub(super) enum Draft {
    Nameless(File, PathBuf),
    Named(NamedTempFile),
}

impl Draft {
    /// Writes and syncs, in the folder where the file will stand. One that replaces another is like it: owner and mode.
    pub(super) fn new(folder: &Path, bytes: &[u8], like: Option<&Metadata>) -> io::Result<Draft> {
        let mut draft = match nameless(folder) {
            Some(file) => Draft::Nameless(file, folder.to_path_buf()),
            None => Draft::Named(named(folder)?),
        };
        let file = draft.file();
        let _ = file.try_lock();
        file.write_all(bytes)?;
        if let Some(like) = like {
            resemble(file, like)?;
        }
        file.sync_all()?;
        Ok(draft)
    }

    fn file(&mut self) -> &mut File {
        match self {
            Draft::Nameless(file, _) => file,
            Draft::Named(named) => named.as_file_mut(),
        }
    }

    /// Gives it its name, which must be free.
    pub(super) fn place(self, at: &Path) -> io::Result<File> {
        match self {
            Draft::Nameless(file, _) => link(&file, at).map(|()| file),
            Draft::Named(named) => named.persist_noclobber(at).map_err(|e| e.error),
        }
    }

    /// Gives it its name, whatever bears it now.
    pub(super) fn replace(self, at: &Path) -> io::Result<()> {
        match self {
            Draft::Nameless(file, folder) => match link(&file, at) {
                // A link cannot replace: for a moment the file has a name of its own.
                Err(e) if e.kind() == ErrorKind::AlreadyExists => {
                    let passing = folder.join(passing());
                    link(&file, &passing)?;
                    std::fs::rename(&passing, at).inspect_err(|_| drop(std::fs::remove_file(&passing)))
                }
                done => done,
            },
            Draft::Named(named) => named.persist(at).map(drop).map_err(|e| e.error),
        }
    }
}

fn passing() -> String {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    format!("{}{}", prefix(), NEXT.fetch_add(1, Ordering::Relaxed))
}

fn prefix() -> String {
    format!("{PASSING}{}-", std::process::id())
}

/// Readable and writable as the user's mask has it.
#[cfg(unix)]
fn named(folder: &Path) -> io::Result<NamedTempFile> {
    use std::os::unix::fs::PermissionsExt;
    let open = std::fs::Permissions::from_mode(0o666);
    tempfile::Builder::new().prefix(&prefix()).permissions(open).tempfile_in(folder)
}

#[cfg(not(unix))]
fn named(folder: &Path) -> io::Result<NamedTempFile> {
    tempfile::Builder::new().prefix(&prefix()).tempfile_in(folder)
}

/// Owner first: a change of owner takes bits of the mode away. Who may not give a file away keeps the group at least.
#[cfg(unix)]
fn resemble(file: &File, like: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let own = file.metadata()?;
    if (own.uid(), own.gid()) != (like.uid(), like.gid()) && fchown(file, Some(like.uid()), Some(like.gid())).is_err() {
        let _ = fchown(file, None, Some(like.gid()));
    }
    file.set_permissions(like.permissions())
}

#[cfg(not(unix))]
fn resemble(_: &File, _: &Metadata) -> io::Result<()> {
    Ok(())
}

/// How the system shows the open files of a program, by number: the way from a file without a name to one.
#[cfg(target_os = "linux")]
const OPEN_FILES: &str = "/proc/self/fd";

#[cfg(target_os = "linux")]
fn nameless(folder: &Path) -> Option<File> {
    use rustix::fs::{Mode, OFlags, open};
    let flags = OFlags::TMPFILE | OFlags::RDWR | OFlags::CLOEXEC;
    let file = open(folder, flags, Mode::from_raw_mode(0o666)).ok().filter(|_| Path::new(OPEN_FILES).is_dir())?;
    Some(File::from(file))
}

#[cfg(target_os = "linux")]
fn link(file: &File, at: &Path) -> io::Result<()> {
    use rustix::fs::{AtFlags, CWD, linkat};
    use std::os::fd::AsRawFd;
    let open = format!("{OPEN_FILES}/{}", file.as_raw_fd());
    Ok(linkat(CWD, open.as_str(), CWD, at, AtFlags::SYMLINK_FOLLOW)?)
}

#[cfg(not(target_os = "linux"))]
fn nameless(_: &Path) -> Option<File> {
    None
}

#[cfg(not(target_os = "linux"))]
fn link(_: &File, _: &Path) -> io::Result<()> {
    Err(ErrorKind::Unsupported.into())
}

//! Where a path leads when something is to be written there.

use std::fs::{Metadata, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::Trouble;

/// More links in a row than this are a circle.
const MOST_LINKS: usize = 40;

pub(super) enum Place {
    /// A file, behind all links, and what is known of it if it is there already.
    File(PathBuf, Option<Metadata>),
    /// A device, a pipe: written to, never replaced.
    Stream,
    /// The very thing that standard output is.
    Output,
}

/// Finds out, and refuses what must not be written.
#[allow(clippy::disallowed_methods, reason = "where a file is written is found out here")]
pub(super) fn find(path: &Path) -> Result<Place, Trouble> {
    let trouble = |why: String| Trouble(format!("cannot write {}: {why}", path.display()));
    let mut at = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        match std::fs::metadata(&at) {
            Ok(known) if known.is_dir() => return Err(trouble("it is a folder".to_owned())),
            Ok(known) if printed(&known) => return Ok(Place::Output),
            Ok(known) if !known.is_file() => return Ok(Place::Stream),
            Ok(known) => {
                // Root could write it all the same: who took the right away meant it.
                let may = if known.permissions().readonly() { Err(ErrorKind::PermissionDenied.into()) } else { Ok(()) };
                let may = may.and_then(|()| OpenOptions::new().write(true).open(&at).map(drop));
                may.map_err(|e: std::io::Error| match e.kind() {
                    ErrorKind::PermissionDenied => trouble("it is read-only".to_owned()),
                    _ => trouble(e.to_string()),
                })?;
                let target = std::fs::canonicalize(&at).map_err(|e| trouble(e.to_string()))?;
                return Ok(Place::File(target, Some(known)));
            }
            Err(e) if e.kind() != ErrorKind::NotFound => return Err(trouble(e.to_string())),
            Err(_) => match std::fs::read_link(&at) {
                // A link that leads nowhere yet.
                Ok(to) => at = folder(&at).join(to),
                Err(_) => return new(&at, &trouble),
            },
        }
    }
    Err(trouble("its links go in a circle".to_owned()))
}

fn new(at: &Path, trouble: &dyn Fn(String) -> Trouble) -> Result<Place, Trouble> {
    let folder = folder(at);
    let name = at.file_name().ok_or_else(|| trouble("it names no file".to_owned()))?;
    if !folder.is_dir() {
        return Err(trouble(format!("make the folder `{}` first", folder.display())));
    }
    let folder = std::fs::canonicalize(folder).map_err(|e| trouble(e.to_string()))?;
    Ok(Place::File(folder.join(name), None))
}

/// The folder of a file.
pub(super) fn folder(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// True for what is no file of its own.
pub(super) fn stream(path: &Path) -> bool {
    matches!(find(path), Ok(Place::Stream | Place::Output))
}

/// True when two paths lead to one file.
pub(super) fn same(one: &Path, other: &Path) -> bool {
    matches!((find(one), find(other)), (Ok(Place::File(a, _)), Ok(Place::File(b, _))) if a == b)
        || matches!((find(one), find(other)), (Ok(Place::Output), Ok(Place::Output)))
}

/// True for what standard output writes to: opened a second time it would be written from its start.
#[cfg(unix)]
fn printed(known: &Metadata) -> bool {
    use std::os::fd::AsFd;
    use std::os::unix::fs::MetadataExt;
    let output = std::io::stdout().as_fd().try_clone_to_owned().map(std::fs::File::from);
    output.and_then(|o| o.metadata()).is_ok_and(|o| (o.dev(), o.ino()) == (known.dev(), known.ino()))
}

#[cfg(not(unix))]
fn printed(_: &Metadata) -> bool {
    false
}

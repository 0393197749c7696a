//! All output: standard output, standard error, and files, which are replaced whole or not at all.

use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};

use super::{Trouble, progress};

/// Where a command writes.
#[derive(clap::Args)]
pub(super) struct Out {
    /// Write to this file instead of standard output (- is standard output)
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

impl Out {
    /// Writes the whole.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), Trouble> {
        match self.output.as_deref().filter(|p| *p != Path::new("-")) {
            Some(path) => {
                named_as_it_is(path, bytes)?;
                replace(path, bytes)
            }
            None if bytes.starts_with(b"%PDF") && std::io::stdout().is_terminal() => {
                Err(Trouble("a PDF is no text to show here; say `-o FILE.pdf`".to_owned()))
            }
            None => print(bytes),
        }
    }
}

/// Nobody can open a `.pdf` that holds plain text: commands that print it unless told otherwise must not call it that.
fn named_as_it_is(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let begins: &[u8] = match path.extension().and_then(|e| e.to_str()) {
        Some("pdf") => b"%PDF",
        Some("html" | "htm") => b"<",
        _ => return Ok(()),
    };
    if bytes.starts_with(begins) {
        return Ok(());
    }
    Err(Trouble(format!(
        "{}: plain text is printed here, and the name promises another kind of file; say `--format`, or name it otherwise",
        path.display()
    )))
}

/// Writes to standard output; a reader that has had enough is no trouble.
pub(super) fn print(bytes: &[u8]) -> Result<(), Trouble> {
    progress::stop();
    let mut out = anstream::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => Err(Trouble(format!("cannot write: {e}"))),
        _ => Ok(()),
    }
}

/// Writes a line to standard error.
pub(super) fn complain(says: &str) {
    progress::stop();
    let _ = writeln!(anstream::stderr(), "{says}");
}

/// Replaces a file by a whole new one, or leaves it as it is.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    progress::stop();
    let trouble = |e: std::io::Error| Trouble(format!("cannot write {}: {e}", path.display()));
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        let there = folder.display();
        return Err(Trouble(format!("cannot write {}: make the folder `{there}` first", path.display())));
    }
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(trouble)?;
    file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(trouble)?;
    permit(&file, path).map_err(trouble)?;
    file.persist(path).map_err(|e| trouble(e.error))?;
    Ok(())
}

/// A new file is readable as others are; one that is replaced keeps its permissions.
#[cfg(unix)]
#[allow(clippy::disallowed_methods, reason = "permissions belong to writing a file")]
fn permit(file: &tempfile::NamedTempFile, path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let kept = std::fs::metadata(path).map(|m| m.permissions());
    file.as_file().set_permissions(kept.unwrap_or_else(|_| std::fs::Permissions::from_mode(0o644)))
}

#[cfg(not(unix))]
fn permit(_: &tempfile::NamedTempFile, _: &Path) -> std::io::Result<()> {
    Ok(())
}

//! All output: standard output, standard error, and files, which are replaced whole or not at all.

use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};

use super::kind::{self, Format, Kind};
use super::safe::safe;
use super::{Trouble, progress};

/// Where a command writes.
#[derive(clap::Args)]
pub(super) struct To {
    /// Write to this file instead of standard output (- is standard output)
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Where and in which format.
#[derive(clap::Args)]
pub(super) struct Out<F: Format> {
    /// How to print; when left out as FILE ends, else the first of these
    #[arg(long, value_enum)]
    format: Option<F>,
    #[command(flatten)]
    to: To,
}

impl To {
    /// The file; None for standard output.
    pub(super) fn file(&self) -> Option<&Path> {
        self.output.as_deref().filter(|p| *p != Path::new("-"))
    }

    /// The file, where its name says what it holds: a device or a pipe is called as the system likes.
    fn named(&self) -> Option<&Path> {
        self.file().filter(|path| path.is_file() || !path.exists())
    }

    /// Refuses a name that promises another kind than the one there is.
    pub(super) fn only(&self, kind: Kind) -> Result<(), Trouble> {
        kind::only(kind, self.named())
    }

    /// Writes the whole.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), Trouble> {
        match self.file() {
            Some(path) => replace(path, bytes),
            None => print(bytes),
        }
    }

    /// True where what is written is seen in colour.
    pub(super) fn colour(&self) -> bool {
        self.file().is_none() && colour(&std::io::stdout())
    }
}

impl<F: Format> Out<F> {
    /// The format that is meant; what a terminal cannot show is refused before any work is done.
    pub(super) fn format(&self) -> Result<F, Trouble> {
        let format = kind::format(self.format, self.to.named())?;
        let Some(format) = format.or_else(|| F::value_variants().first().copied()) else {
            return Err(Trouble("there is nothing to write".to_owned()));
        };
        if format.kind().binary() && self.to.file().is_none() && std::io::stdout().is_terminal() {
            let ending = format.kind().ending();
            return Err(Trouble(format!("this is no text to show here; say `-o FILE.{ending}`")));
        }
        Ok(format)
    }

    /// For what has one format only.
    pub(super) fn only(&self, kind: Kind) -> Result<(), Trouble> {
        match self.format {
            Some(format) if format.kind() != kind => Err(Trouble(format!(
                "`--format {}`: what is asked for here is written as .{} alone",
                format.word(),
                kind.ending()
            ))),
            _ => self.to.only(kind),
        }
    }

    /// Writes the whole.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), Trouble> {
        self.to.write(bytes)
    }

    /// Where it goes.
    pub(super) fn to(&self) -> &To {
        &self.to
    }
}

/// True where colour is seen and wanted.
pub(super) fn colour(stream: &impl anstream::stream::RawStream) -> bool {
    anstream::AutoStream::choice(stream) != anstream::ColorChoice::Never
}

/// Writes to standard output: byte for byte, but safe for the eye on a terminal.
pub(super) fn print(bytes: &[u8]) -> Result<(), Trouble> {
    progress::stop();
    wrote(match std::io::stdout().is_terminal() {
        true => show(&mut std::io::stdout().lock(), safe(&String::from_utf8_lossy(bytes)).as_bytes()),
        false => show(&mut std::io::stdout().lock(), bytes),
    })
}

/// Writes a text to a terminal whose only escapes are the colours that the tool put in.
pub(super) fn show_coloured(text: &str) -> Result<(), Trouble> {
    progress::stop();
    wrote(show(&mut anstream::stdout().lock(), text.as_bytes()))
}

/// A reader that has had enough is no trouble.
fn wrote(done: std::io::Result<()>) -> Result<(), Trouble> {
    match done {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => Err(Trouble(format!("cannot write: {e}"))),
        _ => Ok(()),
    }
}

/// Writes a line to standard error, safe for the eye.
pub(super) fn complain(says: &str) {
    progress::stop();
    let _ = show(&mut std::io::stderr().lock(), format!("{}\n", safe(says)).as_bytes());
}

/// The same, for what has no escapes but the tool's own colours.
pub(super) fn complain_coloured(says: &str) {
    progress::stop();
    let _ = show(&mut anstream::stderr().lock(), format!("{says}\n").as_bytes());
}

fn show(to: &mut impl Write, bytes: &[u8]) -> std::io::Result<()> {
    to.write_all(bytes)?;
    to.flush()
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

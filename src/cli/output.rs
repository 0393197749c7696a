//! All output: standard output, standard error, and where a command writes.

use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};

use super::kind::{self, Format, Kind};
use super::replace::{Change, replace};
use super::safe::safe;
use super::{Trouble, place, progress};

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
        self.file().filter(|path| !place::stream(path))
    }

    /// A second thing to write, which must not go where the first goes.
    pub(super) fn aside(path: &Path, first: &To, kind: Kind) -> Result<To, Trouble> {
        let to = To { output: Some(path.to_path_buf()) };
        to.only(kind)?;
        let together = match (to.file(), first.file()) {
            (None, None) => Some("standard output".to_owned()),
            (Some(path), Some(first)) if place::same(path, first) => Some(path.display().to_string()),
            _ => None,
        };
        let Some(together) = together else { return Ok(to) };
        Err(Trouble(format!("two things cannot both be written to {together}: name another file for one of them")))
    }

    /// Refuses to write over what is read.
    pub(super) fn spares(&self, read: Option<&Path>) -> Result<(), Trouble> {
        match (self.file(), read) {
            (Some(file), Some(read)) if place::same(file, read) => {
                Err(Trouble(format!("{} is read: it is not written over", read.display())))
            }
            _ => Ok(()),
        }
    }

    /// Refuses a name that promises another kind than the one there is.
    pub(super) fn only(&self, kind: Kind) -> Result<(), Trouble> {
        kind::only(kind, self.named())
    }

    /// Writes the whole.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), Trouble> {
        write_all(&[(self, bytes)])
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

/// Writes several things: files together, before anything is printed.
pub(super) fn write_all(all: &[(&To, &[u8])]) -> Result<(), Trouble> {
    let change = |(to, bytes): &(&To, &[u8])| {
        to.file().map(|path| Change { path: path.to_path_buf(), was: None, bytes: bytes.to_vec() })
    };
    replace(&all.iter().filter_map(change).collect::<Vec<_>>())?;
    all.iter().filter(|(to, _)| to.file().is_none()).try_for_each(|(_, bytes)| print(bytes))
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

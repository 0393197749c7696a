//! The BOOK argument that most commands take.

use std::path::{Path, PathBuf};

use super::{Trouble, output, progress, report, unfinished};
use crate::Compiled;
use crate::driver::{self, Options};
use crate::source::regular;

/// Which book, and how far it may reach.
#[derive(clap::Args)]
pub(super) struct Opening {
    /// A file, a folder of .scene files, or - for standard input
    pub book: PathBuf,
    /// Let `use` name files outside the book's folder
    #[arg(long)]
    outside: bool,
}

/// For commands that print what a book means.
#[derive(clap::Args)]
pub(super) struct Drafting {
    /// Write it although the book has errors: `?` where nothing is known, DRAFT on every page
    #[arg(long)]
    pub draft: bool,
    /// What cells hold that nobody hears
    #[arg(long, value_enum, default_value_t = Fill::Least)]
    pub fill: Fill,
}

/// What free cells hold.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Fill {
    /// What moves the fewest contacts over the sets
    Least,
    /// What an empty preset has, and what the rules ask of it
    Open,
}

impl Opening {
    /// How far it may reach.
    pub(super) fn options(&self) -> Options {
        Options { outside: self.outside, ..Options::default() }
    }

    /// Reads and compiles the book.
    pub(super) fn open(&self) -> Result<Compiled, Trouble> {
        open(&self.book, self.options())
    }

    /// The same, and tells its errors; None when there are some and no draft is wanted.
    pub(super) fn open_clean(&self, drafting: &Drafting) -> Result<Option<Compiled>, Trouble> {
        let compiled = self.open()?;
        let compiled = if drafting.fill == Fill::Least { compiled.fill_least() } else { compiled.fill_kept() };
        let errors = compiled.errors();
        if errors == 0 || drafting.draft {
            return Ok(Some(compiled));
        }
        report::tell_errors(&compiled);
        let s = if errors == 1 { "error" } else { "errors" };
        output::complain(&format!("{errors} {s}: nothing was written; `--draft` writes what is known"));
        Ok(None)
    }
}

/// Reads and compiles a book.
pub(super) fn open(book: &Path, options: Options) -> Result<Compiled, Trouble> {
    progress::start(format!("working on {}", book.display()));
    if book == Path::new("-") {
        return Ok(driver::compile_input(&input()?, options));
    }
    let compiled = driver::compile_path(book, options)?;
    unfinished::of(&compiled);
    Ok(compiled)
}

/// All of standard input.
#[allow(clippy::disallowed_methods, reason = "standard input is read here")]
pub(super) fn input() -> Result<Vec<u8>, Trouble> {
    regular::whole(std::io::stdin()).map_err(|why| Trouble(format!("cannot read standard input: {why}")))
}

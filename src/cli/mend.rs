//! `tipring check --fix`: a book from the disk, mended in memory, and the files that change.

use std::path::Path;

use super::patch::Patch;
use super::{Trouble, unfinished};
use crate::Compiled;
use crate::driver::Options;
use crate::mend;
use crate::source::load::{self, Disk};

/// A book after its mends, none of which is written yet.
pub(super) struct Mended {
    /// The book as it would be.
    pub compiled: Compiled,
    /// The files that change, by path.
    pub patches: Vec<Patch>,
    /// What was mended, a line each: where, and what was done.
    pub mends: Vec<String>,
    /// Others may be mended once every line can be read.
    pub waiting: bool,
}

/// Mends a book in memory.
pub(super) fn mend(book: &Path, options: Options) -> Result<Mended, Trouble> {
    if book == Path::new("-") {
        return Err(Trouble("`--fix` rewrites files: standard input has none".to_owned()));
    }
    let roots = load::files_of(book)?;
    let options = options.of(book, &roots);
    let mend::Mended { compiled, changed, mends, waiting, .. } = mend::mend(&Disk, &roots, options);
    unfinished::of(&compiled);
    let patch = |c: mend::Changed| Patch { shown: load::shown(&c.path), path: c.path, old: c.old, new: c.new };
    Ok(Mended { compiled, patches: changed.into_iter().map(patch).collect(), mends, waiting })
}

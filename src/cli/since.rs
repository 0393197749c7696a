//! What the unit holds still: an older book.

use std::collections::BTreeSet;
use std::path::PathBuf;

use super::{Trouble, open, report};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::todo;
use crate::driver::Options;

/// Which book.
#[derive(clap::Args)]
pub(super) struct Since {
    /// Mark songs whose presets the unit, which holds this book, has otherwise
    #[arg(long, value_name = "OLD")]
    since: Option<PathBuf>,
}

impl Since {
    /// True when it was given.
    pub(super) fn given(&self) -> bool {
        self.since.is_some()
    }

    /// The slots of the new book that such a unit has otherwise.
    pub(super) fn stale(&self, new: &Compiled) -> Result<BTreeSet<Slot>, Trouble> {
        let Some(path) = &self.since else { return Ok(BTreeSet::new()) };
        let old = open::open(path, Options { errors_only: true, ..Options::default() })?;
        if old.errors() > 0 {
            report::tell(&old.files, old.mistakes());
            return Err(Trouble(format!("{} has errors: nobody knows what the unit holds", path.display())));
        }
        Ok(todo::stale(&old.fill_kept(), new))
    }
}

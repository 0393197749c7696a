//! What the unit holds still: an older book, or what the record of it says.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::{Trouble, open, record, report};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::unit::Standing;
use crate::compare::{beside, todo};
use crate::driver::Options;

/// Which book, or which record.
#[derive(clap::Args)]
pub(super) struct Since {
    /// Mark songs whose presets the unit, which holds this book, has otherwise
    #[arg(long, value_name = "OLD")]
    since: Option<PathBuf>,
    /// Mark each slot as programmed, stale or never, by the record of what is in the unit (`readback`; beside the book when no
    /// RECORD is named)
    #[arg(long, value_name = "RECORD", num_args = 0..=1, require_equals = true, conflicts_with = "since")]
    from_memory: Option<Option<PathBuf>>,
}

/// What is known of the unit.
#[derive(Default)]
pub(super) struct Known {
    /// The slots of the book that the unit has otherwise.
    pub stale: BTreeSet<Slot>,
    /// For each slot how it stands by the record, in words: `programmed 2026-11-27`.
    pub standing: BTreeMap<Slot, String>,
    /// What that record is called.
    pub record: Option<String>,
}

impl Since {
    /// The option that was given.
    pub(super) fn option(&self) -> Option<&'static str> {
        self.since.as_ref().map(|_| "--since").or(self.from_memory.as_ref().map(|_| "--from-memory"))
    }

    /// What is known of the unit for this book.
    pub(super) fn known(&self, new: &Compiled, book: &Path) -> Result<Known, Trouble> {
        match (&self.since, &self.from_memory) {
            (Some(path), _) => Ok(Known { stale: stale(path, new)?, ..Known::default() }),
            (None, Some(given)) => by_record(given.as_deref(), new, book),
            (None, None) => Ok(Known::default()),
        }
    }
}

fn stale(path: &Path, new: &Compiled) -> Result<BTreeSet<Slot>, Trouble> {
    let old = open::open(path, Options { errors_only: true, ..Options::default() })?;
    if old.errors() > 0 {
        report::tell_errors(&old);
        return Err(Trouble(format!("{} has errors: nobody knows what the unit holds", path.display())));
    }
    let old = old.fill_kept();
    Ok(todo::stale(&old, new, &beside::Known::of_book(&old)))
}

fn by_record(given: Option<&Path>, new: &Compiled, book: &Path) -> Result<Known, Trouble> {
    let record = record::there(given, book)?;
    let range = new.book.board.switcher.as_ref().and_then(|s| s.slots);
    let mut known = Known { record: Some(record::name(given, book)?), ..Known::default() };
    let lasts = record.lasts();
    for (slot, standing) in record.unit(new).standing(new) {
        if standing != Standing::Programmed {
            known.stale.insert(slot);
        }
        let last = range.and_then(|range| lasts.get(range.show(slot).as_str()));
        let date = last.map_or("", |fact| fact.source.date.as_str());
        known.standing.insert(slot, format!("{} {date}", standing.word()).trim_end().to_owned());
    }
    Ok(known)
}

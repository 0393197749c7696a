//! `tipring linecheck`: the fewest presets that show that everything works.

use std::path::{Path, PathBuf};

use fixedbitset::FixedBitSet;

use super::kind::Kind;
use super::played::{self, Played};
use super::printing::{Printing, Records, Told};
use super::{Outcome, Trouble, open};
use crate::Compiled;
use crate::compare::todo::Beneath;
use crate::compare::{self, compare};
use crate::mend::apart::{self, Tries};
use crate::print::linecheck::{self as print, Beside};
use crate::settle::CellKind;
use crate::study::linecheck::{self, LineCheck, Scope};

/// Step through the fewest presets that use each loop, contact, level, message and output both ways
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring linecheck examples/winter
  tipring linecheck examples/winter --set \"hall night\" -o linecheck.pdf
  tipring linecheck examples/winter --isolate
  tipring linecheck examples/spring --since examples/winter")]
pub(super) struct Args {
    #[command(flatten)]
    played: Played,
    /// Only what must be reprogrammed or rewired since this book
    #[arg(long, value_name = "OLD")]
    since: Option<PathBuf>,
    /// Presets enough that each single failure is missed in steps of its own, and which failure that is
    #[arg(long)]
    isolate: bool,
    #[command(flatten)]
    printing: Printing<Records>,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.printing.run_played(&args.played, |compiled, kind| {
        let scope = Scope {
            scenes: args.played.title().map(|set| played::scenes(compiled, set)),
            cells: args.since.as_ref().map(|old| args.changed(compiled, old)).transpose()?,
            isolate: args.isolate,
        };
        let check = linecheck::study(&compiled.book, &compiled.table, &compiled.presets, &scope);
        let beside = Beside { scenes: scenes(compiled, &check), of: args.of() };
        Ok(match kind {
            Kind::Csv => Told::Data(print::csv(compiled, &check, &beside)),
            _ => print::doc(compiled, &check, &beside).into(),
        })
    })
}

impl Args {
    /// What is checked, in words.
    fn of(&self) -> String {
        let set = self.played.title().map(|set| format!("\"{set}\""));
        let since = self.since.as_ref().map(|old| format!("what changed since {}", old.display()));
        let both = [set, since].into_iter().flatten().collect::<Vec<_>>().join(", ");
        if both.is_empty() { "the whole memory".to_owned() } else { both }
    }

    /// The cells that must be reprogrammed since another book, and the loops that hold another pedal.
    fn changed(&self, compiled: &Compiled, old: &Path) -> Result<FixedBitSet, Trouble> {
        let old = open::open(old, self.printing.opening.options())?;
        if old.errors() > 0 {
            return Err(Trouble("the book it is held against has errors; `tipring check` tells them".to_owned()));
        }
        let compared = compare(&old, compiled, compare::Options::default());
        let mut cells = FixedBitSet::with_capacity(compiled.table.cells.len());
        compared.list.work.iter().flat_map(|work| &work.edits).for_each(|edit| cells.insert(edit.cell.index()));
        for moved in compared.switched.iter().filter_map(|one| match &one.what {
            Beneath::Switch(_, does) => does.as_ref(),
            Beneath::NoSecond | Beneath::Unknown => None,
        }) {
            moved.moves.iter().for_each(|(_, _, cell)| cells.insert(cell.index()));
        }
        for (at, cell) in compiled.table.cells.list.pairs() {
            if matches!(cell.kind, CellKind::Loop(n) if compared.rewired.iter().any(|r| r.number == n)) {
                cells.insert(at.index());
            }
        }
        Ok(cells)
    }
}

/// For each pattern that is shared: the scene to add.
fn scenes(compiled: &Compiled, check: &LineCheck) -> Vec<(usize, Option<String>)> {
    let mut tries = Tries::default();
    let shared = check.patterns.iter().enumerate().filter_map(|(at, pattern)| {
        let [one, other] = [pattern.uses.first()?, pattern.uses.get(1)?].map(|u| check.uses.get(*u).copied());
        Some((at, apart::scene(compiled, one?, other?, &mut tries)))
    });
    shared.collect()
}

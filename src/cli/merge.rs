//! `tipring merge`: two people's edits of one file, by scene and cell.

use std::path::{Path, PathBuf};

use super::kind::Kind;
use super::output::{self, To};
use super::{CLEAN, Outcome, Trouble, wrong};
use crate::compare::merge::{Conflict, Side, merge};
use crate::source::load::{Disk, Shelf, file, shown};
use crate::syntax::{self, tree::Tree};

/// Merge two people's edits of one file by scene and cell, not by line
#[derive(clap::Args)]
#[command(
    after_help = "Exit codes: 0 merged, 1 with conflicts (mine is kept, a comment tells of each), 2 the tool could not run.
As a merge driver of git:
  echo '*.scene merge=scene' >> .gitattributes
  git config merge.scene.driver 'tipring merge %O %A %B -o %A'"
)]
pub(super) struct Args {
    /// The file that both started from
    base: PathBuf,
    /// The file that is edited on, and kept as it is written
    mine: PathBuf,
    /// The file whose changes come in
    theirs: PathBuf,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Scene)?;
    let (base, mine, theirs) = (read(&args.base)?, read(&args.mine)?, read(&args.theirs)?);
    let merged = merge(side(&base), side(&mine), side(&theirs));
    let (_, faults) = syntax::parse(0, &merged.text);
    if !faults.is_empty() {
        return Err(Trouble("the two do not go together as one file: nothing was written".to_owned()));
    }
    args.out.write(merged.text.as_bytes())?;
    for conflict in &merged.conflicts {
        output::complain(&tell(conflict));
    }
    Ok(if merged.conflicts.is_empty() { CLEAN } else { wrong() })
}

fn side((text, tree): &(String, Tree)) -> Side<'_> {
    Side { text, tree }
}

fn read(path: &Path) -> Result<(String, Tree), Trouble> {
    let bytes = Disk.read(path).map_err(|why| Trouble(format!("cannot read {}: {why}", shown(path))))?;
    let read = file(path, bytes);
    let (tree, faults) = syntax::parse(0, &read.text);
    if read.not_utf8.is_some() || !faults.is_empty() {
        let says = format!("{} cannot be read as scenes; `tipring check` tells where", shown(path));
        return Err(Trouble(says));
    }
    Ok((read.text, tree))
}

fn tell(conflict: &Conflict) -> String {
    let says = |text: &Option<String>| text.as_ref().map_or("nothing".to_owned(), |t| format!("`{t}`"));
    let (base, mine, theirs) = (says(&conflict.base), says(&conflict.mine), says(&conflict.theirs));
    format!("conflict in {}: mine says {mine}, theirs says {theirs}, before it was {base}", conflict.about)
}

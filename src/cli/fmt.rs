//! `tipring fmt`: one canonical look.

use std::path::{Path, PathBuf};

use super::open;
use super::patch::Patch;
use super::{CLEAN, Outcome, Trouble, output, wrong};
use crate::source::load::{self, Disk, Shelf};
use crate::syntax::edit;
use crate::syntax::format::{Refusal, format};

/// Give files their canonical look; what they say stays the same, and that is proved before anything is written
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring fmt examples/winter
  tipring fmt songs.scene --diff
  tipring fmt --check examples/winter examples/spring
  tipring fmt - < songs.scene")]
pub(super) struct Args {
    /// Files, folders of .scene files, or - for standard input to standard output
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Write nothing; fail when a file would change, and name it
    #[arg(long)]
    check: bool,
    /// Write nothing; show what would change
    #[arg(long)]
    diff: bool,
}

pub(super) fn run(args: &Args) -> Outcome {
    let mut clean = true;
    for path in &args.paths {
        if path == Path::new("-") {
            clean &= one(args, "-".to_owned(), open::input()?)?;
            continue;
        }
        for file in load::files_of(path)? {
            let shown = load::shown(&file);
            let found = file != *path;
            let read = match found && load::leads_out(&Disk, path, &file) {
                true => Err("it leads out of the folder; name it, to give it its look".to_owned()),
                false => Disk.read(&file),
            };
            clean &= match read {
                Ok(bytes) => one(args, shown, bytes)?,
                Err(why) if found => {
                    output::complain(&format!("{shown}: left as it is: {why}"));
                    false
                }
                Err(why) => return Err(Trouble(format!("cannot read {shown}: {why}"))),
            };
        }
    }
    Ok(if clean { CLEAN } else { wrong() })
}

/// Formats one text; false when it was refused, or changed where only a look was asked for.
fn one(args: &Args, path: String, bytes: Vec<u8>) -> Result<bool, Trouble> {
    let Ok(old) = String::from_utf8(bytes) else {
        output::complain(&format!("{path}: left as it is: not UTF-8"));
        return Ok(false);
    };
    let (new, whole) = match format(0, &old) {
        Ok(edits) => (edit::apply(&old, &edits), true),
        Err(refusal) => {
            output::complain(&format!("{path}: left as it is: {}", why(&path, &refusal)));
            (old.clone(), false)
        }
    };
    let patch = Patch { path, old, new };
    if args.diff {
        output::print(patch.diff().as_bytes())?;
    } else if args.check {
        if !patch.idle() {
            output::print(format!("{}\n", patch.path).as_bytes())?;
        }
    } else if patch.path == "-" {
        output::print(patch.new.as_bytes())?;
        return Ok(whole);
    } else if !patch.idle() {
        patch.write()?;
        return Ok(whole);
    }
    Ok(whole && patch.idle())
}

fn why(path: &str, refusal: &Refusal) -> String {
    match refusal {
        Refusal::Unread(faults) => {
            let s = if faults.len() == 1 { "" } else { "s" };
            format!("{} mistake{s} in it; `tipring check {path}` tells more", faults.len())
        }
        Refusal::Unproved => "its new look would not read the same, which is a mistake of this tool".to_owned(),
    }
}

//! `tipring fmt`: one canonical look.

use std::path::{Path, PathBuf};

use super::open;
use super::patch::{self, Patch};
use super::{CLEAN, Outcome, Trouble, output, unfinished, wrong};
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
    /// Give all lines these ends, the last too; each keeps its own when left out
    #[arg(long, value_enum, value_name = "ENDS")]
    line_ends: Option<Ends>,
}

/// How a line ends.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Ends {
    Lf,
    Crlf,
}

impl Ends {
    fn of_all(self, text: &str) -> String {
        let mut plain = text.replace("\r\n", "\n");
        if !plain.is_empty() && !plain.ends_with('\n') {
            plain.push('\n');
        }
        if self == Ends::Lf { plain } else { plain.replace('\n', "\r\n") }
    }
}

pub(super) fn run(args: &Args) -> Outcome {
    let mut clean = true;
    let mut patches = Vec::new();
    for path in &args.paths {
        if path == Path::new("-") {
            clean &= one(args, path.clone(), open::input()?, &mut patches)?;
            continue;
        }
        let files = load::files_of(path)?;
        unfinished::tell(files.iter().map(PathBuf::as_path));
        for file in files {
            let shown = load::shown(&file);
            let found = file != *path;
            let read = match found && load::leads_out(&Disk, path, &file) {
                true => Err("it leads out of the folder; name it, to give it its look".to_owned()),
                false => Disk.read(&file),
            };
            clean &= match read {
                Ok(bytes) => one(args, file, bytes, &mut patches)?,
                Err(why) if found => {
                    output::complain(&format!("{shown}: left as it is: {why}"));
                    false
                }
                Err(why) => return Err(Trouble(format!("cannot read {shown}: {why}"))),
            };
        }
    }
    patch::write(patches)?;
    Ok(if clean { CLEAN } else { wrong() })
}

/// Formats one text; false when it was refused, or changed where only a look was asked for.
fn one(args: &Args, path: PathBuf, bytes: Vec<u8>, patches: &mut Vec<Patch>) -> Result<bool, Trouble> {
    let shown = load::shown(&path);
    let Ok(old) = String::from_utf8(bytes) else {
        output::complain(&format!("{shown}: left as it is: not UTF-8"));
        return Ok(false);
    };
    let (new, whole) = match format(0, &old) {
        Ok(edits) => (edit::apply(&old, &edits), true),
        Err(refusal) => {
            output::complain(&format!("{shown}: left as it is: {}", why(&shown, &refusal)));
            (old.clone(), false)
        }
    };
    let new = args.line_ends.filter(|_| whole).map(|ends| ends.of_all(&new)).unwrap_or(new);
    let patch = Patch { path, shown, old, new };
    if args.diff {
        output::print(patch.diff().as_bytes())?;
    } else if args.check {
        if !patch.idle() {
            output::print(format!("{}\n", patch.shown).as_bytes())?;
        }
    } else if patch.shown == "-" {
        output::print(patch.new.as_bytes())?;
        return Ok(whole);
    } else if !patch.idle() {
        patches.push(patch);
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

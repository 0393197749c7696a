//! `tipring merge`: two people's edits of one file, by scene and cell.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::kind::Kind;
use super::output::{self, To};
use super::{CLEAN, Outcome, Trouble, wrong};
use crate::Compiled;
use crate::compare::merge::{Conflict, Side, merge, note, unreadable};
use crate::driver::{Options, compile_from};
use crate::source::Span;
use crate::source::git::merge_lines;
use crate::source::load::{Disk, Shelf, files_of, shown, straight};
use crate::syntax;
use crate::syntax::edit::apply;

/// Merge two people's edits of one file by scene and cell, not by line
#[derive(clap::Args)]
#[command(
    after_help = "Mine is kept as it is written, with its comments and line ends; the other side's edits come in with theirs.
The result is checked with the files that it uses before it counts as merged. A file that cannot be read as
scenes is merged line by line, with git's markers, and counts as a conflict.
Exit codes: 0 merged and checked, 1 with conflicts (mine is kept, a comment tells of each), 2 the tool could not
run: nothing was written.
As a merge driver of git:
  echo '*.scene merge=scene' >> .gitattributes
  git config merge.scene.driver 'tipring merge %O %A %B --path %P -o %A'"
)]
pub(super) struct Args {
    /// The file that both started from
    base: PathBuf,
    /// The file that is edited on, and kept as it is written
    mine: PathBuf,
    /// The file whose changes come in
    theirs: PathBuf,
    /// Where the file stands in the book: it is checked and spoken of as that one
    #[arg(long, value_name = "FILE")]
    path: Option<PathBuf>,
    #[command(flatten)]
    out: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    args.out.only(Kind::Scene)?;
    let real = args.path.as_deref().unwrap_or(&args.mine);
    let read = |path: &Path| {
        Disk.read(path)
            .map_err(|why| Trouble(format!("{}: not merged: cannot read {}: {why}", shown(real), shown(path))))
    };
    let bytes = [read(&args.base)?, read(&args.mine)?, read(&args.theirs)?];
    let texts = bytes.each_ref().map(|bytes| std::str::from_utf8(bytes).unwrap_or(""));
    for (which, (side, text)) in ["the base", "mine", "theirs"].iter().zip(bytes.iter().zip(texts)) {
        if let Some(why) = trouble(side, text) {
            return by_line(args, real, &bytes, &format!("{which} cannot be read as scenes: {why}"));
        }
    }
    let [base, mine, theirs] = texts;
    let merged = merge(base, mine, theirs);
    let (tree, faults) = syntax::parse(0, &merged.text);
    if unreadable(&faults).is_some() {
        return by_line(args, real, &bytes, "the two sides do not go together as scenes");
    }
    let wrongs = new_errors(real, mine, theirs, &merged.text);
    let side = Side { text: &merged.text, tree: &tree };
    let notes = wrongs.iter().filter_map(|(at, says)| note(side, *at, &format!("both sides together: {says}")));
    let text = apply(&merged.text, &notes.collect::<Vec<_>>());
    args.out.write(text.as_bytes())?;
    for conflict in &merged.conflicts {
        output::complain(&format!("{}: {}", shown(real), tell(conflict)));
    }
    for (_, says) in &wrongs {
        output::complain(&format!("{}: conflict, which neither side has alone: {says}", shown(real)));
    }
    Ok(if merged.conflicts.is_empty() && wrongs.is_empty() { CLEAN } else { wrong() })
}

/// Why a file cannot be read as scenes, if so.
fn trouble(bytes: &[u8], text: &str) -> Option<String> {
    if let Err(error) = std::str::from_utf8(bytes) {
        let before = bytes.get(..error.valid_up_to()).unwrap_or(&[]);
        return Some(format!("line {} is not UTF-8", line(before)));
    }
    let at = unreadable(&syntax::parse(0, text).1)?;
    let before = text.get(..at.start as usize).unwrap_or("");
    Some(format!("`tipring check` tells what is wrong in line {}", line(before.as_bytes())))
}

fn line(before: &[u8]) -> usize {
    before.iter().filter(|b| **b == b'\n').count() + 1
}

/// Leaves the merge to git's own, line by line, so that nothing of either side is lost; always a conflict.
fn by_line(args: &Args, real: &Path, [_, mine, theirs]: &[Vec<u8>; 3], why: &str) -> Outcome {
    let merged = merge_lines(&args.base, &args.mine, &args.theirs).unwrap_or_else(|| both_whole(mine, theirs));
    args.out.write(&merged)?;
    output::complain(&format!("{}: conflict: {why}; merged line by line, look at every change", shown(real)));
    Ok(wrong())
}

/// Both sides whole, between the markers that git puts.
fn both_whole(mine: &[u8], theirs: &[u8]) -> Vec<u8> {
    let mut out = b"<<<<<<< mine\n".to_vec();
    for (side, mark) in [(mine, "=======\n"), (theirs, ">>>>>>> theirs\n")] {
        out.extend_from_slice(side);
        if !side.is_empty() && !side.ends_with(b"\n") {
            out.push(b'\n');
        }
        out.extend_from_slice(mark.as_bytes());
    }
    out
}

/// The book's folder, in which one file holds another text.
struct Instead<'t> {
    path: PathBuf,
    text: &'t str,
}

impl Shelf for Instead<'_> {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        if straight(path) == self.path { Ok(self.text.as_bytes().to_vec()) } else { Disk.read(path) }
    }

    fn real(&self, path: &Path) -> Option<PathBuf> {
        Disk.real(path)
    }
}

/// The errors of the merged text that neither side has, each with its place if it stands in this file.
fn new_errors(real: &Path, mine: &str, theirs: &str, merged: &str) -> Vec<(Span, String)> {
    let options = Options { errors_only: true, ..Options::default() };
    let compile =
        |text, roots: &[PathBuf]| compile_from(&Instead { path: straight(real), text }, roots.to_vec(), options);
    let mut roots = vec![real.to_path_buf()];
    let mut whole = compile(merged, &roots);
    if whole.errors() == 0 {
        return Vec::new();
    }
    // A file that uses none may be part of a folder that is read as one book.
    let folder = real.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let all = files_of(folder).unwrap_or_default();
    if all.iter().any(|path| straight(path) == straight(real)) {
        roots = all;
        whole = compile(merged, &roots);
    }
    let count = |compiled: &Compiled| {
        let mut counts: BTreeMap<(&'static str, String), usize> = BTreeMap::new();
        for error in compiled.mistakes() {
            *counts.entry((error.code, error.message.clone())).or_default() += 1;
        }
        counts
    };
    let sides = [count(&compile(mine, &roots)), count(&compile(theirs, &roots))];
    let mut told: BTreeMap<(&'static str, String), usize> = BTreeMap::new();
    let mut out = Vec::new();
    for error in whole.mistakes() {
        let key = (error.code, error.message.clone());
        let known = sides.iter().filter_map(|s| s.get(&key)).max().copied().unwrap_or(0);
        let seen = told.entry(key).or_default();
        *seen += 1;
        if *seen > known {
            let here = whole.files.path(error.at) == shown(&straight(real));
            let nowhere = Span::new(0, u32::MAX, u32::MAX);
            out.push((if here { error.at } else { nowhere }, error.message.clone()));
        }
    }
    out
}

fn tell(conflict: &Conflict) -> String {
    let says = |text: &Option<String>| text.as_ref().map_or("nothing".to_owned(), |t| format!("`{t}`"));
    let (base, mine, theirs) = (says(&conflict.base), says(&conflict.mine), says(&conflict.theirs));
    format!("conflict in {}: mine says {mine}, theirs says {theirs}, before it was {base}", conflict.about)
}

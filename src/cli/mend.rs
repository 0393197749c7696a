//! `tipring check --fix`: the mends that diagnostics carry, applied until none is left.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::patch::Patch;
use super::{Trouble, unfinished};
use crate::Compiled;
use crate::check::Severity;
use crate::driver::{self, Options};
use crate::source::load::{self, Disk, Shelf};
use crate::syntax::edit::{Edit, rewrite};

/// Mending one thing may show another; this often is enough for what is mendable at all.
const MOST_ROUNDS: usize = 20;

/// The disk, below texts that are not written yet.
struct Over(BTreeMap<PathBuf, String>);

impl Shelf for Over {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        match self.0.get(path) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => Disk.read(path),
        }
    }

    fn real(&self, path: &Path) -> Option<PathBuf> {
        Disk.real(path)
    }
}

/// A book after its mends, none of which is written yet.
pub(super) struct Mended {
    /// The book as it would be.
    pub compiled: Compiled,
    /// The files that change, by path.
    pub patches: Vec<Patch>,
    /// What was mended, a line each: where, and what was done.
    pub mends: Vec<String>,
}

/// Mends a book in memory.
pub(super) fn mend(book: &Path, options: Options) -> Result<Mended, Trouble> {
    if book == Path::new("-") {
        return Err(Trouble("`--fix` rewrites files: standard input has none".to_owned()));
    }
    let roots = load::files_of(book)?;
    let options = options.of(book, &roots);
    let mut over = Over(BTreeMap::new());
    let mut first: BTreeMap<PathBuf, String> = BTreeMap::new();
    let mut mends = Vec::new();
    let mut compiled = driver::compile_path(book, options)?;
    unfinished::of(&compiled);
    for _ in 0..MOST_ROUNDS {
        let (edits, mut made) = edits(&compiled);
        if made.is_empty() {
            break;
        }
        mends.append(&mut made);
        for (file, edits) in edits {
            let Some(file) = compiled.files.get(file) else { continue };
            let path = file.disk.clone();
            first.entry(path.clone()).or_insert_with(|| file.text.clone());
            over.0.insert(path, rewrite(&file.text, edits));
        }
        compiled = driver::compile_from(&over, roots.clone(), options);
    }
    let patch = |(path, old): (PathBuf, String)| {
        let new = over.0.get(&path).cloned().unwrap_or_default();
        Patch { shown: load::shown(&path), path, old, new }
    };
    let patches = first.into_iter().map(patch).filter(|p| !p.idle()).collect();
    Ok(Mended { compiled, patches, mends })
}

/// The edits of all mends that do not meet, by file, and what they do. Of two that meet, the second waits for the next
/// round. What could only be said more simply is left alone while the book has errors.
fn edits(compiled: &Compiled) -> (BTreeMap<u32, Vec<Edit>>, Vec<String>) {
    let mut out: BTreeMap<u32, Vec<Edit>> = BTreeMap::new();
    let mut made = Vec::new();
    let errors = compiled.errors() > 0;
    for diagnostic in compiled.diagnostics.iter().filter(|d| !(errors && d.severity == Severity::Hint)) {
        let Some(fix) = &diagnostic.fix else { continue };
        let taken = |at: crate::source::Span| {
            let edits = out.get(&at.file).map_or(&[][..], Vec::as_slice);
            // Touching counts as meeting: which comes first would be a guess.
            edits.iter().any(|e| at.start <= e.at.end && e.at.start <= at.end)
        };
        let ours =
            |at: crate::source::Span| compiled.files.get(at.file).is_some_and(|f| !f.shipped && f.not_utf8.is_none());
        if fix.edits.iter().any(|(at, _)| taken(*at) || !ours(*at)) {
            continue;
        }
        for (at, text) in &fix.edits {
            out.entry(at.file).or_default().push(Edit::new(*at, text));
        }
        made.push(format!("{}: {}: {}", compiled.files.at(diagnostic.at), diagnostic.message, fix.says));
    }
    (out, made)
}

//! The mends that diagnostics carry, made in memory as far as each is proved. Nothing is written here.
//!
//! What may be made at all is decided by its kind (`may`), what is made by what it does to the book (`proof`). What
//! is not made stays what it is: an offer, told with its diagnostic.

pub mod apart;
mod may;
pub mod offers;
mod proof;
mod spoken;
pub mod switched;
pub mod wish;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::Compiled;
use crate::check::{Diagnostic, Fix};
use crate::driver::{self, Options};
use crate::source::Span;
use crate::source::load::Shelf;
use crate::syntax::edit::{Edit, rewrite};

/// So often a book is compiled at most: what is not proved by then stays an offer.
const MOST_PROOFS: usize = 40;

/// A shelf, below texts that are not written yet.
pub(crate) struct Over<'s> {
    pub(crate) below: &'s dyn Shelf,
    pub(crate) texts: BTreeMap<PathBuf, String>,
}

impl Shelf for Over<'_> {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        match self.texts.get(path) {
            Some(text) => Ok(text.clone().into_bytes()),
            None => self.below.read(path),
        }
    }

    fn real(&self, path: &Path) -> Option<PathBuf> {
        self.below.real(path)
    }

    fn list(&self, folder: &Path) -> Option<Vec<PathBuf>> {
        self.below.list(folder)
    }
}

/// A file that changes.
pub struct Changed {
    /// Its path.
    pub path: PathBuf,
    /// What stands there.
    pub old: String,
    /// What is to stand there.
    pub new: String,
}

/// A book after its mends.
pub struct Mended {
    /// The book as it would be.
    pub compiled: Compiled,
    /// The files that change, by path.
    pub changed: Vec<Changed>,
    /// What was mended, a line each: where, and what was done.
    pub mends: Vec<String>,
    /// Others may be mended once every line can be read.
    pub waiting: bool,
    /// How often the book was compiled on the way.
    pub compilations: usize,
}

/// A diagnostic and its mend.
type Mend<'c> = (&'c Diagnostic, &'c Fix);

/// Mends a book in memory.
pub fn mend(shelf: &dyn Shelf, roots: &[PathBuf], options: Options) -> Mended {
    let mut bench = Bench {
        over: Over { below: shelf, texts: BTreeMap::new() },
        roots,
        options,
        first: BTreeMap::new(),
        proofs: 0,
        refused: BTreeSet::new(),
    };
    let mut compiled = driver::compile_from(&bench.over, roots.to_vec(), options);
    let mut mends: Vec<(String, u32, String)> = Vec::new();
    loop {
        let round = Round { book: &compiled, tried: may::mends(&compiled) };
        let Some((after, made)) = bench.round(&round) else { break };
        for (diagnostic, fix) in made {
            let line = format!("{}: {}: {}", compiled.files.at(diagnostic.at), diagnostic.message, fix.says);
            mends.push((compiled.files.path(diagnostic.at).to_owned(), compiled.files.place(diagnostic.at).line, line));
        }
        compiled = after;
    }
    mends.sort_by(|a, b| (&a.0, a.1).cmp(&(&b.0, b.1)));
    let (texts, compilations) = (&bench.over.texts, bench.proofs + 1);
    let changed = bench.first.into_iter().map(|(path, old)| {
        let new = texts.get(&path).cloned().unwrap_or_default();
        Changed { path, old, new }
    });
    let changed = changed.filter(|c| c.old != c.new).collect();
    let waiting = may::waiting(&compiled);
    Mended { waiting, compiled, changed, mends: mends.into_iter().map(|(_, _, line)| line).collect(), compilations }
}

/// A book as it stands, and the mends to try on it.
struct Round<'c> {
    book: &'c Compiled,
    tried: Vec<Mend<'c>>,
}

/// Where mends are tried.
struct Bench<'s> {
    over: Over<'s>,
    roots: &'s [PathBuf],
    options: Options,
    first: BTreeMap<PathBuf, String>,
    proofs: usize,
    /// What was tried and not proved: code, message, and what it would have done.
    refused: BTreeSet<(&'static str, String, String)>,
}

impl Bench<'_> {
    /// Makes what is proved of the mends that do not meet; None when nothing is left to make.
    fn round<'c>(&mut self, round: &Round<'c>) -> Option<(Compiled, Vec<Mend<'c>>)> {
        let tried = self.apart(round);
        let mut made = Vec::new();
        let mut after = None;
        // All at once, else by halves: most books have few mends, and nearly all of them hold.
        let mut queue = vec![tried];
        while let Some(some) = queue.pop() {
            if some.is_empty() || self.proofs >= MOST_PROOFS {
                continue;
            }
            let all: Vec<Mend<'_>> = made.iter().chain(&some).copied().collect();
            let texts = texts(round.book, &all);
            let below = std::mem::take(&mut self.over.texts);
            self.over.texts = below.clone();
            self.over.texts.extend(texts.iter().map(|(file, new)| (path(round.book, *file), new.clone())));
            let compiled = driver::compile_from(&self.over, self.roots.to_vec(), self.options);
            self.over.texts = below;
            self.proofs += 1;
            if proof::holds(round.book, &all, &compiled) {
                made = all;
                after = Some(compiled);
            } else if let [(diagnostic, fix)] = some.as_slice() {
                self.refused.insert((diagnostic.code, diagnostic.message.clone(), fix.says.clone()));
            } else {
                let (head, tail) = some.split_at(some.len() / 2);
                queue.extend([tail.to_vec(), head.to_vec()]);
            }
        }
        let after = after?;
        for (file, new) in texts(round.book, &made) {
            let path = path(round.book, file);
            let old = round.book.files.get(file).map_or(String::new(), |f| f.text.clone());
            self.first.entry(path.clone()).or_insert(old);
            self.over.texts.insert(path, new);
        }
        Some((after, made))
    }

    /// The mends that do not meet. Of two that do, the second waits for the next round: touching counts, for which comes
    /// first would be a guess.
    fn apart<'c>(&self, round: &Round<'c>) -> Vec<Mend<'c>> {
        let mut taken: BTreeSet<(u32, u32, u32)> = BTreeSet::new();
        let meets = |taken: &BTreeSet<(u32, u32, u32)>, at: Span| {
            // They never overlap, so the one that begins last before the end of this one is the only one to ask.
            let before = taken.range(..=(at.file, at.end, u32::MAX)).next_back();
            before.is_some_and(|(file, _, end)| *file == at.file && at.start <= *end)
        };
        let mut out = Vec::new();
        for (diagnostic, fix) in &round.tried {
            let known = (diagnostic.code, diagnostic.message.clone(), fix.says.clone());
            if self.refused.contains(&known) || fix.edits.iter().any(|(at, _)| meets(&taken, *at)) {
                continue;
            }
            taken.extend(fix.edits.iter().map(|(at, _)| (at.file, at.start, at.end)));
            out.push((*diagnostic, *fix));
        }
        out
    }
}

fn path(book: &Compiled, file: u32) -> PathBuf {
    book.files.get(file).map_or_else(PathBuf::new, |f| f.disk.clone())
}

/// The files that mends change, and their new texts.
fn texts(book: &Compiled, mends: &[Mend<'_>]) -> BTreeMap<u32, String> {
    let mut edits: BTreeMap<u32, Vec<Edit>> = BTreeMap::new();
    for (at, text) in mends.iter().flat_map(|(_, fix)| &fix.edits) {
        edits.entry(at.file).or_default().push(Edit::new(*at, text));
    }
    let text = |file: u32| book.files.get(file).map_or("", |f| f.text.as_str());
    edits.into_iter().map(|(file, edits)| (file, rewrite(text(file), edits))).collect()
}

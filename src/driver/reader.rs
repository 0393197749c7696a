//! Reading the files of a book and what they use, each once, and none that a book may not reach.

use std::collections::{BTreeSet, VecDeque};
use std::path::{Component, Path, PathBuf};

use rustc_hash::FxHashMap;

use super::Options;
use crate::source::load::{self, Fault, Shelf};
use crate::source::{Files, SourceFile, Span, shipped};
use crate::syntax::kind::Kind;
use crate::syntax::tree::{Tree, View};
use crate::syntax::{self, lexer};

/// What was read.
pub(super) struct Read {
    pub(super) files: Files,
    pub(super) trees: Vec<Tree>,
    /// The paths of files that others stand for.
    pub(super) swapped: Vec<String>,
    /// Mistakes of finding files.
    pub(super) loading: Vec<Fault>,
    /// Mistakes of reading them.
    pub(super) reading: Vec<syntax::fault::Fault>,
}

/// Reads these files, what they use, and the descriptions that their devices are like.
pub(super) fn read(shelf: &dyn Shelf, roots: &[PathBuf], options: Options) -> Read {
    let mut reader = Reader::new(shelf, roots, options);
    // One that was named; texts in memory are all named, and the first of them amends the others.
    for (at, root) in roots.iter().enumerate() {
        reader.root(root, if options.found || at > 0 { By::Folder(None) } else { By::Name });
    }
    reader.swapped();
    reader.descriptions();
    let Reader { files, trees, loading, reading, swaps, .. } = reader;
    let swapped = swaps.into_iter().filter_map(|swap| swap.used).map(|path| load::shown(&path)).collect();
    Read { files, trees, swapped, loading, reading }
}

/// A file whose uses are being followed.
struct Open {
    path: PathBuf,
    number: u32,
    uses: VecDeque<Wanted>,
}

/// A file that is to be read, and where that is said.
enum Wanted {
    /// Behind `use`, as written.
    Said(Span, String),
    /// In a folder behind `use`.
    Found(Span, PathBuf),
}

/// A file that stands for another tonight.
struct Swap {
    at: Span,
    /// What the book says, as it is written, and where that leads from the night's book.
    was: (String, PathBuf),
    by: (Span, String),
    /// The file that it stands for, once one is met.
    used: Option<PathBuf>,
}

/// How a file came to be read.
#[derive(Clone, Copy)]
enum By {
    /// Its own name, as BOOK.
    Name,
    /// A `use`.
    Use(Span),
    /// A folder, as BOOK or behind `use`: a night's book in it is passed over.
    Folder(Option<Span>),
}

impl By {
    fn used(self) -> Option<Span> {
        match self {
            By::Name => None,
            By::Use(at) => Some(at),
            By::Folder(at) => at,
        }
    }
}

struct Reader<'s> {
    shelf: &'s dyn Shelf,
    options: Options,
    /// The folders that a book may reach, each with the one that it is in the end: its own, and the one that a link
    /// given as BOOK leads to.
    homes: Vec<(PathBuf, Option<PathBuf>)>,
    files: Files,
    trees: Vec<Tree>,
    /// By what they are in the end: a file reached by two ways is read once.
    seen: FxHashMap<PathBuf, u32>,
    bytes: u64,
    /// The files that a night's book puts in the place of others, and all that is used, as it is written.
    swaps: Vec<Swap>,
    used: BTreeSet<String>,
    loading: Vec<Fault>,
    reading: Vec<syntax::fault::Fault>,
}

impl<'s> Reader<'s> {
    fn new(shelf: &'s dyn Shelf, roots: &[PathBuf], options: Options) -> Reader<'s> {
        let mut reader = Reader {
            shelf,
            options,
            homes: Vec::new(),
            files: Files::default(),
            trees: Vec::new(),
            seen: FxHashMap::default(),
            bytes: 0,
            swaps: Vec::new(),
            used: BTreeSet::new(),
            loading: Vec::new(),
            reading: Vec::new(),
        };
        let root = roots.first().map(|root| reader.tidy(root)).unwrap_or_default();
        let folder = root.parent().unwrap_or(Path::new(""));
        reader.homes.push((folder.to_path_buf(), load::real_folder(shelf, folder)));
        if !options.found && !reader.inside(&root) {
            let target = shelf.real(&root).and_then(|real| real.parent().map(Path::to_path_buf));
            reader.homes.extend(target.map(|target| (target.clone(), Some(target))));
        }
        reader
    }

    /// A path without its turns, where that leads to the same: behind a link `..` is another folder.
    fn tidy(&self, root: &Path) -> PathBuf {
        let tidy = load::straight(root);
        if !climbs(root) || self.shelf.real(&tidy) == self.shelf.real(root) { tidy } else { root.to_path_buf() }
    }

    /// Reads a file that was named, or found in a folder that was.
    fn root(&mut self, path: &Path, by: By) {
        let path = self.tidy(path);
        let out = self.options.found && !self.options.outside && !self.inside(&path);
        if out {
            let at = self.unread(&path);
            self.loading.push(Fault::Outside { at });
        } else {
            self.read(&path, by);
        }
    }

    /// Reads a file and all that it uses, each file before the next that it names.
    fn read(&mut self, root: &Path, by: By) {
        let mut line = Vec::new();
        self.open(root, by, &mut line);
        while let Some(last) = line.last_mut() {
            let Some(wanted) = last.uses.pop_front() else {
                line.pop();
                continue;
            };
            let from = last.path.clone();
            match wanted {
                Wanted::Said(at, text) => self.said(&from, at, &text, &mut line),
                Wanted::Found(at, path) => self.found(at, &path, &mut line),
            }
        }
    }

    /// Reads what stands behind `use`, or what stands for that tonight.
    fn said(&mut self, from: &Path, at: Span, text: &str, line: &mut Vec<Open>) {
        let mut wanted = self.wanted(from, text);
        self.used.insert(text.to_owned());
        let (mut at, mut text) = (at, text.to_owned());
        if let Some(swap) = self.swaps.iter_mut().find(|s| s.was.0 == text || s.was.1 == wanted) {
            let first = swap.used.replace(wanted.clone()).is_none();
            (at, text) = swap.by.clone();
            if first {
                self.before(&wanted);
            }
            wanted = self.tonight(&text);
        }
        if !self.options.outside && (Path::new(&text).is_absolute() || !self.inside(&wanted)) {
            self.files.missing();
            self.loading.push(Fault::Outside { at });
            return;
        }
        match self.shelf.list(&wanted) {
            None => self.open(&wanted, By::Use(at), line),
            Some(files) if files.is_empty() => {
                self.files.missing();
                let why = "it is a folder, and no file in it ends in .scene".to_owned();
                self.loading.push(Fault::Missing { at, path: load::shown(&wanted), why });
            }
            Some(files) => {
                let files = files.into_iter().rev().map(|file| Wanted::Found(at, file));
                if let Some(last) = line.last_mut() {
                    files.for_each(|file| last.uses.push_front(file));
                }
            }
        }
    }

    /// Reads a file that another stands for, for what it described: scenes may ask for that. Whatever is wrong with it is no
    /// matter tonight.
    fn before(&mut self, path: &Path) {
        let inside = self.options.outside || self.inside(path);
        let Some(bytes) = inside.then(|| self.shelf.read(path).and_then(|bytes| self.room(bytes)).ok()).flatten()
        else {
            return;
        };
        let mut file = load::file(path, bytes);
        if file.not_utf8.is_some() {
            return;
        }
        (file.shipped, file.replaced) = (true, true);
        self.trees.push(syntax::parse(self.trees.len() as u32, &file.text).0);
        self.files.push(file);
    }

    /// Reads a file of a folder behind `use`.
    fn found(&mut self, at: Span, path: &Path, line: &mut Vec<Open>) {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        self.used.insert(name.clone());
        if self.swaps.iter().any(|s| s.was.0 == name || s.was.1 == *path) {
            return self.said(path, at, &name, line);
        }
        if self.options.outside || self.inside(path) {
            self.open(path, By::Folder(Some(at)), line);
        } else {
            self.files.missing();
            self.loading.push(Fault::Outside { at });
        }
    }

    /// Where a text of the night's book leads.
    fn tonight(&self, text: &str) -> PathBuf {
        let root = self.files.get(0).map(|f| f.disk.clone()).unwrap_or_default();
        self.wanted(&root, text)
    }

    /// Tells of files that nobody uses, and that others were to stand for.
    fn swapped(&mut self) {
        let used: Vec<String> = self.used.iter().cloned().collect();
        let idle = self.swaps.iter().filter(|swap| swap.used.is_none());
        let faults: Vec<Fault> = idle.map(|swap| Fault::NotUsed { at: swap.at, used: used.clone() }).collect();
        if !self.files.partial() {
            self.loading.extend(faults);
        }
    }

    /// Reads one file and puts it at the end of the line of those that use each other; told when it stands there.
    fn open(&mut self, path: &Path, by: By, line: &mut Vec<Open>) {
        let real = self.shelf.real(path).unwrap_or_else(|| path.to_path_buf());
        if let Some(number) = self.seen.get(&real) {
            // They were opened one after the other: their numbers rise along the line.
            if let (Ok(from), By::Use(at)) = (line.binary_search_by_key(number, |open| open.number), by) {
                let mut files = line.iter().skip(from).map(|open| load::shown(&open.path));
                let circle = files.by_ref().take(load::LONGEST_CIRCLE).collect();
                self.loading.push(Fault::Circular { at, circle, more: files.len() });
            }
            return;
        }
        let bytes = match self.shelf.read(path).and_then(|bytes| self.room(bytes)) {
            Ok(bytes) => bytes,
            Err(why) => {
                self.files.missing();
                let at = by.used().unwrap_or_else(|| self.unread(path));
                self.loading.push(Fault::Missing { at, path: load::shown(path), why });
                return;
            }
        };
        let size = bytes.len() as u64;
        let file = load::file(path, bytes);
        let (tree, faults) = self.parsed(self.trees.len() as u32, &file);
        if tree.amends(&file.text) {
            match by {
                By::Name => self.swaps(&tree, &file),
                By::Folder(_) => {
                    self.bytes -= size;
                    return;
                }
                By::Use(at) => {
                    self.bytes -= size;
                    self.files.missing();
                    self.loading.push(Fault::Night { at, path: load::shown(path) });
                    return;
                }
            }
        }
        let number = self.files.push(file);
        self.seen.insert(real, number);
        self.trees.push(tree);
        self.reading.extend(faults);
        let uses = self.uses(number).into_iter().map(|(at, text)| Wanted::Said(at, text)).collect();
        line.push(Open { path: path.to_path_buf(), number, uses });
    }

    /// Notes the files that a night's book puts in the place of others.
    fn swaps(&mut self, tree: &Tree, file: &SourceFile) {
        let by = tree.statements(&file.text).filter(|v| v.kind() == Kind::Instead).filter_map(|v| v.child(Kind::UseBy));
        for view in by {
            let said = |n: usize| view.nth(Kind::Text, n).map(|t| (t.span(), lexer::unquoted(t.text()).to_owned()));
            let (Some((at, was)), Some(by)) = (said(0), said(1)) else { continue };
            let path = self.wanted(&file.disk, &was);
            self.swaps.push(Swap { at, was: (was, path), by, used: None });
        }
    }

    /// The bytes, while a book has room for them.
    fn room(&mut self, bytes: Vec<u8>) -> Result<Vec<u8>, String> {
        self.bytes += bytes.len() as u64;
        if self.bytes <= load::MOST_BOOK {
            return Ok(bytes);
        }
        self.bytes -= bytes.len() as u64;
        Err(format!("with it the book is larger than {} MiB", load::MOST_BOOK >> 20))
    }

    /// Holds the place of a file that was found and not read.
    fn unread(&mut self, path: &Path) -> Span {
        self.files.missing();
        let number = self.files.push(load::file(path, Vec::new()));
        self.parse(number);
        Span::new(number, 0, 0)
    }

    /// Where a `use` leads: beside the file that says it. What does not lie beside a link given as BOOK is looked for
    /// beside the file that the link leads to.
    fn wanted(&self, from: &Path, text: &str) -> PathBuf {
        let beside = |folder: &Path| load::straight(&folder.join(text));
        let wanted = beside(from.parent().unwrap_or(Path::new("")));
        let [_, (target, _)] = self.homes.as_slice() else { return wanted };
        let linked = || self.shelf.real(from).is_some_and(|real| real.parent() == Some(target));
        if self.shelf.real(&wanted).is_none() && linked() { beside(target) } else { wanted }
    }

    /// True for a path that lies in the book's own folder, by its text and by where its links lead.
    fn inside(&self, path: &Path) -> bool {
        let real = self.shelf.real(path);
        let leads =
            |home: &Option<PathBuf>| real.as_ref().zip(home.as_ref()).is_none_or(|(real, home)| real.starts_with(home));
        self.homes.iter().any(|(home, _)| path.strip_prefix(home).is_ok_and(|rest| !climbs(rest)))
            && self.homes.iter().any(|(_, home)| leads(home))
    }

    fn parse(&mut self, number: u32) {
        let Some(file) = self.files.get(number) else { return };
        let (tree, mut faults) = self.parsed(number, file);
        self.trees.push(tree);
        self.reading.append(&mut faults);
    }

    fn parsed(&self, number: u32, file: &SourceFile) -> (Tree, Vec<syntax::fault::Fault>) {
        let (tree, faults) = syntax::parse(number, &file.text);
        match file.not_utf8 {
            Some(start) => (tree, vec![syntax::fault::Fault::NotUtf8 { at: Span::new(number, start, start) }]),
            None => (tree, faults),
        }
    }

    fn uses(&self, number: u32) -> Vec<(Span, String)> {
        let (Some(tree), Some(file)) = (self.trees.get(number as usize), self.files.get(number)) else {
            return Vec::new();
        };
        let uses = tree.statements(&file.text).filter(|v| v.kind() == Kind::Use);
        let texts = uses.filter_map(|v| v.child(Kind::Text));
        texts.map(|t| (t.span(), lexer::unquoted(t.text()).to_owned())).collect()
    }

    /// Adds the shipped descriptions that devices are like, and those that these are like in turn.
    fn descriptions(&mut self) {
        let mut at = 0;
        while at < self.trees.len() {
            for name in self.liked(at) {
                let path = PathBuf::from(format!("presets/{name}.scene"));
                let Some(text) = shipped::device(&name).filter(|_| !self.seen.contains_key(&path)) else { continue };
                let mut file = load::file(&path, text.as_bytes().to_vec());
                file.shipped = true;
                let number = self.files.push(file);
                self.seen.insert(path, number);
                self.parse(number);
            }
            at += 1;
        }
    }

    fn liked(&self, tree: usize) -> Vec<String> {
        let (Some(tree), Some(file)) = (self.trees.get(tree), self.files.get(tree as u32)) else { return Vec::new() };
        let all = tree.statements(&file.text).filter_map(behind);
        let devices = all.filter(|v| matches!(v.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp));
        devices.filter_map(|v| v.child(Kind::Like)?.child(Kind::Name)).map(|n| n.text().to_owned()).collect()
    }
}

/// The statement behind `instead`, or itself.
fn behind(view: View<'_>) -> Option<View<'_>> {
    if view.kind() == Kind::Instead { view.children().next() } else { Some(view) }
}

/// True for a path that may leave the folder it starts in.
fn climbs(path: &Path) -> bool {
    path.components().any(|c| c == Component::ParentDir)
}

//! Reading the files of a book and what they use, each once, and none that a book may not reach.

use std::path::{Component, Path, PathBuf};

use rustc_hash::FxHashMap;

use super::Options;
use crate::source::load::{self, Fault, Shelf};
use crate::source::{Files, Span, shipped};
use crate::syntax::kind::Kind;
use crate::syntax::tree::Tree;
use crate::syntax::{self, lexer};

/// What was read.
pub(super) struct Read {
    pub(super) files: Files,
    pub(super) trees: Vec<Tree>,
    /// Mistakes of finding files.
    pub(super) loading: Vec<Fault>,
    /// Mistakes of reading them.
    pub(super) reading: Vec<syntax::fault::Fault>,
}

/// Reads these files, what they use, and the descriptions that their devices are like.
pub(super) fn read(shelf: &dyn Shelf, roots: &[PathBuf], options: Options) -> Read {
    let mut reader = Reader::new(shelf, roots, options);
    for root in roots {
        reader.root(root);
    }
    reader.descriptions();
    let Reader { files, trees, loading, reading, .. } = reader;
    Read { files, trees, loading, reading }
}

/// A file whose uses are being followed.
struct Open {
    path: PathBuf,
    number: u32,
    uses: std::vec::IntoIter<(Span, String)>,
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
    fn root(&mut self, path: &Path) {
        let path = self.tidy(path);
        let out = self.options.found && !self.options.outside && !self.inside(&path);
        if out {
            let at = self.unread(&path);
            self.loading.push(Fault::Outside { at });
        } else {
            self.read(&path);
        }
    }

    /// Reads a file and all that it uses, each file before the next that it names.
    fn read(&mut self, root: &Path) {
        let mut line = Vec::new();
        self.open(root, None, &mut line);
        while let Some(last) = line.last_mut() {
            let Some((span, text)) = last.uses.next() else {
                line.pop();
                continue;
            };
            let wanted = self.wanted(&last.path, &text);
            if self.options.outside || (!Path::new(&text).is_absolute() && self.inside(&wanted)) {
                self.open(&wanted, Some(span), &mut line);
            } else {
                self.files.missing();
                self.loading.push(Fault::Outside { at: span });
            }
        }
    }

    /// Reads one file and puts it at the end of the line of those that use each other; told when it stands there.
    fn open(&mut self, path: &Path, used: Option<Span>, line: &mut Vec<Open>) {
        let real = self.shelf.real(path).unwrap_or_else(|| path.to_path_buf());
        if let Some(number) = self.seen.get(&real) {
            // They were opened one after the other: their numbers rise along the line.
            if let (Ok(from), Some(at)) = (line.binary_search_by_key(number, |open| open.number), used) {
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
                let at = used.unwrap_or_else(|| self.unread(path));
                self.loading.push(Fault::Missing { at, path: load::shown(path), why });
                return;
            }
        };
        let number = self.files.push(load::file(path, bytes));
        self.seen.insert(real, number);
        self.parse(number);
        let uses = self.uses(number).into_iter();
        line.push(Open { path: path.to_path_buf(), number, uses });
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
        let (tree, mut faults) = syntax::parse(number, &file.text);
        if let Some(start) = file.not_utf8 {
            faults = vec![syntax::fault::Fault::NotUtf8 { at: Span::new(number, start, start) }];
        }
        self.trees.push(tree);
        self.reading.append(&mut faults);
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
        let devices =
            tree.statements(&file.text).filter(|v| matches!(v.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp));
        devices.filter_map(|v| v.child(Kind::Like)?.child(Kind::Name)).map(|n| n.text().to_owned()).collect()
    }
}

/// True for a path that may leave the folder it starts in.
fn climbs(path: &Path) -> bool {
    path.components().any(|c| c == Component::ParentDir)
}

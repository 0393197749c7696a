//! The one way through the stages: files, trees, book, table, diagnostics. Every face of the tool calls it.

use std::path::{Path, PathBuf};

use rustc_hash::FxHashMap;

use crate::book::{self, Book};
use crate::check::{self, Allowed, Diagnostic, Facts};
use crate::fill::free::{self, Filled};
use crate::fill::{self, Preset};
use crate::settle::{self, Table};
use crate::source::load::{self, Disk, Fault, Held, Shelf};
use crate::source::{Files, Span, shipped};
use crate::study::rules::{self, Rules};
use crate::study::signal::Glance;
use crate::study::{self, Momentary, Walk};
use crate::syntax::kind::Kind;
use crate::syntax::tree::Tree;
use crate::syntax::{self, lexer};

/// A book, compiled as far as its mistakes allow.
pub struct Compiled {
    /// Its files.
    pub files: Files,
    /// Their trees, in the same order.
    pub trees: Vec<Tree>,
    /// The names and what they mean.
    pub book: Book,
    /// What each scene stores.
    pub table: Table,
    /// Which scene stands in which slot.
    pub presets: Vec<Preset>,
    /// What the rules say.
    pub rules: Rules,
    /// Whether each stored pulse is right.
    pub momentary: Momentary,
    /// What was chosen for free cells, when it was asked for.
    pub filled: Option<Filled>,
    /// Everything found wrong or worth saying, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
    /// Warnings that the book allows, each with its reason, in the order of the text.
    pub allowed: Vec<Allowed>,
}

impl Compiled {
    /// How many errors there are.
    pub fn errors(&self) -> usize {
        self.diagnostics.iter().filter(|d| d.severity == check::Severity::Error).count()
    }
}

impl Compiled {
    /// What each change of each set costs.
    pub fn walk(&self) -> Walk {
        study::walk::walk(&self.book, &self.table, &self.presets)
    }

    /// Chooses values for free contacts so that the fewest move over the sets.
    /// Asked for by what prints; a check needs none of it.
    pub fn fill_least(&mut self) {
        let filled = {
            let logic = &self.rules.logic;
            let breaks = |scene: u32, row: &dyn Fn(u16) -> settle::Value| {
                let answers = logic.answers(scene, &|cell| Some(row(cell)));
                logic.rules.iter().filter(|rule| rule.truth(&answers) == rules::Truth::No).count()
            };
            let bound: Option<&free::Breaks<'_>> = if logic.rules.is_empty() { None } else { Some(&breaks) };
            free::fill(&self.book, &self.table, bound)
        };
        free::store(&filled, &mut self.table);
        self.filled = Some(filled);
    }
}

/// How a book is opened.
#[derive(Clone, Copy, Default)]
pub struct Options {
    /// `use` may leave the book's folder.
    pub outside: bool,
    /// Only errors are asked for: what can only warn or hint is neither studied nor told.
    pub errors_only: bool,
    /// The files were found in a folder, not named: a link among them may lead out of it.
    pub found: bool,
}

impl Options {
    /// The same, for the files that a BOOK stands for.
    #[must_use]
    pub fn of(self, book: &Path, files: &[PathBuf]) -> Options {
        Options { found: files.iter().all(|file| file != book), ..self }
    }
}

/// Compiles texts held in memory: no file is read. Each is a path and a text.
pub fn compile_texts(texts: &[(&str, &str)]) -> Compiled {
    let held = Held::new(texts.iter().map(|(path, text)| (*path, text.as_bytes())));
    compile_from(
        &held,
        texts.iter().map(|(path, _)| PathBuf::from(path)).collect(),
        Options { outside: true, ..Options::default() },
    )
}

/// Compiles a file, or all `.scene` files of a folder, with what they `use`. An error says what could not be read.
pub fn compile_path(path: &Path, options: Options) -> Result<Compiled, String> {
    let files = load::files_of(path)?;
    let options = options.of(path, &files);
    Ok(compile_from(&Disk, files, options))
}

/// Compiles a text from standard input; what it uses is looked for in the current folder.
pub fn compile_input(bytes: &[u8], options: Options) -> Compiled {
    struct Input<'b>(&'b [u8]);
    impl Shelf for Input<'_> {
        fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
            if path == Path::new("-") { Ok(self.0.to_vec()) } else { Disk.read(path) }
        }
        fn real(&self, path: &Path) -> Option<PathBuf> {
            if path == Path::new("-") { None } else { Disk.real(path) }
        }
    }
    compile_from(&Input(bytes), vec![PathBuf::from("-")], options)
}

/// Compiles files from any shelf.
pub fn compile_from(shelf: &dyn Shelf, roots: Vec<PathBuf>, options: Options) -> Compiled {
    let mut reader = Reader::new(shelf, &roots, options);
    for root in &roots {
        reader.root(root);
    }
    reader.descriptions();
    let Reader { files, trees, loading, reading, .. } = reader;
    let (book, binding) = book::bind(&files, &trees);
    let (mut table, settling) = settle::settle(&book, !options.errors_only);
    let (presets, slots) = fill::presets(&book);
    let momentary = study::momentary::study(&book, &table, &presets);
    study::momentary::store(&momentary, &mut table);
    // No study knows another: the longest goes beside the rest.
    let ((signal, rules), telling) = rayon::join(
        || {
            let signal = if options.errors_only { Glance::default() } else { Glance::of(&book, &table) };
            (signal, rules::study(&book, &table))
        },
        || if options.errors_only { Vec::new() } else { study::walk::telling(&book, &table, &presets) },
    );
    let facts = Facts {
        files: &files,
        trees: &trees,
        loading: &loading,
        reading: &reading,
        book: &book,
        binding: &binding,
        table: &table,
        settling: &settling,
        presets: &presets,
        slots: slots.as_ref(),
        momentary: &momentary,
        telling: &telling,
        rules: &rules,
        signal: &signal,
    };
    let (diagnostics, allowed) = if options.errors_only { check::errors(&facts) } else { check::all(&facts) };
    Compiled { files, trees, book, table, presets, rules, momentary, filled: None, diagnostics, allowed }
}

struct Reader<'s> {
    shelf: &'s dyn Shelf,
    options: Options,
    /// The folders that a book may reach: its own, and the one that a link given as BOOK leads to.
    homes: Vec<PathBuf>,
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
        reader.homes.push(folder.to_path_buf());
        if !options.found && load::leads_out(shelf, folder, &root) {
            reader.homes.extend(shelf.real(&root).and_then(|real| real.parent().map(Path::to_path_buf)));
        }
        reader
    }

    /// A path without its turns, where that leads to the same: behind a link `..` is another folder.
    fn tidy(&self, root: &Path) -> PathBuf {
        let tidy = load::straight(root);
        if self.shelf.real(&tidy) == self.shelf.real(root) { tidy } else { root.to_path_buf() }
    }

    /// Reads a file that was named, or found in a folder that was.
    fn root(&mut self, path: &Path) {
        let path = self.tidy(path);
        let out = self.options.found && !self.options.outside && !self.inside(&path);
        if out {
            let at = self.unread(&path);
            self.loading.push(Fault::Outside { at });
        } else {
            self.read(&path, None, &mut Vec::new());
        }
    }

    /// Reads a file and what it uses; `line` holds the files on the way here: what they are, and how they are called.
    fn read(&mut self, path: &Path, used: Option<Span>, line: &mut Vec<(PathBuf, PathBuf)>) {
        let real = self.shelf.real(path).unwrap_or_else(|| path.to_path_buf());
        if let Some(from) = line.iter().position(|(p, _)| *p == real) {
            if let Some(at) = used {
                let names = line.iter().skip(from).map(|(_, name)| name.as_path());
                let circle = names.chain([path]).map(load::shown).collect();
                self.loading.push(Fault::Circular { at, circle });
            }
            return;
        }
        if self.seen.contains_key(&real) {
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
        self.seen.insert(real.clone(), number);
        self.parse(number);
        line.push((real, path.to_path_buf()));
        for (span, text) in self.uses(number) {
            let wanted = self.wanted(path, &text);
            if self.options.outside || (!Path::new(&text).is_absolute() && self.inside(&wanted)) {
                self.read(&wanted, Some(span), line);
            } else {
                self.files.missing();
                self.loading.push(Fault::Outside { at: span });
            }
        }
        line.pop();
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
        let [_, target] = self.homes.as_slice() else { return wanted };
        let linked = || self.shelf.real(from).is_some_and(|real| real.parent() == Some(target));
        if self.shelf.real(&wanted).is_none() && linked() { beside(target) } else { wanted }
    }

    /// True for a path that lies in the book's own folder, by its text and by where its links lead.
    fn inside(&self, path: &Path) -> bool {
        let home = self.homes.iter().any(|home| path.strip_prefix(home).is_ok_and(|rest| !climbs(rest)));
        home && self.homes.iter().any(|home| !load::leads_out(self.shelf, home, path))
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
    path.components().any(|c| c == std::path::Component::ParentDir)
}

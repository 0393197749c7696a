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
    if let [file] = files.as_slice() {
        Disk.read(file).map_err(|why| format!("cannot read {}: {why}", load::shown(file)))?;
    }
    Ok(compile_from(&Disk, files, options))
}

/// Compiles a text from standard input; what it uses is looked for in the current folder.
pub fn compile_input(bytes: &[u8], options: Options) -> Compiled {
    struct Input<'b>(&'b [u8]);
    impl Shelf for Input<'_> {
        fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
            if path == Path::new("-") { Ok(self.0.to_vec()) } else { Disk.read(path) }
        }
    }
    compile_from(&Input(bytes), vec![PathBuf::from("-")], options)
}

/// Compiles files from any shelf.
pub fn compile_from(shelf: &dyn Shelf, roots: Vec<PathBuf>, options: Options) -> Compiled {
    let mut reader = Reader { shelf, options, ..Reader::new(&roots) };
    for root in &roots {
        reader.read(root, None, &mut Vec::new());
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
    folder: PathBuf,
    files: Files,
    trees: Vec<Tree>,
    seen: FxHashMap<PathBuf, u32>,
    loading: Vec<Fault>,
    reading: Vec<syntax::fault::Fault>,
}

impl<'s> Reader<'s> {
    fn new(roots: &[PathBuf]) -> Reader<'s> {
        let folder = roots.first().and_then(|r| load::straight(r).parent().map(Path::to_path_buf)).unwrap_or_default();
        Reader {
            shelf: &Disk,
            options: Options::default(),
            folder,
            files: Files::default(),
            trees: Vec::new(),
            seen: FxHashMap::default(),
            loading: Vec::new(),
            reading: Vec::new(),
        }
    }

    /// Reads a file and what it uses; `line` holds the files on the way here.
    fn read(&mut self, path: &Path, used: Option<Span>, line: &mut Vec<PathBuf>) {
        let path = load::straight(path);
        if let Some(from) = line.iter().position(|p| *p == path) {
            if let Some(at) = used {
                let circle = line.iter().skip(from).chain([&path]).map(|p| load::shown(p)).collect();
                self.loading.push(Fault::Circular { at, circle });
            }
            return;
        }
        if self.seen.contains_key(&path) {
            return;
        }
        let bytes = match self.shelf.read(&path) {
            Ok(bytes) => bytes,
            Err(why) => {
                let at = used.unwrap_or_default();
                self.files.missing();
                self.loading.push(Fault::Missing { at, path: load::shown(&path), why });
                return;
            }
        };
        let number = self.files.push(load::file(&path, bytes));
        self.seen.insert(path.clone(), number);
        self.parse(number);
        line.push(path.clone());
        for (span, text) in self.uses(number) {
            let wanted = load::straight(&path.parent().unwrap_or(Path::new("")).join(&text));
            let inside = !Path::new(&text).is_absolute() && wanted.starts_with(&self.folder) && !climbs(&wanted);
            if inside || self.options.outside {
                self.read(&wanted, Some(span), line);
            } else {
                self.files.missing();
                self.loading.push(Fault::Outside { at: span });
            }
        }
        line.pop();
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

/// True for a path that leaves the folder it starts in.
fn climbs(path: &Path) -> bool {
    path.components().any(|c| c == std::path::Component::ParentDir)
}

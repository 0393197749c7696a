//! The one way through the stages: files, trees, book, table, diagnostics. Every face of the tool calls it.

mod reader;

use std::path::{Path, PathBuf};

use reader::Read;

use crate::book::{self, Book};
use crate::check::{self, Allowed, Diagnostic, Facts};
use crate::fill::free::{self, Filled};
use crate::fill::{self, Preset};
use crate::settle::{self, Table};
use crate::source::Files;
use crate::source::load::{self, Disk, Held, Shelf};
use crate::study::rules::{self, Rules};
use crate::study::signal::Glance;
use crate::study::{self, Momentary, Walk};
use crate::syntax::tree::Tree;

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
    let Read { files, trees, loading, reading } = reader::read(shelf, &roots, options);
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

//! The one way through the stages: files, trees, book, table. Every face of the tool calls it.

mod reader;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use reader::Read;

use crate::book::{Book, Device, DeviceKind};
use crate::compiled::Compiled;
use crate::ids::DeviceId;
use crate::settle::{self, Answer, Settled};
use crate::source::load::{self, CannotOpen, Disk, Held, Shelf};
use crate::stages::{Stages, Studies};
use crate::{book, fill, study};

/// How a book is opened.
#[derive(Clone, Copy, Default)]
pub struct Options {
    /// `use` may leave the book's folder.
    pub outside: bool,
    /// Only errors will be asked for: what can only hint is not looked for on the way, but when it is asked for.
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
    held(texts, &[])
}

/// The same, beside files that others stand for: they are looked for and not read.
fn held(texts: &[(&str, &str)], swapped: &[(String, String)]) -> Compiled {
    let before = swapped.iter().map(|(path, text)| (path.as_str(), text.as_bytes()));
    let held = Held::new(texts.iter().map(|(path, text)| (*path, text.as_bytes())).chain(before));
    compile_from(
        &held,
        texts.iter().map(|(path, _)| PathBuf::from(path)).collect(),
        Options { outside: true, ..Options::default() },
    )
}

/// The same book with another text in one of its files: nothing is read, nothing is written.
pub fn compile_again(compiled: &Compiled, file: u32, text: &str) -> Compiled {
    compile_changed(compiled, &BTreeMap::from([(file, text.to_owned())]))
}

/// The same book with other texts in some of its files, by their numbers: nothing is read, nothing is written.
pub fn compile_changed(compiled: &Compiled, new: &BTreeMap<u32, String>) -> Compiled {
    let own = compiled.files.iter().filter(|(_, file)| !file.shipped);
    let texts: Vec<(&str, &str)> = own
        .map(|(number, source)| (source.path.as_str(), new.get(&number).map_or(source.text.as_str(), String::as_str)))
        .collect();
    let text = |path: &String| {
        let before = compiled.files.iter().find(|(_, f)| f.replaced && f.path == *path);
        (path.clone(), before.map_or(String::new(), |(_, f)| f.text.clone()))
    };
    held(&texts, &compiled.swapped.iter().map(text).collect::<Vec<_>>())
}

/// Compiles a file, or all `.scene` files of a folder, with what they `use`.
pub fn compile_path(path: &Path, options: Options) -> Result<Compiled, CannotOpen> {
    let files = load::files_of(path)?;
    let options = options.of(path, &files);
    let compiled = compile_from(&Disk, files, options);
    if options.found && compiled.files.iter().next().is_none() {
        return Err(CannotOpen::Nights { folder: path.to_path_buf() });
    }
    Ok(compiled)
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
        fn list(&self, folder: &Path) -> Option<Vec<PathBuf>> {
            Disk.list(folder)
        }
    }
    compile_from(&Input(bytes), vec![PathBuf::from("-")], options)
}

/// The book without the devices that are out tonight: which scenes need them is known once it is settled with them.
fn tonight(mut book: Book) -> Book {
    let Some(night) = book.night.as_ref().filter(|night| !night.out.is_empty()) else { return book };
    let devices: Vec<DeviceId> = night.out.iter().map(|(device, _)| *device).collect();
    let gone = {
        let table = settle::settle(&book, false).table;
        let fed = |device: DeviceId| {
            book.board.devices.get(device).is_some_and(|d| d.kind == DeviceKind::Amp && d.fed_by.is_some())
        };
        let sounds = |scene, device: DeviceId| {
            // Which scenes an amplifier sounded in that is not there is not known any more: its output is not there either.
            let gone = |d: &Device| d.kind == DeviceKind::Amp && night.absent.contains(&d.name);
            if book.board.devices.get(device).is_some_and(gone) {
                return false;
            }
            let row = settle::Row::of(&book, &table, scene);
            let answer = if fed(device) { row.fed(device) } else { row.sounds(device) };
            answer != Answer::No
        };
        book::out::without(&book, &devices, &sounds)
    };
    book = gone.0;
    if let Some(night) = &mut book.night {
        night.gone = gone.1;
    }
    book
}

/// Compiles files from any shelf.
pub fn compile_from(shelf: &dyn Shelf, roots: Vec<PathBuf>, options: Options) -> Compiled {
    let Read { files, trees, swapped, loading, reading } = reader::read(shelf, &roots, options);
    let (book, mut binding) = book::bind(&files, &trees);
    let mut book = tonight(book);
    let (settled, inside) = settle::inside::settle(&mut book, !options.errors_only);
    let Settled { mut table, faults: settling, hints } = settled;
    if !inside.is_empty() {
        binding.extend(inside);
        binding.sort_by_key(book::Fault::at);
    }
    let (presets, slots) = fill::presets(&book);
    let helpers = fill::helpers::Helpers::of(&book, &table, &presets);
    helpers.store(&book, &mut table);
    let momentary = study::momentary::study(&book, &table, &presets);
    study::momentary::store(&momentary, &mut table);
    let studies = Studies::new(hints);
    Compiled::new(Stages {
        files,
        trees,
        swapped,
        loading,
        reading,
        book,
        binding,
        table,
        settling,
        presets,
        slots,
        helpers,
        momentary,
        studies,
    })
}

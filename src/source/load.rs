//! Reading the files of a book: from the disk, or from texts that somebody already holds.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

use super::{SourceFile, Span};

/// Where files come from.
pub trait Shelf {
    /// The bytes of a file; an error says why in the system's words.
    fn read(&self, path: &Path) -> Result<Vec<u8>, String>;
}

/// The disk.
pub struct Disk;

impl Shelf for Disk {
    #[allow(clippy::disallowed_methods, reason = "this is where files are read")]
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        std::fs::read(path).map_err(|e| e.to_string())
    }
}

/// Texts held in memory, by path.
pub struct Held(BTreeMap<PathBuf, Vec<u8>>);

impl Held {
    /// Holds some texts.
    pub fn new<'t>(texts: impl IntoIterator<Item = (&'t str, &'t [u8])>) -> Held {
        Held(texts.into_iter().map(|(path, bytes)| (PathBuf::from(path), bytes.to_vec())).collect())
    }
}

impl Shelf for Held {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        self.0.get(path).cloned().ok_or_else(|| "no such file".to_owned())
    }
}

/// What reading files can find wrong.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// `use` of a file that cannot be read.
    Missing {
        /// The text behind `use`.
        at: Span,
        /// The path looked for.
        path: String,
        /// Why, in the system's words.
        why: String,
    },
    /// `use` of a file outside the book's folder.
    Outside {
        /// The text behind `use`.
        at: Span,
    },
    /// Files that use each other in a circle.
    Circular {
        /// The text behind the `use` that closes it.
        at: Span,
        /// The paths, from the first file back to it.
        circle: Vec<String>,
    },
}

/// Bytes as a file of a book. Bytes that are not UTF-8 are shown as replacement characters, and noted.
pub fn file(path: &Path, bytes: Vec<u8>) -> SourceFile {
    let path = shown(path);
    match String::from_utf8(bytes) {
        Ok(text) => SourceFile { path, text, not_utf8: None, shipped: false },
        Err(error) => {
            let at = error.utf8_error().valid_up_to() as u32;
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            SourceFile { path, text, not_utf8: Some(at), shipped: false }
        }
    }
}

/// A path as a book writes it, whatever the system's separator.
pub fn shown(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}

/// `a/b/../c` without its turns, by the text alone.
pub fn straight(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            other => out.push(other),
        }
    }
    out
}

/// What lies beside a path that is not there and may have been meant.
#[allow(clippy::disallowed_methods, reason = "this is where folders are read")]
fn near(book: &Path) -> String {
    let folder = book.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Some(name) = book.file_name().filter(|_| !book.exists()).and_then(|n| n.to_str()) else { return String::new() };
    let beside = std::fs::read_dir(folder).into_iter().flatten().filter_map(|entry| entry.ok().map(|e| e.path()));
    let books = beside.filter(|path| path.is_dir() || path.extension().is_some_and(|e| e == "scene"));
    let mut names: Vec<String> = books.filter_map(|path| Some(path.file_name()?.to_str()?.to_owned())).collect();
    names.sort();
    // `song` may mean `songs.scene`.
    let stem = |name: &'_ str| name.strip_suffix(".scene").unwrap_or(name).to_owned();
    let stems: Vec<String> = names.iter().map(|n| stem(n)).collect();
    let near = crate::near::nearest(&stem(name), stems.iter().map(String::as_str));
    let near = near.and_then(|near| names.iter().find(|n| stem(n) == near));
    near.map_or(String::new(), |near| format!("; did you mean `{}`?", shown(&book.with_file_name(near))))
}

/// The files of a BOOK argument: a file by itself, or every `.scene` file of a folder, by name.
#[allow(clippy::disallowed_methods, reason = "this is where folders are read")]
pub fn files_of(book: &Path) -> Result<Vec<PathBuf>, String> {
    let trouble = |e: std::io::Error| format!("cannot read {}: {e}{}", shown(book), near(book));
    if !std::fs::metadata(book).map_err(trouble)?.is_dir() {
        return Ok(vec![book.to_path_buf()]);
    }
    let mut files = Vec::new();
    for entry in std::fs::read_dir(book).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        if path.extension().is_some_and(|e| e == "scene") && path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(format!("no file in {} ends in .scene", shown(book)));
    }
    Ok(files)
}

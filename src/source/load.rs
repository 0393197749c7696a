//! Reading the files of a book: from the disk, or from texts that somebody already holds.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

use super::regular::{opened, whole, words};
use super::{SourceFile, Span};

/// All files of a book together.
pub const MOST_BOOK: u64 = 512 << 20;

/// Where files come from.
pub trait Shelf {
    /// The bytes of a file; an error says why in the system's words.
    fn read(&self, path: &Path) -> Result<Vec<u8>, String>;

    /// The file or folder that a path leads to in the end; None where nothing is there, and where there are no links.
    fn real(&self, _path: &Path) -> Option<PathBuf> {
        None
    }

    /// The `.scene` files of a folder, by name; None for what is no folder.
    fn list(&self, _folder: &Path) -> Option<Vec<PathBuf>> {
        None
    }
}

/// The disk.
pub struct Disk;

impl Shelf for Disk {
    fn read(&self, path: &Path) -> Result<Vec<u8>, String> {
        whole(opened(path)?)
    }

    fn real(&self, path: &Path) -> Option<PathBuf> {
        std::fs::canonicalize(path).ok()
    }

    #[allow(clippy::disallowed_methods, reason = "this is where folders are read")]
    fn list(&self, folder: &Path) -> Option<Vec<PathBuf>> {
        let there = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let files = std::fs::read_dir(there).ok()?.filter_map(|entry| Some(folder.join(entry.ok()?.file_name())));
        let mut files: Vec<PathBuf> = files.filter(|path| is_scene(path)).collect();
        files.sort();
        Some(files)
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

    fn list(&self, folder: &Path) -> Option<Vec<PathBuf>> {
        let inside = self.0.keys().filter(|path| path.parent() == Some(folder) && is_scene(path));
        let files: Vec<PathBuf> = inside.cloned().collect();
        (!files.is_empty() && !self.0.contains_key(folder)).then_some(files)
    }
}

/// So many files of a circle are named.
pub const LONGEST_CIRCLE: usize = 20;

/// What reading files can find wrong.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// A file that cannot be read.
    Missing {
        /// The text behind `use`; nothing, in the file itself, when it was found in the book's folder.
        at: Span,
        /// The path looked for.
        path: String,
        /// Why, in the system's words.
        why: String,
    },
    /// A file outside the book's folder.
    Outside {
        /// The text behind `use`; nothing, in the file itself, when a link in the book's folder leads out of it.
        at: Span,
    },
    /// A night's book that another file uses: it is opened by its own name alone.
    Night {
        /// The text behind `use`.
        at: Span,
        /// Its path.
        path: String,
    },
    /// A file that stands for another which nobody uses.
    NotUsed {
        /// The text behind `instead use`.
        at: Span,
        /// What the book does use, as it is written, by name.
        used: Vec<String>,
    },
    /// Files that use each other in a circle.
    Circular {
        /// The text behind the `use` that closes it.
        at: Span,
        /// The paths, from the first file on; of a long circle, the first of them.
        circle: Vec<String>,
        /// How many more there are.
        more: usize,
    },
}

/// Bytes as a file of a book. Bytes that are not UTF-8 are shown as replacement characters, and noted.
pub fn file(path: &Path, bytes: Vec<u8>) -> SourceFile {
    let (path, disk) = (shown(path), path.to_path_buf());
    match String::from_utf8(bytes) {
        Ok(text) => SourceFile { path, disk, text, not_utf8: None, shipped: false, replaced: false },
        Err(error) => {
            let at = error.utf8_error().valid_up_to() as u32;
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            SourceFile { path, disk, text, not_utf8: Some(at), shipped: false, replaced: false }
        }
    }
}

/// A path as a book writes it, whatever the system's separator.
pub fn shown(path: &Path) -> String {
    path.to_string_lossy().replace(std::path::MAIN_SEPARATOR, "/")
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
    let books = beside.filter(|path| (path.is_dir() && !is_hidden(path)) || is_scene(path));
    let mut names: Vec<String> = books.filter_map(|path| Some(path.file_name()?.to_str()?.to_owned())).collect();
    names.sort();
    // `song` may mean `songs.scene`.
    let stem = |name: &'_ str| name.strip_suffix(".scene").unwrap_or(name).to_owned();
    let stems: Vec<String> = names.iter().map(|n| stem(n)).collect();
    let near = crate::near::nearest(&stem(name), stems.iter().map(String::as_str));
    let near = near.and_then(|near| names.iter().find(|n| stem(n) == near));
    near.map_or(String::new(), |near| format!("; did you mean `{}`?", shown(&book.with_file_name(near))))
}

/// A file that a system or a memory stick keeps for itself, as `._songs.scene`.
fn is_hidden(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.as_encoded_bytes().starts_with(b"."))
}

/// True for a path that a folder's book is made of.
pub(super) fn is_scene(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "scene") && !is_hidden(path)
}

/// Why a book could not be opened.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum CannotOpen {
    /// It cannot be read, or is nothing that a book may be.
    Unreadable {
        /// The path.
        path: PathBuf,
        /// Why, in words.
        why: String,
    },
    /// A folder that holds no `.scene` file.
    Empty {
        /// The folder.
        folder: PathBuf,
    },
    /// A folder whose files all amend other books.
    Nights {
        /// The folder.
        folder: PathBuf,
    },
}

impl std::fmt::Display for CannotOpen {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            CannotOpen::Unreadable { path, why } => write!(out, "cannot read {}: {why}", shown(path)),
            CannotOpen::Nights { folder } => {
                write!(out, "each file in {} amends a book for one night: open it by its own name", shown(folder))
            }
            CannotOpen::Empty { folder } => write!(out, "no file in {} ends in .scene", shown(folder)),
        }
    }
}

impl std::error::Error for CannotOpen {}

/// The files of a BOOK argument: a file by itself, or all that a folder calls `.scene`, by name. What of these is no
/// file is found when it is read.
#[allow(clippy::disallowed_methods, reason = "this is where folders are read")]
pub fn files_of(book: &Path) -> Result<Vec<PathBuf>, CannotOpen> {
    let cannot = |why: String| CannotOpen::Unreadable { path: book.to_path_buf(), why };
    let trouble = |e: std::io::Error| cannot(words(e) + &near(book));
    if !std::fs::metadata(book).map_err(trouble)?.is_dir() {
        opened(book).map_err(cannot)?;
        return Ok(vec![book.to_path_buf()]);
    }
    let mut files = Vec::new();
    for entry in std::fs::read_dir(book).map_err(trouble)? {
        let path = entry.map_err(trouble)?.path();
        if is_scene(&path) {
            files.push(path);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(CannotOpen::Empty { folder: book.to_path_buf() });
    }
    Ok(files)
}

/// The folder that a path leads to in the end; the empty path is the current one.
pub fn real_folder(shelf: &dyn Shelf, folder: &Path) -> Option<PathBuf> {
    shelf.real(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })
}

/// True when a link among the files that were found in a folder leads out of it.
pub fn leads_out(shelf: &dyn Shelf, folder: &Path, file: &Path) -> bool {
    real_folder(shelf, folder).zip(shelf.real(file)).is_some_and(|(folder, file)| !file.starts_with(folder))
}

//! What is a file, and not too large for one: everything else is refused before anybody waits for it.

use std::fs::{File, Metadata};
use std::io::Read;
use std::path::Path;

/// A file larger than this is none that somebody wrote; and places in a text are counted in 32 bits.
pub const MOST_FILE: u64 = 256 << 20;

/// A regular file, opened. What is none is not even opened: a pipe would wait for somebody who writes.
#[allow(clippy::disallowed_methods, reason = "this is where files are read")]
pub fn opened(path: &Path) -> Result<File, String> {
    regular(&std::fs::metadata(path).map_err(words)?)?;
    let file = File::open(path).map_err(words)?;
    // Another may have taken its place.
    regular(&file.metadata().map_err(words)?)?;
    Ok(file)
}

/// All that can be read, up to the size that a file may have: it may grow without end.
pub fn whole(from: impl Read) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    from.take(MOST_FILE + 1).read_to_end(&mut bytes).map_err(words)?;
    within(bytes.len() as u64)?;
    Ok(bytes)
}

fn within(bytes: u64) -> Result<(), String> {
    if bytes > MOST_FILE { Err(format!("it is larger than {} MiB", MOST_FILE >> 20)) } else { Ok(()) }
}

fn regular(about: &Metadata) -> Result<(), String> {
    if about.is_file() { within(about.len()) } else { Err(kind(about).to_owned()) }
}

/// What it is, when it is no regular file.
fn kind(about: &Metadata) -> &'static str {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        let kind = about.file_type();
        if kind.is_fifo() {
            return "it is a pipe and no file; say `-` to read standard input";
        }
        if kind.is_socket() {
            return "it is a socket and no file";
        }
        if kind.is_char_device() || kind.is_block_device() {
            return "it is a device and no file";
        }
    }
    if about.is_dir() { "it is a folder" } else { "it is no file" }
}

/// Why something cannot be read, in the system's words, without its number, which helps nobody.
pub(super) fn words(error: std::io::Error) -> String {
    let says = error.to_string();
    let says = says.split(" (os error").next().unwrap_or(&says);
    let mut letters = says.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

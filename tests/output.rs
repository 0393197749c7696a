//! What is written: the same bytes through a pipe and into a file, where they are meant to go, whole or not at all.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

#[path = "output/endings.rs"]
mod endings;
#[path = "output/ends.rs"]
mod ends;
#[path = "output/kills.rs"]
mod kills;
#[path = "output/pipe.rs"]
mod pipe;
#[path = "output/places.rs"]
mod places;

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Output};

/// The tool, from a folder.
fn tipring<W: AsRef<OsStr>>(dir: &Path, words: &[W]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What was told beside the output.
fn told(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).into_owned()
}

/// How many files of the tool's own lie about in a folder.
fn strays(folder: &Path) -> usize {
    let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    names.filter(|name| name.to_string_lossy().starts_with('.')).count()
}

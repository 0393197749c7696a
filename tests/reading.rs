//! What is read, and what of it reaches the eye: line ends, files that are none, paths, hidden characters, controls.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

#[path = "reading/ends.rs"]
mod ends;
#[path = "reading/eye.rs"]
mod eye;
#[path = "reading/files.rs"]
mod files;
#[path = "reading/hidden.rs"]
mod hidden;
#[path = "reading/outside.rs"]
mod outside;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Exit code, standard output, standard error. A command that takes longer than a minute is ended, and has no code.
fn tipring(words: &[&str], dir: &Path) -> (Option<i32>, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    command.args(words).current_dir(dir).env("NO_COLOR", "1").stdin(Stdio::null());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let (mut out, mut told) = (child.stdout.take().unwrap(), child.stderr.take().unwrap());
    let read = std::thread::spawn(move || (text(&mut out), text(&mut told)));
    let until = Instant::now() + Duration::from_secs(60);
    let code = loop {
        match child.try_wait().unwrap() {
            Some(status) => break status.code(),
            None if Instant::now() > until => {
                child.kill().unwrap();
                child.wait().unwrap();
                break None;
            }
            None => std::thread::sleep(Duration::from_millis(5)),
        }
    };
    let (out, told) = read.join().unwrap();
    (code, out, told)
}

fn text(from: &mut impl std::io::Read) -> String {
    let mut bytes = Vec::new();
    from.read_to_end(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

/// A folder with these files.
fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    folder
}

const BOARD: &str = "switcher { loops 1; banks 1..2, switches 1..2 }\npedal ember { loop 1 }\n";
const SONGS: &str = "scene bed { engage ember }\nsong \"Quay\" { all: bed }\n";

//! Every fenced block of README.md and DEVELOPERS.md is run.
//!
//! - ```` ```scene NAME ```` writes the block to a file of that name, for the blocks after it.
//! - ```` ```console ```` runs each line that starts with `$ ` and compares what it prints with the lines that follow.
//! - ```` ```sh ```` runs each line. `cargo run --` is the binary under test; `cargo test` is this very run,
//!   so it is only looked at: `.ci/run` takes it from here and runs it.
//!
//! No other kind of fence may stand there.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::path::Path;
use std::process::Command;

struct Fence {
    info: String,
    line: usize,
    text: String,
}

fn fences(document: &str) -> Vec<Fence> {
    let mut out = Vec::new();
    let mut open: Option<Fence> = None;
    for (n, line) in document.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (Some(_), Some(_)) => out.extend(open.take()),
            (None, Some(info)) => open = Some(Fence { info: info.to_owned(), line: n + 1, text: String::new() }),
            (Some(fence), None) => {
                fence.text.push_str(line);
                fence.text.push('\n');
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a fence is not closed");
    out
}

/// Words of a command line; quotes group, nothing else is special.
fn words(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (n, piece) in line.split('"').enumerate() {
        match n % 2 {
            0 => out.extend(piece.split_whitespace().map(str::to_owned)),
            _ => out.push(piece.to_owned()),
        }
    }
    out
}

fn run(folder: &Path, line: &str) -> String {
    let words = words(line);
    let program = match words[0].as_str() {
        "tipring" => env!("CARGO_BIN_EXE_tipring").to_owned(),
        other => other.to_owned(),
    };
    let output = Command::new(&program).args(&words[1..]).current_dir(folder).output();
    let output = output.unwrap_or_else(|e| panic!("{line}: {e}"));
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

fn trimmed(text: &str) -> Vec<&str> {
    text.trim_matches('\n').lines().map(str::trim_end).collect()
}

fn console(folder: &Path, fence: &Fence, wrong: &mut Vec<String>) {
    let mut rest = fence.text.as_str();
    while let Some(command) = rest.strip_prefix("$ ") {
        let (line, after) = command.split_once('\n').unwrap_or((command, ""));
        let end = if after.starts_with("$ ") { 0 } else { after.find("\n$ ").map_or(after.len(), |n| n + 1) };
        let (wanted, next) = after.split_at(end);
        let found = run(folder, line);
        if trimmed(&found) != trimmed(wanted) {
            wrong.push(format!("line {}: `{line}` prints\n{found}\nand not\n{wanted}", fence.line));
        }
        rest = next;
    }
    assert!(rest.trim().is_empty(), "line {}: a console block starts with `$ `", fence.line);
}

fn sh(folder: &Path, fence: &Fence, wrong: &mut Vec<String>) {
    for line in fence.text.lines() {
        if line == "cargo test" {
            continue;
        }
        let Some(arguments) = line.strip_prefix("cargo run -- ") else {
            wrong.push(format!("line {}: `{line}` is neither the main job nor the tests", fence.line));
            continue;
        };
        let output = Command::new(env!("CARGO_BIN_EXE_tipring")).args(words(arguments)).current_dir(folder).output();
        let output = output.unwrap();
        if !output.status.success() {
            wrong.push(format!("line {}: `{line}` fails: {}", fence.line, String::from_utf8_lossy(&output.stderr)));
        }
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target)
        } else {
            {
                std::fs::copy(&path, &target).unwrap();
            }
        }
    }
}

fn document(name: &str) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join(name)).unwrap();
    let folder = tempfile::tempdir().unwrap();
    copy(&root.join("examples"), &folder.path().join("examples"));
    let mut wrong = Vec::new();
    let all = fences(&text);
    assert!(!all.is_empty(), "{name} shows nothing");
    for fence in &all {
        match fence.info.split_whitespace().collect::<Vec<_>>().as_slice() {
            ["scene", file] => std::fs::write(folder.path().join(file), &fence.text).unwrap(),
            ["console"] => console(folder.path(), fence, &mut wrong),
            ["sh"] => sh(folder.path(), fence, &mut wrong),
            _ => wrong.push(format!("line {}: a fence of `{}` is not run", fence.line, fence.info)),
        }
    }
    assert!(wrong.is_empty(), "{name}:\n{}", wrong.join("\n\n"));
}

#[test]
fn readme() {
    document("README.md");
}

#[test]
fn developers() {
    document("DEVELOPERS.md");
}

//! Every command in every format, as the command line itself lists them: through a pipe and with `-o`.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use super::{root, tipring, told};

const W: &str = "examples/winter";

/// A line for every command that prints, and more than one where an option prints something else. What follows `!` is
/// the one format that the line goes with.
fn lines(command: &str) -> Vec<Vec<&'static str>> {
    let book = |words: &[&'static str]| [&[W], words].concat();
    match command {
        "check" => vec![book(&[])],
        "table" => vec![book(&[]), book(&["--free"])],
        "diff" => vec![book(&["examples/spring"]), book(&["examples/spring", "--source"])],
        "where" => vec![book(&["rotary"])],
        "walk" => vec![book(&[]), book(&["--from", "solo", "--to", "verse"])],
        "labels" | "supply" | "wiring" | "buildcheck" | "slots" => vec![book(&[])],
        "readback" => vec![book(&["tests/readback/winter.csv"])],
        "linecheck" => vec![book(&["--isolate"]), book(&["--set", "hall night"])],
        "midi" => ["hall night", "club night"].map(|set| book(&["--set", set])).to_vec(),
        "calls" => vec![vec!["examples/fly"]],
        "sheet" => vec![book(&[]), book(&["--for", "player"]), book(&["--for", "tech", "--program"])],
        "signal" => vec![book(&["summit"])],
        "without" => vec![book(&[]), book(&["hasp"]), book(&["switcher"])],
        "explain" => vec![vec!["--all"]],
        other => panic!("`{other}` has formats, and no line here"),
    }
}

/// A line for every command that prints in one way.
fn plain(command: &str) -> Option<Vec<Vec<&'static str>>> {
    Some(match command {
        "why" => vec![vec![W, "summit"], vec![W, "summit", "--cells"]],
        "stage" => vec![vec![W], vec![W, "--set", "club night"]],
        "adopt" => vec![vec!["tests/adopt/recorded.ods", "--steps", "128"]],
        "merge" => vec![vec!["examples/winter/songs.scene"; 3]],
        // These have no `-o`: they rewrite files (`fmt` below), or make a folder.
        "change" | "fmt" | "new" => return None,
        other => panic!("`{other}` is a command, and has no line here"),
    })
}

fn same(command: &str, words: &[&str], format: Option<&str>) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("written");
    let mut line = [&[command], words].concat();
    line.extend(format.iter().flat_map(|f| ["--format", f]));
    let piped = tipring(root(), &line);
    let named = file.display().to_string();
    line.extend(["-o", &named]);
    let out = tipring(root(), &line);
    assert_eq!(piped.status, out.status, "{line:?}: {}", told(&out));
    assert!(out.stdout.is_empty(), "{line:?} prints beside the file");
    let written = fs::read(&file).unwrap_or_else(|e| panic!("{line:?}: {e}: {}", told(&out)));
    assert!(piped.stdout == written, "{line:?}: {} bytes by pipe, {} by -o", piped.stdout.len(), written.len());
    // Of a book with nothing wrong a check says nothing to programs.
    let silent = command == "check" && format == Some("json");
    assert!(silent || !written.is_empty(), "{line:?} writes nothing");
    written.len()
}

#[test]
fn every_command_and_format_is_the_same_through_a_pipe() {
    let (mut runs, mut bytes) = (0, 0);
    for command in tipring::cli::command().get_subcommands() {
        let name = command.get_name();
        let formats = command.get_arguments().find(|a| a.get_id() == "format").map(clap::Arg::get_possible_values);
        match formats {
            Some(formats) => {
                for format in &formats {
                    for line in lines(name) {
                        // Paper has no letters of one width, a list of presets asks for no set, and both say so.
                        let (format, has) = (format.get_name(), |word| line.contains(&word));
                        if has("--source") && format == "pdf" {
                            continue;
                        }
                        // A list of songs is of one set.
                        let line = match format {
                            "songs" => vec![W, "--set", "hall night"],
                            "hex" | "json" if has("--set") => vec![W],
                            _ => line,
                        };
                        bytes += same(name, &line, Some(format));
                        runs += 1;
                    }
                }
            }
            None => {
                for line in plain(name).unwrap_or_default() {
                    bytes += same(name, &line, None);
                    runs += 1;
                }
            }
        }
    }
    let buffers = &[W, "--buffers", "5kHz"][..];
    for (name, line, format) in
        [("explain", &["layers-disagree"][..], None), ("explain", &[], None), ("signal", buffers, Some("text"))]
    {
        bytes += same(name, line, format);
        runs += 1;
    }
    println!("{runs} lines, {bytes} bytes each way");
    assert!(runs >= 50, "{runs}");
}

/// A text that a stream for terminals would take for colours, links and titles.
const TRICKY: &str = "\u{feff}switcher { loops 1 } # \u{1b}[31mred\u{1b}[0m \u{1b}]0;title\u{7} \u{9b}1m \u{7}\u{8}\n\
     pedal ember { loop 1 }\nscene bed { engage ember } # \u{1b}(B \u{90}q\u{9c} \u{7f}\nsong \"Quay\" { all: bed }\n";

fn fed(words: &[&str], text: &str) -> (Option<i32>, Vec<u8>) {
    let mut run = Command::new(env!("CARGO_BIN_EXE_tipring"));
    let mut child = run.args(words).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    (out.status.code(), out.stdout)
}

#[test]
fn control_characters_in_a_text_go_through() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    fs::write(&file, TRICKY).unwrap();
    let path = file.display().to_string();

    // All of it, or nothing at all where the text is refused for them.
    let merged = tipring(folder.path(), &["merge", &path, &path, &path]);
    match merged.status.code() {
        Some(2) => assert!(merged.stdout.is_empty()),
        _ => assert!(merged.stdout == TRICKY.as_bytes(), "merge: {:?}", String::from_utf8_lossy(&merged.stdout)),
    }
    let (code, formatted) = fed(&["fmt", "-"], TRICKY);
    assert_eq!(tipring(folder.path(), &["fmt", &path]).status.code(), code);
    assert!(fs::read(&file).unwrap() == formatted, "fmt -: {:?}", String::from_utf8_lossy(&formatted));
    let escapes = |bytes: &[u8]| bytes.iter().filter(|b| **b < 32 && **b != b'\n').count();
    assert_eq!(escapes(&formatted), escapes(TRICKY.as_bytes()));
}

//! The commands as people call them: names that nothing has get a way out, and what is written keeps its look.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "cli/change.rs"]
mod change;
#[path = "cli/cues.rs"]
mod cues;
#[path = "cli/told.rs"]
mod told;

use std::fs;
use std::path::Path;
use std::process::Command;

/// Exit code, standard output, standard error.
fn tipring(words: &[&str], dir: &Path) -> (Option<i32>, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (out.status.code(), text(&out.stdout), text(&out.stderr))
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn what_is_not_there_gets_a_way_out() {
    const WINTER: &str = "examples/winter";
    for (words, says) in [
        (&["check", "examples/wintr"][..], "did you mean `examples/winter`?"),
        (&["check", "examples/winter/song"], "did you mean `examples/winter/songs.scene`?"),
        (&["walk", WINTER, "--set", "clubb night"], "did you mean `club night`?"),
        (&["walk", WINTER, "--set", "x"], "there are `club night`, `hall night` and `seated night`"),
        (&["sheet", WINTER, "--set", "x"], "there are `club night`, `hall night` and `seated night`"),
        (&["midi", WINTER], "name one with `--set`; there are `club night`, `hall night` and `seated night`"),
        (&["why", WINTER, "sumit"], "did you mean `summit`?"),
        (&["why", WINTER, "summit", "loop-55"], "did you mean `loop-5`?"),
        (&["why", WINTER, "summit", "alder.sparkel"], "did you mean `alder.sparkle`?"),
        (&["explain", "rule-brocken"], "did you mean `rule-broken`?"),
    ] {
        let (code, out, told) = tipring(words, root());
        assert_eq!((code, out.as_str()), (Some(2), ""), "{words:?}");
        assert!(told.contains(says), "{words:?}: {told}");
    }
}

#[test]
fn why_knows_pedals_controls_and_cells() {
    let why = |cell: &str| {
        let (code, out, told) = tipring(&["why", "examples/winter", "Summit", cell, "--cells"], root());
        assert_eq!(code, Some(0), "{cell}: {told}");
        out.lines().filter(|l| !l.starts_with(' ')).filter_map(|l| l.split(" = ").next()).map(str::to_owned).collect()
    };
    let amp: Vec<String> = why("alder");
    let one: Vec<String> = why("alder.sparkle");
    assert!(one.len() == 1 && amp.contains(&one[0]) && amp.len() > 1, "{amp:?} {one:?}");
    let by_cell: Vec<String> = why("loop-1");
    let by_name: Vec<String> = why("squash");
    let by_label: Vec<String> = why("sqs");
    assert_eq!(by_name.first(), by_cell.first());
    assert_eq!(by_name, by_label);
}

#[test]
fn every_code_is_explained_in_whole_sentences() {
    let (code, out, _) = tipring(&["explain"], root());
    assert_eq!(code, Some(0));
    assert!(out.lines().count() > 50);
    let codes = out.lines().filter(|line| !line.contains(" word     "));
    for line in codes {
        assert!(line.ends_with('.'), "{line}");
        let (_, page, _) = tipring(&["explain", line.split_whitespace().next().unwrap()], root());
        assert!(page.contains("\nOn stage\n") && page.contains("\nWay out\n"), "{page}");
        assert!(!page.contains("```") && !page.lines().any(|l| l.starts_with("# ")), "{page}");
    }
}

#[test]
fn a_book_in_its_canonical_look_keeps_it_when_slots_are_pinned() {
    let folder = tempfile::tempdir().unwrap();
    for starter in ["starter-small", "starter-touring"] {
        let book = format!("{starter}-book");
        assert_eq!(tipring(&["new", &book, "--from", starter], folder.path()).0, Some(0));
        assert_eq!(tipring(&["fmt", "--check", &book], folder.path()).0, Some(0), "{starter} ships canonical");
        let before = fs::read_to_string(folder.path().join(&book).join("book.scene")).ok();
        assert_eq!(tipring(&["slots", &book, "--pin"], folder.path()).0, Some(0));
        assert_eq!(tipring(&["fmt", "--check", &book], folder.path()).0, Some(0), "{starter} stays canonical");
        assert_eq!(tipring(&["check", &book], folder.path()).0, Some(0));
        if let Some(before) = before {
            assert_ne!(before, fs::read_to_string(folder.path().join(&book).join("book.scene")).unwrap());
        }
    }
}

#[test]
fn mends_are_listed_where_they_were_made() {
    let folder = tempfile::tempdir().unwrap();
    let text =
        "switcher { loops 1 }\npedal ember { loop 1; input 500k }\nscene a { engage ember }\nsong \"Quay\" { a }\n";
    fs::write(folder.path().join("book.scene"), text).unwrap();
    let (_, _, told) = tipring(&["check", "book.scene", "--fix"], folder.path());
    assert!(told.contains("book.scene:2: "), "{told}");
    assert!(told.contains("1 mend made in 1 file"), "{told}");
    let mended = fs::read_to_string(folder.path().join("book.scene")).unwrap();
    assert_eq!(mended, text.replace("500k", "500 kohm"));
}

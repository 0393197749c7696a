//! Line ends, the mark at the start and the end of the last line belong to the file: no edit changes them.

use std::fs;
use std::path::{Path, PathBuf};

use tipring::syntax::edit::{apply, rewrite};
use tipring::syntax::format::format;

use super::support::{compile, one};
use super::{root, tipring};

/// What a file can be like, beside the usual.
#[derive(Clone, Copy, Debug)]
struct Look {
    wide: bool,
    marked: bool,
    open: bool,
}

const fn look(n: u8) -> Look {
    Look { wide: n & 1 > 0, marked: n & 2 > 0, open: n & 4 > 0 }
}

const LOOKS: [Look; 7] = [look(1), look(2), look(3), look(4), look(5), look(6), look(7)];

impl Look {
    /// A text of the usual look in this one.
    fn of(self, text: &str) -> String {
        let text = if self.open { text.trim_end_matches('\n') } else { text };
        let text = if self.wide { text.replace('\n', "\r\n") } else { text.to_owned() };
        if self.marked { format!("\u{feff}{text}") } else { text }
    }
}

/// The books of the suite and of the examples, one text each, every line ended.
fn books() -> Vec<(String, String)> {
    fn scenes(folder: &Path, out: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                scenes(&path, out);
            } else if path.extension().is_some_and(|e| e == "scene") {
                out.push(path);
            }
        }
    }
    let mut files = Vec::new();
    scenes(&root().join("tests/suite"), &mut files);
    scenes(&root().join("examples"), &mut files);
    files.sort();
    let mut out = Vec::new();
    for file in files {
        let Ok(text) = fs::read_to_string(&file) else { continue };
        for (n, part) in text.split("#=== ").enumerate() {
            let part = part.split_once('\n').map_or("", |(_, rest)| rest);
            if !part.contains('\r') && !part.contains('\u{feff}') && !part.trim().is_empty() {
                out.push((format!("{}/{n}", file.display()), format!("{}\n", part.trim_end())));
            }
        }
    }
    out
}

#[test]
fn the_formatter_keeps_them() {
    let mut held = 0;
    for (name, text) in books() {
        let Ok(edits) = format(0, &text) else { continue };
        let plain = apply(&text, &edits);
        for look in LOOKS {
            let dressed = look.of(&text);
            let edits = format(0, &dressed).unwrap_or_else(|e| panic!("{name} {look:?}: {e:?}"));
            assert_eq!(apply(&dressed, &edits), look.of(&plain), "{name} {look:?}");
            held += 1;
        }
    }
    println!("{held} texts formatted");
    assert!(held > 500, "{held}");
}

#[test]
fn every_fix_keeps_them() {
    let mut held = 0;
    for (name, text) in books() {
        let plain = compile(&one("book.scene", &text));
        let fixed = |text: &str, compiled: &tipring::Compiled| -> Vec<(&'static str, String)> {
            let fixes = compiled.diagnostics().iter().filter_map(|d| Some((d.code, d.fix.as_ref()?)));
            let edits = |fix: &tipring::check::Fix| {
                fix.edits.iter().map(|(at, text)| tipring::syntax::edit::Edit::new(*at, text)).collect::<Vec<_>>()
            };
            fixes.map(|(code, fix)| (code, rewrite(text, edits(fix)))).collect()
        };
        let wanted = fixed(&text, &plain);
        if wanted.is_empty() {
            continue;
        }
        for look in LOOKS {
            let dressed = look.of(&text);
            let got = fixed(&dressed, &compile(&one("book.scene", &dressed)));
            let wanted: Vec<_> = wanted.iter().map(|(code, text)| (*code, look.of(text))).collect();
            assert_eq!(got, wanted, "{name} {look:?}");
            held += got.len();
        }
    }
    println!("{held} fixes");
    assert!(held > 300, "{held}");
}

#[test]
fn lines_of_several_ends_keep_each_its_own() {
    let text = "switcher { loops 1 }\r\n\n\n\npedal   ember { loop 1 } # a  \nscene bed {\r\n engage ember\n}\r\n";
    let edits = format(0, text).unwrap();
    let new = apply(text, &edits);
    assert_eq!(new, "switcher { loops 1 }\r\n\npedal ember { loop 1 }  # a\nscene bed {\r\n  engage ember\n}\r\n");
}

const BOOK: &str = "switcher { loops 1; banks 1..2, switches 1..4 }\npedal   ember { loop 1; input 500k }\n\
     scene bed { engage ember }\nscene dry { }\nsong \"Quay\" { one: bed; two: dry }\n";

#[test]
fn commands_that_rewrite_keep_them() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    let with_block = BOOK.to_owned() + "slots {\n  others auto\n}\n";
    for words in [&["fmt", "book.scene"][..], &["check", "book.scene", "--fix"], &["slots", "book.scene", "--pin"]] {
        for book in [BOOK, &with_block] {
            let book = if words[0] == "check" { book.to_owned() } else { book.replace("500k", "500 kohm") };
            let after = |text: &str| {
                fs::write(&file, text).unwrap();
                let out = tipring(folder.path(), words);
                assert_eq!(out.status.code(), Some(0), "{words:?}: {}", super::told(&out));
                fs::read_to_string(&file).unwrap()
            };
            let plain = after(&book);
            assert_ne!(plain, book, "{words:?}");
            for look in LOOKS {
                assert_eq!(after(&look.of(&book)), look.of(&plain), "{words:?} {look:?}");
            }
        }
    }
}

#[test]
fn fmt_changes_line_ends_where_it_is_asked_to() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    for (ends, wide) in [("crlf", true), ("lf", false)] {
        fs::write(&file, "switcher { loops 1 }\r\n# a\n\npedal ember { loop 1 }").unwrap();
        assert_eq!(tipring(folder.path(), &["fmt", "book.scene", "--line-ends", ends]).status.code(), Some(0));
        let plain = "switcher { loops 1 }\n# a\n\npedal ember { loop 1 }\n";
        let wanted = if wide { plain.replace('\n', "\r\n") } else { plain.to_owned() };
        assert_eq!(fs::read_to_string(&file).unwrap(), wanted);
    }
}

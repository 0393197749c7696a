//! The line check by hand; against every choice of presets it is held by `tests/oracle/outside/linecheck.py`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::path::Path;
use std::process::Command;

/// Two pedals that every scene engages together, an amp with two channels; `hush` lets nothing out.
const BOOK: &str = "board \"Weir\"
switcher { loops 3; remote jacks 1; outputs 1; banks 1..2, switches 1..3 }
pedal ash { loop 1 }
pedal birch { loop 2 }
amp hall { fed by output 1; control channel on remote 1 tip { low: open; high: closed } }
default { hall.channel low }
scene bare { }
scene both { engage ash, birch }
scene high from both { hall.channel high }
scene hush from high { mute }
song \"Quay\" { bare; both; high; hush }
song \"Reel\" { bare; both }
set \"night\" { \"Reel\" }
";

fn tipring(dir: &Path, words: &[&str]) -> (Option<i32>, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap();
    (out.status.code(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

fn folder(books: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    books.iter().for_each(|(name, text)| std::fs::write(folder.path().join(name), text).unwrap());
    folder
}

#[test]
fn every_way_in_the_fewest_presets() {
    let folder = folder(&[("book.scene", BOOK)]);
    let (code, said) = tipring(folder.path(), &["linecheck", "book.scene", "--format", "csv"]);
    // `bare` shows the loops bypassed, `high` all that is engaged and closed, `hush` the output off.
    let expect = "pass,step,slot,scene,what
silent,1,1.1,bare,loops none; outputs 1
silent,2,1.3,high,\"loops 1, 2; closed remote 1 tip; outputs 1\"
silent,3,2.1,hush,\"loops 1, 2; closed remote 1 tip; outputs none\"
sound,1,1.1,bare,ash bypassed (loop 1)
sound,1,1.1,bare,birch bypassed (loop 2)
sound,1,1.1,bare,hall channel low (remote 1 tip open)
sound,1,1.1,bare,output 1 on (hall)
sound,2,1.3,high,ash engaged (loop 1)
sound,2,1.3,high,birch engaged (loop 2)
sound,2,1.3,high,hall channel high (remote 1 tip closed)
sound,3,2.1,hush,output 1 off (hall)
";
    assert_eq!((code, said.replace('\r', "").as_str()), (Some(0), expect));
    let (_, said) = tipring(folder.path(), &["linecheck", "book.scene"]);
    assert!(said.starts_with("Of the whole memory: 3 presets to step through, 8 things to see. No fewer do: proved."));
    // Valve amplifiers are common; the caution stands wherever there is an amp, and nowhere else.
    assert!(said.contains("never run a valve amplifier without its speaker"), "{said}");
    let alone =
        BOOK.lines().filter(|l| !l.contains("hall")).collect::<Vec<_>>().join("\n").replace("from high", "from both");
    let alone = alone.replace("bare; both; high; hush", "bare; both; hush");
    std::fs::write(folder.path().join("book.scene"), alone).unwrap();
    let (code, said) = tipring(folder.path(), &["linecheck", "book.scene"]);
    assert!(code == Some(0) && !said.contains("valve"), "{said}");
}

#[test]
fn failures_that_look_alike_get_a_scene_that_tells_them_apart() {
    let folder = folder(&[("book.scene", BOOK)]);
    let (_, said) = tipring(folder.path(), &["linecheck", "book.scene", "--isolate"]);
    assert!(said.contains("ash engaged (loop 1), or birch engaged (loop 2)"), "{said}");
    let added: Vec<&str> = said.lines().filter_map(|l| l.trim().strip_prefix("add: ")).collect();
    assert_eq!(added, ["scene apart from bare { engage ash }", "scene apart-2 from both { bypass ash }"], "{said}");
    // With either scene the two are told apart, and every failure has a pattern of its own.
    std::fs::write(folder.path().join("book.scene"), format!("{BOOK}{}\n", added[1])).unwrap();
    let (_, said) = tipring(folder.path(), &["linecheck", "book.scene", "--isolate"]);
    assert!(said.contains("8 single failures give 8 patterns, 0 of them shared"), "{said}");
    // Eight failures, or none, are nine outcomes: four tests at least (information bound).
    assert!(said.contains("so many take at least 4 tests"), "{said}");
}

#[test]
fn for_a_set_and_for_what_changed() {
    let changed = BOOK.replace("scene bare { }", "scene bare { hall.channel high }");
    let folder = folder(&[("book.scene", BOOK), ("new.scene", &changed)]);
    let (_, said) = tipring(folder.path(), &["linecheck", "book.scene", "--set", "night"]);
    assert!(said.starts_with("Of \"night\": 2 presets"), "{said}");
    assert!(said.contains("not seen both ways: every preset that is heard has it so\nhall channel low"), "{said}");
    let (_, said) = tipring(folder.path(), &["linecheck", "new.scene", "--since", "book.scene"]);
    assert!(said.contains("2 presets to step through, 2 things to see") && !said.contains("ash engaged"), "{said}");
    let (code, said) = tipring(folder.path(), &["linecheck", "book.scene", "--since", "book.scene"]);
    assert_eq!(
        (code, said.as_str()),
        (Some(0), "Nothing to check: no preset uses anything of what changed since book.scene.\n")
    );
    let (code, said) = tipring(folder.path(), &["linecheck", "book.scene", "--set", "nigth"]);
    assert!(code == Some(2) && said.contains("did you mean `night`?"), "{said}");
}

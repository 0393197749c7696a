//! The canonical look: what it is, that it is reached at once, and that it changes nothing else.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

// Of the generator of random books only the writing half is needed here.
#[allow(dead_code)]
#[path = "settle_agrees"]
mod settle_agrees {
    pub mod abstract_book;
    pub mod board;
    pub mod generate;
    pub mod random;
    pub mod write;
    pub mod write_board;
}

#[allow(dead_code)]
mod properties {
    pub mod books;
}

use std::fs;

use assert_cmd::Command;
use properties::books;
use settle_agrees::random::Random;
use tipring::syntax::edit::apply;
use tipring::syntax::format::{Refusal, format};

fn formatted(text: &str) -> Result<String, Refusal> {
    Ok(apply(text, &format(0, text)?))
}

#[track_caller]
fn looks(text: &str, wanted: &str) {
    assert_eq!(formatted(text).unwrap(), wanted);
    assert_eq!(format(0, wanted), Ok(Vec::new()), "twice is once");
}

#[test]
fn blanks_and_indents() {
    looks(
        "\u{feff}scene   bed{engage ember,grit\r\n\tmute}\r\n\r\n\r\n\r\nsafe\u{a0}1.1;;ways any",
        // The mark at the start, line ends and the end of the last line are the file's own.
        "\u{feff}scene bed {\r\n  engage ember, grit\r\n  mute\r\n}\r\n\r\nsafe 1.1; ways any",
    );
    looks(
        "pedal ember{loop 3;input 1Mohm;power brick.A,60mA}\n",
        "pedal ember { loop 3; input 1 Mohm; power brick.A, 60 mA }\n",
    );
    looks("scene bed { }\nscene wide{\n\n}\n", "scene bed  { }\nscene wide { }\n");
    looks("patch leads 30cm at 100pF/m\n", "patch leads 30 cm at 100 pF/m\n");
    looks("slots { 2B bed; others auto }\n", "slots { 2B bed; others auto }\n");
    looks("", "");
    looks("\n\n  # alone\n", "# alone\n");
}

#[test]
fn columns_line_up() {
    looks(
        "pedal ember { loop 1 }   # one\npedal cinnabar { loop 12 } # two\n",
        "pedal ember    { loop 1 }   # one\npedal cinnabar { loop 12 }  # two\n",
    );
    looks(
        "pedal sift {\nloop 1\ninput 1 Mohm\ncontrol voice on remote 1 {\nround: tip closed\nsharpest: ring closed }\n}",
        "pedal sift {\n  loop  1\n  input 1 Mohm\n  control voice on remote 1 {\n    round:    tip closed\n    sharpest: ring closed\n  }\n}",
    );
    looks(
        "song \"Quay\" {\nverse: bed\n\"last one\": wide\n}\nslots {\n1.1 bed\n12.10 wide\n}\n",
        "song \"Quay\" {\n  verse:      bed\n  \"last one\": wide\n}\nslots {\n  1.1   bed\n  12.10 wide\n}\n",
    );
    looks(
        "rule \"one\" never a beside b\nrule \"longer\" always a or (b and not (c))\n",
        "rule \"one\"    never a beside b\nrule \"longer\" always a or (b and not (c))\n",
    );
    // Too far apart to be read as columns.
    looks(
        "scene a from b\nscene an-extraordinarily-long-name-of-a-scene from b\n",
        "scene a from b\nscene an-extraordinarily-long-name-of-a-scene from b\n",
    );
}

#[test]
fn comments_stay_where_they_belong() {
    looks(
        "# head\nscene bed { # why\n  # first\n  engage ember # second\n\n\n  # last\n}# end\n# tail",
        "# head\nscene bed {  # why\n  # first\n  engage ember  # second\n\n  # last\n}  # end\n# tail",
    );
    looks(
        "scene bed {\n engage ember, # the dirt\n grit # and more\n}\n",
        "scene bed {\n  engage ember,  # the dirt\n    grit         # and more\n}\n",
    );
    // It may be a sharp note's name: whoever wrote it should see it as it was.
    looks(
        "song \"Quay\" { all: bed }\nscene bed { mute } # in F#\n",
        "song \"Quay\" { all: bed }\nscene bed { mute }  # in F#\n",
    );
}

#[test]
fn a_line_too_long_is_broken_at_its_block() {
    let long = "scene bed { engage ember; sift.voice round; throb.depth 20 %; combo.channel lead; gully.memory long; output 2 off }\n";
    looks(
        long,
        "scene bed {\n  engage ember\n  sift.voice round\n  throb.depth 20 %\n  combo.channel lead\n  gully.memory long\n  output 2 off\n}\n",
    );
}

#[test]
fn a_text_with_mistakes_is_left_alone() {
    for text in ["scene bed {", "pedal ember { input 1 mohm }", "scen bed { mute }", "song “Quay” { all: bed }"] {
        assert!(matches!(format(0, text), Err(Refusal::Unread(_))), "{text}");
    }
}

/// The same words with other blanks between them.
fn shaken(text: &str, seed: u64) -> String {
    let mut r = Random::new(seed);
    let mut out = String::new();
    let (mut quoted, mut comment) = (false, false);
    for c in text.chars() {
        match c {
            '"' if !comment => quoted = !quoted,
            '#' if !quoted => comment = true,
            '\n' => (quoted, comment) = (false, false),
            _ => {}
        }
        out.push(c);
        if !quoted && !comment && c == ' ' && r.chance(20) {
            let blank: &&str = r.pick(&[" ", "   ", "\t", "\u{a0}"]);
            out.push_str(blank);
        }
        if c == '\n' && r.chance(20) {
            // A word in column one may end a block; a blank before it does not.
            let lines: &&str = r.pick(&["\n", "\n\n\n", "  \n"]);
            out.push_str(lines);
        }
    }
    out
}

#[test]
fn formatting_twice_is_formatting_once_and_keeps_the_tree_and_the_rows() {
    let all = books::examples().into_iter().chain(books::presets()).chain(books::suite()).chain(books::random(0..300));
    let (mut seen, mut refused, mut changed) = (0, 0, 0);
    for (number, book) in all.enumerate() {
        let mut after = book.clone();
        for (path, text) in &mut after {
            for seed in 0..3 {
                let given = if seed == 0 { text.clone() } else { shaken(text, number as u64 * 3 + seed) };
                match formatted(&given) {
                    Ok(once) => {
                        assert_eq!(formatted(&once), Ok(once.clone()), "{path}: twice is not once\n{given}");
                        changed += usize::from(once != given);
                        if seed == 0 {
                            *text = once;
                        }
                        seen += 1;
                    }
                    Err(Refusal::Unread(_)) => refused += 1,
                    Err(Refusal::Unproved) => panic!("{path}: the new look does not read the same\n{given}"),
                }
            }
        }
        let rows = |book: &books::Book| tipring::print::csv::table(&books::compile(book), true);
        assert_eq!(rows(&book), rows(&after));
    }
    assert!(seen > 1000 && changed > 500 && refused > 50, "{seen} {changed} {refused}");
}

#[test]
fn the_command_checks_shows_and_writes() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.scene");
    fs::write(&file, "scene bed{mute}\n").unwrap();
    let run = |args: &[&str]| {
        let mut command = Command::cargo_bin("tipring").unwrap();
        command.current_dir(folder.path()).arg("fmt").args(args).assert()
    };
    run(&["--check", "."]).code(1).stdout("./book.scene\n");
    let shown = run(&["--diff", "book.scene"]).code(1).get_output().stdout.clone();
    let shown = String::from_utf8(shown).unwrap();
    assert!(shown.contains("-scene bed{mute}\n+scene bed { mute }\n"), "{shown}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "scene bed{mute}\n", "nothing is written yet");
    run(&["."]).code(0).stdout("");
    assert_eq!(fs::read_to_string(&file).unwrap(), "scene bed { mute }\n");
    run(&["--check", "."]).code(0).stdout("");
    fs::write(&file, "scene bed {\n").unwrap();
    run(&["."]).code(1);
    assert_eq!(fs::read_to_string(&file).unwrap(), "scene bed {\n", "a text with mistakes is left alone");
    let mut input = Command::cargo_bin("tipring").unwrap();
    input.args(["fmt", "-"]).write_stdin("safe   1.1\n").assert().code(0).stdout("safe 1.1\n");
}

//! What is read back from the unit, and the record of what is in it: by hand. Random units are in `tests/outside.rs`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const BOOK: &str = r#"board "Drift" version "one"
switcher { loops 3; remote jacks 1; expressions 1 of 128 steps; outputs 1; banks 1..2, switches A..D; display 6 }
pedal moss { loop 1; control voice on remote 1 tip { round: closed; sharp: open } }
pedal lull { loop 2; level depth on expression 1 from 0 % to 60 % }
pedal reel { loop 3; control swirl on midi 2 programs from 1 { slow: program 3; fast: program 4 } }
treadle rocker feeds expression 1
amp hall { fed by output 1 }
scene verse { engage moss, lull; moss.voice round; lull.depth 20 % }
scene chorus-wide { engage moss, reel; moss.voice sharp; reel.swirl fast }
scene hush { mute }
slots { 1A verse; 1B chorus-wide; 2D hush }
song "Low Water" { verse; chorus-wide }
song "Quay" { verse; end: verse }
"#;

fn run(dir: &Path, words: &[&str], fed: &str) -> Output {
    let mut run = Command::new(env!("CARGO_BIN_EXE_tipring"));
    run.args(words).current_dir(dir).env_remove("SOURCE_DATE_EPOCH");
    run.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = run.spawn().unwrap();
    // Who has had enough reads no more.
    let _ = child.stdin.take().unwrap().write_all(fed.as_bytes());
    child.wait_with_output().unwrap()
}

fn out(done: &Output) -> String {
    String::from_utf8_lossy(&done.stdout).into_owned()
}

fn told(done: &Output) -> String {
    String::from_utf8_lossy(&done.stderr).into_owned()
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("book.scene"), BOOK).unwrap();
    folder
}

/// The lines of a report below a heading.
fn below<'t>(text: &'t str, heading: &str) -> Vec<&'t str> {
    let section = text.split_once(&format!("\n{heading}\n")).map_or("", |(_, rest)| rest);
    section.lines().take_while(|line| !line.is_empty()).filter(|line| line.starts_with("  ")).map(str::trim).collect()
}

#[test]
fn what_most_songs_hear_comes_first_and_free_cells_count_for_nothing() {
    let folder = folder();
    // In 1B lull is out, so that its level is free; 2D is muted.
    let table = "slot,scene,loop-1,loop-2,loop-3,remote-1-tip,expression-1,output-1,midi-2:reel.swirl\n\
        1B,chorus,0,0,1,0,87,1,3\n1A,verse,1,1,0,open,step 1,1,stays\n2d,hush,1,1,1,1,50 %,0,4\n";
    let done = run(folder.path(), &["readback", "book.scene", "-"], table);
    let text = out(&done);
    let program = [
        "[ ] 1A `verse`, in 2 songs",
        "[ ] close remote 1 tip (moss voice)",
        "[ ] expression 1: 0.8 % → 33.1 % (lull depth)",
        "[ ] 1B `chorus-wide`, in 1 song",
        "[ ] engage loop 1 (MSS)",
        "[ ] midi 2 program: 3 → 4 (reel swirl)",
    ];
    assert_eq!(below(&text, "To program")[..6], program, "{text}");
    assert_eq!(below(&text, "Touched: songs"), ["\"Low Water\"", "\"Quay\""]);
    assert_eq!(done.status.code(), Some(1));
    let csv = out(&run(folder.path(), &["readback", "book.scene", "-", "--format", "csv"], table));
    assert!(csv.contains("1A,verse,2,expression-1,0.8 %,33.1 %\n"), "{csv}");
    // The table as it is printed is all right; without a line or a cell it is not.
    let whole = out(&run(folder.path(), &["table", "book.scene", "--format", "csv"], ""));
    let done = run(folder.path(), &["readback", "book.scene", "-"], &whole);
    assert!(done.status.success() && out(&done).starts_with("all that is heard was read"), "{}", out(&done));
    let less: String = whole.lines().filter(|l| !l.starts_with("1B")).map(|l| format!("{l}\n")).collect();
    let done = run(folder.path(), &["readback", "book.scene", "-"], &less);
    assert_eq!((done.status.code(), below(&out(&done), "Not read")), (Some(1), vec!["[ ] 1B `chorus-wide`"]));
}

/// Semicolons, decimal commas, a byte order mark, words for numbers, columns in another order.
#[test]
fn tables_are_read_as_people_write_them() {
    let folder = folder();
    let table = "\u{feff}Slot;expression-1;loop-2;LOOP-1;remote-1-tip;;name\r\n1a;33,1 %;in;engaged;closed;;verse\r\n\r\n;;;;;;\r\n";
    let done = run(folder.path(), &["readback", "book.scene", "-"], table);
    assert!(!out(&done).contains("To program"), "{}{}", out(&done), told(&done));
    let tabs = "slot\texpression-1\tmidi-2:reel.swirl\n1A\t33\t\n1B\t\tfast\n";
    let done = run(folder.path(), &["readback", "book.scene", "-"], tabs);
    assert!(!out(&done).contains("To program"), "{}{}", out(&done), told(&done));
}

#[test]
fn what_cannot_be_read_is_told_at_once_and_nothing_is_kept() {
    let folder = folder();
    let table = "slot,loop-1,expression-1,midi-2:reel.swirl\n1A,maybe,101,x\n1A,1\n3A,1\n2D,1,1,1,1\n";
    let done = run(folder.path(), &["readback", "book.scene", "-", "--keep"], table);
    let says = told(&done);
    for words in [
        "line 2 (1A), `loop-1`: `maybe` is no value of it; say `1` (in) or `0` (out)",
        "line 2 (1A), `expression-1`: `101`",
        "line 2 (1A), `midi-2:reel.swirl`: `x`",
        "line 3: 1A was read in line 2 already",
        "line 4: `3A` is no slot",
        "line 5 has more fields",
    ] {
        assert!(says.contains(words), "{words}: {says}");
    }
    assert_eq!(done.status.code(), Some(2));
    assert!(!folder.path().join("book.programmed").exists());
    for (table, words) in [
        ("", "there is no table"),
        ("loop-1\n1\n", "no column called `slot`"),
        ("slot\n1A\n", "no column is a cell"),
        ("slot,lop-1\n1A,1\n", "did you mean `loop-1`?"),
        ("slot,loop-1,Loop-1\n1A,1,1\n", "two columns are called"),
        ("slot,loop-1\n", "no preset was read"),
    ] {
        let done = run(folder.path(), &["readback", "book.scene", "-"], table);
        assert!(done.status.code() == Some(2) && told(&done).contains(words), "{table}: {}", told(&done));
    }
}

const TABLE: &str = "slot,scene,loop-1,loop-2,loop-3,remote-1-tip,expression-1,output-1,midi-2:reel.swirl\n1A,verse,1,0,0,1,33.1,1,stays\n";

#[test]
fn the_record_is_a_line_a_fact_and_marks_each_slot() {
    let folder = folder();
    let at = |words: &[&str]| run(folder.path(), words, TABLE);
    let record = folder.path().join("book.programmed");
    assert!(told(&at(&["diff", "book.scene", "--from-memory"])).contains("there is no record book.programmed"));
    let done = at(&["readback", "book.scene", "--programmed", "1A,1b", "--by", "Ines", "--date", "2026-11-27"]);
    assert_eq!(out(&done), "2 slots recorded in book.programmed\n", "{}", told(&done));
    let first = fs::read_to_string(&record).unwrap();
    let line = "2026-11-27 1A programmed \"verse\" by \"Ines\" book \"one\" ";
    assert_eq!(first.lines().filter(|l| l.starts_with(line) && l.ends_with(" end")).count(), 1, "{first}");
    // What is idle in a preset is not known after it was programmed; a program is as it is sent.
    let chorus = first.lines().find(|l| l.contains(" 1B ")).unwrap();
    assert!(!chorus.contains("expression-1") && chorus.contains("midi-2-program 3"), "{chorus}");
    let sheet = out(&at(&["sheet", "book.scene", "--from-memory"]));
    for row in [
        "1A    verse        programmed 2026-11-27",
        "1B    chorus-wide  programmed 2026-11-27",
        "2D    hush         never",
    ] {
        assert!(sheet.contains(row), "{row}: {sheet}");
    }
    // Read back: one loop is out.
    assert_eq!(at(&["readback", "book.scene", "-", "--keep", "--date", "2026-11-28"]).status.code(), Some(1));
    let second = fs::read_to_string(&record).unwrap();
    assert!(second.starts_with(&first) && second.lines().count() == first.lines().count() + 1);
    let sheet = out(&at(&["sheet", "book.scene", "--from-memory", "--for", "tech"]));
    assert!(sheet.contains("1A    verse        stale 2026-11-28"), "{sheet}");
    let list = out(&at(&["diff", "book.scene", "--from-memory", "--no-copies"]));
    assert_eq!(
        below(&list, "To reprogram")[..3],
        ["[ ] 1A `verse`", "[ ] engage loop 2 (LLL)", "[ ] 2D `hush`, not in the record"]
    );
    assert!(out(&at(&["stage", "book.scene", "--from-memory"])).contains("\"stale\":[\"1A\",\"2D\"]"));
    // A folder has its record inside, and passes over it.
    let tour = folder.path().join("tour");
    fs::create_dir(&tour).unwrap();
    fs::write(tour.join("a.scene"), BOOK).unwrap();
    assert!(at(&["readback", "tour", "--programmed", "all"]).status.success());
    assert!(tour.join("unit.programmed").exists() && at(&["check", "tour"]).status.code() == Some(0));
    assert!(at(&["diff", "tour", "--from-memory"]).status.success());
    // Its own record does for another book that programs the same.
    let own = format!("--from-memory={}", tour.join("unit.programmed").display());
    assert!(at(&["diff", "book.scene", &own]).status.success());
    // What a board no longer sets is told.
    fs::write(
        folder.path().join("less.scene"),
        BOOK.replace(r#"; control swirl on midi 2 programs from 1 { slow: program 3; fast: program 4 }"#, "")
            .replace("; reel.swirl fast", ""),
    )
    .unwrap();
    let list = out(&at(&["diff", "less.scene", &own]));
    assert_eq!(
        below(&list, "Messages of another board"),
        ["[ ] 1B sends `midi-2-program 3`: take it out, the board sets no such message"],
        "{list}"
    );
    // A program that the device counts otherwise is another one.
    fs::write(folder.path().join("less.scene"), BOOK.replace("programs from 1", "programs from 0")).unwrap();
    assert!(
        out(&at(&["diff", "less.scene", &own])).contains("midi 2 program: 3 → 4"),
        "{}",
        out(&at(&["diff", "less.scene", &own]))
    );
}

#[test]
fn a_line_that_was_cut_short_is_told_and_never_written_on() {
    let folder = folder();
    let at = |words: &[&str]| run(folder.path(), words, TABLE);
    let record = folder.path().join("book.programmed");
    at(&["readback", "book.scene", "--programmed", "1A"]);
    let whole = fs::read(&record).unwrap();
    let line = whole.iter().take(whole.len() - 1).rposition(|b| *b == b'\n').unwrap() + 1;
    for cut in line + 1..whole.len() {
        fs::write(&record, &whole[..cut]).unwrap();
        assert!(at(&["readback", "book.scene", "--programmed", "1B"]).status.success());
        let now = fs::read(&record).unwrap();
        assert!(now.starts_with(&whole[..cut]) && now[cut] == b'\n');
        let done = at(&["sheet", "book.scene", "--from-memory"]);
        let short = told(&done).contains("was cut short while it was written");
        // With its end the line says all, wherever the line's end has gone.
        assert_eq!(short, cut < whole.len() - 1, "{cut}");
        assert!(out(&done).contains("1B    chorus-wide  programmed"), "{cut}: {}", out(&done));
    }
    // What is no fact is no half one either.
    fs::write(
        &record,
        "2026-11-27 1A put \"verse\" book \"one\" abc: loop-1 1 end\nundated 1A read book \"\" -: loop-1 end\n",
    )
    .unwrap();
    let done = at(&["diff", "book.scene", "--from-memory"]);
    assert!(told(&done).contains("line 1 is no fact, line 2 is no fact"), "{}", told(&done));
    assert_eq!(done.status.code(), Some(2));
}

#[test]
fn a_person_is_asked_and_answers_are_kept_at_once() {
    let folder = folder();
    let ask =
        |words: &[&str], fed: &str| run(folder.path(), &[&["readback", "book.scene", "--ask"], words].concat(), fed);
    // 1A is right, of 1B the program is another; nobody is left for 2D.
    let done = ask(&["--keep", "--by", "Ines"], "y\nno\nyes\ny\ny\ny\ny\ny\ny\nno\nsideways\nslow\n");
    assert_eq!(
        below(&out(&done), "To program"),
        ["[ ] 1B `chorus-wide`, in 1 song", "[ ] midi 2 program: 3 → 4 (reel swirl)"],
        "{} {}",
        out(&done),
        told(&done)
    );
    assert_eq!(below(&out(&done), "Not read"), ["[ ] 2D `hush`"]);
    assert!(told(&done).contains("`sideways` is no value of it"));
    let record = fs::read_to_string(folder.path().join("book.programmed")).unwrap();
    assert_eq!(record.lines().filter(|l| l.contains(" read ") && l.contains("by \"Ines\"")).count(), 2, "{record}");
    // What was right is not asked again, in this very book.
    let done = ask(&["--keep"], "q\n");
    assert!(
        told(&done).contains("1 of 3 were read before") && told(&done).contains("1 of 2: 1B chorus-wide"),
        "{}",
        told(&done)
    );
    assert!(told(&ask(&["--keep", "--again"], "q\n")).contains("1 of 3: 1A verse"));
    assert!(told(&ask(&[], "maybe\nq\n")).contains("`maybe` is no answer"));
}

/// Somebody turned a level at the unit, and that was right.
#[test]
fn the_text_follows_what_was_read() {
    let folder = folder();
    let at = |words: &[&str], table: &str| run(folder.path(), words, table);
    let read = "slot,scene,expression-1,loop-3\n1A,verse,step 64,0\n1B,chorus-wide,,1\n";
    let shown = at(&["readback", "book.scene", "-", "--change"], read);
    assert!(
        out(&shown).contains("+scene verse { engage moss, lull; moss.voice round; lull.depth 30"),
        "{}{}",
        out(&shown),
        told(&shown)
    );
    assert_eq!(fs::read_to_string(folder.path().join("book.scene")).unwrap(), BOOK);
    let done = at(&["readback", "book.scene", "-", "--change", "--write"], read);
    assert!(done.status.success() && out(&done).ends_with("written: book.scene\n"), "{}", told(&done));
    let after = out(&at(&["readback", "book.scene", "-"], read));
    assert!(after.starts_with("what was read is as it should be"), "{after}");
    // A scene in two slots that were read otherwise, and a name, are no change of the text.
    let twice = BOOK.replace("2D hush", "2D hush; 2A verse");
    fs::write(folder.path().join("twice.scene"), twice).unwrap();
    let done = at(&["readback", "twice.scene", "-", "--change"], "slot,scene,loop-3\n1A,verse,1\n2A,other,0\n");
    let says = told(&done);
    assert!(
        says.contains("1A `verse`, loop-3: other slots hold the same scene")
            && says.contains("2A `verse`: it shows another name"),
        "{says}"
    );
    assert_eq!(done.status.code(), Some(1));
    let done = at(&["readback", "twice.scene", "-", "--change"], "slot,loop-2\n1A,0\n2A,0\n");
    assert!(
        done.status.success() && out(&done).contains("+scene verse { engage moss; "),
        "{}{}",
        out(&done),
        told(&done)
    );
}

#[test]
fn what_means_nothing_together_is_refused() {
    let folder = folder();
    fs::create_dir(folder.path().join("taken.programmed")).unwrap();
    for (words, why) in [
        (&["readback", "book.scene"][..], "say what was read off the unit"),
        (&["readback", "book.scene", "--html", "--keep"], "the page gives a TABLE"),
        (&["readback", "book.scene", "--ask", "--by", "Ines"], "go with `--keep` and `--programmed`"),
        (&["readback", "-", "-"], "standard input holds the book"),
        (&["readback", "book.scene", "--programmed", "1A,2A,9X"], "the book fills no slot 2A; `9X` is no slot"),
        (&["readback", "book.scene", "--programmed", ","], "name a slot, or say `all`"),
        (&["readback", "book.scene", "--programmed", "all", "--date", "27 Nov"], "a date in the record is one word"),
        (&["readback", "book.scene", "--programmed", "all", "--record", "/dev/full"], "it is a device and no file"),
        (&["readback", "book.scene", "--programmed", "all", "--record", "taken.programmed"], "it is a folder"),
        (&["diff", "book.scene", "book.scene", "--from-memory"], "takes one book"),
        (&["diff", "book.scene", "--from-memory", "--for", "player"], "a record tells nothing of what is heard"),
        (&["sheet", "-", "--from-memory"], "a book from standard input has no record beside it"),
    ] {
        let done = run(folder.path(), words, BOOK);
        assert!(done.status.code() == Some(2) && told(&done).contains(why), "{words:?}: {}", told(&done));
    }
}

/// What switches inside presets do is asked as well, and who answered for the cells alone is asked again.
#[test]
fn switches_inside_presets_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 2; banks 1..1, switches 1..2; inside: switches 6..7, toggles 1, holds 1 }\n\
        pedal ember { loop 1 }\npedal gully { loop 2 }\nscene bed { engage ember; switch 6 toggles gully }\nscene calm { engage gully }\n\
        song \"Quay\" { bed; calm }\nslots { 1.1 bed; 1.2 calm }\n";
    fs::write(folder.path().join("book.scene"), text).unwrap();
    let ask =
        |words: &[&str], fed: &str| run(folder.path(), &[&["readback", "book.scene", "--ask"], words].concat(), fed);
    let done = ask(&[], "y\ny\n");
    let shown = "    in: loop 1 (EMB)\n    out: loop 2 (GLL)\n    switch 6 toggles loop 2 (GLL) in\n    switch 7 does nothing\n";
    assert!(told(&done).contains(shown), "{}", told(&done));
    assert_eq!(done.status.code(), Some(0), "{}", out(&done));
    // By hand: loops and names are right, 6 does something else, 7 holds a loop; of 1.2 nobody looked at 7.
    let fed = "n\ny\ny\nno\nsideways\nholds loop-1 0 back 1\nn\ny\ny\nnothing\ns\n";
    let done = ask(&["--keep", "--by", "Ines"], fed);
    assert!(told(&done).contains("`sideways` is nothing that a switch does"), "{}", told(&done));
    let said = out(&done);
    let set = ["[ ] 1.1 `bed`", "[ ] switch 6 toggles loop 2 (GLL) 1", "[ ] switch 7 does nothing any more"];
    assert_eq!(below(&said, "To set inside the presets"), set, "{said}");
    assert!(said.contains("what switches do inside 1 preset was not read") && done.status.code() == Some(1), "{said}");
    // Neither was right and read in all.
    assert!(told(&ask(&["--keep"], "q\n")).contains("1 of 2: 1.1 bed"));
    ask(&["--keep"], "y\nq\n");
    assert!(told(&ask(&["--keep"], "q\n")).contains("1 of 1: 1.2 calm"));
}

//! Every option means the same in every format: what changes one format of a command changes the others too, or is
//! refused with a reason. Commands, options and formats are those of the command line itself.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Output};

/// A book in which every option has something to change: an error, a warning, a free cell, scenes on two guitars, a
/// chain, a supply, two sets, and slots that the tool chose.
const BOOK: &str = r#"board "Drift" version "one"
switcher { loops 4; remote jacks 1; expressions 1 of 128 steps; outputs 1; banks 1..2, switches 1..4; display 8; presses: same bank 1, bank step 1; answers midi 2 programs from 1 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
guitar slat { pickup 4 H, 8 kohm, 120 pF; volume 250 kohm at 100 %; cable 6 m at 100 pF/m }
supply brick { margin 20 %; outlet A 9 V, 300 mA, centre-negative, isolated }
pedal moss { loop 1; input 1 Mohm; output 1 kohm; gain 0 dB stated; power brick.A, 60 mA at 9 V, centre-negative
  control voice on remote 1 tip { round: closed; sharp: open } }
pedal reed { loop 2; input 500 kohm; output 10 kohm; gain 9 dB stated; knob drive 2:30 }
pedal lull { loop 3; input 1 Mohm; output 1 kohm; gain 0 dB stated; control sway on midi 1 programs from 1 { slow: program 1; fast: program 2 } }
amp hall { fed by output 1; input 1 Mohm }
chain front: guitar -> loops 1..4 -> output 1 -> hall
patch leads 30 cm at 100 pF/m
default { lull.sway slow }
scene bed { engage moss; moss.voice round }
scene lift from bed { engage reed, lull; lull.sway fast }
scene bare { }
song "Low Water" at 92 bpm on plank { bed; lift; end: bare }
song "Quay" at 120 bpm on slat { bed; lift }
set "one" { "Low Water"; "Quay" }
set "two" { "Quay" }
slots { 1.1 bed; others auto }
"#;

/// The other side of a diff: a pedal and a scene by other names, another knob.
fn other() -> String {
    BOOK.replace("lift", "swell")
        .replace("reed", "rush")
        .replace("2:30", "3:30")
        .replace("version \"one\"", "version \"two\"")
}

/// A book that has errors too.
fn broken() -> String {
    BOOK.replace("scene bare { }", "scene bare { engage mss }")
}

fn tipring(dir: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap()
}

/// What a command needs besides its options.
fn needs(command: &str) -> &'static [&'static str] {
    match command {
        "diff" => &["book.scene", "other.scene"],
        "explain" => &["--all"],
        "where" => &["book.scene", "moss"],
        "readback" => &["book.scene", "read.csv"],
        "calls" => &["called.scene"],
        _ => &["book.scene"],
    }
}

/// What an option is tried with, and the line beside it; none for those that are no matter of what is printed.
fn tried(command: &str, option: &str) -> Option<(&'static [&'static str], &'static [&'static str])> {
    const ALONE: &[&str] = &[];
    Some(match (command, option) {
        // How and where to write, which files may be read, and what git holds.
        (_, "format" | "output" | "outside" | "git" | "help" | "version") => return None,
        // These write files of their own.
        ("sheet", "stage") | ("check", "fix" | "dry_run") | ("slots", "pin") => return None,
        (
            "readback",
            "table" | "ask" | "html" | "keep" | "again" | "change" | "write" | "programmed" | "record" | "by" | "date",
        ) => {
            return None;
        }
        // It takes one book, not two.
        ("diff", "from_memory") => return None,
        ("check", "deny") => (&["--deny", "warnings"], ALONE),
        ("slots", "best") => (&["--best"], ALONE),
        ("slots", "bank_a_song") => (&["--bank-a-song"], &["--best"]),
        ("linecheck", "since") => (&["--since", "other.scene"], ALONE),
        ("linecheck", "isolate") => (&["--isolate"], ALONE),
        ("without", "weights") => (&["--weights", "pedal=9,state=7"], ALONE),
        ("without", "reach") => (&["--reach", "0"], ALONE),
        ("without", "part") => (&["moss"], ALONE),
        ("midi" | "calls" | "walk" | "sheet" | "linecheck" | "slots" | "diff" | "without", "set") => {
            (&["--set", "two"], if matches!(command, "midi" | "calls") { &["--set", "one"] } else { ALONE })
        }
        ("midi" | "calls" | "walk" | "sheet" | "linecheck" | "slots" | "diff" | "without", "songs") => {
            (&["--songs", "tonight.txt"], ALONE)
        }
        ("walk", "from" | "to") => (&["--from", "bed", "--to", "lift"], ALONE),
        ("sheet", "reader") => (&["--for", "tech"], ALONE),
        ("sheet", "distance") => (&["--distance", "3m"], &["--for", "player", "--pages", "large"]),
        ("sheet", "small") => (&["--small"], &["--for", "player", "--pages", "large"]),
        ("sheet", "pages") => (&["--pages", "large"], &["--for", "player"]),
        ("diff", "notes") => (&["--notes", "notes.txt"], ALONE),
        ("sheet", "notes") => (&["--notes", "notes.txt"], &["--for", "tech"]),
        ("sheet", "lines") => (&["--lines"], &["--for", "player"]),
        ("sheet", "date") => (&["--date", "2026-11-20"], ALONE),
        ("sheet", "from_memory") => (&["--from-memory"], ALONE),
        ("sheet", "since") => (&["--since", "other.scene"], ALONE),
        ("sheet", "program") => (&["--program"], &["--for", "tech"]),
        ("diff", "reader") => (&["--for", "tech"], ALONE),
        ("signal", "guitar") => (&["--guitar", "slat"], &["lift"]),
        ("signal", "against") => (&["--against", "bed"], &["lift"]),
        ("signal", "scene") => (&["lift"], ALONE),
        ("signal", "curves") => (&["--curves"], &["lift"]),
        ("signal", "netlist") => (&["--netlist"], &["lift"]),
        ("signal", "buffers") => (&["--buffers", "5 kHz"], ALONE),
        ("signal", "buffer_input") => (&["--buffer-input", "3 Mohm"], &["--buffers", "5 kHz"]),
        ("signal", "buffer_output") => (&["--buffer-output", "3 ohm"], &["--buffers", "5 kHz"]),
        ("labels", "tape") => (&["--tape", "9"], ALONE),
        ("labels", "copies") => (&["--copies", "2"], ALONE),
        (_, "paper") => (&["--paper", "letter"], ALONE),
        (_, "landscape") => (&["--landscape"], ALONE),
        (_, "font") => (&["--font", "nowhere.ttf"], ALONE),
        (_, "fill") => (&["--fill", "open"], ALONE),
        (_, "draft") => (&["--draft"], ALONE),
        ("table", "free") => (&["--free"], ALONE),
        ("table", "why_free") => (&["--why-free"], ALONE),
        ("table", "why") => (&["--why"], ALONE),
        ("diff", "no_renames") => (&["--no-renames"], ALONE),
        ("diff", "exact") => (&["--exact"], ALONE),
        ("diff", "no_copies") => (&["--no-copies"], ALONE),
        ("diff", "source") => (&["--source"], ALONE),
        ("explain", "code" | "all") | (_, "book" | "books" | "thing") => return None,
        other => panic!("{other:?} is an option, and has no line here"),
    })
}

/// Formats that say so already, each with the reason.
const ALWAYS: [(&str, &str, &str, &str); 7] = [
    ("linecheck", "songs", "csv", "tonight plays the presets that it lists anyway"),
    ("table", "fill", "text", "it never prints what a free cell stores"),
    ("table", "fill", "words", "it never tells what nobody hears"),
    ("sheet", "fill", "text", "it never prints what a free cell stores"),
    ("sheet", "fill", "songs", "it prints titles alone"),
    ("table", "free", "text", "it never prints what a free cell stores"),
    ("table", "free", "words", "it never tells what nobody hears"),
];

#[derive(Clone, Copy, PartialEq, Debug)]
enum Does {
    Changes,
    Refused,
    Nothing,
}

#[test]
fn an_option_means_the_same_in_every_format() {
    let folder = tempfile::tempdir().unwrap();
    let dir = folder.path();
    for (name, text) in [("book.scene", BOOK.to_owned()), ("other.scene", other()), ("broken.scene", broken())] {
        std::fs::write(dir.join(name), text).unwrap();
    }
    let called = BOOK.replace("on slat { bed", "on slat { called from outside; bed");
    assert_ne!(called, BOOK);
    std::fs::write(dir.join("called.scene"), called).unwrap();
    std::fs::write(dir.join("tonight.txt"), "Quay\nLow Water\n").unwrap();
    std::fs::write(dir.join("read.csv"), "slot,loop-1,loop-2\n1.1,1,1\n1.2,1,1\n").unwrap();
    assert!(tipring(dir, &["readback", "book.scene", "--programmed", "1.1"]).status.success());
    let note = "\"two\" \"Quay\" \"all\" \"bed\" \"1.1\" \"v1\" \"too loud\"\n";
    std::fs::write(dir.join("notes.txt"), note).unwrap();
    let (mut options, mut pairs, mut wrong) = (0, 0, Vec::new());
    // Each line is run once, however many options are held against it.
    let mut known: BTreeMap<String, Output> = BTreeMap::new();
    let mut run = |line: &[&str]| known.entry(line.join("\t")).or_insert_with(|| tipring(dir, line)).clone();
    let mut refused: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for command in tipring::cli::command().get_subcommands() {
        let name = command.get_name();
        let Some(formats) = command.get_arguments().find(|a| a.get_id() == "format") else { continue };
        let formats = formats.get_possible_values();
        for option in command.get_arguments() {
            let Some((with, beside)) = tried(name, option.get_id().as_str()) else { continue };
            let mut does: Vec<(String, Does)> = Vec::new();
            for format in &formats {
                let format = format.get_name();
                let draft = option.get_id() == "draft" && name != "diff";
                let mut line = vec![name];
                line.extend(
                    needs(name)
                        .iter()
                        .map(|w| if draft && matches!(*w, "book.scene" | "called.scene") { "broken.scene" } else { w }),
                );
                line.extend(["--format", format]);
                let both = [&line[..], with].concat();
                // A set is asked for instead of another.
                let without = [&line[..], beside].concat();
                let both = if with.first() == beside.first() { both } else { [&both[..], beside].concat() };
                let (before, after) = (run(&without), run(&both));
                let said = String::from_utf8_lossy(&after.stderr).into_owned();
                let one = if after.status.code() == Some(2) {
                    assert!(said.starts_with("tipring: ") || said.starts_with("error: "), "{both:?}: {said}");
                    refused.entry(said.trim().to_owned()).or_default().push(both.join(" "));
                    Does::Refused
                } else if before.stdout != after.stdout || before.status != after.status {
                    Does::Changes
                } else {
                    Does::Nothing
                };
                pairs += 1;
                let always = ALWAYS.iter().any(|(c, o, f, _)| (*c, *o, *f) == (name, option.get_id().as_str(), format));
                does.push((format.to_owned(), if always && one == Does::Nothing { Does::Changes } else { one }));
            }
            options += 1;
            if does.iter().any(|d| d.1 == Does::Changes) && does.iter().any(|d| d.1 == Does::Nothing) {
                wrong.push(format!("{name} {with:?}: {does:?}"));
            }
        }
    }
    for (why, lines) in &refused {
        println!("refused, {} lines: {why}", lines.len());
    }
    println!("{options} options of commands with formats, {pairs} pairs of an option and a format");
    assert!(wrong.is_empty(), "lost in some format:\n{}", wrong.join("\n"));
    assert!(options > 40 && pairs > 200, "{options} {pairs}");
}

#[test]
fn the_stage_page_is_the_same_by_either_way() {
    let folder = tempfile::tempdir().unwrap();
    let dir = folder.path();
    std::fs::write(dir.join("book.scene"), BOOK).unwrap();
    std::fs::write(dir.join("broken.scene"), broken()).unwrap();
    std::fs::write(dir.join("tonight.txt"), "Quay\n").unwrap();
    let lines: [&[&str]; 5] = [
        &["book.scene"],
        &["book.scene", "--set", "two"],
        &["book.scene", "--songs", "tonight.txt"],
        &["book.scene", "--fill", "open"],
        &["broken.scene", "--draft"],
    ];
    let mut pages = Vec::new();
    for line in lines {
        let own = tipring(dir, &[&["stage", "-o", "own.html"], line].concat());
        let beside = tipring(dir, &[&["sheet", "--date", "2026-11-20", "--stage", "beside.html"], line].concat());
        assert!(own.status.success() && beside.status.success(), "{line:?}");
        let (own, beside) = ["own.html", "beside.html"].map(|f| std::fs::read(dir.join(f)).unwrap()).into();
        assert!(own == beside, "{line:?}");
        pages.push(own);
    }
    pages.dedup();
    assert!(pages.len() >= 4, "the lines differ");
    // A book without songs is refused by both.
    std::fs::write(dir.join("none.scene"), "switcher { loops 1 }\n").unwrap();
    for words in [&["stage", "none.scene"][..], &["sheet", "none.scene", "--stage", "none.html"]] {
        let done = tipring(dir, words);
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        assert!(String::from_utf8_lossy(&done.stderr).contains("no song to show"));
    }
    assert!(!dir.join("none.html").exists());
}

#[test]
fn help_lists_every_command_once_under_its_task() {
    let command = tipring::cli::command();
    let mut listed: Vec<&str> = tipring::cli::TASKS.iter().flat_map(|(_, names)| *names).copied().collect();
    let mut there: Vec<&str> = command.get_subcommands().map(clap::Command::get_name).collect();
    listed.sort_unstable();
    there.sort_unstable();
    assert_eq!(listed, there);
    for way in ["--help", "-h", "help"] {
        let out = String::from_utf8(tipring(Path::new("."), &[way]).stdout).unwrap();
        let mut rest = out.as_str();
        for (task, names) in tipring::cli::TASKS {
            let (_, below) = rest.split_once(&format!("\n{task}:\n")).unwrap_or_else(|| panic!("{way}: {task}\n{out}"));
            for (line, name) in below.lines().zip(names) {
                assert!(line.starts_with(&format!("  {name} ")), "{way}: {line}");
            }
            rest = below;
        }
        assert!(out.contains("Exit codes: 0 clean") && out.contains("--version"), "{out}");
    }
}

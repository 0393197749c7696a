//! `tipring diff` and `tipring merge` as commands: exit codes, formats, readers, and revisions of git.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output};

fn tipring(words: &[&str], dir: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().expect("the tool runs")
}

fn told(out: &Output) -> String {
    String::from_utf8_lossy(&out.stdout).into_owned()
}

const WINTER: &str = "examples/winter";
const SPRING: &str = "examples/spring";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn exit_codes() {
    let code = |words: &[&str]| tipring(words, root()).status.code();
    assert_eq!(code(&["diff", WINTER, WINTER]), Some(0));
    assert_eq!(code(&["diff", WINTER, SPRING]), Some(1));
    assert_eq!(code(&["diff", WINTER, "examples/nowhere"]), Some(2));
    assert_eq!(code(&["diff", WINTER]), Some(2));
    assert_eq!(code(&["diff", WINTER, SPRING, "--git", "HEAD"]), Some(2));
    assert_eq!(code(&["diff", "-", "-"]), Some(2));
}

#[test]
fn winter_against_spring_tells_the_story() {
    let out = told(&tipring(&["diff", WINTER, SPRING], root()));
    for line in [
        "`scree` instead of `hasp` in 6 songs",
        "intro: `tide` depth 50 % → 40 %",
        "`prism` now before `squash` in 5 songs: \"Candle Tax\" (chorus, the resonance 1.5 dB higher)",
        "`glass`: `prism` now before `squash`, on arch the resonance 1.5 dB higher, on slab the resonance 1.6 dB higher; in \"Candle Tax\"",
        "outro: `attic` size 100 % → 90 %",
        "`crest` (was `summit`): `scree` instead of `hasp`; in \"Copper for Tomorrow\"",
        "loop 1: plug in `prism` where `squash` was; label PRS",
        "loop 5: plug in `scree` where `hasp` was; label SCR",
        "`squash`: sustain 10:30 → 9:30",
        "Caution:",
        "3.4 `plain`: no song plays it any more",
        "To step through afterwards",
    ] {
        assert!(out.contains(line), "{line} in\n{out}");
    }
    // A pedal that moved is news to those who listen only where it comes before one that came before it.
    let heard = out.split("Hardware").next().unwrap();
    let other = |line: &&str| {
        (line.contains("`squash`") || line.contains("`prism`")) && !line.contains("`prism` now before `squash`")
    };
    assert_eq!(heard.lines().filter(other).collect::<Vec<_>>(), [""; 0], "{heard}");
}

#[test]
fn each_reader_gets_a_view_of_their_own() {
    let player = told(&tipring(&["diff", WINTER, SPRING, "--for", "player"], root()));
    let tech = told(&tipring(&["diff", WINTER, SPRING, "--for", "tech"], root()));
    assert!(player.contains("Heard, song by song") && !player.contains("To reprogram") && !player.contains("[ ]"));
    assert!(tech.contains("To reprogram") && !tech.contains("Heard, song by song"));
    // A pedal that takes 9 V is plugged in where 18 V was: the outlet is set first.
    let at = |says: &str| tech.find(says).unwrap_or_else(|| panic!("{says}:\n{tech}"));
    assert!(at("[ ] supply `brick`: outlet E 18 V") < at("[ ] loop 5: plug in `scree`"));
}

/// What a diff says of level and peak is what `signal` says of both books, which ngspice is asked about elsewhere.
#[test]
fn level_and_peak_are_those_of_the_signal() {
    let json =
        |words: &[&str]| -> serde_json::Value { serde_json::from_str(&told(&tipring(words, root()))).expect("JSON") };
    let rows = |book: &str| json(&["signal", book, "glass", "--format", "json"])["rows"].clone();
    let (was, now) = (rows(WINTER), rows(SPRING));
    let diff = json(&["diff", WINTER, SPRING, "--format", "json"]);
    let scenes = diff["heard"]["scenes"].as_array().expect("scenes");
    let glass = scenes.iter().find(|s| s["now"] == "glass").expect("a scene");
    let mut held = 0;
    for (at, row) in was.as_array().expect("rows").iter().enumerate() {
        let number = |row: &serde_json::Value, key: &str| row[key].as_f64().expect("a number");
        let over = |row: &serde_json::Value| number(row, "peak_db") - number(row, "level_1khz_db");
        let told = glass["guitars"].as_array().expect("guitars").iter().find(|g| g["guitar"] == row["guitar"]);
        let told = told.expect("a guitar");
        assert!((number(told, "peak_db") - (over(&now[at]) - over(row))).abs() < 1e-5, "{told} {row}");
        assert!(
            told["level_db"].is_null()
                && (number(&now[at], "level_1khz_db") - number(row, "level_1khz_db")).abs() < 0.5
        );
        held += 1;
    }
    assert_eq!(held, 2);
}

/// A unit that was programmed from the printed table holds what was chosen for free contacts.
#[test]
fn to_the_letter_is_what_the_table_prints() {
    let folder = tempfile::tempdir().expect("a folder");
    let board = "switcher { loops 2; remote jacks 1; outputs 1; banks 1..1, switches 1..4 }
pedal drive { loop 1; control mode on remote 1 tip { soft: open; hard: closed } }
pedal ember { loop 2 }
scene push { engage drive; drive.mode hard }
song \"Quay\" { a: push; b: bed; c: push }
set \"one\" { \"Quay\" }
slots { 1.1 push; 1.2 bed }
";
    let (old, new) = (folder.path().join("old.scene"), folder.path().join("new.scene"));
    fs::write(&old, format!("{board}scene bed {{ engage ember }}\n")).expect("a book");
    fs::write(&new, format!("{board}scene bed {{ engage ember, drive; drive.mode soft }}\n")).expect("a book");
    let table = told(&tipring(&["table", "old.scene", "--format", "csv"], folder.path()));
    assert!(table.contains("\n1.2,bed,0,1,1,0,0\n"), "{table}");
    let out = told(&tipring(&["diff", "old.scene", "new.scene", "--exact"], folder.path()));
    assert!(out.contains("open remote 1 tip (drive mode)"), "{out}");
}

const NIGHT: &str =
    "switcher { loops 3; outputs 1; banks 1..3, switches 1..2; wakes 1.1; presses: same bank 1, bank step 2 }
pedal moss { loop 1 }
pedal fern { loop 2 }
song \"Quay\" { a: bed }
song \"Marl\" { a: lift; b: push }
song \"Reel\" { a: hush }
set \"night\" { \"Marl\"; \"Quay\"; \"Marl\" }
slots { 1.1 bed; 3.1 lift; 2.2 push; 1.2 hush }
scene bed { engage moss }
scene push { engage moss, loop 3 }
";

/// By hand: `hush` is not played. From 1.1 bank 3 is two steps away, 1 + 2 · 2 presses; bank 2 lies one beside it.
#[test]
fn a_set_lists_what_it_plays_as_it_is_played() {
    let folder = tempfile::tempdir().expect("a folder");
    let (old, new) = (folder.path().join("old.scene"), folder.path().join("new.scene"));
    fs::write(&old, format!("{NIGHT}scene lift {{ engage moss }}\nscene hush {{ }}\n")).expect("a book");
    let changed = NIGHT.replace("moss, loop 3", "moss, fern, loop 3");
    fs::write(&new, format!("{changed}scene lift {{ engage fern }}\nscene hush {{ engage fern }}\n")).expect("a book");
    let out = told(&tipring(&["diff", "old.scene", "new.scene", "--set", "night"], folder.path()));
    let list = "Before the first: song 1, \"Marl\", is not right yet. ";
    assert!(out.contains(list), "{out}");
    let list = "\n  [ ] 3.1 `lift` (5 presses from 1.1)\n    [ ] bypass loop 1 (MSS)\n    [ ] engage loop 2 (FRN)\n    \
                song 1, \"Marl\", is not right yet\n  [ ] 2.2 `push` (3 presses from 3.1)\n    [ ] engage loop 2 (FRN)\n    \
                right to the end of the set\n";
    assert!(out.ends_with(list), "{out}");
    let again = tipring(&["diff", "new.scene", "new.scene", "--set", "night"], folder.path());
    assert!(again.status.success() && told(&again).contains("every preset that the set plays is right already"));
    let wrong = tipring(&["diff", "old.scene", "new.scene", "--set", "nigth"], folder.path());
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("did you mean `night`?"));
    // The sheet and the stage page say which songs wait for it.
    let sheet = told(&tipring(&["sheet", "new.scene", "--set", "night", "--since", "old.scene"], folder.path()));
    assert_eq!(sheet.matches("! reprogram 2.2, 3.1 first").count(), 2, "{sheet}");
    let stage = told(&tipring(&["stage", "new.scene", "--since", "old.scene"], folder.path()));
    assert!(stage.contains(r#""stale":["1.2","2.2","3.1"]"#), "{stage}");
    let right = told(&tipring(&["stage", "new.scene", "--since", "new.scene"], folder.path()));
    assert!(right.contains(r#""stale":[]"#), "{right}");
}

#[test]
fn without_copies_each_slot_is_edited_where_it_stands() {
    let folder = tempfile::tempdir().expect("a folder");
    let (old, new) = (folder.path().join("old.scene"), folder.path().join("new.scene"));
    fs::write(&old, format!("{NIGHT}scene lift {{ }}\nscene hush {{ engage moss, fern, loop 3 }}\n")).expect("a book");
    fs::write(
        &new,
        format!("{NIGHT}scene lift {{ engage moss, fern, loop 3 }}\nscene hush {{ engage moss, fern, loop 3 }}\n"),
    )
    .expect("a book");
    let line = |more: &[&str]| told(&tipring(&[&["diff", "old.scene", "new.scene"], more].concat(), folder.path()));
    assert!(line(&[]).contains("[ ] store the preset of 1.2 (`hush`) here"), "{}", line(&[]));
    let plain = line(&["--no-copies"]);
    assert!(plain.contains("3 things to do in 1 slot (without copies no list does with fewer)"), "{plain}");
    assert!(plain.contains("[ ] engage loop 3") && !plain.contains("store the preset"), "{plain}");
}

#[test]
fn formats_say_the_same() {
    let json = told(&tipring(&["diff", WINTER, SPRING, "--format", "json"], root()));
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["format"], "tipring-diff");
    assert_eq!(json["rewired"].as_array().map(Vec::len), Some(3));
    let slots = json["reprogrammed"]["slots"].as_array().expect("slots").len();
    let html = told(&tipring(&["diff", WINTER, SPRING, "--format", "html"], root()));
    let markdown = told(&tipring(&["diff", WINTER, SPRING, "--format", "md"], root()));
    let text = told(&tipring(&["diff", WINTER, SPRING], root()));
    assert!(text.contains(&format!("in {slots} slots")) && html.contains(&format!("in {slots} slots")));
    assert!(html.starts_with("<!DOCTYPE html>") && !html.contains("http"), "self-contained");
    assert_eq!(text.matches("[ ] ").count(), markdown.matches("- [ ] ").count());
    assert_eq!(text.matches("[ ] ").count(), html.matches('☐').count());
    assert!(!text.contains('\u{1b}'), "no colour in a pipe");
    for format in ["text", "html", "md", "json"] {
        let once = || tipring(&["diff", WINTER, SPRING, "--source", "--format", format], root()).stdout;
        assert_eq!(once(), once(), "{format}");
    }
}

#[test]
fn the_source_points_at_words() {
    let out = told(&tipring(&["diff", WINTER, SPRING, "--source"], root()));
    let lines: Vec<&str> = out.lines().collect();
    let at = lines.iter().position(|l| l.starts_with("- scene ferry-in")).expect("the line that went");
    let points = lines.iter().skip(at).find(|l| l.starts_with("? ")).expect("a line that points");
    let column = lines[at].find("50 %").expect("the old depth");
    assert!(points[column..].starts_with('^'), "{}\n{points}", lines[at]);
}

fn git(dir: &Path, words: &[&str]) -> bool {
    let name = ["-c", "user.name=t", "-c", "user.email=t@example.org", "-c", "commit.gpgsign=false"];
    Command::new("git").arg("-C").arg(dir).args(name).args(words).output().is_ok_and(|o| o.status.success())
}

#[test]
fn revisions_of_git() {
    let dir = tempfile::tempdir().expect("a folder");
    let book = dir.path().join("book");
    if !git(dir.path(), &["init", "-q"]) {
        assert!(std::env::var_os("TIPRING_FULL").is_none(), "git is missing");
        loud("SKIPPED: git is missing");
        return;
    }
    fs::create_dir(&book).unwrap();
    for file in ["board.scene", "songs.scene"] {
        fs::copy(root().join(WINTER).join(file), book.join(file)).unwrap();
    }
    assert!(git(dir.path(), &["add", "."]) && git(dir.path(), &["commit", "-qm", "winter"]));
    assert_eq!(tipring(&["diff", "book", "--git", "HEAD"], dir.path()).status.code(), Some(0));
    for file in ["board.scene", "songs.scene"] {
        fs::copy(root().join(SPRING).join(file), book.join(file)).unwrap();
    }
    let out = tipring(&["diff", "book", "--git", "HEAD"], dir.path());
    assert_eq!(out.status.code(), Some(1), "{}", String::from_utf8_lossy(&out.stderr));
    assert_eq!(told(&out), told(&tipring(&["diff", WINTER, SPRING], root())));
    assert!(git(dir.path(), &["commit", "-qam", "spring"]));
    let both = tipring(&["diff", ".", "--git", "HEAD~1..HEAD"], &book);
    assert_eq!(told(&both), told(&out));
    assert_eq!(tipring(&["diff", "book", "--git", "nowhere"], dir.path()).status.code(), Some(2));
}

/// Git as `diff --help` wants it set up: whatever changes, in a book of one file or of a folder, `git diff` shows it, and
/// `tipring diff --git` tells it.
#[test]
fn no_change_hides_from_git() {
    let help = told(&tipring(&["diff", "--help"], root()));
    let tool = env!("CARGO_BIN_EXE_tipring");
    let board = "switcher { loops 2 }\nsupply brick { outlet A 9 V, 100 mA, centre-negative, isolated }\n\
        pedal ember { loop 1; knob bite 1:00 }\npedal moss { loop 2 }\n";
    let songs = "scene bed { engage ember }\nscene far { engage moss }\nsong \"Quay\" at 92 bpm { a: bed; b: far }\n";
    for folder in [false, true] {
        let dir = tempfile::tempdir().expect("a folder");
        if !git(dir.path(), &["init", "-q"]) {
            assert!(std::env::var_os("TIPRING_FULL").is_none(), "git is missing");
            loud("SKIPPED: git is missing");
            return;
        }
        for line in help.lines().filter_map(|l| l.trim().strip_prefix("git config ")) {
            let (key, value) = line.split_once(' ').unwrap();
            let value = value.trim_matches('\'').replace("tipring ", &format!("{tool} "));
            assert!(git(dir.path(), &["config", key, &value]));
        }
        if help.contains(".gitattributes") {
            fs::write(dir.path().join(".gitattributes"), "*.scene diff=scene\n").unwrap();
        }
        let write = |board: &str, songs: &str| {
            if folder {
                fs::write(dir.path().join("board.scene"), board).unwrap();
                fs::write(dir.path().join("songs.scene"), format!("use \"board.scene\"\n{songs}")).unwrap();
            } else {
                fs::write(dir.path().join("book.scene"), format!("{board}{songs}")).unwrap();
            }
        };
        write(board, songs);
        assert!(git(dir.path(), &["add", "."]) && git(dir.path(), &["commit", "-qm", "one"]));
        for (was, now) in [
            ("at 92 bpm", "at 96 bpm"),
            ("a: bed; b: far", "b: far; a: bed"),
            ("bite 1:00", "bite 2:00"),
            ("100 mA", "200 mA"),
            ("engage ember", "bypass ember"),
        ] {
            write(&board.replace(was, now), &songs.replace(was, now));
            let diff = Command::new("git").arg("-C").arg(dir.path()).arg("diff").output().unwrap();
            assert!(diff.status.success());
            assert!(!told(&diff).is_empty(), "{was}: `git diff` shows nothing of it, folder {folder}");
            assert!(told(&diff).contains(now.split(' ').nth(1).unwrap()), "{was}: {}", told(&diff));
            let book = if folder { "." } else { "book.scene" };
            let meant = tipring(&["diff", book, "--git", "HEAD"], dir.path());
            assert_eq!(meant.status.code(), Some(1), "{was}, folder {folder}: {}", told(&meant));
        }
    }
}

#[test]
fn a_conflict_stops_the_merge_driver() {
    let dir = tempfile::tempdir().expect("a folder");
    let base = "scene bed {\n  engage loop 1\n}\n";
    for (name, text) in [
        ("base", base.to_owned()),
        ("mine", base.replace("loop 1", "loop 2")),
        ("theirs", base.replace("loop 1", "loop 3")),
    ] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    let out = tipring(&["merge", "base", "mine", "theirs", "-o", "mine"], dir.path());
    let merged = fs::read_to_string(dir.path().join("mine")).unwrap();
    // Both changed one list: out went `loop 1`, and in came two loops that do not clash.
    assert_eq!((out.status.code(), merged.contains("engage loop 2, loop 3")), (Some(0), true), "{merged}");
    for (name, percent) in [("base", 20), ("mine", 30), ("theirs", 40)] {
        fs::write(dir.path().join(name), format!("scene bed {{ throb.depth {percent} % }}\n")).unwrap();
    }
    let out = tipring(&["merge", "base", "mine", "theirs", "-o", "mine"], dir.path());
    let (merged, says) = (fs::read_to_string(dir.path().join("mine")).unwrap(), String::from_utf8_lossy(&out.stderr));
    assert_eq!(out.status.code(), Some(1), "{merged}");
    assert!(merged.contains("throb.depth 30 %") && merged.contains("`throb.depth 40 %`"), "{merged}");
    assert!(says.contains("throb.depth 30 %") && says.contains("throb.depth 40 %"), "{says}");
}

#[test]
fn git_merges_through_the_tool() {
    let dir = tempfile::tempdir().expect("a folder");
    if !git(dir.path(), &["init", "-q"]) {
        assert!(std::env::var_os("TIPRING_FULL").is_none(), "git is missing");
        loud("SKIPPED: git is missing");
        return;
    }
    let file = dir.path().join("book.scene");
    let base = "scene bed {\n  engage loop 1\n  output 1 on\n}\n";
    let driver = format!("merge.scene.driver={} merge %O %A %B --path %P -o %A", env!("CARGO_BIN_EXE_tipring"));
    fs::write(dir.path().join(".gitattributes"), "*.scene merge=scene\n").unwrap();
    fs::write(&file, base).unwrap();
    assert!(git(dir.path(), &["add", "."]) && git(dir.path(), &["commit", "-qm", "base"]));
    assert!(git(dir.path(), &["checkout", "-qb", "other"]));
    fs::write(&file, base.replace("output 1 on", "output 1 off")).unwrap();
    assert!(git(dir.path(), &["commit", "-qam", "theirs"]) && git(dir.path(), &["checkout", "-q", "-"]));
    fs::write(&file, base.replace("engage loop 1", "engage loop 1, loop 2")).unwrap();
    assert!(git(dir.path(), &["commit", "-qam", "mine"]));
    // Neighbouring lines: git's own merge of lines would stop here.
    assert!(git(dir.path(), &["-c", &driver, "merge", "-q", "-m", "both", "other"]));
    assert_eq!(fs::read_to_string(&file).unwrap(), "scene bed {\n  engage loop 1, loop 2\n  output 1 off\n}\n");
}

/// Past the test harness, which keeps what a passing test prints to itself.
fn loud(line: &str) {
    let _ = writeln!(std::io::stderr(), "\n{line}");
}

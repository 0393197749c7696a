//! A night as hands live it: what the sheet says is done to the guitars, and each song is played as it wants. And a
//! number on paper has no sign where there is nothing.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The dice are shared with tests that use more of them.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "support/dice.rs"]
mod dice;

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::process::Command;

use dice::Dice;

fn tipring(text: &str, words: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("book.scene"), text).unwrap();
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).current_dir(folder.path()).args(words).output().unwrap();
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// Songs by title, each with its guitar and its tuning; played in their order.
fn book(songs: &[(Option<&str>, Option<&str>)]) -> String {
    let mut out =
        "switcher { loops 1; banks 1..1, switches 1..2 }\npedal moss { loop 1 }\nguitar plank\nguitar hollow\n\
        scene bed { engage moss }\n"
            .to_owned();
    for (n, (guitar, tuning)) in songs.iter().enumerate() {
        let on = guitar.map_or(String::new(), |g| format!(" on {g}"));
        let tuning = tuning.map_or(String::new(), |t| format!("tuning \"{t}\"; "));
        let _ = writeln!(out, "song \"Song {n:02}\"{on} {{ {tuning}bed }}");
    }
    let titles: Vec<String> = (0..songs.len()).map(|n| format!("\"Song {n:02}\"")).collect();
    out + &format!("set \"all\" {{ {} }}\n", titles.join("; "))
}

/// Lives through the sheet: takes and tunes as told. Gives how often it was told to tune.
fn live(songs: &[(Option<&str>, Option<&str>)], sheet: &str) -> usize {
    let mut tuned: BTreeMap<String, String> = BTreeMap::new();
    let (mut holds, mut told) = (String::new(), 0);
    for (n, (guitar, tuning)) in songs.iter().enumerate() {
        let title = format!("Song {n:02}");
        let from = sheet.find(&title).unwrap_or_else(|| panic!("{title} in\n{sheet}"));
        let end = sheet[from..].find(&format!("Song {:02}", n + 1)).map_or(sheet.len(), |at| from + at);
        let block = &sheet[from..end];
        for guitar in ["plank", "hollow"] {
            if block.contains(&format!("take {guitar}")) {
                holds = guitar.to_owned();
            }
        }
        for tuning in ["drop D", "open G"] {
            if block.contains(&format!("tune to {tuning}")) {
                assert_ne!(tuned.get(&holds).map(String::as_str), Some(tuning), "it is so already\n{sheet}");
                tuned.insert(holds.clone(), tuning.to_owned());
                told += 1;
            }
        }
        if block.contains("tune back to standard") {
            assert!(tuned.remove(&holds).is_some(), "it is so already\n{sheet}");
            told += 1;
        }
        assert_eq!(holds, guitar.unwrap_or_default(), "{title}\n{sheet}");
        assert_eq!(tuned.get(&holds).map(String::as_str), *tuning, "{title}\n{sheet}");
    }
    told
}

#[test]
fn each_guitar_keeps_its_tuning_until_it_is_tuned() {
    let songs = [(Some("plank"), Some("drop D")), (Some("hollow"), None), (Some("plank"), None)];
    let sheet = tipring(&book(&songs), &["sheet", "book.scene"]);
    assert!(sheet.contains("tune back to standard"), "{sheet}");
    assert_eq!(live(&songs, &sheet), 2);
}

#[test]
fn hands_that_do_what_the_sheet_says_play_every_song_right() {
    let seed = dice::seed();
    println!("seed {seed}");
    let dice = &mut Dice(seed);
    let count = dice::many(30, 300);
    let mut told = 0;
    for _ in 0..count {
        let songs: Vec<_> = (0..3 + dice.roll(8))
            .map(|_| (Some(["plank", "hollow"][dice.roll(2)]), [None, Some("drop D"), Some("open G")][dice.roll(3)]))
            .collect();
        told += live(&songs, &tipring(&book(&songs), &["sheet", "book.scene"]));
    }
    println!("{count} nights, {told} tunings");
    assert!(told > count);
}

#[test]
fn nothing_has_no_sign() {
    let text = "switcher { loops 1; banks 1..1, switches 1..2 }\n\
        supply brick { outlet A 9 V, 100 mA, centre-negative, isolated; outlet B 9 V, 100 mA, centre-negative, isolated }\n\
        pedal moss { loop 1; power brick.A, 100.00000000001 mA at 9 V, centre-negative }\nscene bed { engage moss }\n\
        song \"Quay\" { bed }\n";
    for words in [
        &["supply", "book.scene", "--draft"][..],
        &["supply", "book.scene", "--draft", "--format", "csv"],
        &["sheet", "book.scene", "--draft", "--for", "tech", "--format", "html"],
    ] {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("book.scene"), text).unwrap();
        let out = Command::new(env!("CARGO_BIN_EXE_tipring")).current_dir(folder.path()).args(words).output().unwrap();
        let out = String::from_utf8(out.stdout).unwrap();
        assert!(out.contains("brick.B"), "{words:?}: {out}");
        let signed = out.split([' ', ',', '>', '<', '\n']).any(|word| word == "-0" || word == "-0.0");
        assert!(!signed, "{words:?}: {out}");
    }
}

fn tonight(text: &str, list: &str, words: &[&str]) -> (Option<i32>, String, String) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("book.scene"), text).unwrap();
    fs::write(folder.path().join("list.txt"), list).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    let command = command.current_dir(folder.path()).args(words).args(["book.scene", "--songs", "list.txt"]);
    let out = command.output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (out.status.code(), text(&out.stdout), text(&out.stderr))
}

/// The amplifier wakes on clean; `lift` pulses it over, and `bed` back. Each order of the songs is right but one.
const PULSES: &str = "switcher { loops 1; remote jacks 1; outputs 1; banks 1..1, switches 1..4; wakes 1.1; repress ignored }\n\
    amp tall { fed by output 1; control channel on remote 1 tip momentary { clean; lead } starts clean }\n\
    default { tall.channel clean }\nscene bed { }\nscene lift { tall.channel lead }\nslots { 1.1 bed; 1.2 lift }\nways as listed\n\
    song \"Quay\" { bed }\nsong \"Mole\" { lift }\nsong \"Pier\" { end: lift; bed }\nset \"all\" { \"Quay\"; \"Mole\" }\n";

#[test]
fn what_only_tonights_order_brings_is_told() {
    for command in ["sheet", "walk", "stage", "midi"] {
        let words: &[&str] = if command == "midi" { &["midi", "-o", "a.mid"] } else { &[command] };
        let (code, _, told) = tonight(PULSES, "Quay\nMole\n", words);
        assert_eq!((code, told.contains("pulse")), (Some(0), false), "{command}: {told}");
        // Twice the song on the lead channel: the second press would send the pulse back to clean.
        let (code, _, told) = tonight(PULSES, "Quay\nMole\nMole\n", words);
        assert!(code == Some(0) && !told.contains("pulse"), "one scene after itself needs no press: {command}: {told}");
        let (_, _, told) = tonight(PULSES, "Mole\nPier\nQuay\nPier", words);
        assert!(told.contains("tall") && told.contains("pulse"), "{command}: {told}");
    }
}

/// From `Reel` to `Mole` a level jumps; in another order there is no word of it. What jumps before the first song nobody hears.
#[test]
fn of_songs_that_stay_at_home_nothing_is_told() {
    let text = "switcher { loops 1; expressions 1 of 128 steps; banks 1..1, switches 1..4; wakes 1.1 }\n\
        pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }\ntreadle left feeds expression 1\n\
        scene bed { engage tide; tide.depth 30 % }\nscene swell from bed { tide.depth foot from heel }\n\
        scene bare { bypass tide }\nslots { 1.1 bed; 1.2 swell; 1.3 bare }\n\
        song \"Quay\" { bed; bare }\nsong \"Mole\" { swell }\nsong \"Reel\" { bed }\n\
        set \"all\" { \"Quay\"; \"Mole\"; \"Reel\" }\n";
    for command in ["sheet", "walk", "stage"] {
        for quiet in ["Quay\n", "Mole\n"] {
            let (code, _, told) = tonight(text, quiet, &[command]);
            assert_eq!((code, told.as_str()), (Some(0), ""), "{command}: {quiet}");
        }
        let (code, _, told) = tonight(text, "Reel\nMole\n", &[command]);
        assert!(code == Some(0) && told.contains("from `bed`"), "{command}: {told}");
    }
    // On the bench it is no word either.
    let (_, sheet, _) = tonight(text, "Quay\n", &["sheet", "--for", "tech"]);
    assert!(!sheet.contains("warnings that stand"), "{sheet}");
    // A song that is in no set yet, and in no slot: that is the book's matter, not tonight's.
    let text = "switcher { loops 1; banks 1..1, switches 1..4 }\npedal tide { loop 1 }\nscene bed { engage tide }\nscene bare\n\
        slots { 1.1 bed }\nsong \"Quay\" { bed }\nsong \"Mole\" { bare }\nset \"all\" { \"Quay\"; \"Mole\" }\n";
    let (_, _, told) = tonight(text, "Quay\n", &["sheet", "--draft"]);
    assert!(!told.contains("no-slot-yet"), "{told}");
}

#[test]
fn a_song_without_a_slot_is_not_played_tonight() {
    let text = "switcher { loops 1; outputs 1; banks 1..1, switches 1..2 }\npedal moss { loop 1 }\nscene bed { engage moss }\n\
        scene bare { }\nslots { 1.1 bed }\nsong \"Quay\" { bed }\nsong \"Mole\" { bare }\nset \"all\" { \"Quay\" }\n";
    let (code, sheet, _) = tonight(text, "Quay\n", &["sheet"]);
    assert!(code == Some(0) && sheet.contains("Quay"));
    let (code, sheet, told) = tonight(text, "Quay\nMole\n", &["sheet"]);
    assert!(code == Some(1) && sheet.is_empty() && told.contains("`bare`") && told.contains("slot"), "{told}");
}

#[test]
fn a_list_says_all_that_it_cannot_mean() {
    let text = "switcher { loops 1; banks 1..1, switches 1..2 }\nscene bed { mute }\nsong \"Encore\" { bed }\n\
        song \"7 Piers\" { bed }\nsong \"Piers\" { bed }\nsong \"Pause at Sea\" { bed }\nsong \"Reel!\" { bed }\nsong \"Reel?\" { bed }\n";
    let read = |list: &str| tonight(text, list, &["sheet", "--format", "songs"]);
    let (code, list, _) =
        read("encore:\n1. Encore\n\"7 Piers\"\n1. 7 piers\npiers\npause at sea\nReel !\npause\nPAUSE – tune\n");
    let wanted = "encore:\n1. \"Encore\"\n2. \"7 Piers\"\n3. \"7 Piers\"\n4. \"Piers\"\n5. \"Pause at Sea\"\n6. \"Reel!\"\n\
        pause: a break\npause: tune\n";
    assert_eq!((code, list.as_str()), (Some(0), wanted));
    let (code, list, told) = read("encore\n7 Piers\nReel\nPeirs\nQuay\n");
    assert!(code == Some(2) && list.is_empty(), "{list}{told}");
    for (line, says) in [
        (1, "`Encore`"),
        (2, "\"7 Piers\" or \"Piers\""),
        (3, "\"Reel!\" or \"Reel?\""),
        (4, "did you mean"),
        (5, "`Quay`"),
    ] {
        let line = format!("line {line} of the list");
        assert!(told.contains(&line), "{line}: {told}");
        assert!(told.to_lowercase().contains(&says.to_lowercase()), "{says}: {told}");
    }
}

/// What a command says of the example of one night.
fn fair(words: &[&str]) -> (Option<i32>, String) {
    let root = env!("CARGO_MANIFEST_DIR");
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).current_dir(root).args(words).output().unwrap();
    (out.status.code(), String::from_utf8(out.stdout).unwrap())
}

const FAIR: &str = "examples/ferry-fair.scene";

#[test]
fn the_example_of_one_night_says_that_it_is_tonights() {
    let (code, said) = fair(&["check", FAIR]);
    assert_eq!(code, Some(0));
    assert!(said.contains("nothing wrong"), "{said}");
    let (_, sheet) = fair(&["sheet", FAIR]);
    for says in [
        "tonight's, of winter",
        "`hasp` (lead drive) is out: loop 5 is in no preset",
        "another amp `larch`",
        "`ridge` stands for `summit`, which needs `hasp`:",
        "`lead` sounds without `hasp`",
        "quiet tonight: rule \"the lead drive wants the lead channel\"",
        "standby, then power off",
    ] {
        assert!(sheet.contains(says), "{says}\n{sheet}");
    }
    assert!(!fair(&["sheet", "examples/winter"]).1.contains("tonight"));
    let brief = "tonight: without hasp; another larch; another \"hall night\"".replace('"', "&quot;");
    let (_, stage) = fair(&["stage", FAIR]);
    assert!(stage.contains(&brief) || stage.contains(&brief.replace("&quot;", "\"")), "the stage page");
    assert!(fair(&["sheet", FAIR, "--for", "player"]).1.contains("tonight: without hasp"));
}

#[test]
fn a_switch_on_its_old_contact_is_less_to_do() {
    let (code, told) = fair(&["diff", "examples/winter", FAIR]);
    assert_eq!(code, Some(1));
    let from = told.find("put the switch of `larch` (channel) on remote 2 tip").unwrap_or_else(|| panic!("{told}"));
    let counts: Vec<usize> = told[from..].split([' ', ',']).filter_map(|word| word.parse().ok()).collect();
    let counts = [counts[1], counts[2]];
    // The counts are those of the two lists themselves.
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/ferry-fair.scene")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let winter = folder.path().join("winter");
    fs::create_dir(&winter).unwrap();
    for file in ["board.scene", "songs.scene"] {
        fs::copy(format!("{}/examples/winter/{file}", env!("CARGO_MANIFEST_DIR")), winter.join(file)).unwrap();
    }
    let night = folder.path().join("night.scene");
    fs::write(&night, text.replace("on remote 2 ring", "on remote 2 tip")).unwrap();
    let paths = [winter.to_str().unwrap(), night.to_str().unwrap()];
    let ticks = |told: &str| {
        let list = told.split("\nTo reprogram\n").nth(1).unwrap().split("\n\n").next().unwrap();
        list.lines().filter(|line| line.starts_with("    [ ]")).count()
    };
    let (_, other) = fair(&["diff", paths[0], paths[1]]);
    assert_eq!(counts, [ticks(&other), ticks(&told)], "{told}");
    assert!(counts[0] < counts[1] && !other.contains("Less to do"));
}

#[test]
fn nothing_but_the_nights_own_file_is_written_to() {
    let folder = tempfile::tempdir().unwrap();
    let base = "switcher { loops 2; banks 1..1, switches 1..3 }\npedal ember { loop 1 }\npedal grit { loop 2 }\n\
                scene bed { engage embr }\nscene top { engage grit }\nsong \"Quay\" { bed; top }\nslots { others auto }\n";
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    fs::write(path("base.scene"), base).unwrap();
    let night = "use \"base.scene\"\nwithout   grit\ninstead scene top { engage ember }\n";
    fs::write(path("night.scene"), night).unwrap();
    fair(&["check", &path("night.scene"), "--fix"]);
    assert_eq!(fs::read_to_string(path("base.scene")).unwrap(), base);
    let right = base.replace("embr", "ember");
    fs::write(path("base.scene"), &right).unwrap();
    assert_eq!(fair(&["slots", &path("night.scene"), "--pin"]).0, Some(1));
    assert_eq!(fair(&["change", &path("night.scene"), "bed: loop 1 out", "--write"]).0, Some(1));
    fair(&["fmt", &path("night.scene")]);
    assert_eq!(fs::read_to_string(path("base.scene")).unwrap(), right);
    assert_eq!(fs::read_to_string(path("night.scene")).unwrap(), night.replace("   ", " "));
}

#[test]
fn the_same_songs_on_a_smaller_board() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let files = [
        (
            "board.scene",
            "switcher { loops 3; remote jacks 2; outputs 2; banks 1..1, switches 1..4 }\nguitar plank\npedal ember { loop 1 }\n\
             pedal grit \"the loud one\" { loop 2; control voice on remote 2 tip { low: open; high: closed } }\n\
             pedal wisp { loop 3 }\namp larch { fed by output 1 }\namp alder { fed by output 2 }\n",
        ),
        (
            "songs.scene",
            "use \"board.scene\"\ndefault { grit.voice low }\nscene bed { engage wisp; output 2 off }\n\
             scene top { engage grit; grit.voice high }\nscene far from top { engage wisp }\n\
             song \"Quay\" on plank { verse: bed; solo: top }\nsong \"Reel\" on plank { all: far }\n\
             rule at most one of ember, grit\nif grit fails, top becomes bed\n",
        ),
        (
            "fly.scene",
            "switcher { loops 1; outputs 1; banks 1..1, switches 1..4 }\npedal wisp { loop 1 }\namp larch { fed by output 1 }\n",
        ),
        ("night.scene", "use \"songs.scene\"\ninstead use \"board.scene\" by \"fly.scene\"\n"),
    ];
    for (name, text) in files {
        fs::write(path(name), text).unwrap();
    }
    let (code, told) = fair(&["check", &path("night.scene")]);
    assert_eq!(code, Some(0), "{told}");
    let table = fair(&["table", &path("night.scene"), "--format", "csv"]).1;
    assert_eq!(table, "slot,scene,loop-1,output-1\n1.1,bed,1,1\n1.2,far,1,1\n");
    let sheet = fair(&["sheet", &path("night.scene")]).1;
    for says in [
        "`fly.scene` is read in the place of `board.scene`",
        "`grit` (the loud one) is out: it is not on this board",
        "`bed` stands for `top`, which needs `grit`:",
        "`far` sounds without `grit`;",
        "`alder` is out: it is not on this board, and nothing sounds through it",
        "\"Quay\": solo",
    ] {
        assert!(sheet.contains(says), "{says}\n{sheet}");
    }
    let player = fair(&["diff", &path("songs.scene"), &path("night.scene"), "--for", "player"]).1;
    assert!(player.contains("\"Quay\"") && player.contains("`grit` out"), "{player}");
    let back = fair(&["diff", &path("night.scene"), &path("songs.scene"), "--for", "tech"]).1;
    assert!(back.contains("plug in `grit`"), "{back}");
}

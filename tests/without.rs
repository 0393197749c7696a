//! What if a part dies, by hand; against the book written without the part, and every preset, it is held by
//! `tests/oracle/outside/without.py`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::path::Path;
use std::process::Command;
use tipring::ids::DeviceId;

use tipring::study::without::heard::{Blow, Columns, Mark};
use tipring::{Answer, Row, book, compile_texts, settle};

/// `ash` is in one scene that stands in two slots, `birch` in none that is played; loop 3 is empty. The amp's channel moves by
/// pulses, its other switch latches.
const BOOK: &str = "board \"Weir\"
switcher { loops 3; remote jacks 2; expressions 1 of 128 steps; outputs 2; banks 1..4, switches 1..3
  presses: same bank 1, bank step 1 }
guitar slat { cable 6 m at 100 pF/m }
guitar reed { cable 6 m at 100 pF/m }
supply brick { outlet A 9 V, 100 mA, centre-negative, isolated; outlet B 9 V, 300 mA, centre-negative, isolated }
pedal ash { loop 1; power brick.A, 80 mA at 9 V, centre-negative; level depth on expression 1 from 0 % to 100 % }
pedal birch { loop 2; power brick.B, 250 mA at 9 V, centre-negative }
buffer elm { power brick.B, 20 mA at 9 V, centre-negative }
treadle rocker feeds expression 1
amp hall { fed by output 1
  control channel on remote 1 tip momentary { low; high } starts low
  control bright on remote 2 tip { dull: open; clear: closed } }
amp barn { fed by output 2 }
chain front: guitar -> elm -> loops 1..3 -> output 1 -> cable 6 m at 100 pF/m -> hall
chain side: loop 3 -> output 2 -> cable 6 m at 100 pF/m -> barn
patch leads 25 cm at 100 pF/m
default { hall.channel low; hall.bright dull; ash.depth 50 % }
scene bare { }
scene clear { hall.bright clear }
scene ashen { engage ash }
scene swell { engage ash; ash.depth foot }
scene spare { engage birch }
scene high { hall.channel high; output 2 off }
song \"Quay\" on slat { verse: bare; chorus: ashen; bridge: swell; solo: high }
song \"Reel\" on slat { tuning \"drop D\"; verse: clear; chorus: ashen }
song \"Ebb\" on reed { verse: bare }
slots { 1.1 bare; 1.2 ashen; 1.3 swell; 2.1 clear; 4.2 ashen; 2.2 high; 3.1 spare }
if ash fails, ashen becomes clear
if ash fails, swell becomes high
";

fn tipring(dir: &Path, words: &[&str]) -> (Option<i32>, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_tipring")).args(words).current_dir(dir).output().unwrap();
    (out.status.code(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

fn weir() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("book.scene"), BOOK).unwrap();
    let (code, said) = tipring(folder.path(), &["check", "book.scene"]);
    assert_eq!(code, Some(0), "{said}");
    folder
}

fn without(folder: &tempfile::TempDir, words: &[&str]) -> String {
    let (code, said) = tipring(folder.path(), &[&["without", "book.scene"], words].concat());
    assert_eq!(code, Some(0), "{said}");
    said
}

/// The line of a table that begins so, its blanks squeezed.
fn line(said: &str, begins: &str) -> String {
    let found = said.lines().find(|l| l.trim_start().starts_with(begins));
    let found = found.unwrap_or_else(|| panic!("no line begins `{begins}`: {said}"));
    found.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pedal_is_bridged_and_its_ways_out_hold_from_every_slot() {
    let folder = weir();
    let said = without(&folder, &["ash"]);
    assert!(said.contains("Touches 3 parts in 2 songs."), "{said}");
    assert!(said.contains("First: Bridge loop 1: a lead from its send to its return; nothing to program."), "{said}");
    // By hand: from 1.2 to 1.1 one press, off a pedal; `clear` stands a bank away, and is off by its switch too.
    let first = "1.2 ashen 4 1.1 bare (1 press, off 4) the same 2.1 clear (2 presses, off 6) Quay: chorus";
    assert!(line(&said, "1.2").starts_with(first), "{said}");
    // From 4.2 `bare` is four presses away: nothing nearer than two is in reach but `spare`.
    let second = "4.2 ashen 4 1.1 bare (4 presses, off 4) 3.1 spare (2 presses, off 8) 2.1 clear (3 presses, off 6)";
    assert!(line(&said, "4.2").starts_with(second), "{said}");
    assert!(line(&said, "1.3").contains("2.2 high (2 presses, off 14)"), "{said}");
}

#[test]
fn what_touches_no_song_is_told_to_touch_none() {
    let folder = weir();
    let said = without(&folder, &["birch"]);
    assert!(said.contains("Touches no part that is played, and 1 preset beside."), "{said}");
    let said = without(&folder, &["loop", "3"]);
    assert!(
        said.contains("Touches no song.") && said.contains("Each of the 6 scenes sounds the same without it."),
        "{said}"
    );
    let said = without(&folder, &[]);
    assert!(said.contains("These touch no song: loop 3. Each of the 6 scenes"), "{said}");
}

#[test]
fn each_kind_of_part_has_its_own_first_move() {
    let folder = weir();
    let said = without(&folder, &["--format", "json"]);
    let said: serde_json::Value = serde_json::from_str(&said).unwrap();
    let first = |part: &str| {
        let found = said["parts"].as_array().unwrap().iter().find(|p| p["part"] == part);
        found.unwrap_or_else(|| panic!("{part} is not listed"))["first"].as_str().unwrap().to_owned()
    };
    assert_eq!(first("elm"), "Plug past `elm`: one lead joins what comes before it and what comes behind it.");
    assert_eq!(
        first("loop 1"),
        "Bridge loop 1: a lead from its send to its return; nothing to program. Or plug `ash` into loop 3, which is empty, \
         and program 3 presets anew."
    );
    // What is pulsed is set by hand: five parts want `low`, one `high`. What latches sees an open contact.
    assert_eq!(first("remote 1"), "By hand, and left so: hall channel is low.");
    assert_eq!(first("remote 2"), "Pull remote 2: hall bright is dull.");
    assert_eq!(
        first("rocker"),
        "No foot moves expression 1 any more: where a preset leaves `ash` depth to the foot, nobody knows where that stands; \
         what other presets store still comes."
    );
    // B has 30 mA in hand, A 100: `elm` fits there, `birch` does not.
    assert_eq!(first("brick.A"), "Bridge loop 1.");
    assert_eq!(first("brick.B"), "Bridge loop 2; plug past elm.");
    assert_eq!(first("hall"), "`barn` plays on alone.");
    // On output 2 the lead `hall` plays all but `high`, where that output is off.
    assert_eq!(first("slat"), "Play reed, tuned drop D for \"Reel\".");
    assert_eq!(first("reed"), "Play slat, which plays songs so tuned already.");
    assert_eq!(first("switcher"), "Standby, power off, then 3 leads past it: guitar -> elm -> ash -> hall.");
    assert_eq!(said["patch"]["leads"], 3);
}

#[test]
fn what_moves_an_amplifier_cautions() {
    let folder = weir();
    for words in [&["output", "1"][..], &["hall"], &["switcher"], &[]] {
        let said = without(&folder, words);
        assert!(
            said.contains("Caution: standby and power off before an amplifier or a lead at one is moved."),
            "{said}"
        );
        assert!(said.contains("Never run a valve amplifier without its speaker."), "{said}");
        assert!(said.contains("licensed people"), "{said}");
    }
}

#[test]
fn weights_and_reach_are_the_askers() {
    let folder = weir();
    let said = without(&folder, &["ash", "--weights", "pedal=1,state=9", "--reach", "4"]);
    assert!(said.contains("8 for an amplifier that sounds or not, 1 for a pedal in or out, 9 for a setting"), "{said}");
    assert!(line(&said, "4.2").starts_with("4.2 ashen 1 1.1 bare (4 presses, off 1) the same"), "{said}");
    for wrong in ["pedal", "pedal=x", "drum=1", "pedal=1001", ""] {
        let (code, said) = tipring(folder.path(), &["without", "book.scene", "--weights", wrong]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("say it as in `amp=8,pedal=4,state=2,level=2`"), "{said}");
    }
}

#[test]
fn a_part_that_the_board_has_not_is_refused() {
    let folder = weir();
    let (code, said) = tipring(folder.path(), &["without", "book.scene", "brich"]);
    assert_eq!((code, said.trim()), (Some(2), "tipring: the board has no part `brich`; did you mean `birch`?"));
    let (code, said) = tipring(folder.path(), &["without", "book.scene", "lead", "999"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("the board has no part `lead 999`"), "{said}");
    // As people write them.
    assert_eq!(without(&folder, &["Loop-1"]), without(&folder, &["loop", "1"]));
}

#[test]
fn one_set_asks_of_that_set_alone() {
    let folder = weir();
    std::fs::write(folder.path().join("tonight.txt"), "Ebb\n").unwrap();
    let said = without(&folder, &["ash", "--songs", "tonight.txt"]);
    assert!(said.contains("Touches no part that is played, and 3 presets beside."), "{said}");
}

#[test]
fn sheets_and_stage_page_say_what_to_do() {
    let folder = weir();
    for words in [
        &["sheet", "book.scene"][..],
        &["sheet", "book.scene", "--for", "tech"],
        &["sheet", "book.scene", "--for", "player"],
    ] {
        let (code, said) = tipring(folder.path(), words);
        assert_eq!(code, Some(0), "{said}");
        assert!(said.contains("if it breaks"), "{said}");
        assert!(said.lines().any(|l| l.split_whitespace().eq("ash 3 bridge loop 1".split(' '))), "{said}");
        assert!(line(&said, "elm ").ends_with("plug past elm"), "{said}");
        assert!(!said.contains("birch 0"), "{said}");
    }
    let (_, said) = tipring(folder.path(), &["sheet", "book.scene"]);
    assert!(said.contains("ash dead: instead of 1.2, 4.2 ashen press 2.1 clear"), "{said}");
    let (_, page) = tipring(folder.path(), &["stage", "book.scene"]);
    assert!(page.contains("<b>ash</b> bridge loop 1"), "{page}");
    assert!(page.contains("if ash is dead: 2.1 clear"), "{page}");
}

/// What is heard without a device is what the book is heard to be from which `book::out` took it, scene by scene.
#[test]
fn a_device_that_is_dead_is_heard_as_one_that_is_taken_out() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = |of: &str| std::fs::read_to_string(root.join("examples").join(of)).unwrap();
    let (board, songs) = (text("winter/board.scene"), text("winter/songs.scene"));
    let books = [vec![("book.scene", BOOK)], vec![("board.scene", board.as_str()), ("songs.scene", songs.as_str())]];
    let (mut rows, mut touched) = (0, 0);
    for texts in books {
        let base = compile_texts(&texts);
        let columns = Columns::of(&base.book, &base.table);
        for (d, device) in base.book.board.devices.pairs() {
            let sounds = |scene, device: DeviceId| Row::of(&base.book, &base.table, scene).sounds(device) != Answer::No;
            let (out, _) = book::out::without(&base.book, &[d], &sounds);
            let table = settle::settle(&out, false).table;
            let other = Columns::of(&out, &table);
            let blow = Blow { out: vec![d], ..Blow::default() };
            for scene in base.book.show.scenes.ids() {
                let now = columns.hear(&base.book, &base.table, scene, &blow);
                let own = columns.list.iter().zip(&now).filter(|(c, _)| c.device != d);
                let own: Vec<Mark> = own.map(|(_, mark)| *mark).collect();
                let name = &base.book.show.scenes.get(scene).unwrap().name;
                assert_eq!(own, other.hear(&out, &table, scene, &Blow::default()), "{name} without {}", device.name);
                rows += 1;
                touched += usize::from(now != columns.hear(&base.book, &base.table, scene, &Blow::default()));
            }
        }
    }
    assert!(rows > 900 && touched > 300, "{rows} rows, {touched} touched");
}

/// A scene with switches pressed inside its preset is no scene of the book: it is counted for what it is. What is pressed for
/// a second row is told press by press, and a dead treadle's level as what nobody knows.
#[test]
fn what_switches_make_is_counted_apart() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 3; outputs 1; expressions 1 of 128 steps; banks 1..2, switches 1..3\n\
        inside: switches 5..6, toggles 2, rows 2; presses: same bank 1, bank step 1 }\n\
        pedal ember { loop 1 }\npedal gully { loop 2; level blend on expression 1 from 0 % to 100 % }\npedal moth { loop 3 }\n\
        treadle rocker feeds expression 1\namp larch { fed by output 1 }\n\
        scene bed { engage ember; again calm; switch 5 toggles ember; switch 6 toggles moth }\nscene calm { }\n\
        scene wide { engage moth, gully; gully.blend foot }\nscene loud { engage ember; again hush }\nscene hush { mute }\n\
        song \"Quay\" { bed; loud; wide }\nslots { 1.1 bed; 1.2 wide; 1.3 loud }\n\
        if moth fails, wide becomes calm\nif ember fails, bed becomes calm\n";
    std::fs::write(folder.path().join("book.scene"), text).unwrap();
    let said = without(&folder, &["moth"]);
    assert!(said.contains("1 song, 3 parts, 5 scenes and 3 more with switches pressed inside them."), "{said}");
    let (code, sheet) = tipring(folder.path(), &["sheet", "book.scene", "--for", "player"]);
    assert_eq!(code, Some(0), "{sheet}");
    for says in [
        "wide if moth is dead: 1.1, 1.1 again calm\n",
        "bed if ember is dead: 1.1 again calm\n",
        "for silence press: 1.3, 1.3 again hush\n",
        "no foot: nobody knows where gully blend stands\n",
    ] {
        assert!(sheet.contains(says), "{says}{sheet}");
    }
}

/// No book says in which order the devices on the line of MIDI leads follow each other, so it is said by what they were taken.
#[test]
fn the_order_on_the_midi_line_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 3 }\n\
        pedal ember { loop 1; control sort on midi 5 programs from 1 { one: program 1; two: program 2 } }\n\
        pedal gully { loop 2; control sort on midi 3 programs from 1 { one: program 1; two: program 2 } }\n\
        scene bed { engage ember, gully; ember.sort one; gully.sort two }\nsong \"Quay\" { bed }\n";
    std::fs::write(folder.path().join("book.scene"), text).unwrap();
    let says = "in the order of their channels, as the book does not say how they run: gully on 3, ember on 5";
    for words in [&["wiring", "book.scene"][..], &["without", "book.scene"]] {
        let (code, said) = tipring(folder.path(), words);
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(code == Some(0) && said.contains(says), "{said}");
    }
}

//! What players are told where a book says one thing in several places: copies of a sound, songs of one tempo, a silent slot.

use std::fs;

use super::tipring;

/// Two copies of `bed`: the feet take the one in the bank of the song.
const COPIES: &str = "switcher { loops 2; banks 1..3, switches 1..3; presses: same bank 1, bank step 1 }
pedal ember { loop 1 }
pedal grit { loop 2 }
scene bed { engage ember }
scene dirt { engage grit }
scene both { engage ember, grit }
song \"Quay\" { verse: bed; refrain: both }
song \"Mole\" { verse: bed; refrain: dirt }
set \"night\" { \"Quay\"; \"Mole\" }
slots { 1.1 bed; 1.2 dirt; 3.1 bed; 3.2 both }
";

fn write(folder: &tempfile::TempDir, name: &str, text: &str) {
    fs::write(folder.path().join(name), text).unwrap();
}

fn said(folder: &tempfile::TempDir, words: &[&str]) -> String {
    let (code, out, complaint) = tipring(words, folder.path());
    assert_eq!(code, Some(0), "{words:?}: {out}{complaint}");
    out
}

/// The whole set costs least from 3.1 to 3.2, and back to 1.1: by hand, 1 + 2 + 1 presses against 2 + 1 + 1 and more.
#[test]
fn copies_are_told_where_the_walk_presses_them() {
    let folder = tempfile::tempdir().unwrap();
    write(&folder, "book.scene", COPIES);
    let walk: serde_json::Value =
        serde_json::from_str(&said(&folder, &["walk", "book.scene", "--format", "json"])).unwrap();
    let pressed: Vec<(&str, &str)> = walk["sets"][0]["changes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| (c["song"].as_str().unwrap(), c["slot"].as_str().unwrap()))
        .collect();
    assert_eq!(pressed, [("Quay", "3.1"), ("Quay", "3.2"), ("Mole", "1.1"), ("Mole", "1.2")]);
    assert!(said(&folder, &["why", "book.scene", "verse of Quay", "ember"]).contains("(3.1 `bed`)"));
    assert!(said(&folder, &["why", "book.scene", "verse of Mole", "ember"]).contains("(1.1 `bed`)"));
    assert!(said(&folder, &["why", "book.scene", "bed", "ember"]).contains("In `bed` (1.1 and 3.1)"));
    let used = said(&folder, &["where", "book.scene", "ember"]);
    assert!(used.contains("verse 3.1 bed; refrain 3.2 both") && used.contains("verse 1.1 bed"), "{used}");
    assert!(!used.contains("1.1 3.1"), "{used}");
    let used = said(&folder, &["where", "book.scene", "ember", "--format", "csv"]);
    assert!(used.contains("Quay,verse,bed,3.1,") && used.contains("Mole,verse,bed,1.1,"), "{used}");
    // The other way round the feet take other copies, with every preset as it was.
    write(
        &folder,
        "new.scene",
        &COPIES.replace("\"Quay\"; \"Mole\"", "\"Mole\"; \"Quay\"").replace("3.2 both", "2.2 both; 2.1 bed"),
    );
    let (_, told, _) = tipring(&["diff", "book.scene", "new.scene", "--for", "player"], folder.path());
    assert!(told.contains("\"Quay\": verse 3.1 → 2.1, refrain 3.2 → 2.2"), "{told}");
    let (_, told, _) = tipring(&["diff", "book.scene", "new.scene"], folder.path());
    assert!(told.contains("\"Quay\": 2.1, 2.2") && !told.contains("\"Mole\": 2.1"), "{told}");
}

#[test]
fn the_song_that_is_asked_after_says_its_tempo() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1 }
pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
scene bed { engage tide }
song \"Quay\" at 92 bpm { verse: bed }
song \"Weir\" at 92 bpm { verse: bed }
";
    write(&folder, "book.scene", text);
    let told = said(&folder, &["why", "book.scene", "verse of Weir", "tide"]);
    assert!(told.contains("\"Weir\" says so (book.scene:5)") && !told.contains("\"Quay\""), "{told}");
    let told = said(&folder, &["why", "book.scene", "bed", "tide"]);
    assert!(told.contains("\"Quay\" with \"Weir\" says so"), "{told}");
}

#[test]
fn the_walk_tells_sounds_and_messages() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 2; remote jacks 2; outputs 1 }
pedal tide { loop 1; level depth on midi 5 cc 20 from 0 % to 100 %; control memory on midi 2 programs from 1 { slap: program 1; long: program 2 } }
pedal lull { loop 2; control voice on remote 2 tip { round: open; sharp: closed } }
amp larch { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
default { tide.depth 20 %; tide.memory slap; larch.channel clean; lull.voice round }
scene bed { engage tide }
scene lead { engage tide; larch.channel lead; tide.memory long; tide.depth 40 % }
scene hush from bed { mute }
song \"Quay\" { bed; lead; hush }
";
    write(&folder, "book.scene", text);
    let told = said(&folder, &["walk", "book.scene"]);
    for line in ["larch channel to lead", "tide memory to long", "tide depth to 40 %", "larch off"] {
        assert!(told.contains(line), "{line}: {told}");
    }
    assert!(!told.contains("remote-1-tip"), "{told}");
    let told = said(&folder, &["walk", "book.scene", "--format", "json"]);
    assert!(told.contains("\"remote-1-tip\""), "the columns are for programs: {told}");
}

#[test]
fn the_players_sheet_tells_where_silence_is() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; outputs 1; banks 1..1, switches 1..3 }
pedal ember { loop 1 }
amp larch { fed by output 1 }
scene bed { engage ember }
scene hush { mute }
song \"Quay\" { bed }
slots { 1.1 bed; 1.3 hush }
";
    write(&folder, "book.scene", text);
    for words in [&["sheet", "book.scene", "--for", "player"][..], &["sheet", "book.scene"]] {
        let told = said(&folder, words);
        assert!(told.contains("for silence press: 1.3 hush"), "{told}");
    }
    let banks = text.replace("banks 1..1", "banks 1..2").replace("1.3 hush", "every bank switch 3 hush");
    write(&folder, "book.scene", &banks);
    assert!(said(&folder, &["sheet", "book.scene", "--for", "player"]).contains("for silence press: switch 3 hush"));
    write(&folder, "book.scene", &text.replace("; 1.3 hush", ""));
    assert!(!said(&folder, &["sheet", "book.scene", "--for", "player"]).contains("for silence"));
}

#[test]
fn a_song_that_went_with_its_set_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1 }
pedal ember { loop 1 }
scene bed { engage ember }
song \"Quay\" { bed }
song \"Mole\" { bed }
song \"Weir\" { bed }
song \"Lock\" { bed }
set \"first\" { \"Quay\"; \"Mole\"; \"Weir\"; \"Lock\" }
";
    write(&folder, "old.scene", text);
    write(&folder, "new.scene", &text.replace("set \"first\"", "set \"second\"").replace("; \"Mole\"", ""));
    let (_, told, _) = tipring(&["diff", "old.scene", "new.scene"], folder.path());
    assert!(told.contains("\"second\" (was \"first\")") && told.contains("\"Mole\" is out"), "{told}");
    // Too little is left to call it the same set.
    write(&folder, "new.scene", &text.replace("set \"first\"", "set \"second\"").replace("; \"Mole\"; \"Weir\"", ""));
    let (_, told, _) = tipring(&["diff", "old.scene", "new.scene"], folder.path());
    assert!(
        told.contains("\"first\" is gone") && told.contains("\"Mole\" is out") && told.contains("\"Weir\" is out"),
        "{told}"
    );
}

#[test]
fn pinned_slots_stand_where_a_hand_would_put_them() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; banks 1..2, switches 1..4; presses: same bank 1, bank step 1 }
pedal ember { loop 1 }
scene bed
scene push { engage ember }
scene far { engage ember }
song \"Quay\" { bed; push }
song \"Mole\" { far }
";
    let pin = |slots: &str| {
        write(&folder, "book.scene", &format!("{text}{slots}"));
        let told = said(&folder, &["slots", "book.scene", "--pin"]);
        assert!(told.contains("take these lines out of `slots`"), "{told}");
        fs::read_to_string(folder.path().join("book.scene")).unwrap().split_off(text.len())
    };
    let laid = pin("\nslots { # the board\n  1.1 push # first\n  2.1 far\n  others auto\n}\n");
    assert_eq!(laid, "\nslots { # the board\n  1.1 push # first\n  1.2 bed\n  2.1 far\n  others auto\n}\n");
    // On one line, in a file that is not in its canonical look: the block is laid, the rest is left.
    let laid = pin("slots {  2.1 far; others auto }\n");
    assert_eq!(laid, "slots {\n  1.1 bed\n  1.2 push\n  2.1 far; others auto\n}\n");
    // A second row goes with the first: it has no line of its own, and is not counted.
    let rows = text
        .replace("bank step 1 }", "bank step 1; inside: rows 2 }")
        .replace("scene bed\n", "scene bed { again far }\n");
    write(&folder, "book.scene", &rows);
    let told = said(&folder, &["slots", "book.scene", "--pin"]);
    let laid = fs::read_to_string(folder.path().join("book.scene")).unwrap().split_off(rows.len());
    assert_eq!(laid, "\nslots {\n  1.1 bed\n  1.2 push\n  others auto\n}\n");
    assert!(told.starts_with("pinned 2 slots in"), "{told}");
    let (code, _, complaint) = tipring(&["slots", "book.scene", "--bank-a-song"], folder.path());
    assert!(code != Some(0) && complaint.contains("--best --bank-a-song"), "{complaint}");
}

#[test]
fn better_slots_tell_what_they_leave_free() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 2; banks 1..2, switches 1..2; presses: same bank 1, bank step 3 }
pedal ember { loop 1 }
pedal grit { loop 2 }
scene bed
scene push { engage ember }
scene wide { engage grit }
song \"Quay\" { bed; push; bed; push; bed; wide; bed; wide; bed; wide }
set \"night\" { \"Quay\" }
slots { others auto }
";
    write(&folder, "book.scene", text);
    let told = said(&folder, &["slots", "book.scene", "--best"]);
    assert!(told.contains("No switch is left free, today 1 switch is"), "{told}");
}

#[test]
fn legs_that_cancel_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; outputs 1 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
patch leads 30 cm at 100 pF/m
pedal braid { loop 1; input 1 Mohm; output 1 kohm; gain 0 dB stated; leg dry gain 0 dB; leg wet gain 0 dB, inverts polarity }
amp larch { fed by output 1; input 1 Mohm }
chain front: guitar -> loop 1 -> output 1
scene bed { engage braid }
song \"Quay\" on plank { bed }
";
    write(&folder, "book.scene", text);
    assert!(said(&folder, &["signal", "book.scene"]).contains("none left: legs cancel each other"));
    assert!(said(&folder, &["signal", "book.scene", "--format", "json"]).contains("\"nothing_left\": true"));
    write(&folder, "book.scene", &text.replace(", inverts polarity", ""));
    assert!(!said(&folder, &["signal", "book.scene"]).contains("none left"));
}

#[test]
fn two_sides_into_one_amplifier_get_a_way_out_that_can_be_gone() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; outputs 1 }
guitar plank
pedal tide { loop 1 stereo }
amp larch { fed by output 1 }
chain front: guitar -> loop 1 -> output 1
scene bed { engage tide }
song \"Quay\" on plank { bed }
";
    write(&folder, "book.scene", text);
    let (_, out, told) = tipring(&["check", "book.scene"], folder.path());
    let told = out + &told;
    assert!(
        told.contains("bring its other side to an amplifier or a box of its own") && !told.contains("behind"),
        "{told}"
    );
}

#[test]
fn a_helpers_page_tells_its_power_and_how_it_wakes() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; banks 1..1, switches 1..3 }
helper annex { loops 2; on midi 3 programs from 1; power brick.A, 200 mA at 9 V, centre-negative }
supply brick { margin 20 %; outlet A 9 V, 500 mA, centre-negative, isolated }
pedal gully { loop 1 of annex }
scene bed
scene warm { engage gully }
song \"Quay\" { bed; warm }
";
    write(&folder, "book.scene", text);
    let told = said(&folder, &["slots", "book.scene"]).replace('\n', " ");
    assert!(told.contains("annex takes 9 V, centre-negative, 200 mA, from brick outlet A"), "{told}");
    assert!(told.contains("What annex wakes on after power-up is not said"), "{told}");
    assert!(
        said(&folder, &["walk", "book.scene"]).contains("annex (helper): not said (press any preset before you play")
    );
    write(&folder, "book.scene", &text.replace("; power brick.A, 200 mA at 9 V, centre-negative", ""));
    assert!(said(&folder, &["slots", "book.scene"]).contains("What power annex takes is not said"));
}

#[test]
fn a_lead_that_reverses_hides_no_other_pair() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1 }
supply brick {
  margin 20 %
  outlet A 9 V, 100 mA, centre-negative, isolated
  outlet B 9 V, 100 mA, centre-negative, shared
  outlet C 9 V, 100 mA, centre-positive, shared
}
pedal ember { loop 1; power brick.A, 20 mA at 9 V, centre-negative }
pedal mid { always on; power brick.A, 20 mA at 9 V, centre-positive, reversing lead }
pedal far { always on; power brick.B, 20 mA at 9 V, centre-negative }
pedal near { always on; power brick.C, 20 mA at 9 V, centre-positive }
scene bed { engage ember }
song \"Quay\" { bed }
";
    write(&folder, "book.scene", text);
    let (_, out, told) = tipring(&["check", "book.scene"], folder.path());
    let told = out + &told;
    assert!(
        told.contains("one has a reversing lead and one has not") && told.contains("shares its ground with `B`"),
        "{told}"
    );
}

#[test]
fn a_misspelt_level_is_told_beside_a_misspelt_treadle() {
    let folder = tempfile::tempdir().unwrap();
    let text = "switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
treadle rocker on foot input 1
pedal tide { loop 1; level depth on expression 1 from 0 % to 100 % }
scene bed { engage tide; tide.depth 20 %; rockr moves tide.dept }
song \"Quay\" { bed }
";
    write(&folder, "book.scene", text);
    let (_, out, told) = tipring(&["check", "book.scene"], folder.path());
    let told = out + &told;
    assert!(told.contains("did you mean `rocker`") && told.contains("did you mean `depth`"), "{told}");
}

/// A song too slow for a pedal: the way out names the note values that fit, and every one is tried. By hand: 58 bpm in eighths is
/// 116 bpm, in sixteenths 232, in dotted eighths 77.333, in triplet quarters 87.
#[test]
fn a_tempo_that_is_refused_names_the_values_that_fit() {
    let folder = tempfile::tempdir().unwrap();
    let book = |takes: &str, part: &str| {
        let text = format!(
            "switcher {{ loops 1; remote jacks 1 }}\npedal slap {{ loop 1; tempo by 3 pulses on remote 1 tip {takes} }}\n\
             scene bed {{ engage slap }}\nsong \"Siren\" at 58 bpm {{ dub: bed{part} }}\n"
        );
        write(&folder, "book.scene", &text);
        let (_, out, complaint) = tipring(&["check", "book.scene"], folder.path());
        (out + &complaint).split_whitespace().filter(|word| *word != "│").collect::<Vec<_>>().join(" ")
    };
    let told = book("from 60 bpm to 200 bpm", "");
    let help = told.split("help:").nth(1).unwrap_or_else(|| panic!("{told}")).to_owned();
    assert!(help.contains("`beat slap eighth`") && help.contains("`eighth` (116 bpm)"), "{told}");
    let mut fit = 0;
    for value in tipring::syntax::grammar::song::NOTE_VALUES {
        let refused = book("from 60 bpm to 200 bpm", &format!(", beat slap {value}")).contains("tempo-refused");
        assert_eq!(help.contains(&format!("`{value}` (")), !refused, "{value}: {help}");
        fit += usize::from(!refused);
    }
    assert_eq!(fit, 5);
    assert!(book("from 60 bpm to 62 bpm", "").contains("no note value brings the song into what it takes"));
}

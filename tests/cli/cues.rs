//! What makes no sound, as people are told of it: in a comparison, on the walk, in words; and the times of the files.

use std::fs;

use super::tipring;

/// By hand: `bed` sends one thing, `solo` three at three moments.
const LAMPS: &str =
    "switcher { loops 1; banks 1..1, switches 1..4; messages on leaving, after up to 30 s, only if changed }
pedal ember { loop 1 }
listener lamps {
  control look on midi 5 programs from 1 { blue: program 2; amber: program 3 }
  control out on midi 5 cc 30, on leaving { fade: value 127 }
  control hit on midi 5 messages, after 4 s { go: note 60 at 100 }
  control tape on midi 6 messages, only if changed { roll: note 1 at 1; halt: note 2 at 1 }
}
scene bed { lamps.tape roll }
scene solo { engage ember; lamps.look amber; lamps.out fade; lamps.hit go; lamps.tape roll }
scene bare
song \"Quay\" at 60 bpm { bed; solo; end: bed }
song \"Mole\" { bare }
set \"n\" { \"Quay\"; \"Mole\" }
slots { others auto }
";

fn said(text: &str, words: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.scene"), text).unwrap();
    let (code, out, complaint) = tipring(words, folder.path());
    assert_eq!(code, Some(0), "{words:?}: {out}{complaint}");
    out
}

fn differs(old: &str, new: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.scene"), old).unwrap();
    fs::write(folder.path().join("b.scene"), new).unwrap();
    let (code, out, complaint) = tipring(&["diff", "a.scene", "b.scene", "--for", "tech"], folder.path());
    assert!(matches!(code, Some(0 | 1)), "{out}{complaint}");
    out
}

/// One preset sends the message whose moment is another: one thing to do, nothing of hardware, one song.
#[test]
fn another_moment_is_one_thing_to_do() {
    let told = differs(LAMPS, &LAMPS.replace("after 4 s", "after 6 s"));
    assert!(told.contains("1 thing to do in 1 slot"), "{told}");
    assert!(told.contains("midi 5 messages after 6 s: go (lamps hit)"), "{told}");
    assert!(told.contains("take `midi 5 messages after 4 s` out of 1.2"), "{told}");
    assert!(!told.contains("Hardware") && !told.contains(": stays") && !told.contains("\"Mole\":"), "{told}");
    // What it sends is another matter: that stands with the board.
    assert!(differs(LAMPS, &LAMPS.replace("note 60", "note 61")).contains("Hardware"));
}

/// A preset that sent something and does not now has its box; one that never did has none.
#[test]
fn what_sent_nothing_asks_for_nothing() {
    let told = differs(LAMPS, &LAMPS.replace("lamps.hit go; ", ""));
    assert!(
        told.contains("1 thing to do in 1 slot") && told.contains("midi 5 messages after 4 s: go → stays"),
        "{told}"
    );
    let fog = "listener fog { control puff on midi 8 cc 20, on leaving { go: value 100 } }\nscene bed { fog.puff go; ";
    let told = differs(LAMPS, &LAMPS.replace("scene bed { ", fog));
    assert!(told.contains("1 thing to do in 1 slot") && told.contains("midi 8 cc 20 on leaving: 100"), "{told}");
}

#[test]
fn the_walk_tells_what_a_preset_sends() {
    let told = said(LAMPS, &["walk", "a.scene"]);
    let sends = "lamps look amber, on leaving: lamps out fade, after 4 s: lamps hit go";
    assert_eq!(
        told.replace('\n', " ").split_whitespace().collect::<Vec<_>>().join(" ").matches(sends).count(),
        1,
        "{told}"
    );
    // What is left out where it was the last that was sent goes out once.
    assert_eq!(told.matches("lamps tape roll").count(), 1, "{told}");
    let told = said(LAMPS, &["table", "a.scene", "--format", "words"]);
    let sends = "solo: ember on; lamps look amber; only if changed: lamps tape roll; on leaving: lamps out fade; after 4 s: lamps hit go\n";
    assert!(told.contains(sends), "{told}");
    assert!(told.contains("bare: nothing in\n"), "{told}");
}

/// By hand: `bed` does not send `look` and `hit`, every preset but `bare` sends `tape`; `depth` is sent by `wash` alone, and
/// `mix` by every preset: the first press sends it.
#[test]
fn all_that_some_preset_leaves_is_told_after_a_power_loss() {
    let text = "switcher { loops 2; remote jacks 1; banks 1..1, switches 1..4 }
pedal tide { loop 1; level depth on midi 2 cc 20 from 0 % to 100 %; tempo by 3 pulses on remote 1 tip from 40 bpm to 300 bpm }
pedal lull { always on; level mix on midi 3 cc 20 from 0 % to 100 % }
listener lamps { control look on midi 5 messages { amber: note 60 at 100; blue: note 61 at 100 } }
scene bed { lull.mix 20 %; lamps.look blue }
scene wash { engage tide; tide.depth 20 %; lull.mix 30 % }
song \"Quay\" at 90 bpm { bed; wash }
";
    let told = said(text, &["sheet", "a.scene", "--for", "tech"]);
    for what in ["lamps look", "tide depth", "tide tempo"] {
        assert!(told.contains(&format!("{what}: unknown; press any preset that sends it")), "{what}: {told}");
    }
    assert!(!told.contains("lull mix: unknown"), "{told}");
}

/// Who reads `holds` thinks of a switch: what a treadle moves is called a treadle, and a switch that holds is told beside it.
#[test]
fn a_treadle_and_a_switch_that_holds_are_told_apart() {
    let text = "switcher { loops 2; expressions 1 of 128 steps; banks 1..1, switches 1..4; inside: switches 6..7, toggles 1, holds 1 }
pedal ember { loop 1; level depth on expression 1 from 0 % to 100 % }
pedal moth { loop 2 }
treadle rocker feeds expression 1
scene bed { engage ember; ember.depth foot; switch 7 holds moth }
scene plain
song \"Quay\" { bed; plain }
";
    let told = said(text, &["sheet", "a.scene", "--for", "player"]);
    assert!(told.contains("bed (treadle)") && !told.contains("foot holds"), "{told}");
    assert!(told.contains("bed switch 7 held: moth engaged") && !told.contains("plain switch"), "{told}");
}

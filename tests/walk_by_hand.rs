//! A set of five changes, walked by hand; each number is explained where it is asserted.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use support::{codes, compile, one};
use tipring::ids::DeviceId;
use tipring::print::doc::{html, text};
use tipring::print::walk::{doc, json, pages};
use tipring::study::walk::{LevelStep, Manual, TailCut, Takes};

const BOOK: &str = r#"
board "Walked by hand"
switcher {
  loops 3
  remote jacks 1
  expressions 1 of 101 steps
  banks 1..3, switches 1..2
  repress ignored
  wakes 1.1
  presses: same bank 1, bank step 1
}
pedal gorge { loop 1; gain 0 dB stated; tail 3 s }
pedal ember { loop 2; gain 6 dB stated; control voice on remote 1 tip { low: open; high: closed } }
pedal tide { loop 3; place top; gain -1 dB stated; level depth on expression 1 from 0 % to 100 % }
pedal mill { always on; place top; control speed by foot { slow; fast } }
treadle left feeds expression 1
default { mill.speed slow }

scene rest { mute }
scene wash { engage gorge, tide; tide.depth 20 % }
scene storm { engage ember, tide; ember.voice high; tide.depth foot from heel }
scene gale from storm { tide.depth foot; mill.speed fast }
scene calm { mute }

song "Quay" { wash; storm; gale; end: calm, hand "guitar volume 7" }
song "Mole" { all: rest }
set "night" { "Quay"; "Mole" }
slots { 1.1 rest; 1.2 wash; 2.1 storm; 3.1 gale; 3.2 calm }
"#;

#[test]
fn five_changes() {
    let compiled = compile(&one("book.scene", BOOK));
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    let walk = compiled.walk();
    let [walked] = walk.runs.as_slice() else { panic!("one set, and no song outside it") };
    let [one, two, three, four, five] = walked.changes.as_slice() else { panic!("{:?}", walked.changes) };
    let tip = compiled.table.cells.list.position(|c| c.name == "remote-1-tip").unwrap();

    // Power-up wakes 1.1 (rest). To wash in 1.2: same bank, 1 press. gorge (loop 1) and tide (loop 3) come in, 0 dB
    // and -1 dB: -1 dB. tide did not sound before, so nothing jumps. The switch wants one foot.
    assert_eq!((one.banks, one.presses, one.feet, one.inside), (0, Some(1), 1, false));
    assert_eq!(one.loops, [(1, true), (3, true)]);
    assert_eq!(one.level, LevelStep::Db(-1.0));
    assert!(one.contacts.is_empty() && one.manual.is_empty() && one.jumps.is_empty() && one.tails.is_empty());

    // To storm in 2.1: one bank and the switch, 2 presses. gorge goes while it rings for 3 s, ember comes: +6 dB. The
    // tip closes for `high`. The depth stood at 20 % (step 20 of 100) and the foot starts at the heel, step 0.
    assert_eq!((two.banks, two.presses, two.feet, two.inside), (1, Some(2), 1, true));
    assert_eq!(two.loops, [(1, false), (2, true)]);
    assert_eq!((&two.level, two.contacts.as_slice()), (&LevelStep::Db(6.0), &[tip][..]));
    assert_eq!(two.tails, [TailCut { device: DeviceId::nth(0), seconds: 3.0, by_program: false }]);
    let [jump] = two.jumps.as_slice() else { panic!("{:?}", two.jumps) };
    assert_eq!((jump.held.1, jump.takes), (20, Takes::From(0)));
    // 2 presses, a jump (3), a cut tail (2).
    assert_eq!(two.pain(), 7);

    // To gale in 3.1: one bank and the switch, 2 presses. Nothing moves in the switcher. One foot presses, one stays on
    // the treadle (storm and gale both leave the depth to it), and mill must be set to fast by foot: three.
    assert_eq!((three.presses, three.feet, three.loops.len(), three.contacts.len()), (Some(2), 3, 0, 0));
    assert!(
        matches!(three.manual.as_slice(), [Manual::Move { device, control, .. }] if (device.index(), control.index()) == (3, 0)),
        "{:?}",
        three.manual
    );
    assert_eq!(three.level, LevelStep::Db(0.0));
    // 2 presses, a move by foot (2), both feet (4).
    assert_eq!(three.pain(), 8);

    // To calm in 3.2: 1 press. ember (6 dB) and tide (-1 dB) go: -5 dB. The tip opens, as ember is bypassed and at
    // rest. mill goes back to slow by foot, and the part asks for the guitar's volume by hand: two moves, two feet.
    assert_eq!((four.presses, four.feet), (Some(1), 2));
    assert_eq!(four.loops, [(2, false), (3, false)]);
    assert_eq!((&four.level, four.contacts.as_slice()), (&LevelStep::Db(-5.0), &[tip][..]));
    assert_eq!((four.manual.len(), four.jumps.len()), (2, 0));
    // 1 press, two moves (4), both feet (4).
    assert_eq!(four.pain(), 9);

    // The next song, rest in 1.1: two banks and the switch, 3 presses. calm and rest store the same.
    assert_eq!((five.banks, five.presses, five.inside), (2, Some(3), false));
    assert!(five.loops.is_empty() && five.contacts.is_empty() && five.manual.is_empty());

    // Sums of the above. The worst are those inside songs: 4 (9), 3 (8), 2 (7).
    let sums = walked.totals();
    assert_eq!((sums.changes, sums.presses, sums.loops, sums.contacts), (5, Some(9), 6, 2));
    assert_eq!((sums.manual, sums.two_feet, sums.jumps, sums.tails), (3, 2, 1, 1));
    assert_eq!(walked.worst(), [3, 2, 1]);
    assert_eq!(codes(&compiled), ["level-jump-on-takeover", "tail-cut", "two-feet-at-once", "two-feet-at-once"]);
}

#[test]
fn the_pages_say_the_same() {
    let compiled = compile(&one("book.scene", BOOK));
    let pages_of = |c: &tipring::Compiled| pages(c, Some("NIGHT"));
    let told = [doc(&compiled, &pages_of(&compiled))];
    let said = text::write(&told, false);
    for line in [
        "\"night\": 5 changes, 9 presses",
        "6 loops move, 2 contacts move, 3 moves by hand or foot, 2 with both feet, 1 jump, 1 tail cut",
        "tide depth: from 20 % to 0 %, where the foot starts",
        "by hand or foot: mill speed to slow, guitar volume 7",
        "wants 3 feet at once",
        "-5 dB",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
    let read: serde_json::Value = serde_json::from_str(&json(&pages_of(&compiled))).unwrap();
    assert_eq!(read["sets"][0]["worst"], serde_json::json!([4, 3, 2]));
    assert_eq!(read["sets"][0]["changes"][1]["tails"][0], "gorge rings 3 s");
    let page = html::write(&told, "");
    assert_eq!(page.matches("<rect ").count(), 5, "one bar a change");
    assert!(pages(&compiled, Some("another")).sets.is_empty());
    // Nobody hears the tip in rest, wash and calm: all three hold it closed, as storm and gale do, and nothing moves.
    let compiled = compiled.fill_least();
    assert_eq!(compiled.walk().runs[0].totals().contacts, 0);
}

/// A scene in two slots: the cheaper one for its own song is the dearer one for the night.
#[test]
fn the_cheapest_slots_are_those_of_the_whole_set() {
    let text = "switcher { loops 1; banks 1..9, switches 1..2; repress ignored; wakes 5.1; presses: same bank 1, bank step 1 }\n\
        pedal ember { loop 1 }\nscene mid { }\nscene edge { engage ember }\nscene far { mute }\n\
        song \"Quay\" { all: edge }\nsong \"Mole\" { all: far }\nset \"night\" { \"Quay\"; \"Mole\" }\n\
        slots { 5.1 mid; 4.1 edge; 7.1 edge; 9.1 far }\n";
    let compiled = compile(&one("set.scene", text));
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    // By hand: 5.1 to 4.1 is 2 presses and 4.1 to 9.1 is 6, 8 in all; by 7.1 it is 3 and 3, 6 in all.
    let walked = &compiled.walk().runs[0];
    assert_eq!(walked.totals().presses, Some(6));
    let wanted = tipring::print::sheet::Wanted::default();
    let sheet = format!("{:?}", tipring::print::sheet::sheet(&compiled, &wanted).nights);
    assert!(sheet.contains("7.1") && !sheet.contains("4.1"), "{sheet}");
}

/// Two treadles that the foot holds and two tempos to tap, in one part: four things asked of two feet.
#[test]
fn more_is_asked_than_there_are_feet() {
    let text = "switcher { loops 2; expressions 2 of 128 steps }\n\
        pedal tide { loop 1; place top; tap by foot; level depth on expression 1 from 0 % to 60 % }\n\
        pedal gully { loop 2; place top; tap by foot; level blend on expression 2 from 0 % to 100 % }\n\
        treadle left feeds expression 1\ntreadle right feeds expression 2\n\
        scene swell { engage tide, gully; tide.depth foot from heel; gully.blend foot from heel }\n\
        scene one { engage tide, gully; tide.depth foot from heel; gully.blend 20 % }\n\
        song \"Quay\" at 92 bpm { swell, tap tide quarter, tap gully eighth }\n\
        song \"Mole\" at 92 bpm { one, tap tide quarter }\n";
    let compiled = compile(&one("feet.scene", text));
    assert_eq!(codes(&compiled), ["too-many-feet"]);
    assert!(compiled.diagnostics()[0].message.contains("4 feet"), "{:?}", compiled.diagnostics());
    // By hand: one part of the two is too much, and it has no part before it.
    let counts: Vec<usize> = compiled.walk().runs.iter().map(|run| run.totals().two_feet).collect();
    assert_eq!(counts, [0, 1]);
    let told = [doc(&compiled, &pages(&compiled, Some("Quay")))];
    assert!(text::write(&told, false).contains("wants both feet or more while it sounds"));
}

/// What was set while a pedal was silent is told when it comes in, by a press inside the preset or by another preset.
#[test]
fn how_a_pedal_stands_is_told_when_it_is_heard() {
    let text = "switcher { loops 2; remote jacks 1; banks 1..1, switches 1..4; wakes 1.1; inside: switches 6..7, toggles 2 }\n\
        pedal ember { loop 1 }\n\
        pedal tide { loop 2; control voice on remote 1 tip { low: open; high: closed }\n\
          control memory on midi 3 programs from 1 { short: program 1; long: program 2 } }\n\
        default { tide.voice low; tide.memory short }\nscene rest { }\n\
        scene bed { engage ember; switch 6 toggles tide; tide.voice high; tide.memory long }\n\
        scene plain { engage ember; tide.voice low }\nscene full { engage tide; tide.voice high; tide.memory long }\n\
        song \"Quay\" { in: bed; up: bed, press 6; low: plain; again: full; off: plain; last: bed }\n\
        slots { 1.1 rest; 1.2 bed; 1.3 plain; 1.4 full }\n";
    let compiled = compile(&one("heard.scene", text));
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    let read: serde_json::Value = serde_json::from_str(&json(&pages(&compiled, None))).unwrap();
    let turns: Vec<Vec<String>> = read["sets"][0]["changes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|change| serde_json::from_value(change["turns"].clone()).unwrap())
        .collect();
    // By hand: the tip closes and the program goes out as `bed` is called, and nobody hears either before the press. What
    // stands as it was heard last is no word when the pedal comes back.
    let none: [&str; 0] = [];
    let up = ["tide voice to high", "tide memory to long"];
    assert_eq!(turns, [&none[..], &up, &none, &none, &none, &none]);
}

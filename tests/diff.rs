//! `compare` and `tipring diff`: what differs is told, what does not is not.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use tipring::compare::pairing::Paired;
use tipring::compare::pairing::assign::MOST;
use tipring::compare::{Options, compare};
use tipring::ids::SceneId;
use tipring::print::diff;
use tipring::print::diff::page::Reader;
use tipring::print::doc::text;
use tipring::{Compiled, compile_texts};

const BOARD: &str =
    "switcher { loops 4; remote jacks 1; expressions 1 of 128 steps; outputs 1; banks 1..2, switches 1..3 }
pedal sift { loop 1; control voice on remote 1 { round: tip closed; sharp: ring closed }; knob range 1:30 }
pedal grit { loop 2 }
pedal throb { loop 3; level depth on expression 1 from 0 % to 60 % }
amp combo { fed by output 1 }
";

const SCENES: &str = "scene bed { engage sift, throb; sift.voice round; throb.depth 20 % }
scene crunch from bed { engage grit }
scene bare
song \"Reel\" at 92 bpm { verse: bed; chorus: crunch }
set \"night\" { \"Reel\" }
slots { 1.1 bed; 1.2 crunch; 1.3 bare }
";

fn book(board: &str, scenes: &str) -> Compiled {
    let compiled = compile_texts(&[("board.scene", board), ("songs.scene", scenes)]);
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics());
    compiled
}

fn told(old: &Compiled, new: &Compiled) -> String {
    said(old, new, Reader::Both)
}

fn said(old: &Compiled, new: &Compiled, reader: Reader) -> String {
    text::write(&[diff::story::doc(&compare(old, new, Options::default()), reader)], false)
}

#[test]
fn a_book_does_not_differ_from_itself() {
    let one = book(BOARD, SCENES);
    let comparison = compare(&one, &one, Options::default());
    assert!(comparison.same());
    assert!(told(&one, &one).ends_with("\nno difference\n"));
}

#[test]
fn layout_order_and_files_do_not_matter() {
    let one = book(BOARD, SCENES);
    let turned = SCENES
        .replace("engage sift, throb; sift.voice round", "sift.voice round # here\n  engage throb\n engage sift\n");
    let board = BOARD
        .replace("loop 1; control voice", "\n  control  voice")
        .replace("knob range 1:30", "knob range 1:30; loop 1");
    let other = compile_texts(&[("one.scene", &format!("{turned}{board}"))]);
    assert_eq!(other.errors(), 0, "{:?}", other.diagnostics());
    assert!(told(&one, &other).ends_with("\nno difference\n"), "{}", told(&one, &other));
}

#[test]
fn cell_by_cell_and_in_sounds() {
    let one = book(BOARD, SCENES);
    let other = book(BOARD, &SCENES.replace("20 %", "40 %").replace("scene bare", "scene bare { engage grit }"));
    let told = told(&one, &other);
    // 20 of 60 is a third of 127 steps, 42, printed 33.1; 40 of 60 is 85, printed 66.9.
    for line in [
        "verse, chorus: `throb` depth 20 % → 40 %",
        "`bare`: `grit` in; in no song",
        "expression 1: 33.1 % → 66.9 %",
        "engage loop 2 (GRT)",
    ] {
        assert!(told.contains(line), "{line} in\n{told}");
    }
}

/// A level that only a foot moves has no steps: 48 ms and 49 ms are two settings, told as they were said.
#[test]
fn what_a_foot_sets_is_told_as_finely_as_it_was_said() {
    let board = "switcher { loops 1; banks 1..1, switches 1..2 }\n\
        pedal echo { loop 1; place top; level hi by foot from 20 ms to 2 s }\n";
    let scenes = "scene a { engage echo; echo.hi 48 ms }\nscene b from a { echo.hi 49 ms }\nsong \"Reel\" { a; b }\n";
    let one = book(board, scenes);
    assert!(one.diagnostics().iter().all(|d| d.code != "no-effect"), "{:?}", one.diagnostics());
    let other = book(board, &scenes.replace("49 ms", "48.5 ms"));
    let page = told(&one, &other);
    assert!(page.contains("49 ms") && page.contains("48.5 ms"), "{page}");
}

#[test]
fn a_renamed_scene_is_recognised_by_its_was() {
    let one = book(BOARD, SCENES);
    let other = book(BOARD, &SCENES.replace("scene bare", "scene naked was bare").replace("1.3 bare", "1.3 naked"));
    let told = told(&one, &other);
    assert!(told.contains("`naked` (was `bare`): sounds as before"), "{told}");
    assert!(!told.contains("To reprogram"), "no display, so nothing to store:\n{told}");
}

#[test]
fn a_rename_that_nobody_stated_is_found_unless_it_is_not_wanted() {
    let one = book(BOARD, SCENES);
    let scenes = SCENES.replace("crunch", "gravel");
    let other = book(BOARD, &scenes);
    let found = told(&one, &other);
    assert!(found.contains("scene `gravel` is taken for what was `crunch`"), "{found}");
    assert!(found.contains("`gravel` (was `crunch`)"), "{found}");
    let apart = compare(&one, &other, Options { renames: false, ..Options::default() });
    let apart = text::write(&[diff::story::doc(&apart, Reader::Both)], false);
    assert!(apart.contains("+ new: `gravel`") && apart.contains("- gone: `crunch`"), "{apart}");
    assert!(!apart.contains("is taken for"), "{apart}");
}

/// Beyond so many left over, the most alike are paired first, and the reader is told.
#[test]
fn a_greedy_match_says_so() {
    let scenes = |prefix: &str, count: usize| {
        let scene = |n: usize| format!("scene {prefix}{n}x {{ engage grit; expression 1 at {} % }}\n", n % 100);
        (0..count).map(scene).collect::<String>()
    };
    let board = BOARD.replace("banks 1..2", "banks 1..400");
    for (count, greedy) in [(20, false), (MOST + 1, true)] {
        let (one, other) = (book(&board, &scenes("ash", count)), book(&board, &scenes("bay", count)));
        let comparison = compare(&one, &other, Options::default());
        let lead = text::write(&[diff::story::doc(&comparison, Reader::Both)], false);
        assert_eq!(lead.contains("the most alike were paired first"), greedy, "{count}");
        assert_eq!(comparison.matched.greedy.contains(&Paired::Scene), greedy, "{count}");
    }
}

#[test]
fn free_cells_are_nothing_to_do() {
    let one = book(BOARD, SCENES);
    let other = book(&format!("{BOARD}default {{ sift.voice sharp; throb.depth 60 % }}"), SCENES);
    assert!(told(&one, &other).ends_with("\nno difference\n"), "{}", told(&one, &other));
}

#[test]
fn knobs_songs_and_sets() {
    let one = book(BOARD, SCENES);
    let board = BOARD.replace("1:30", "3:00");
    let scenes = SCENES.replace("92 bpm", "96 bpm").replace("{ \"Reel\" }", "{ pause \"tea\"; \"Reel\" }");
    let told = told(&one, &book(&board, &scenes));
    for line in ["tempo 92 bpm → 96 bpm", "`sift`: range 1:30 → 3:00", "+ pause \"tea\" comes in, first"] {
        assert!(told.contains(line), "{line} in\n{told}");
    }
}

#[test]
fn level_and_treble_are_told_where_they_are_known() {
    const RIG: &str = "switcher { loops 1; outputs 1; banks 1..1, switches 1..2 }
guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 6 m at 100 pF/m }
pedal grit { loop 1; input 1 Mohm; output 1 kohm; gain 6 dB stated }
amp combo { fed by output 1; input 1 Mohm }
chain front: guitar -> loop 1 -> output 1
patch leads 30 cm at 100 pF/m
";
    const SONG: &str = "scene bed { engage grit }\nsong \"Reel\" on plank { verse: bed }\n";
    let one = book(RIG, SONG);
    // By hand: 9 dB less 6 dB, all else the same.
    let louder = told(&one, &book(&RIG.replace("6 dB", "9 dB"), SONG));
    assert!(louder.contains("verse: 3.0 dB louder"), "{louder}");
    let duller = told(&one, &book(&RIG.replace("cable 6 m", "cable 15 m"), SONG));
    assert!(duller.contains("duller (treble to "), "{duller}");
    // Without the guitar's figures nothing is known, and nothing is said.
    let bare = RIG.replace("pickup 2.5 H, 7.5 kohm, 110 pF; ", "");
    let quiet = told(&book(&bare, SONG), &book(&bare.replace("cable 6 m", "cable 15 m"), SONG));
    assert!(!quiet.contains("duller") && !quiet.contains("louder"), "{quiet}");
}

/// One book with a word of it said otherwise.
fn turned(text: &str, was: &str, now: &str) -> (Compiled, Compiled) {
    assert_eq!(text.matches(was).count(), 1, "{was}");
    (book(text, ""), book(&text.replace(was, now), ""))
}

#[test]
fn a_pulse_is_reprogrammed_when_the_ways_in_change_and_no_row_does() {
    const TEXT: &str = "switcher { loops 2; remote jacks 1; banks 1..1, switches 1..4; repress ignored; wakes 1.1 }
pedal trem { loop 1; control speed on remote 1 tip momentary { slow; fast } starts slow }
pedal ember { loop 2 }
scene off { engage ember }
scene a { engage trem; trem.speed slow }
scene b { engage trem; trem.speed fast }
song \"Quay\" { x: off; y: a; z: b }
set \"one\" { \"Quay\" }
ways as listed
slots { 1.1 off; 1.2 a; 1.3 b }
";
    let (slow, fast) = turned(TEXT, "starts slow", "starts fast");
    assert_eq!(slow.table.row(SceneId::nth(1)), fast.table.row(SceneId::nth(1)));
    let told = said(&slow, &fast, Reader::Tech);
    assert!(told.contains("[ ] 1.2 `a`\n    [ ] pulse remote 1 tip"), "{told}");
}

#[test]
fn a_rule_over_a_free_cell_is_kept_by_the_list() {
    const TEXT: &str = "switcher { loops 2; remote jacks 1; banks 1..1, switches 1..4 }
pedal drive { loop 1; control mode on remote 1 tip { soft: open; hard: closed } }
pedal ember { loop 2 }
scene bed { engage ember }
scene push { engage drive; drive.mode hard }
song \"Quay\" { a: bed; b: push }
slots { 1.1 bed; 1.2 push }
# a rule
";
    let (without, with) = turned(TEXT, "# a rule", "rule \"keep it closed\" always remote 1 tip closed");
    let told = said(&without, &with, Reader::Tech);
    assert!(told.contains("close remote 1 tip (drive mode)"), "{told}");
}

#[test]
fn no_reader_is_told_that_nothing_differs_for_all() {
    let text = format!("{BOARD}{SCENES}treadle rocker feeds expression 1\nguitar plank\nsafe 1.3\n");
    let cases = [
        ("1.1 bed; 1.2 crunch", "1.2 bed; 1.1 crunch", Reader::Player, "\"Reel\": verse 1.1 → 1.2, chorus 1.2 → 1.1"),
        ("safe 1.3", "safe 1.1", Reader::Player, "safe switch"),
        ("knob range 1:30", "knob range 2:30", Reader::Player, "range 1:30 → 2:30"),
        ("\"Reel\" at 92 bpm", "\"Reel\" at 96 bpm", Reader::Tech, "\"Reel\": tempo 92 bpm → 96 bpm"),
        ("at 92 bpm {", "at 92 bpm on plank { tuning \"drop C\";", Reader::Tech, "guitar now plank; tuning now drop C"),
        ("{ \"Reel\" }", "{ pause \"tea\"; \"Reel\" }", Reader::Tech, "pause \"tea\" comes in"),
    ];
    for (was, now, reader, says) in cases {
        let (old, new) = turned(&text, was, now);
        let told = said(&old, &new, reader);
        assert!(told.contains(says), "{was} → {now}:\n{told}");
    }
    // What is for the tech alone does not pass for nothing.
    let (old, new) = turned(
        &text,
        "pedal grit { loop 2 }",
        "pedal grit { loop 2; power brick.A, 20 mA }\nsupply brick { outlet A 9 V, 100 mA }",
    );
    let told = said(&old, &new, Reader::Player);
    assert!(told.contains("nothing for the player; what differs is told with `--for tech`"), "{told}");
}

#[test]
fn a_name_that_was_taken_from_a_scene_leaves_it_a_new_one() {
    let (old, new) = turned(&format!("{BOARD}{SCENES}"), "scene crunch from bed {", "scene crunch from bed was bare {");
    let found = told(&old, &new);
    for line in ["`crunch` (was `bare`)", "+ new: `bare`", "- gone: `crunch`"] {
        assert!(found.contains(line), "{found}");
    }
    // What both books say in the same words happened before the first of them.
    assert!(told(&new, &new).ends_with("no difference\n"), "{}", told(&new, &new));
    // Two that took each other's names did.
    let text = format!("{BOARD}{SCENES}").replace("slots {", "song \"Jig\" { bare }\nslots {");
    let other = text
        .replace("scene crunch from bed {", "scene bare was crunch from bed {")
        .replace("scene bare\n", "scene crunch was bare\n");
    let other =
        other.replace(" from bed {", " {").replace("scene bare was crunch {", "scene bare from bed was crunch {");
    let (old, new) = (book(&text, ""), book(&other, ""));
    let pairs = compare(&old, &new, Options::default()).matched.scenes;
    let at = |c: &Compiled, name: &str| c.book.show.scenes.position(|s| s.name == name).unwrap();
    assert_eq!(pairs.new_of(at(&old, "crunch")), Some(at(&new, "bare")));
    assert_eq!(pairs.new_of(at(&old, "bare")), Some(at(&new, "crunch")));
}

#[test]
fn of_a_faulty_scene_a_draft_says_nothing_but_that() {
    let one = book(BOARD, SCENES);
    let scenes = SCENES.replace("engage grit", "engage grot");
    let draft = compile_texts(&[("board.scene", BOARD), ("songs.scene", &scenes)]);
    assert!(draft.errors() > 0);
    let told = told(&one, &draft);
    assert!(told.contains("`crunch`: its sound known → not known; in \"Reel\""), "{told}");
    assert!(!told.contains("silent") && !told.contains("`sift`"), "{told}");
}

#[test]
fn a_message_that_nobody_hears_any_more_is_taken_out() {
    const TEXT: &str = "switcher { loops 2; banks 1..1, switches 1..3 }
pedal haze { loop 1; level size on midi 3 cc 20 from 0 % to 100 % }
pedal grit { loop 2 }
scene bed { engage haze; haze.size 40 % }
scene push { engage grit }
song \"Quay\" { a: bed; b: push }
slots { 1.1 bed; 1.2 push }
";
    let (old, new) = turned(TEXT, "midi 3 cc 20", "midi 4 cc 20");
    let told = said(&old, &new, Reader::Tech);
    assert!(told.contains("[ ] take `midi 3 cc 20` out of 1.1: the new board sets no such message"), "{told}");
    assert!(!said(&old, &old, Reader::Tech).contains("take `midi"));
}

/// One preset is written, and stored again in the other slots.
#[test]
fn what_is_alike_is_written_once_and_copied() {
    const TEXT: &str = "switcher { loops 6; banks 1..1, switches 1..4 }
pedal ash { loop 1 }
pedal birch { loop 2 }
pedal cedar { loop 3 }
pedal elder { loop 4 }
pedal fir { loop 5 }
pedal gorse { loop 6 }
layer all { }
scene one with all
scene two with all
scene three with all
song \"Quay\" { one; two; three }
slots { 1.1 one; 1.2 two; 1.3 three }
";
    let (old, new) = turned(TEXT, "layer all { }", "layer all { engage ash, birch, cedar, elder, fir, gorse }");
    let told = said(&old, &new, Reader::Tech);
    // By hand: 6 loops in one slot and 2 copies are 8 things; slot by slot they are 18.
    assert!(told.contains("8 things to do in 3 slots (no list that writes each of these slots once"), "{told}");
    assert_eq!(told.matches("[ ] engage loop").count(), 6, "{told}");
    assert_eq!(told.matches("[ ] store the preset of").count(), 2, "{told}");
}

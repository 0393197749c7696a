//! What a player asks, in a player's words, each answered by one command; and words that a player need not know.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

const WINTER: &str = "examples/winter";

/// Two songs that say how long they last, and a scene that bypasses what it comes from.
const NIGHT: &str = r#"board "Night"
switcher { loops 3; outputs 1; banks 1..2, switches 1..4; presses: same bank 1, bank step 1 }
pedal moss "spring reverb" { loop 1 }
pedal reed "drive" { loop 2 }
pedal gale "harsh drive" { loop 3 }
amp hall { fed by output 1 }
rule never reed beside gale
scene bed { engage moss }
scene lift from bed { engage reed; bypass moss }
scene rise from lift
song "Quay" at 92 bpm { lasts 4:10; verse: bed; bridge: lift }
song "Salt" at 120 bpm { lasts 3:05; verse: bed; end: rise }
set "night" { "Quay"; "Salt" }
"#;

/// Exit code, and what was printed on either way.
fn tipring(words: &[&str], input: &str) -> (Option<i32>, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    let command = command.args(words).current_dir(env!("CARGO_MANIFEST_DIR")).stdin(Stdio::piped());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Who needs no input may be gone already.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let out = child.wait_with_output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (out.status.code(), text(&out.stdout) + &text(&out.stderr))
}

/// A question as a player asks it, the command, and what the answer must say.
type Question = (&'static str, &'static [&'static str], &'static [&'static str]);

const QUESTIONS: [Question; 12] = [
    (
        "why no tremolo in the bridge?",
        &["why", WINTER, "the bridge of Wren Ordinance", "tremolo"],
        &[
            "In the bridge of \"Wren Ordinance\" (9.3 `wren-foot`) `tide` (tapped tremolo) is out because neither `wren-foot` nor",
            "; say `engage tide` in `wren-foot`.",
        ],
    ),
    (
        "which songs use the rotary?",
        &["where", WINTER, "the", "rotary"],
        &["in 4 of 25 songs", "Slate Roof Choir  intro"],
    ),
    ("how long is the set?", &["sheet", "-", "--set", "night"], &["7:15 of music"]),
    (
        "from the solo back to the verse?",
        &["walk", WINTER, "--from", "solo of Ferry Without Bells", "--to", "verse"],
        &["from solo (2.4 lead-long) to verse (1.2 parlour)", "2 presses", "hasp out, gully out"],
    ),
    (
        "where is the tremolo deep?",
        &["where", WINTER, "tremolo", "depth", "above", "40", "%"],
        &["`tide` depth above 40 %: in 5 of 25 songs", "bridge 1.4 ferry-swell (under the foot)"],
    ),
    (
        "which songs are in drop D?",
        &["where", WINTER, "drop", "D"],
        &["in 2 of 25 songs", "Borrowed Oxen", "Quarry Post"],
    ),
    (
        "which songs want the hollow guitar?",
        &["where", WINTER, "hollow"],
        &["guitar `arch`: in 11 of 25 songs", "Peat Clock"],
    ),
    (
        "why is the head on lead in the solo?",
        &["why", WINTER, "solo of Marl", "head", "channel"],
        &["`larch` channel is on `lead` because `lead`, which `summit` comes from, says so", "wants it on `clean`"],
    ),
    (
        "where is my foot on the delay?",
        &["where", WINTER, "delay", "blend", "under", "the", "foot"],
        &["in 2 of 25 songs", "Wren Ordinance  bridge 9.3 wren-foot"],
    ),
    (
        "what do my feet do into the bridge?",
        &["walk", WINTER, "--from", "chorus of Wren Ordinance", "--to", "bridge"],
        &["by hand or foot: hold gully blend on right-treadle, heel down to start"],
    ),
    (
        "where does the reverb stand on hall?",
        &["where", WINTER, "reverb", "room", "hall"],
        &["Peat Clock", "peat-flood"],
    ),
    (
        "why is the small combo silent in the solo?",
        &["why", WINTER, "solo of Ferry", "small", "combo"],
        &["`alder` (small clean combo) is silent because layer `alone`, mixed into `lead`, turns its output off"],
    ),
];

#[test]
fn twelve_questions_as_a_player_asks_them() {
    for (question, words, says) in QUESTIONS {
        let (code, out) = tipring(words, NIGHT);
        assert_eq!(code, Some(0), "{question} {words:?}: {out}");
        for part in says {
            assert!(out.contains(part), "{question} {words:?}: no {part:?} in\n{out}");
        }
    }
}

#[test]
fn a_way_out_is_told_where_it_holds_and_nowhere_else() {
    let why = |part: &str, thing: &str, book: &str| {
        let (code, out) = tipring(&["why", "-", part, thing], book);
        assert_eq!(code, Some(0), "{part} {thing}: {out}");
        out
    };
    let own = why("bridge", "reverb", NIGHT);
    assert!(own.contains("say `engage moss` instead of `bypass moss` in `lift` (that changes `rise` too)"), "{own}");
    // Both drives at once break the rule.
    let broken = why("bridge of Quay", "harsh", NIGHT);
    assert!(broken.contains("is out because") && !broken.contains("; say"), "{broken}");
    // A book with an error proves nothing.
    let wrong = why("bed", "reed", &NIGHT.replace("\"Salt\" }", "\"Slt\" }"));
    assert!(wrong.contains("`bed` never engages it") && !wrong.contains("; say"), "{wrong}");
    let (code, out) = tipring(&["why", "-", "bridge", "drive"], NIGHT);
    assert!(code == Some(0) && out.contains("`reed` (drive) is in"), "a whole text goes before single words: {out}");
}

/// A switch that toggles, one that holds, one that a scene takes back; and an order of loops.
const FOOT: &str = r#"switcher { loops 3; outputs 1; banks 1..1, switches 1..4; order of loops per preset; inside: switches 6..8, toggles 2, holds 1 }
pedal moss { loop 1 }
pedal reed { loop 2 }
pedal gale { loop 3 }
amp hall { fed by output 1; control channel on midi 4 programs from 1 { clean: program 1; lead: program 2 } }
guitar plank
chain front: guitar -> loops 1..3 -> output 1
default { hall.channel clean; switch 8 toggles gale }
layer wide { switch 7 holds moss }
scene bed with wide { engage reed; switch 6 toggles hall.channel }
scene lift from bed { order gale, moss; switch 8 does nothing }
scene bare { switch 8 does nothing }
song "Quay" on plank { verse: bed, press 6; end: lift; rest: bare }
"#;

#[test]
fn a_switch_inside_a_preset_and_an_order_are_asked_after() {
    for (words, says) in [
        (
            &["why", "-", "bed", "switch-6"][..],
            "switch 6 toggles: pressed it brings `hall` channel on `lead`, pressed once more what was, because `bed` says so (-:10)",
        ),
        (&["why", "-", "verse of Quay", "switch 6"], "switch 6 toggles: pressed it brings `hall` channel on `lead`"),
        (
            &["why", "-", "lift", "switch", "7"],
            "switch 7 holds: it brings `moss` engaged as long as the foot stays, because layer `wide`, mixed into `bed`, says so (-:9)",
        ),
        (
            &["why", "-", "lift", "Switch 8"],
            "switch 8 does nothing because `lift` says so (-:11), although the default says otherwise (-:8)",
        ),
        (&["why", "-", "bare", "switch 6"], "switch 6 does nothing: nobody says what it does"),
        (
            &["why", "-", "lift", "order"],
            "loop order is gale, moss because `lift` wants the order of the loops gale, moss (-:11)",
        ),
        (&["why", "-", "bed", "loop-order"], "loop order is as wired because nobody says otherwise"),
        (&["where", "-", "switch 8"], "switch 8 inside the preset: in 1 of 1 song, 1 of 3 scenes"),
        (&["where", "-", "switch-6"], "verse 1.2 press 6 bed; end 1.3 lift\n"),
        (&["where", "-", "order"], "loops in an order of their own: in 1 of 1 song, 1 of 3 scenes"),
        (&["where", "-", "order", "of", "loops"], "end 1.3 lift\n"),
    ] {
        let (code, out) = tipring(words, FOOT);
        assert!(code == Some(0) && out.contains(says), "{words:?}: {out}");
    }
    for (words, says) in [
        (&["where", "-", "switch 9"][..], "nothing on this board is called"),
        (&["why", "-", "bed", "switch 6", "--cells"], "without `--cells`"),
        (&["change", "-", "bed: order"], "in a line as `order crest, gully`"),
    ] {
        let (code, out) = tipring(words, FOOT);
        assert!(code == Some(2) && out.contains(says), "{words:?}: {out}");
    }
    // What has such a name on the board keeps it.
    let named = FOOT.replace("pedal gale {", "pedal order \"switch 6\" {").replace("gale", "order");
    assert!(tipring(&["where", "-", "order"], &named).1.starts_with("`order` (switch 6): "));
    assert!(tipring(&["where", "-", "switch 6"], &named).1.starts_with("`order` (switch 6): "));
}

#[test]
fn what_is_used_nowhere_is_an_answer_and_what_is_not_there_none() {
    assert_eq!(
        tipring(&["where", "-", "gale"], NIGHT),
        (Some(0), "`gale` (harsh drive): used nowhere, in none of 3 scenes\n".to_owned())
    );
    for (words, says) in [
        (&["where", WINTER, "tremlo"][..], "did you mean `tremolo`?"),
        (&["where", WINTER, "tide.depth above 90 %"], "goes from 0 % to 80 %"),
        (&["where", WINTER, "valve drive and"], "nothing on this board is called"),
        (&["why", WINTER, "brige of Ferry", "tremolo"], "has no part `brige`"),
        (&["why", WINTER, "bridge of Fery", "tremolo"], "there is no song `Fery`; did you mean `Ferry`?"),
        (&["why", WINTER, "summit", "hollow"], "`tipring where` tells where it is used"),
        (&["walk", WINTER, "--from", "intro", "--to", "stop"], "no song has both `intro` and `stop`"),
    ] {
        let (code, out) = tipring(words, "");
        assert!(code == Some(2) && out.contains(says), "{words:?}: {out}");
    }
}

/// Words of those who wire and of those who program; between backticks stands what a book itself says.
const UNKNOWN: [&str; 15] = [
    "statement",
    "statements",
    "control",
    "controls",
    "state",
    "states",
    "unsettled",
    "settled",
    "cell",
    "cells",
    "free",
    "UTF-8",
    "slot",
    "slots",
    "here can stand",
];

#[test]
fn no_message_of_check_speaks_a_tongue_that_players_do_not_know() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/messages");
    let (mut messages, mut wrong) = (0, Vec::new());
    for file in std::fs::read_dir(folder).unwrap() {
        let file = file.unwrap().path();
        messages += 1;
        for line in std::fs::read_to_string(&file).unwrap().lines().skip(4) {
            let words = player_sees(line);
            let padded = format!(" {words} ");
            wrong.extend(
                UNKNOWN
                    .iter()
                    .filter(|w| padded.contains(&format!(" {w} ")))
                    .map(|w| format!("{w}: {}: {line}", file.display())),
            );
        }
    }
    println!("{messages} messages read");
    assert!(messages > 100, "{messages}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_players_sheet_and_the_stage_page_speak_to_players() {
    let (_, sheet) = tipring(&["sheet", WINTER, "--for", "player"], "");
    let (_, page) = tipring(&["stage", WINTER], "");
    // What is seen of a page stands outside its tags and its programs.
    let mut seen = String::new();
    let mut rest = page.as_str();
    while let Some((text, tag)) = rest.split_once('<') {
        seen += &format!("{text}\n");
        let end = ["script", "style"].iter().find(|name| tag.starts_with(**name)).map(|name| format!("</{name}>"));
        rest = tag.split_once(end.as_deref().unwrap_or(">")).map_or("", |(_, rest)| rest);
    }
    assert!(sheet.lines().count() > 100 && seen.contains("Ferry Without Bells"), "{} lines", sheet.lines().count());
    for line in sheet.lines().chain(seen.lines()) {
        let padded = format!(" {} ", player_sees(line));
        assert!(!UNKNOWN.iter().any(|w| padded.contains(&format!(" {w} "))), "{line}");
    }
}

/// The words of a line without those of the book: no source line, no code, nothing between backticks.
fn player_sees(line: &str) -> String {
    let head = line.trim_start();
    let source = head
        .split_once(" │")
        .is_some_and(|(number, _)| number.chars().all(|c| c.is_ascii_digit()) && !number.is_empty());
    let code =
        ["error ", "warning ", "hint ", "note "].iter().any(|s| head.starts_with(s)) && head.split(' ').count() == 2;
    if source || code || head.contains("─[") {
        return String::new();
    }
    let outside: Vec<&str> = line.split('`').step_by(2).collect();
    let words = outside.join(" _ ");
    let words: Vec<&str> =
        words.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).filter(|w| !w.is_empty()).collect();
    words.join(" ")
}

#[test]
fn the_list_of_unknown_words_would_be_seen() {
    for line in
        ["  × `x` has no state `y`", "   ·     ╰── its cells, here can stand more", "  help: give it a slot, or two"]
    {
        let padded = format!(" {} ", player_sees(line));
        assert!(UNKNOWN.iter().any(|w| padded.contains(&format!(" {w} "))), "{line}");
    }
    assert_eq!(player_sees(" 12 │ control state { slot }"), "");
    assert_eq!(player_sees("error control-unsettled"), "");
    assert_eq!(player_sees("  help: say `slots`"), "help say _");
}

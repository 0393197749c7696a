//! Books that nobody writes by hand: deep, long, circular, and with questions beyond any machine. Each is read on a
//! small stack, at a size at which work that grows with the square would be hopeless, and what is not proved is said.
//!
//! Work is held by counting what was done, never by the clock.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::fmt::Write;
use tipring::ids::{ColumnId, SceneId};

use support::{compile, one};
use tipring::Compiled;
use tipring::check::Severity;
use tipring::study::budget;

/// Half of what a thread has.
const STACK: usize = 1 << 20;
const BOARD: &str = "switcher { loops 2 }\npedal ember { loop 1 }\npedal grit { loop 2 }\n\
                     scene bed { engage ember }\nsong \"Quay\" { all: bed }\n";

/// What `check` prints for other programs.
fn json_lines(compiled: &tipring::Compiled) -> String {
    let found = tipring::mend::offers::tried(compiled, compiled.diagnostics());
    tipring::print::diagnostics::json_lines(&compiled.files, &found)
}

fn read(text: String) -> Compiled {
    read_files(one("book.scene", &text))
}

fn read_files(files: support::Book) -> Compiled {
    let reader = std::thread::Builder::new().stack_size(STACK);
    reader.spawn(move || compile(&files)).unwrap().join().expect("read on a small stack")
}

/// Code and message of all that is worse than a hint.
fn told(compiled: &Compiled) -> Vec<(&'static str, &str)> {
    let bad = compiled.diagnostics().iter().filter(|d| d.severity <= Severity::Warning);
    bad.map(|d| (d.code, d.message.as_str())).collect()
}

/// The one thing that is told of a book, whatever hints stand beside it.
fn only(compiled: &Compiled) -> (&'static str, &str) {
    let told = told(compiled);
    assert_eq!(told.len(), 1, "{:?}", told.iter().take(5).collect::<Vec<_>>());
    told[0]
}

fn nothing(compiled: &Compiled) {
    assert_eq!(told(compiled).first(), None);
}

/// `line` for each number, one below the other.
fn lines(numbers: std::ops::Range<usize>, line: impl Fn(usize) -> String) -> String {
    numbers.fold(String::new(), |mut out, n| {
        let _ = writeln!(out, "{}", line(n));
        out
    })
}

#[test]
fn brackets_and_nots_nest_to_a_limit() {
    let rule = |open: &str, close: &str, depth: usize| {
        let text = format!("{BOARD}rule bed needs {}ember{}\n", open.repeat(depth), close.repeat(depth));
        read(text)
    };
    for (open, close) in [("(", ")"), ("not ", ""), ("not (", ")"), ("(", "")] {
        let each = if open == "not (" { 2 } else { 1 };
        if close == ")" {
            assert!(!told(&rule(open, close, 50 / each)).iter().any(|t| t.0 == "syntax"), "{open}");
        }
        for depth in [50 / each + 1, 100_000] {
            let read = rule(open, close, depth);
            assert_eq!(only(&read), ("syntax", "this is nested deeper than 50"), "{open} {depth}");
            // The statement alone is lost.
            assert_eq!(
                (read.book.show.scenes.len(), read.book.show.songs.len(), read.book.board.rules.len()),
                (1, 1, 0)
            );
        }
    }
    let wide = read(format!("{BOARD}rule never {}\n", vec!["grit and ember"; 20_000].join(" or ")));
    nothing(&wide);
}

#[test]
fn blocks_in_blocks_are_passed_over() {
    for opener in ["set \"moss\" { ", "scene moss { ", "pedal moss { ", "{ ", "slots { song \"moss\" { "] {
        let read = read(format!("{BOARD}{}\n", opener.repeat(20_000)));
        assert!(told(&read).iter().any(|t| t.0 == "syntax"), "{opener}");
        assert!(told(&read).len() < 500, "{opener}");
    }
}

#[test]
fn files_that_use_each_other_in_a_line_a_circle_and_all_at_once() {
    const FILES: usize = 10_000;
    let file = |n: usize, text: String| (format!("f{n}.scene"), text.into_bytes());
    let board = |n: usize| if n == 0 { BOARD } else { "" };
    let line = |n: usize| if n + 1 < FILES { format!("use \"f{}.scene\"\n{}", n + 1, board(n)) } else { String::new() };
    let read = read_files((0..FILES).map(|n| file(n, line(n))).collect());
    nothing(&read);
    assert_eq!(read.files.len(), FILES);
    let round = |n: usize| format!("use \"f{}.scene\"\n{}", (n + 1) % FILES, board(n));
    let read = read_files((0..FILES).map(|n| file(n, round(n))).collect());
    let (code, message) = only(&read);
    assert_eq!(code, "circular-use");
    assert!(message.ends_with("`f19.scene` uses 9980 more uses `f0.scene`"), "{message}");
    let all = lines(0..120, |n| format!("use \"f{n}.scene\""));
    let read = read_files((0..120).map(|n| file(n, all.clone() + board(n))).collect());
    // Each file names all that are open, itself too.
    assert_eq!(told(&read).len(), 120 * 121 / 2);
}

#[test]
fn scenes_in_a_line_and_in_a_circle() {
    const SCENES: usize = 100_000;
    let board = "switcher { loops 2 }\npedal ember { loop 1 }\nsong \"Quay\" { all: s99999 }\n";
    let line = board.to_owned() + "scene s0 { engage ember }\n";
    let read_line = read(line + &lines(1..SCENES, |n| format!("scene s{n} from s{}", n - 1)));
    assert!(told(&read_line).iter().all(|t| t.0 == "scene-unused"));
    assert_eq!(
        read_line.table.value(SceneId::nth(99_999), ColumnId::nth(0)),
        read_line.table.value(SceneId::nth(0), ColumnId::nth(0))
    );
    drop(read_line);
    let round = lines(0..SCENES, |n| format!("scene s{n} from s{}", (n + SCENES - 1) % SCENES));
    let read = read(board.to_owned() + &round);
    let (code, message) = only(&read);
    assert_eq!(code, "circular-from");
    assert!(message.len() < 1_000 && message.contains("99980 more from `s0`"), "{message}");
    assert!(json_lines(&read).len() < 10_000);
}

#[test]
fn devices_alike_in_a_line_and_in_a_circle() {
    const PEDALS: usize = 20_000;
    let line = |last: usize| {
        "switcher { loops 1 }\npedal p0 { loop 1; gain 3 dB stated }\n".to_owned()
            + &lines(1..last + 1, |n| format!("pedal p{n} like p{}", n - 1))
    };
    nothing(&read(line(50)));
    for last in [51, PEDALS] {
        let read = read(line(last));
        assert_eq!(only(&read), ("built-too-deep", "`p51` stands at the end of a line of more than 50 `like`"));
    }
    let round = lines(0..PEDALS, |n| format!("pedal p{n} like p{}", (n + PEDALS - 1) % PEDALS));
    let read = read("switcher { loops 1 }\n".to_owned() + &round);
    assert_eq!(only(&read).0, "circular-like");
}

#[test]
fn an_unknown_description_is_told_once_however_many_are_like_it() {
    let read = read(format!("{BOARD}pedal reed like zork\npedal lull like reed\npedal hush like lull\n"));
    assert_eq!(only(&read).0, "unknown-name");
}

#[test]
fn sets_in_a_line_in_a_circle_and_side_by_side() {
    const SETS: usize = 20_000;
    let own = |n: usize| format!("{{ pause \"{n}\" }}");
    let line = lines(1..SETS, |n| format!("set \"n{n}\" from \"n{}\" {}", n - 1, own(n)));
    let read_line = read(format!("{BOARD}set \"n0\" {{ \"Quay\" }}\n{line}"));
    assert_eq!(only(&read_line), ("built-too-deep", "`n51` stands at the end of a line of more than 50 `from`"));
    assert_eq!(read_line.book.show.sets.iter().map(|s| s.items.len()).max(), Some(51));
    let round = lines(0..SETS, |n| format!("set \"n{n}\" from \"n{}\" {{ }}", (n + SETS - 1) % SETS));
    assert_eq!(only(&read(BOARD.to_owned() + &round)).0, "circular-from");
    let side = lines(0..SETS, |n| format!("set \"n{n}\" {{ \"Quay\" }}"));
    nothing(&read(BOARD.to_owned() + &side));
}

#[test]
fn layers_by_the_thousand() {
    const LAYERS: usize = 10_000;
    let names: Vec<String> = (0..LAYERS).map(|n| format!("l{n}")).collect();
    let layers = lines(0..LAYERS, |n| format!("layer l{n} {{ engage ember }}"));
    let text = format!(
        "switcher {{ loops 2 }}\npedal ember {{ loop 1 }}\n{layers}scene bed with {} {{ }}\nsong \"Quay\" {{ bed }}\n",
        names.join(", ")
    );
    nothing(&read(text));
}

#[test]
fn texts_and_names_of_ten_megabytes() {
    let long = "moss ".repeat(2_000_000);
    let name = "q".repeat(10_000_000);
    nothing(&read(format!("{BOARD}# {long}\n")));
    nothing(&read(format!("{BOARD}song \"{long}\" {{ all: bed }}\n")));
    nothing(&read(format!("{BOARD}song \"Reed\" {{ all: bed, note \"{long}\" }}\n")));
    assert_eq!(only(&read(format!("{BOARD}scene {name} {{ }}\n"))).0, "scene-unused");
    let unknown = read(format!("{BOARD}scene {name} {{ }}\nscene reed from {}r {{ }}\n", &name[1..]));
    assert!(told(&unknown).iter().any(|t| t.0 == "unknown-name"));
}

fn pigeons(birds: usize, holes: usize) -> String {
    let each = |make: &dyn Fn(usize, usize) -> String| -> String {
        (0..birds).flat_map(|b| (0..holes).map(move |h| (b, h))).map(|(b, h)| make(b, h)).collect()
    };
    let code = |n: usize| char::from(b'A' + n as u8);
    let mut text = format!("switcher {{ loops {} }}\n", birds * holes);
    text += &each(&|b, h| format!("pedal b{b}h{h} {{ loop {}; code {}{}Z }}\n", b * holes + h + 1, code(b), code(h)));
    text += "scene bed { }\nsong \"Quay\" { all: bed }\n";
    for b in 0..birds {
        let holes: Vec<String> = (0..holes).map(|h| format!("b{b}h{h}")).collect();
        let _ = writeln!(text, "rule always {}", holes.join(" or "));
    }
    for h in 0..holes {
        let birds: Vec<String> = (0..birds).map(|b| format!("b{b}h{h}")).collect();
        let _ = writeln!(text, "rule at most one of {}", birds.join(", "));
    }
    text
}

/// What the solver may do for one book: five kinds of questions, and the end of the last one of each.
const MOST_STEPS: u64 = 5 * (budget::QUESTIONS + budget::QUESTION);

#[test]
fn too_many_pigeons_are_not_proved() {
    let small = read(pigeons(6, 5));
    let clash = told(&small).iter().filter(|t| t.0 == "rules-clash").count();
    assert!(clash == 1 && small.rules().open.is_empty(), "{:?}", small.rules().open);
    let large = read(pigeons(14, 13));
    assert!(
        told(&large)
            .contains(&("not-proved", "not proved: nobody knows whether these 27 rules can all be kept together"))
    );
    assert!(large.rules().steps <= MOST_STEPS, "{} steps", large.rules().steps);
    // What needs no proof is told all the same: a bird without a hole.
    assert_eq!(told(&large).iter().filter(|t| t.0 == "rule-broken").count(), 14);
    let again = read(pigeons(14, 13));
    assert_eq!((again.rules().steps, json_lines(&again)), (large.rules().steps, json_lines(&large)));
    println!("ten pigeons and more: {} steps, then {} steps", small.rules().steps, large.rules().steps);
}

#[test]
fn five_thousand_deep_rules() {
    let mut text = "switcher { loops 40 }\n".to_owned() + &lines(0..40, |n| format!("pedal p{n} {{ loop {} }}", n + 1));
    text += "scene bed { engage p0 }\nsong \"Quay\" { all: bed }\n";
    let deep = |n: usize| format!("{}p{}{}", "not (".repeat(22), 1 + n % 39, ")".repeat(22));
    text += &lines(0..5_000, |n| format!("rule {} needs {} or p{}", deep(n), deep(n * 7), 1 + (n * 5 + 2) % 39));
    let read = read(text);
    assert_eq!(read.book.board.rules.len(), 5_000);
    assert!(read.rules().steps <= MOST_STEPS, "{} steps", read.rules().steps);
    assert!(!told(&read).iter().any(|t| t.0 == "syntax"));
    println!("5000 deep rules: {} steps, {:?}", read.rules().steps, read.rules().open.len());
}

#[test]
fn a_board_of_five_thousand_foot_controls_asks_the_solver_nothing() {
    const CONTROLS: usize = 5_000;
    let controls = lines(0..CONTROLS, |n| format!("control c{n} by foot {{ a; b }}"));
    let says = lines(0..CONTROLS, |n| format!("ember.c{n} a"));
    let text =
        format!("switcher {{ loops 2 }}\npedal ember {{ loop 1\n{controls}}}\nscene bed {{ engage ember\n{says}}}\n");
    let read = read(text + "song \"Quay\" { all: bed }\n");
    nothing(&read);
    // One question each for the rules, the board and the pedal; a step a cell.
    assert!(read.rules().steps < 20 * CONTROLS as u64, "{} steps", read.rules().steps);
}

#[test]
fn twenty_thousand_states_of_one_control() {
    for how in ["by foot", "on midi 1 programs from 0"] {
        let state = |n: usize| {
            let program = format!(": program {} bank {}", n % 128, n / 128 + 1);
            format!("a{n}{}", if how == "by foot" { "" } else { &program })
        };
        let states = lines(0..20_000, state);
        let text = format!("switcher {{ loops 2 }}\npedal ember {{ loop 1; control hue {how} {{\n{states}}} }}\n");
        let read = read(text + "scene bed { engage ember; ember.hue a19999 }\nsong \"Quay\" { all: bed }\n");
        nothing(&read);
        assert!(read.rules().steps < 1_000_000, "{} steps", read.rules().steps);
    }
}

/// Of 4,097 states each is itself: a far one is not taken for the near one that has its last digits.
#[test]
fn four_thousand_states_that_pulses_turn() {
    let states: Vec<String> = (0..4_097).map(|n| format!("a{n}")).collect();
    for far in [254, 255, 256, 4_096] {
        let text = format!(
            "switcher {{ loops 1; remote jacks 1; banks 1..1, switches 1..2 }}\n\
             pedal ember {{ loop 1; control hue on remote 1 tip momentary {{ {} }} starts a0 }}\n\
             scene bed {{ engage ember; ember.hue a0 }}\nscene far {{ engage ember; ember.hue a{far} }}\n\
             song \"Quay\" {{ bed; far }}\n",
            states.join("; ")
        );
        let read = read(text);
        let needs = told(&read);
        let never = needs.iter().find(|t| t.0 == "pulse-never-safe").map(|t| t.1);
        assert!(never.is_some(), "{far}: {needs:?}");
    }
}

#[test]
fn more_ways_than_are_followed() {
    let jacks = 13;
    let controls = lines(1..jacks + 1, |n| format!("control c{n} on remote {n} tip momentary {{ a; b }} starts a"));
    let stays = lines(1..jacks + 1, |n| format!("ember.c{n} stays"));
    let scenes = lines(1..jacks + 1, |n| format!("scene s{n} {{ engage ember; pulse remote {n} tip }}"));
    let parts: Vec<String> = (1..=jacks).map(|n| format!("s{n}")).collect();
    let text = format!(
        "switcher {{ loops 1; remote jacks {jacks}; banks 1..4, switches 1..5 }}\nways any\n\
         pedal ember {{ loop 1\n{controls}}}\ndefault {{\n{stays}}}\n{scenes}song \"Quay\" {{ {} }}\n",
        parts.join("; ")
    );
    let read = read(text);
    let message = "not proved: nobody knows whether each stored pulse is right after every way there is";
    assert!(told(&read).contains(&("not-proved", message)), "{:?}", told(&read));
    assert!(read.momentary.reach.arrivals.len() <= budget::ARRIVALS);
}

#[test]
fn whole_columns_of_slots() {
    let board = |banks: usize, switches: usize| {
        format!(
            "switcher {{ loops 2; banks 1..{banks}, switches 1..{switches} }}\npedal ember {{ loop 1 }}\n\
                 scene bed {{ engage ember }}\nscene bare {{ }}\nsong \"Quay\" {{ bed; bare }}\n"
        )
    };
    let each = lines(1..500, |n| format!("every bank switch {n} bed"));
    let read_each = read(format!("{}slots {{\n{each}others auto\n}}\n", board(400, 500)));
    nothing(&read_each);
    assert_eq!(read_each.book.show.pins.len(), 400 * 499);
    drop(read_each);
    // Two columns, each taken five hundred times: one line for each further line.
    let same = lines(0..500, |n| format!("every bank switch {} {}", n % 2 + 1, if n < 2 { "bed" } else { "bare" }));
    let read_same = read(format!("{}slots {{\n{same}}}\n", board(2_000, 2)));
    assert_eq!(told(&read_same).iter().filter(|t| t.0 == "slot-taken-twice").count(), 498);
    let huge = read(format!("{}slots {{\n{each}}}\n", board(99_999, 500)));
    assert_eq!(only(&huge).0, "value-out-of-range");
}

#[test]
fn mistakes_by_the_thousand() {
    let like = read(format!("switcher {{ loops 2 }}\npedal ember{} {{ }}\n", " like reed".repeat(4_000)));
    assert!(told(&like).len() < 5, "{:?}", told(&like));
    let songs = lines(0..10_000, |n| format!("song \"Reed {n}\" {{ all: bed }}"));
    let played = lines(0..10_000, |n| format!("\"Moss {n}\""));
    let read_songs = read(format!("{BOARD}{songs}set \"hall\" {{\n{played}}}\n"));
    assert_eq!(told(&read_songs).len(), 10_000);
    let row = (0..100_000).map(|n| format!("\"Moss {n}\"")).collect::<Vec<_>>();
    let read_row = read(format!("{BOARD}set \"hall\" {{ {} }}\n", row.join("; ")));
    assert_eq!(told(&read_row).len(), 100_000);
    let last = json_lines(&read_row).lines().last().unwrap().to_owned();
    // Column: what stands before it in the one line.
    let column = "set \"hall\" { ".len() + row.join("; ").len() - row[99_999].len() + 1;
    assert!(last.contains(&format!("\"column\":{column},")), "{last}");
    drop(read_row);
    let glued = read(format!("{BOARD}{}\n", "\"Quay\" ".repeat(100_000)));
    assert_eq!(only(&glued).0, "syntax");
    let asked = lines(0..20_000, |n| format!("scene z{n} {{ engage ember; ember.hue z{n} }}"));
    let states = lines(0..5_000, |n| format!("a{n}"));
    let read =
        read(format!("switcher {{ loops 1 }}\npedal ember {{ loop 1; control hue by foot {{\n{states}}} }}\n{asked}"));
    assert_eq!(told(&read).iter().filter(|t| t.0 == "state-unknown").count(), 20_000);
}

/// No budget bears on what is written by hand.
#[test]
fn the_examples_and_the_suite_are_proved() {
    fn books(folder: &std::path::Path, out: &mut Vec<std::path::PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            if entry.is_dir() {
                books(&entry, out);
            } else if entry.extension().is_some_and(|e| e == "scene") {
                out.push(entry);
            }
        }
    }
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = Vec::new();
    books(&root.join("examples"), &mut all);
    books(&root.join("tests/suite"), &mut all);
    all.sort();
    let mut most = 0;
    for path in &all {
        let read = tipring::driver::compile_path(path, Default::default()).unwrap();
        assert!(!read.diagnostics().iter().any(|d| d.code == "not-proved"), "{}", path.display());
        // A tenth of the budget would do.
        assert!(read.rules().steps * 10 <= budget::QUESTION, "{}: {} steps", path.display(), read.rules().steps);
        most = most.max(read.rules().steps);
    }
    println!("{} books, at most {most} steps", all.len());
    assert!(all.len() > 30);
}

//! What the walk and the choice of free cells cost beside the whole check of the same book: 500 presets, 100 songs.
//!
//! Run: `cargo bench --bench time`. Prints the ratio, which must stay below 2.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::fmt::Write;
use std::time::Instant;

use tipring::{compile_texts, study};

const SCENES: usize = 500;
const SONGS: usize = 100;
const ROUNDS: usize = 15;

/// A book with everything that a walk looks at. Scenes differ in what they engage, by a fixed shuffle.
fn book() -> String {
    let mut out = "switcher { loops 8; remote jacks 4; expressions 2 of 128 steps; outputs 1; banks 1..100, switches 1..5\n\
        repress ignored; wakes 1.1; presses: same bank 1, bank step 1 }\n\
        pedal aa { loop 1; gain 3 dB stated; control voice on remote 1 { p: tip closed, ring open; q: tip open, ring closed } }\n\
        pedal bb { loop 2; gain 6 dB stated; control voice on remote 2 tip { p: open; q: closed } }\n\
        pedal cc { loop 3; gain 0 dB stated; control voice on remote 2 ring { p: open; q: closed } }\n\
        pedal dd { loop 4; tail 2 s; place top; level depth on expression 1 from 0 % to 60 % }\n\
        pedal ee { loop 5; place top; control speed by foot { p; q } }\n\
        pedal ff { loop 6; control voice on remote 3 { p: tip closed, ring open; q: tip open, ring closed; r: tip closed, ring closed } }\n\
        amp gg { fed by output 1; control channel on remote 4 tip momentary { p; q } starts p }\n\
        treadle left feeds expression 1\n\
        default { gg.channel p }\n"
        .to_owned();
    let mut state = 7u64;
    let mut roll = |sides: u64| {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) % sides
    };
    let pq = |n: u64| if n == 0 { "p" } else { "q" };
    for n in 0..SCENES {
        let _ = write!(out, "scene s{n} {{ gg.channel {}", pq(roll(2)));
        for (name, control) in [("aa", "voice"), ("bb", "voice"), ("cc", "voice"), ("ee", "speed"), ("ff", "voice")] {
            if roll(3) == 0 {
                let _ = write!(out, "; engage {name}; {name}.{control} {}", pq(roll(2)));
            }
        }
        if roll(3) == 0 {
            let depth = if roll(4) == 0 { "foot".to_owned() } else { format!("{} %", roll(60)) };
            let _ = write!(out, "; engage dd; dd.depth {depth}");
        }
        out += " }\n";
    }
    for song in 0..SONGS {
        let parts: Vec<String> = (0..5).map(|p| format!("q{p}: s{}", song * 5 + p)).collect();
        let _ = writeln!(out, "song \"T{song}\" at 120 bpm {{ {} }}", parts.join("; "));
    }
    for set in 0..4 {
        let songs: Vec<String> = (0..60).map(|s| format!("\"T{}\"", (s * 7 + set * 13) % SONGS)).collect();
        let _ = writeln!(out, "set \"N{set}\" {{ {} }}", songs.join("; "));
    }
    out
}

fn least(mut work: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        work();
        best = best.min(start.elapsed().as_secs_f64());
    }
    best
}

fn main() {
    let text = book();
    let texts = [("book.scene", text.as_str())];
    let compiled = compile_texts(&texts);
    assert_eq!(compiled.errors(), 0, "{:?}", compiled.diagnostics().first());
    let check = least(|| assert!(!compile_texts(&texts).diagnostics().is_empty()));
    let walk = least(|| {
        let momentary = study::momentary::study(&compiled.book, &compiled.table, &compiled.presets);
        let walk = study::walk::walk(&compiled.book, &compiled.table, &compiled.presets);
        assert!(walk.runs.len() >= 4 && momentary.buttons.list.len() == 1);
    });
    let mut saved = 0;
    let free = least(|| {
        let filled = tipring::fill::free::fill(&compiled.book, &compiled.table, &[], true);
        saved = filled.open - filled.least;
    });
    let ratio = (walk + free) / check;
    println!(
        "check {:.1} ms, walk and pulses {:.1} ms, free cells {:.1} ms ({saved} moves saved): {ratio:.2} of the check",
        check * 1e3,
        walk * 1e3,
        free * 1e3
    );
    assert!(ratio < 2.0, "the walk and free cells cost {ratio:.2} of the check");
}

//! ngspice on every netlist that the tool writes for every scene of the examples, and on the ten written by hand.

use std::io::Write;
use std::path::Path;
use std::process::Command;
use tipring::ids::SceneId;

use tipring::driver::{Options, compile_path};
use tipring::print::signal::{Wanted, rows, spice};
use tipring::study::signal::Signal;
use tipring::study::signal::polarity::Ways;

fn loud(says: &str) {
    let _ = writeln!(std::io::stderr(), "{says}");
}

/// Whether to run: the full checks are asked for, and the simulator is there.
fn wanted() -> bool {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        loud("SKIPPED: ngspice on the tool's netlists runs only with TIPRING_FULL=1");
        return false;
    }
    let there = Command::new("ngspice").arg("--version").output().is_ok();
    if !there {
        loud("SKIPPED: TIPRING_FULL=1 asks for ngspice, and it is missing");
    }
    there
}

/// What a deck prints: `name = value`.
fn value(out: &str, name: &str) -> Option<f64> {
    let line = out.lines().find(|l| l.split_whitespace().next() == Some(name))?;
    line.split_once('=')?.1.split_whitespace().next()?.parse().ok()
}

fn run(folder: &Path, deck: &str) -> String {
    let file = folder.join("deck.cir");
    std::fs::write(&file, deck).unwrap();
    let out = Command::new("ngspice").arg("-b").arg(&file).output().unwrap();
    String::from_utf8_lossy(&out.stdout).into_owned()
}

/// Holds each row of a book against ngspice on the tool's own netlist; how many rows.
fn agrees(compiled: &tipring::Compiled, book: &str, folder: &Path) -> usize {
    let mut checked = 0;
    let mut signal = Signal::new(&compiled.book, &compiled.table);
    for row in rows(compiled, &mut signal, Wanted::default()) {
        let found = signal.found(row.of.0, row.of.1).unwrap();
        let Some(deck) = spice::deck(&compiled.book, &row.scene, &row.guitar, &found) else {
            assert!(row.silent, "{book}: {} on {} has no deck, and is not silent", row.scene, row.guitar);
            continue;
        };
        // The top is flat: its height is asked for where the tool sees it.
        let at = format!("ac lin 1 {0} {0}\nlet top_db = vdb(out)\nprint top_db\nquit\n", row.peak_hz.unwrap());
        let out = run(folder, &deck.replacen("quit\n", &at, 1));
        let name = format!("{book}: {} on {}", row.scene, row.guitar);
        let db = |what: &str, figure: Option<f64>| {
            let spice = value(&out, what).unwrap_or_else(|| panic!("{name}: no {what} in {out}"));
            assert!((figure.unwrap() - spice).abs() <= 1e-4, "{name}: {what} {figure:?}, ngspice {spice}");
        };
        db("level_1khz_db", row.level_1khz_db);
        db("top_db", row.peak_db);
        let hz = |what: &str, figure: Option<f64>| {
            let spice = value(&out, what).unwrap_or_else(|| panic!("{name}: no {what} in {out}"));
            assert!((figure.unwrap() / spice - 1.0).abs() <= 1e-3, "{name}: {what} {figure:?}, ngspice {spice}");
        };
        hz("peak_hz", row.peak_hz);
        hz("minus_3db_hz", row.minus_3db_hz);
        checked += 1;
    }
    checked
}

/// The winter book with a loss stated of every pickup; invented, as the rest of the book is.
fn winter_with_losses() -> tipring::Compiled {
    let mut files: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir("examples/winter").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "scene") {
            let text = std::fs::read_to_string(&path).unwrap();
            let lossy = |line: &str| match line.trim_start().starts_with("pickup ") {
                true => line.replacen(" pF", " pF, loss 300 kohm", 1),
                false => line.to_owned(),
            };
            let text: Vec<String> = text.lines().map(lossy).collect();
            files.push((path.display().to_string(), text.join("\n") + "\n"));
        }
    }
    files.sort();
    let texts: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    tipring::compile_texts(&texts)
}

#[test]
fn ngspice_agrees_with_the_losses_of_a_pickup() {
    let compiled = winter_with_losses();
    assert_eq!(compiled.errors(), 0);
    assert!(compiled.book.board.guitars.iter().all(|g| g.pickup.is_some_and(|p| p.loss.is_some())));
    let lossy = super::netlists::all_rows(&compiled);
    for (with, without) in lossy.iter().zip(super::netlists::all_rows(&super::netlists::winter())) {
        assert!(with.silent || with.peak_db < without.peak_db, "{} on {}", with.scene, with.guitar);
    }
    if !wanted() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let checked = agrees(&compiled, "winter with losses", folder.path());
    assert!(checked > 100, "only {checked} scenes were checked");
    // The ten by hand, with a resistor across each coil, written by hand too.
    for entry in std::fs::read_dir("tests/netlists").unwrap() {
        let deck = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        let head = deck.lines().next().unwrap().strip_prefix("* winter: ").unwrap();
        let mut words = head.split([' ', '.']);
        let (scene, guitar) = (words.next().unwrap(), words.nth(1).unwrap());
        let row = lossy.iter().find(|r| r.scene == scene && r.guitar == guitar).unwrap();
        let top = row.peak_hz.unwrap();
        let control = format!(
            "Rloss c 0 300k\n.control\nset numdgt=12\nac lin 1 1000 1000\nlet a = vdb(out)\nprint a\n\
             ac lin 1 {top} {top}\nlet b = vdb(out)\nprint b\nquit\n.endc\n.end\n"
        );
        let out = run(folder.path(), &format!("{deck}{control}"));
        assert!((value(&out, "a").unwrap() - row.level_1khz_db.unwrap()).abs() < 1e-4, "{head}");
        assert!((value(&out, "b").unwrap() - row.peak_db.unwrap()).abs() < 1e-4, "{head}");
    }
    loud(&format!("ngspice agrees on {checked} netlists with losses, and ten by hand"));
}

#[test]
fn ngspice_agrees_on_every_scene_of_the_examples() {
    if !wanted() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut checked = 0;
    for book in ["examples/winter", "examples/spring"] {
        checked += agrees(&compile_path(Path::new(book), Options::default()).unwrap(), book, folder.path());
    }
    assert!(checked > 250, "only {checked} scenes were checked");
    loud(&format!("ngspice agrees on {checked} netlists"));
}

/// Every scene of a board with pedals that invert: the sign that ngspice finds at the end of the tool's netlist is the
/// one that the study of polarity tells of that amplifier.
#[test]
fn ngspice_agrees_with_the_signs_of_polarity() {
    let mut text = String::from(
        "switcher { loops 5, split after 4; outputs 1 }
         guitar plank { pickup 2.6 H, 7.2 kohm, 110 pF; volume 500 kohm at 100 %; cable 6 m at 100 pF/m }
         patch leads 0.3 m at 100 pF/m
         amp larch { fed by output 1; input 1 Mohm; send 1 kohm; return 220 kohm }
         chain front: guitar -> loops 1..4 -> output 1 -> larch
         chain effects: larch send -> loop 5 -> larch return
         default { output 1 on }\n",
    );
    let names = ["ember", "tide", "prism", "attic", "gully"];
    // The first, third and fifth invert.
    for (at, name) in names.iter().enumerate() {
        let inverts = if at % 2 == 0 { "; inverts polarity" } else { "" };
        text += &format!("pedal {name} {{ loop {}; input 500 kohm; output 1 kohm; gain 3 dB{inverts} }}\n", at + 1);
    }
    for bits in 0..32u32 {
        let list: Vec<&str> = names.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, n)| *n).collect();
        let engage = if list.is_empty() { String::new() } else { format!("engage {}", list.join(", ")) };
        text += &format!("scene s{bits} {{ {engage} }}\n");
    }
    let parts: Vec<String> = (0..32).map(|bits| format!("s{bits}")).collect();
    text += &format!("song \"Quay\" on plank {{ {} }}\n", parts.join("; "));
    let compiled = tipring::compile_texts(&[("quay.scene", &text)]);
    assert_eq!(compiled.errors(), 0);
    let (book, table) = (&compiled.book, &compiled.table);
    let mut signal = Signal::new(book, table);
    let folder = tempfile::tempdir().unwrap();
    let spice = wanted();
    for bits in 0..32u32 {
        let scene = SceneId::nth(bits as usize);
        let (loops, outputs) = (signal.groups.loops(table, scene), signal.groups.outputs(table, scene));
        let route = tipring::study::route::Route::of(&book.board);
        let amps = Ways { board: &book.board, route: &route, loops, outputs, switched: &[] }.amps(0).unwrap();
        // By hand: three of the five turn it round.
        let upside = (bits & 0b10101).count_ones() % 2 == 1;
        assert_eq!(amps.into_values().collect::<Vec<_>>(), [upside], "s{bits}");
        if spice {
            let found = signal.found(scene, 0).unwrap();
            let deck = spice::deck(book, &format!("s{bits}"), "plank", &found).unwrap();
            let ask = "ac lin 1 10 10\nlet turn = real(v(out))\nprint turn\nquit\n";
            let turn = value(&run(folder.path(), &deck.replacen("quit\n", ask, 1)), "turn").unwrap();
            assert_eq!(turn < 0.0, upside, "s{bits}: {turn}");
        }
    }
}

#[test]
fn ngspice_gives_the_figures_noted_on_the_netlists_by_hand() {
    if !wanted() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    for entry in std::fs::read_dir("tests/netlists").unwrap() {
        let path = entry.unwrap().path();
        let deck = std::fs::read_to_string(&path).unwrap();
        let control = ".control\nset numdgt=12\nac lin 1 1000 1000\nlet a = vdb(out)\nprint a\nquit\n.endc\n.end\n";
        let out = run(folder.path(), &(deck.clone() + control));
        let noted = deck.split("level_1khz_db ").nth(1).unwrap().split_whitespace().next().unwrap();
        let noted: f64 = noted.parse().unwrap();
        assert!((value(&out, "a").unwrap() - noted).abs() < 1e-5, "{}", path.display());
    }
}

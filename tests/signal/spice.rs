//! ngspice on every netlist that the tool writes for every scene of the examples, and on the ten written by hand.

use std::io::Write;
use std::path::Path;
use std::process::Command;

use tipring::driver::{Options, compile_path};
use tipring::print::signal::{Wanted, rows, spice};
use tipring::study::signal::Signal;

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

#[test]
fn ngspice_agrees_on_every_scene_of_the_examples() {
    if !wanted() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut checked = 0;
    for book in ["examples/winter", "examples/spring"] {
        let compiled = compile_path(Path::new(book), Options::default()).unwrap();
        let mut signal = Signal::new(&compiled.book, &compiled.table);
        for row in rows(&compiled, &mut signal, Wanted::default()) {
            let found = signal.found(row.of.0, row.of.1).unwrap();
            let Some(deck) = spice::deck(&compiled.book, &row.scene, &row.guitar, &found) else {
                assert!(row.silent, "{book}: {} on {} has no deck, and is not silent", row.scene, row.guitar);
                continue;
            };
            // The top is flat: its height is asked for where the tool sees it.
            let at = format!("ac lin 1 {0} {0}\nlet top_db = vdb(out)\nprint top_db\nquit\n", row.peak_hz.unwrap());
            let out = run(folder.path(), &deck.replacen("quit\n", &at, 1));
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
    }
    assert!(checked > 250, "only {checked} scenes were checked");
    loud(&format!("ngspice agrees on {checked} netlists"));
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

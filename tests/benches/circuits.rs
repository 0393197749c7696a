//! 100 circuits of 200 points each, in process, against one ngspice batch of the same circuits less an empty deck.
//! The same run measures both; the best of several turns counts for each.
//!
//! Run: `cargo bench --bench circuits`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::fmt::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tipring::driver::{Options, compile_path};
use tipring::print::signal::spice;
use tipring::study::signal::{Found, Signal};

const CIRCUITS: usize = 100;
const POINTS: usize = 200;
const LEAST: f64 = 30.0;

fn best(turns: usize, mut run: impl FnMut()) -> Duration {
    (0..turns)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .min()
        .unwrap()
}

fn main() {
    let compiled = compile_path(Path::new("examples/winter"), Options::default()).unwrap();
    let mut signal = Signal::new(&compiled.book, &compiled.table);
    let mut found: Vec<(String, std::rc::Rc<Found>)> = Vec::new();
    for scene in compiled.book.show.scenes.ids() {
        for guitar in 0..compiled.book.board.guitars.len() {
            let one = signal.found(scene, guitar).unwrap();
            if let Some(body) = spice::circuit(&compiled.book, "scene", "guitar", &one) {
                found.push((body, one));
            }
        }
    }
    found.truncate(CIRCUITS);
    assert_eq!(found.len(), CIRCUITS, "the example has too few circuits");
    let ours = best(20, || {
        let curves = found.iter().map(|(_, f)| f.path.circuit.curve(20.0, 20_000.0, POINTS));
        let sum: f64 = curves.map(|c| c.iter().map(|p| p.1).sum::<f64>()).sum();
        std::hint::black_box(sum);
    });
    println!("in process: {CIRCUITS} circuits x {POINTS} points in {ours:?}");
    if Command::new("ngspice").arg("--version").output().is_err() {
        println!("SKIPPED: ngspice is missing, so there is nothing to hold it against");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut batch = String::from("* batch\n.control\n");
    for (number, (body, _)) in found.iter().enumerate() {
        let file = folder.path().join(format!("c{number}.cir"));
        std::fs::write(&file, format!("{body}.end\n")).unwrap();
        let _ = writeln!(batch, "source {}\nac lin {POINTS} 20 20000", file.display());
    }
    batch += "quit\n.endc\n.end\n";
    let run = |name: &str, deck: &str| {
        let file = folder.path().join(name);
        std::fs::write(&file, deck).unwrap();
        best(5, || {
            let mut command = Command::new("ngspice");
            let status = command.arg("-b").arg(&file).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap();
            assert!(status.success(), "ngspice failed on {name}");
        })
    };
    let whole = run("batch.cir", &batch);
    let empty = run("empty.cir", "* empty\n.control\nquit\n.endc\n.end\n");
    let theirs = whole.saturating_sub(empty);
    let ratio = theirs.as_secs_f64() / ours.as_secs_f64();
    println!("ngspice: {whole:?} less {empty:?} for an empty deck, {theirs:?}");
    println!("ratio: {ratio:.0} (at least {LEAST} is wanted)");
    assert!(ratio >= LEAST, "only {ratio:.1} times faster");
}

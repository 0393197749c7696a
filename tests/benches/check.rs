//! What `check` of a large book costs beside a typed read of the same book's JSON table, in one run.
//!
//! Run: `cargo bench --bench check`. Prints ratios; the peer is serde_json.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod large;
mod peer;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const ROUNDS: usize = 9;

/// The least of some rounds of each, turn by turn, in seconds: what the work costs when nothing else disturbs it.
fn least(mut one: impl FnMut(), mut other: impl FnMut()) -> (f64, f64) {
    let timed = |work: &mut dyn FnMut()| {
        let start = Instant::now();
        work();
        start.elapsed().as_secs_f64()
    };
    let rounds = (0..ROUNDS).map(|_| (timed(&mut one), timed(&mut other)));
    rounds.fold((f64::INFINITY, f64::INFINITY), |best, now| (best.0.min(now.0), best.1.min(now.1)))
}

fn tipring(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    command.args(arguments);
    command
}

/// The most memory a process ever held, in bytes, as the kernel reports it for a child that has ended.
#[cfg(target_os = "linux")]
fn peak(book: &Path) -> Option<u64> {
    let script = "import resource,subprocess,sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL); \
                  print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)";
    let out =
        Command::new("python3").args(["-c", script, env!("CARGO_BIN_EXE_tipring"), "check"]).arg(book).output().ok()?;
    String::from_utf8(out.stdout).ok()?.trim().parse::<u64>().ok().map(|k| k * 1024)
}

#[cfg(not(target_os = "linux"))]
fn peak(_: &Path) -> Option<u64> {
    None
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    println!(
        "{:>8} {:>9} {:>9} {:>9} {:>9} {:>7} {:>8}",
        "scenes", "book", "table", "check", "peer", "ratio", "memory"
    );
    for scenes in [25_000u64, 50_000, 100_000] {
        let text = large::book(scenes, 1);
        let book = folder.path().join("book.scene");
        std::fs::write(&book, &text).unwrap();
        let name = book.to_str().unwrap();
        let json = tipring(&["table", "--format", "json", name]).output().unwrap();
        assert!(json.status.success(), "{}", String::from_utf8_lossy(&json.stderr));
        let check = || {
            let status = tipring(&["check", name]).stdout(Stdio::null()).status().unwrap();
            assert!(status.success());
        };
        let mut rows = 0;
        let (check, peer) = least(check, || rows = peer::read(&json.stdout));
        assert!(rows as u64 >= scenes, "the peer read {rows} rows");
        let memory = peak(&book).map_or("?".to_owned(), |m| format!("{:.1} x", m as f64 / text.len() as f64));
        println!(
            "{scenes:>8} {:>6.1} MB {:>6.1} MB {:>6.0} ms {:>6.0} ms {:>5.2} x {memory:>8}",
            text.len() as f64 / 1e6,
            json.stdout.len() as f64 / 1e6,
            check * 1e3,
            peer * 1e3,
            check / peer,
        );
    }
}

//! The bench of `diff`: 10,000 scenes against the same with 1 % changed, beside git's text diff of the same two
//! files in the same run; then with the scenes shuffled. Ratios are what counts, and are asserted.
//!
//! Run with `cargo bench --bench diff`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "large.rs"]
mod large;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use large::Random;

const SCENES: u64 = 10_000;
const ROUNDS: usize = 25;
/// Rounds that are not counted: what started the bench is still busy beside them.
const WARM: usize = 25;

fn main() {
    let dir = std::env::temp_dir().join("tipring-bench-diff");
    std::fs::create_dir_all(&dir).expect("a folder for the bench");
    let old = large::book(SCENES, 1);
    let new = changed(&old, 2);
    let mixed = shuffled(&new, 3);
    for (name, text) in [("old", &old), ("new", &new), ("mixed", &mixed)] {
        std::fs::write(dir.join(format!("{name}.scene")), text).expect("a book on disk");
    }
    println!("{SCENES} scenes, {} bytes, 1 % of the scenes changed", old.len());
    let tool = env!("CARGO_BIN_EXE_tipring");
    let old = dir.join("old.scene");
    let ours = |new: &str| stdout_null(tool, &old, &dir.join(new));
    let git = |new: &str| {
        let mut git = Command::new("git");
        git.args(["diff", "--no-index", "--no-color"]).arg(&old).arg(dir.join(new)).stdout(Stdio::null());
        git.status().expect("git").code()
    };
    let [ours, git, mixed, git_mixed] =
        medians([&|| ours("new.scene"), &|| git("new.scene"), &|| ours("mixed.scene"), &|| git("mixed.scene")]);
    println!("as it stands: diff {:.1} ms, git {:.1} ms, {:.2} times git", ours, git, ours / git);
    println!("shuffled:     diff {:.1} ms, git {:.1} ms, {:.2} times git", mixed, git_mixed, mixed / git_mixed);
    println!("shuffling costs diff {:.2} times, git {:.2} times", mixed / ours, git_mixed / git);
    assert!(ours <= 2.0 * git, "{:.2} times git's text diff", ours / git);
    assert!(mixed <= 1.25 * ours, "shuffling costs {:.2} times", mixed / ours);
}

fn stdout_null(tool: &str, old: &Path, new: &Path) -> Option<i32> {
    Command::new(tool).arg("diff").arg(old).arg(new).stdout(Stdio::null()).status().expect("the tool runs").code()
}

/// The medians of commands that take turns, in milliseconds; each run must end with 1, as the books differ.
fn medians<const N: usize>(commands: [&dyn Fn() -> Option<i32>; N]) -> [f64; N] {
    let time = |run: &dyn Fn() -> Option<i32>| {
        let start = Instant::now();
        assert_eq!(run(), Some(1), "the books differ");
        start.elapsed().as_secs_f64() * 1000.0
    };
    let rounds: Vec<[f64; N]> = (0..WARM + ROUNDS).map(|_| commands.map(time)).skip(WARM).collect();
    std::array::from_fn(|at| {
        let mut times: Vec<f64> = rounds.iter().map(|round| round[at]).collect();
        times.sort_by(f64::total_cmp);
        times[ROUNDS / 2]
    })
}

/// One scene of a hundred sets what it set to another value.
fn changed(text: &str, seed: u64) -> String {
    let mut random = Random(seed);
    let (mut out, mut chosen, mut count) = (String::new(), false, 0);
    for line in text.lines() {
        if line.starts_with("scene ") {
            chosen = random.below(100) == 0;
        }
        match other(line).filter(|_| chosen) {
            Some(line) => {
                out += &line;
                count += 1;
            }
            None => out += line,
        }
        out.push('\n');
    }
    assert!((SCENES / 200..SCENES / 50).contains(&count), "{count} scenes are changed");
    out
}

/// A setting with another value.
fn other(line: &str) -> Option<String> {
    let (setting, value) = line.strip_prefix("  ")?.split_once(' ').filter(|(s, _)| s.contains('.'))?;
    let value = match value.strip_suffix(" %") {
        Some(percent) => format!("{} %", (percent.parse::<u64>().expect("a number") + 37) % 80),
        None => ["round", "sharp", "low", "high"]
            [["sharp", "round", "high", "low"].iter().position(|v| *v == value)?]
        .to_owned(),
    };
    Some(format!("  {setting} {value}"))
}

/// The scenes in another order; all else where it stood.
fn shuffled(text: &str, seed: u64) -> String {
    let from = text.find("scene s0x").expect("the first scene");
    let to = text.find("song \"").expect("the first song");
    let mut scenes: Vec<&str> = text[from..to].split_inclusive("}\n").collect();
    let mut random = Random(seed);
    for at in (1..scenes.len()).rev() {
        scenes.swap(at, random.below(at as u64 + 1) as usize);
    }
    format!("{}{}{}", &text[..from], scenes.concat(), &text[to..])
}

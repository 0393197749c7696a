//! Pairing by likeness, checked against an outside solver of assignments (scipy, `linear_sum_assignment`).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::io::{Read, Write};
use std::process::{Command, Stdio};

use tipring::compare::pairing::assign::{MOST, best};

const SOLVER: &str = "
import json, sys
from scipy.optimize import linear_sum_assignment
out = []
for table in json.load(sys.stdin):
    rows, columns = linear_sum_assignment(table, maximize=True)
    out.append(int(sum(table[r][c] for r, c in zip(rows, columns))))
print(json.dumps(out))
";

#[test]
fn the_best_pairing_is_the_outside_solvers() {
    if std::env::var_os("TIPRING_FULL").is_none() {
        loud("SKIPPED: the outside solver's check of pairing runs only with TIPRING_FULL=1");
        return;
    }
    let mut seed = 5u64;
    let mut next = |below: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % below
    };
    let mut tables: Vec<Vec<Vec<u32>>> = Vec::new();
    for (rows, columns, sparse) in
        [(1, 1, 1), (2, 5, 2), (7, 3, 2), (40, 40, 1), (60, 90, 4), (120, 80, 9), (MOST, MOST, 3), (MOST, 320, 20)]
    {
        let mut one = || if next(sparse) == 0 { 700 + next(301) as u32 } else { 0 };
        tables.push((0..rows).map(|_| (0..columns).map(|_| one()).collect()).collect());
    }
    let ours: Vec<u32> = tables.iter().map(|t| best(t).iter().map(|(r, c)| t[*r][*c]).sum()).collect();
    let mut python = Command::new(std::env::var("TIPRING_PYTHON").unwrap_or_else(|_| "python3".to_owned()));
    let mut child = python.args(["-c", SOLVER]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("python3");
    let text = serde_json::to_vec(&tables).unwrap();
    child.stdin.take().unwrap().write_all(&text).unwrap();
    let mut answer = String::new();
    child.stdout.take().unwrap().read_to_string(&mut answer).unwrap();
    assert!(child.wait().unwrap().success(), "python3 with scipy is missing (pip install scipy)");
    let theirs: Vec<u32> = serde_json::from_str(&answer).expect("sums");
    assert_eq!(ours, theirs);
}

/// Past the test harness, which keeps what a passing test prints to itself.
fn loud(line: &str) {
    let _ = writeln!(std::io::stderr(), "\n{line}");
}

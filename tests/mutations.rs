//! Mutation check of settling: each named, small mistake in `src/settle` must make
//! `settle_agrees` fail by an assertion. A check that no mistake can fail checks nothing.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod mutations {
    pub(crate) mod list;
    pub(crate) mod workshop;
}

use mutations::list::MUTATIONS;
use mutations::workshop::{Outcome, Workshop};
use std::io::Write;

#[test]
fn each_mutation_of_settle_is_caught() {
    if std::env::var("TIPRING_FULL").as_deref() != Ok("1") {
        loud("SKIPPED: the mutations of settle are tried only with TIPRING_FULL=1");
        return;
    }
    assert!(MUTATIONS.len() >= 10, "only {} mutations are named", MUTATIONS.len());
    let workshop = Workshop::open();
    // First that all can be made at all: a build costs more than a look.
    for mutation in MUTATIONS {
        workshop.mutated(mutation);
    }
    let sound = workshop.run();
    assert!(matches!(sound, Outcome::Passed), "the unmutated copy must pass: {sound:?}");
    let mut missed = Vec::new();
    for mutation in MUTATIONS {
        let outcome = workshop.run_mutated(mutation);
        loud(&format!("mutation {}: {}", mutation.name, outcome.summary()));
        if !matches!(outcome, Outcome::Caught(_)) {
            missed.push(mutation.name);
        }
    }
    assert!(missed.is_empty(), "not caught by an assertion: {}", missed.join(", "));
}

/// The list is checked in every run, so that a change of `settle` cannot quietly empty it.
#[test]
fn each_mutation_finds_its_place_once() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for mutation in MUTATIONS {
        let text = std::fs::read_to_string(root.join(mutation.file)).expect("the mutated file is there");
        mutation.apply(&text);
    }
}

fn loud(line: &str) {
    // Past the test harness, which keeps what a passing test prints to itself.
    let _ = writeln!(std::io::stderr(), "\n{line}");
}

//! Steps of the solver, counted while it works.

use std::cell::Cell;

use batsat::Callbacks;
use batsat::clause::{self, Lit};

use crate::study::budget;

/// No answer was found with the steps there were.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct NotProved;

/// So many consequences cost one step.
const CONSEQUENCES: u64 = 1_000;

/// Counts down the steps of one question, and those of all questions of its kind.
#[derive(Default)]
pub(super) struct Meter {
    question: Cell<u64>,
    all: Cell<u64>,
    spent: Cell<u64>,
}

impl Meter {
    /// Steps for all questions until the next grant.
    pub(super) fn grant(&mut self, steps: u64) {
        self.all.set(steps);
    }

    /// Begins a question.
    pub(super) fn question(&mut self) {
        self.question.set(budget::QUESTION);
    }

    /// Counts what a question made the solver draw.
    pub(super) fn consequences(&mut self, drawn: u64) {
        self.step(drawn / CONSEQUENCES);
    }

    /// Steps taken so far.
    pub(super) fn spent(&self) -> u64 {
        self.spent.get()
    }

    fn step(&self, steps: u64) {
        for left in [&self.question, &self.all] {
            left.set(left.get().saturating_sub(steps));
        }
        self.spent.set(self.spent.get() + steps);
    }
}

impl Callbacks for Meter {
    fn on_new_clause(&mut self, learnt: &[Lit], _: clause::Kind) {
        self.step(learnt.len() as u64);
    }

    /// Asked once for every choice.
    fn stop(&self) -> bool {
        self.step(1);
        self.question.get() == 0 || self.all.get() == 0
    }
}

//! How rules speak of rows that break the book's rules, and of what stands there then.

use super::edits::Step;
use super::mend::Edits;
use super::{Diagnostic, Facts, say};
use crate::book::{How, amount};
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::Value;
use crate::study::rules::{Broken, Change, LONGEST, Stand, Stands};

/// So many scenes are named; of more, only their number is told.
const MOST_NAMES: usize = 4;
/// So many scenes are changed in one offer.
const MOST_CHANGED: usize = 40;

impl Facts<'_> {
    /// A row against its rules: the scenes that share it, the statements behind it, the rules, the way out.
    pub(super) fn against(&self, broken: &Broken, message: String) -> Diagnostic {
        let scene = self.scene(broken.scene);
        let mut told = Diagnostic::new(self.scene_at(broken.scene), message);
        if !broken.also.is_empty() {
            let does = if broken.also.len() == 1 { "does" } else { "do" };
            told = told.label(format!("and so {does} {}", self.built_on_it(broken)));
        }
        for saying in &broken.by {
            told = told.other(self.said_at(*saying), format!("this wants {}", self.said(*saying)));
        }
        for rule in &broken.rules {
            told = told.other(self.rule_at(*rule), "the rule");
        }
        let offers = broken.offers.changes.iter().filter(|_| !self.book.show.is_pressed(broken.scene));
        for change in offers {
            told = told.way(&format!("in `{scene}`"), self.change(change), self.changed(broken.scene, change));
        }
        if self.book.show.is_pressed(broken.scene) {
            let base = self.scene(self.book.show.base(broken.scene));
            return told.help(format!(
                "let the switch move something else, or say `does nothing` for it in `{base}`; or mend the rule"
            ));
        }
        told.help(match (broken.offers.changes.is_empty(), broken.offers.cut) {
            (true, true) => format!("no short change of `{scene}` was found that keeps it; mend the rule"),
            (true, false) => {
                format!(
                    "changing {LONGEST} things in `{scene}` is not enough to keep it and the other rules; mend the rule"
                )
            }
            _ => format!("decide what gives way: `{scene}`, or the rule"),
        })
    }

    /// Many rows against the same rules: the first few, each with its way out, and how many there are.
    pub(super) fn against_all(&self, all: &[&Broken]) -> Option<Diagnostic> {
        let first = all.first()?;
        let rules: Vec<String> = first.rules.iter().map(|r| self.rule_says(*r)).collect();
        let count = all.iter().map(|b| 1 + b.also.len()).sum::<usize>();
        let message = match rules.as_slice() {
            [rule] => format!("{count} scenes break the rule {rule}"),
            _ => format!("{count} scenes cannot keep these rules all at once: {}", rules.join(", ")),
        };
        let change = |broken: &Broken| broken.offers.changes.first().map(|c| self.change(c));
        let mut told = Diagnostic::new(self.rule_at(*first.rules.first()?), message);
        for rule in first.rules.iter().skip(1) {
            told = told.other(self.rule_at(*rule), "a rule");
        }
        for broken in all.iter().take(MOST_NAMES) {
            told = told.other(self.scene_at(broken.scene), format!("`{}` does", self.scene(broken.scene)));
        }
        let common = change(first).filter(|c| all.iter().all(|b| change(b).as_ref() == Some(c)));
        if let (Some(says), true) = (common, all.len() <= MOST_CHANGED) {
            let each = |b: &&Broken| self.changed(b.scene, b.offers.changes.first()?);
            let edits: Option<Vec<Edits>> = all.iter().map(each).collect();
            told = told.way("in each of them", says, edits.map(|e| e.concat())).besides("mend the rule");
        }
        Some(told.help("mend the rule, or the scenes one after the other: the next ones are told then"))
    }

    fn changed(&self, scene: SceneId, steps: &[Change]) -> Option<Edits> {
        let step = |change: &Change| Step {
            say: change.statement(self.book),
            cells: change.cells(&self.table.cells),
            out: change.out(),
        };
        self.steps_in_scene(scene, &steps.iter().map(step).collect::<Vec<_>>())
    }

    fn change(&self, steps: &[Change]) -> String {
        let steps: Vec<String> = steps.iter().map(|s| s.says(self.book)).collect();
        steps.join(" and ")
    }

    fn built_on_it(&self, broken: &Broken) -> String {
        let names: Vec<String> = broken.also.iter().map(|s| format!("`{}`", self.scene(*s))).collect();
        match names.len() {
            0..=MOST_NAMES => format!("{}, built on it", names.join(", ")),
            more => format!("{more} scenes built on it"),
        }
    }

    /// What stands in a row, and how it comes to: "with the foot at 30.3 % of `lull` depth", "after `loud`, which leaves
    /// `larch` channel on `lead`".
    pub(super) fn stands(&self, stand: &Stand) -> String {
        let foot = |one: &&Stands| one.said.foot();
        let moved: Vec<String> = stand.cells.iter().filter(foot).filter_map(|s| self.stands_at(s)).collect();
        // Contacts of one control say one thing.
        let mut left: Vec<String> = Vec::new();
        for one in stand.cells.iter().filter(|one| !foot(one)) {
            left.extend(self.stands_at(one).filter(|says| !left.contains(says)));
        }
        let mut out: Vec<String> = Vec::new();
        match (stand.from, left.is_empty()) {
            (Some(Some(scene)), false) => {
                out.push(format!("after `{}`, which leaves {}", self.scene(scene), say::joined(&left, "and")));
            }
            (Some(None), false) => out.push(format!("after power-up, with {}", say::joined(&left, "and"))),
            (Some(Some(scene)), true) => out.push(format!("after `{}`", self.scene(scene))),
            _ => {}
        }
        if !moved.is_empty() {
            out.push(format!("with the foot holding {}", say::joined(&moved, "and")));
        }
        out.join(", ")
    }

    /// "`lull` depth from 30.7 % to 60 %", "`larch` channel on `lead`", "remote 1 tip closed".
    fn stands_at(&self, one: &Stands) -> Option<String> {
        let column = self.table.cells.list.get(one.cell)?;
        let thing = |device: DeviceId, control: ControlId| {
            let (device, control) = self.part(device, control)?;
            Some((format!("`{}` {}", device.name, control.name), control))
        };
        if let Value::Step(step) = one.now {
            let (device, control) = column.users.first().copied()?;
            let (name, control) = thing(device, control)?;
            let (from, to) = control.how.level()?;
            let says = |step: u16| amount::show(amount::at_step(step, column.steps, from, to));
            // A range that falls is told upwards, too.
            let falls = to.below(from) && !matches!(control.how, How::Unknown);
            let (low, high) = if falls { (one.to, step) } else { (step, one.to) };
            return Some(match low == high || one.to <= step {
                true => format!("{name} at {}", says(step)),
                false => format!("{name} anywhere from {} to {}", says(low), says(high)),
            });
        }
        for (device, control) in column.users.iter().copied() {
            let (name, found) = thing(device, control)?;
            let at = self.table.cells.of_control(device, control).iter().position(|c| *c == one.cell);
            let state = (0..found.states.len()).find(|state| {
                let values = self.table.cells.of_state(device, control, *state as u16);
                at.is_some_and(|at| values.get(at) == Some(&one.now))
            });
            let single = self.table.cells.of_control(device, control).len() == 1 && column.users.len() == 1;
            if let Some(state) = state.filter(|_| single).and_then(|s| found.states.get(s)) {
                return Some(format!("{name} on `{}`", state.name));
            }
        }
        Some(self.holds(one.cell, one.now))
    }
}

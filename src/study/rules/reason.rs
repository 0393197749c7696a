//! What follows from the rules themselves, whatever the scenes hold.

use super::smallest::{Clashes, irreducible, smallest};
use super::world::World;
use super::{Clash, Implied, Never, Unreached};
use crate::book::Book;
use batsat::Lit;

/// Rules under fixed circumstances.
struct Given<'w> {
    world: &'w mut World,
    given: Vec<Lit>,
}

impl Clashes for Given<'_> {
    fn clash(&mut self, items: &[usize]) -> Option<Vec<usize>> {
        self.world.clash(items, &self.given)
    }

    fn kept(&mut self, items: &[usize], among: &[usize]) -> Option<Vec<usize>> {
        self.world.kept(items, &self.given, among)
    }
}

/// A set of these rules that cannot hold while `given` does, from which no rule can be left out.
pub(super) fn against(world: &mut World, rules: &[usize], given: Vec<Lit>) -> Option<Vec<usize>> {
    irreducible(rules, &mut Given { world, given })
}

/// The same, and as small as the questions left allow.
fn least(world: &mut World, rules: &[usize], given: Vec<Lit>, questions: &mut usize) -> Option<Vec<usize>> {
    smallest(rules, &mut Given { world, given }, questions)
}

/// Rules that can never all hold: sets that share no rule; first those that clash for every scene.
pub(super) fn clashes(world: &mut World, rules: &[usize], questions: &mut usize) -> Vec<Clash> {
    let mut left = rules.to_vec();
    let mut out: Vec<Clash> = Vec::new();
    while let Some(set) = least(world, &left, Vec::new(), questions) {
        left.retain(|r| !set.contains(r));
        out.push(Clash { rules: set, scene: None });
        if left.is_empty() {
            break;
        }
    }
    for kind in 0..world.kinds.len() {
        let Some((_, Some(scene))) = world.kinds.get(kind).cloned() else { continue };
        let given = world.of_kind(kind);
        let mut here = left.clone();
        while let Some(set) = least(world, &here, given.clone(), questions) {
            here.retain(|r| !set.contains(r));
            let known = out.iter().any(|c| c.rules == set);
            // One rule against one scene is a matter of that scene.
            if set.len() > 1 && !known {
                out.push(Clash { rules: set, scene: Some(scene) });
            }
        }
    }
    out
}

/// Pedals that no row allowed by the rules engages.
pub(super) fn never_engaged(world: &mut World, book: &Book, rules: &[usize], questions: &mut usize) -> Vec<Never> {
    let pedals = book.devices.iter().enumerate().filter(|(_, d)| d.loop_at.is_some() && !d.faulty);
    let mut out = Vec::new();
    for (device, _) in pedals {
        let given = vec![world.sounds(device as u16)];
        if let Some(rules) = least(world, rules, given, questions) {
            out.push(Never { device: device as u16, rules });
        }
    }
    out
}

/// States that no row allowed by the rules can hold while their pedal sounds.
pub(super) fn unreached(world: &mut World, book: &Book, rules: &[usize], never: &[Never]) -> Vec<Unreached> {
    let mut out = Vec::new();
    for (d, device) in book.devices.iter().enumerate() {
        if device.faulty || never.iter().any(|n| n.device as usize == d) {
            continue;
        }
        for (c, control) in device.controls.iter().enumerate() {
            for s in 0..control.states.len() {
                let (device, control, state) = (d as u16, c as u16, s as u16);
                let given = vec![world.sounds(device), world.in_state(device, control, state)];
                if let Some(rules) = against(world, rules, given) {
                    out.push(Unreached { device, control, state, rules });
                }
            }
        }
    }
    out
}

/// Rules that say no more than the others do; of two that say the same, the later one.
pub(super) fn implied(world: &mut World, rules: &[usize]) -> Vec<Implied> {
    let mut left = rules.to_vec();
    let mut out = Vec::new();
    for rule in rules.iter().rev() {
        let others: Vec<usize> = left.iter().copied().filter(|r| r != rule).collect();
        let given = vec![world.broken(*rule)];
        if let Some(by) = against(world, &others, given) {
            left = others;
            out.push(Implied { rule: *rule, by });
        }
    }
    out.reverse();
    out
}

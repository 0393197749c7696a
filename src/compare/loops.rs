//! The loops: who sits in them, and which labels they want.

use super::pairing::Matched;
use crate::Compiled;

/// A loop that holds another pedal than before: the loop, the old pedal, the new one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rewired {
    /// The loop, from 1.
    pub number: u16,
    /// What sat there.
    pub was: Option<String>,
    /// What sits there.
    pub now: Option<String>,
}

/// A pedal in its old loop that wants another label: the loop, the old letters, the new ones.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Relabelled {
    /// The loop, from 1.
    pub number: u16,
    /// The pedal's new name.
    pub pedal: String,
    /// What the label said.
    pub was: String,
    /// What it must say.
    pub now: String,
}

/// Labels are three letters made from the name, or stated: a pedal that stays where it is may want another one.
pub(super) fn relabelled(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Relabelled> {
    let relabelled = new.book.board.devices.iter().enumerate().filter_map(|(at, now)| {
        let was = old.book.board.devices.get(matched.devices.old_of(at as u32)? as usize)?;
        let number = now.loop_at.filter(|l| was.loop_at.map(|w| w.value) == Some(l.value))?.value;
        let (was, label) = (was.label(), now.label());
        (was != label).then(|| Relabelled { number, pedal: now.name.clone(), was, now: label })
    });
    relabelled.collect()
}

/// The loops that hold another pedal.
pub(super) fn rewired(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Rewired> {
    let loops = |c: &Compiled| c.book.board.switcher.as_ref().map_or(0, |s| s.loops);
    let found = |c: &Compiled, n: u16| {
        c.book.board.devices.iter().position(|d| d.loop_at.is_some_and(|l| l.value == n)).map(|at| at as u32)
    };
    let name =
        |c: &Compiled, at: Option<u32>| at.and_then(|at| c.book.board.devices.get(at as usize)).map(|d| d.name.clone());
    let mut out = Vec::new();
    for number in 1..=loops(old).max(loops(new)) {
        let (was, now) = (found(old, number), found(new, number));
        let same = match (was, now) {
            (Some(was), Some(now)) => matched.devices.new_of(was) == Some(now),
            (None, None) => true,
            _ => false,
        };
        if !same {
            out.push(Rewired { number, was: name(old, was), now: name(new, now) });
        }
    }
    out
}

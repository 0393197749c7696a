//! The loops: who sits in them, and which labels they want.

use super::pairing::Matched;
use crate::Compiled;
use crate::ids::DeviceId;

/// A loop that holds another pedal than before: the loop, the old pedal, the new one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rewired {
    /// The loop, as the new book counts it, or the old one where the new one has no such loop.
    pub number: u16,
    /// The loop in words: `loop 3`, `loop 2 of annex`.
    pub says: String,
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
    /// The loop in words.
    pub says: String,
    /// The pedal's new name.
    pub pedal: String,
    /// What the label said.
    pub was: String,
    /// What it must say.
    pub now: String,
}

/// Labels are three letters made from the name, or stated: a pedal that stays where it is may want another one.
pub(super) fn relabelled(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Relabelled> {
    let relabelled = new.book.board.devices.pairs().filter_map(|(at, now)| {
        let was = old.book.board.devices.get(matched.devices.old_of(at)?)?;
        let before = |l: u16| new.book.board.same_loop(&old.book.board, l);
        let number = now.loop_at.filter(|l| was.loop_at.map(|w| w.value) == before(l.value))?.value;
        let (was, label) = (was.label(), now.label());
        (was != label).then(|| Relabelled {
            number,
            says: new.book.board.loop_says(number),
            pedal: now.name.clone(),
            was,
            now: label,
        })
    });
    relabelled.collect()
}

/// The loops that hold another pedal.
pub(super) fn rewired(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Rewired> {
    let loops = |c: &Compiled| c.book.board.switcher.as_ref().map_or(0, |s| s.loops);
    let found = |c: &Compiled, n: u16| c.book.board.loop_holds(n);
    let name =
        |c: &Compiled, at: Option<DeviceId>| at.and_then(|at| c.book.board.devices.get(at)).map(|d| d.name.clone());
    let mut out = Vec::new();
    let (before, after) = (&old.book.board, &new.book.board);
    // The new book's loops, then those that it has no more.
    let of_new = (1..=loops(new)).map(|n| (after.same_loop(before, n), Some(n)));
    let of_old = (1..=loops(old)).filter(|n| before.same_loop(after, *n).is_none()).map(|n| (Some(n), None));
    for (of_old, of_new) in of_new.chain(of_old) {
        let (was, now) = (of_old.and_then(|n| found(old, n)), of_new.and_then(|n| found(new, n)));
        let same = match (was, now) {
            (Some(was), Some(now)) => matched.devices.new_of(was) == Some(now),
            (None, None) => true,
            _ => false,
        };
        if !same {
            let (number, says) = match (of_new, of_old) {
                (Some(n), _) => (n, after.loop_says(n)),
                (None, n) => (n.unwrap_or(0), before.loop_says(n.unwrap_or(0))),
            };
            out.push(Rewired { number, says, was: name(old, was), now: name(new, now) });
        }
    }
    out
}

//! What follows from the rules themselves, whatever the scenes hold.

use super::encoding::Encoding;
use super::meter::NotProved;
use super::smallest::{Clashes, Purse, irreducible, smallest};
use super::{Clash, Implied, Never, Open, Unreached};
use crate::book::Book;
use crate::settle::Cells;
use batsat::Lit;

/// Rules under fixed circumstances.
struct Given<'w> {
    encoding: &'w mut Encoding,
    given: Vec<Lit>,
}

impl Clashes for Given<'_> {
    fn clash(&mut self, items: &[usize]) -> Result<Option<Vec<usize>>, NotProved> {
        self.encoding.clash(items, &self.given)
    }

    fn kept(&mut self, items: &[usize], among: &[usize]) -> Result<Option<Vec<usize>>, NotProved> {
        self.encoding.kept(items, &self.given, among)
    }
}

/// A set of these rules that cannot hold while `given` does, from which no rule can be left out.
pub(super) fn against(
    encoding: &mut Encoding,
    rules: &[usize],
    given: Vec<Lit>,
) -> Result<Option<Vec<usize>>, NotProved> {
    Ok(irreducible(rules, &mut Given { encoding, given })?.map(|(set, _)| set))
}

/// The same, and as small as what is left in the purse allows.
fn least(
    encoding: &mut Encoding,
    rules: &[usize],
    given: Vec<Lit>,
    purse: &mut Purse,
) -> Result<Option<Vec<usize>>, NotProved> {
    smallest(rules, &mut Given { encoding, given }, purse)
}

/// True when the board allows any row at all; two devices that always sound may want different things of one contact.
pub(super) fn possible(encoding: &mut Encoding) -> bool {
    matches!(encoding.clash(&[], &[]), Ok(None))
}

/// Rules that can never all hold: sets that share no rule; first those that clash for every scene.
pub(super) fn clashes(encoding: &mut Encoding, rules: &[usize], purse: &mut Purse, open: &mut Vec<Open>) -> Vec<Clash> {
    let mut left = rules.to_vec();
    let mut out: Vec<Clash> = Vec::new();
    // A set of no rule would be the board's own contradiction, and would come back for ever.
    let some = |set: &Vec<usize>| !set.is_empty();
    loop {
        match least(encoding, &left, Vec::new(), purse).map(|set| set.filter(some)) {
            Ok(Some(set)) => {
                left.retain(|r| !set.contains(r));
                out.push(Clash { rules: set, scenes: Vec::new() });
            }
            Ok(None) => break,
            // Whether a scene of one kind keeps them is a harder question still.
            Err(NotProved) => {
                open.push(Open::Together);
                return out;
            }
        }
    }
    let for_all = out.len();
    for kind in 0..encoding.kinds.len() {
        let Some((_, scenes)) = encoding.kinds.get(kind).cloned() else { continue };
        let Some(first) = scenes.first().copied() else { continue };
        let given = encoding.of_kind(kind);
        let mut here = left.clone();
        loop {
            match least(encoding, &here, given.clone(), purse).map(|set| set.filter(some)) {
                Ok(Some(set)) => {
                    here.retain(|r| !set.contains(r));
                    // One rule against one scene is a matter of that scene.
                    if set.len() > 1 && !out.iter().any(|c| c.rules == set) {
                        out.push(Clash { rules: set, scenes: Vec::new() });
                    }
                }
                Ok(None) => break,
                Err(NotProved) => {
                    open.push(Open::InScene(first));
                    break;
                }
            }
        }
    }
    for clash in out.iter_mut().skip(for_all) {
        catches(encoding, clash);
    }
    out
}

/// Finds every scene that cannot keep the rules of a clash, while it can keep all but any one of them.
fn catches(encoding: &mut Encoding, clash: &mut Clash) {
    for kind in 0..encoding.kinds.len() {
        let given = encoding.of_kind(kind);
        let mut caught = matches!(encoding.clash(&clash.rules, &given), Ok(Some(_)));
        for rule in &clash.rules {
            let others: Vec<usize> = clash.rules.iter().copied().filter(|r| r != rule).collect();
            caught = caught && matches!(encoding.clash(&others, &given), Ok(None));
        }
        if caught {
            clash.scenes.extend(encoding.kinds.get(kind).into_iter().flat_map(|(_, scenes)| scenes));
        }
    }
}

/// Pedals that no row allowed by the rules engages.
pub(super) fn never_engaged(
    encoding: &mut Encoding,
    book: &Book,
    cells: &Cells,
    rules: &[usize],
    purse: &mut Purse,
    open: &mut Vec<Open>,
) -> Vec<Never> {
    let pedals =
        book.board.devices.pairs().filter(|(_, d)| (d.loop_at.is_some() || d.engaged_by.is_some()) && !d.faulty);
    let mut out = Vec::new();
    for (device, found) in pedals {
        if encoding.unbound_pedal(cells, found, device) {
            continue;
        }
        let given = vec![encoding.sounds(device)];
        match least(encoding, rules, given, purse) {
            Ok(Some(rules)) => out.push(Never { device, rules }),
            Ok(None) => {}
            Err(NotProved) => open.push(Open::Engaged(device)),
        }
    }
    out
}

/// States that no row allowed by the rules can hold while their pedal sounds.
pub(super) fn unreached(
    encoding: &mut Encoding,
    book: &Book,
    cells: &Cells,
    rules: &[usize],
    never: &[Never],
    open: &mut Vec<Open>,
) -> Vec<Unreached> {
    let mut out = Vec::new();
    for (d, device) in book.board.devices.pairs() {
        // What a helper is called to follows from its loops; what makes no sound is sent whatever sounds.
        if device.faulty || device.helper.is_some() || device.listens() || never.iter().any(|n| n.device == d) {
            continue;
        }
        // What can never sound is in no state.
        let silent = encoding.silent(d);
        for (c, control) in device.controls.pairs() {
            // What engages the device is told with it.
            let told = device.switches(c);
            if told || !silent && encoding.unbound(cells, d, c) {
                continue;
            }
            for s in 0..control.states.len() {
                let (device, control, state) = (d, c, s as u16);
                if silent {
                    out.push(Unreached { device, control, state, rules: Vec::new() });
                    continue;
                }
                let given = vec![encoding.sounds(device), encoding.in_state(device, control, state)];
                match against(encoding, rules, given) {
                    Ok(Some(rules)) => out.push(Unreached { device, control, state, rules }),
                    Ok(None) => {}
                    Err(NotProved) => {
                        open.push(Open::State(device, control));
                        break;
                    }
                }
            }
        }
    }
    out
}

/// Rules that say no more than the others do; of two that say the same, the later one.
pub(super) fn implied(encoding: &mut Encoding, rules: &[usize], open: &mut Vec<Open>) -> Vec<Implied> {
    let mut left = rules.to_vec();
    let mut out = Vec::new();
    for rule in rules.iter().rev() {
        let others: Vec<usize> = left.iter().copied().filter(|r| r != rule).collect();
        let given = vec![encoding.broken(*rule)];
        match against(encoding, &others, given) {
            Ok(Some(by)) => {
                left = others;
                out.push(Implied { rule: *rule, by });
            }
            Ok(None) => {}
            Err(NotProved) => open.push(Open::Implied(*rule)),
        }
    }
    out.reverse();
    out
}

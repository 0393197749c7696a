//! Books so small that every list of work can be tried: three loops, two contacts, a few slots. Nothing here knows
//! how the tool works; rows are worked out from the model itself.

use std::collections::BTreeMap;

use crate::apply::Memory;
use crate::settle_agrees::random::Random;
use tipring::book::Slot;
use tipring::compare::stored::{Store, Wire};

const NAMES: [&str; 6] = ["ash", "bay", "cob", "dew", "elm", "fir"];

/// Loops 1 to 3 in bits 0 to 2; the tip that pedal `sift` in loop 1 uses in bit 3, the ring of `grit` in loop 2 in
/// bit 4. A contact of a pedal that is out is free.
#[derive(Clone, Debug)]
pub(crate) struct Book {
    /// In slot order: name, and what it stores.
    scenes: Vec<(&'static str, u8)>,
    /// `never loop N beside` a contact: loop bit, contact bit, whether the contact is closed.
    rules: Vec<(u8, u8, bool)>,
    display: bool,
}

fn free(row: u8) -> u8 {
    (u8::from(row & 1 == 0) << 3) | (u8::from(row & 2 == 0) << 4)
}

impl Book {
    pub(crate) fn text(&self) -> String {
        let mut out = String::from(
            "switcher { loops 3; remote jacks 1; expressions 0 of 128 steps; outputs 0; banks 1..1, switches 1..6",
        );
        out += if self.display { "; display 8 }\n" } else { " }\n" };
        out += "pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }\n";
        out += "pedal grit { loop 2; control voice on remote 1 ring { round: open; sharp: closed } }\npedal throb { loop 3 }\n";
        for (name, row) in &self.scenes {
            let voice = |bit: u8| if row >> bit & 1 == 1 { "sharp" } else { "round" };
            out += &format!("scene {name} {{ sift.voice {}; grit.voice {}", voice(3), voice(4));
            for (bit, pedal) in ["sift", "grit", "throb"].iter().enumerate() {
                if row >> bit & 1 == 1 {
                    out += &format!("; engage {pedal}");
                }
            }
            out += " }\n";
        }
        for (one, contact, closed) in &self.rules {
            let side = if *contact == 3 { "tip" } else { "ring" };
            let is = if *closed { "closed" } else { "open" };
            out += &format!("rule never loop {} beside remote 1 {side} {is}\n", one + 1);
        }
        out += "slots {";
        for (at, (name, _)) in self.scenes.iter().enumerate() {
            out += &format!(" 1.{} {name};", at + 1);
        }
        out + " }\n"
    }

    fn ruled(&self, row: u8) -> bool {
        self.rules.iter().all(|(one, contact, closed)| row >> one & 1 == 0 || (row >> contact & 1 == 1) != *closed)
    }

    pub(crate) fn keeps_its_own_rules(&self) -> bool {
        self.scenes.iter().all(|(_, row)| self.ruled(*row))
    }

    pub(crate) fn keeps_rules(&self, memory: &Memory) -> bool {
        let slot = |at: usize| Slot { bank: 0, switch: at as u32 };
        self.scenes.iter().enumerate().all(|(at, _)| {
            let bits = |(wire, store): (&Wire, &Store)| match (wire, store) {
                (Wire::Loop(n), Store::On) => 1u8 << (n - 1),
                (Wire::Contact(c), Store::On) => 1 << (3 + u8::from(c.ring)),
                _ => 0,
            };
            self.ruled(memory[&slot(at)].cells.iter().map(bits).sum())
        })
    }
}

/// Two books over one board.
pub(crate) fn books(random: &mut Random) -> (Book, Book) {
    let display = random.chance(50);
    let one = |random: &mut Random, rows: &[u8]| {
        let mut names = NAMES;
        random.shuffle(&mut names);
        let count = random.within(2, 4);
        let row = |random: &mut Random| {
            if !rows.is_empty() && random.chance(60) { *random.pick(rows) } else { random.below(32) as u8 }
        };
        let scenes = names.iter().take(count).map(|name| (*name, row(random))).collect();
        let rules = (0..random.below(3)).map(|_| (random.below(3) as u8, random.within(3, 4) as u8, random.chance(50)));
        Book { scenes, rules: rules.collect(), display }
    };
    let old = one(random, &[]);
    let rows: Vec<u8> = old.scenes.iter().map(|(_, row)| *row).collect();
    let new = one(random, &rows);
    (old, new)
}

/// What stands in a slot: the row, which of its cells are sure, and its name.
type Stands = (u8, u8, &'static str);

/// What an old slot holds, if it holds anything.
fn held(old: &Book, at: usize, exact: bool) -> Option<Stands> {
    let (name, row) = *old.scenes.get(at)?;
    Some((row, if exact { 31 } else { 31 & !free(row) }, name))
}

/// What a slot holds once it was written: its free cells may hold anything.
fn written(new: &Book, at: usize) -> Stands {
    let (name, row) = new.scenes[at];
    (row, 31 & !free(row), name)
}

/// The fewest cells, and perhaps the name, that turn what a slot holds into what it must hold. `anew`: it was written by
/// the list, and nobody knows what its free cells hold.
fn cost(from: Option<Stands>, anew: bool, new: &Book, to: usize, ruled: bool) -> usize {
    let (name, want) = new.scenes[to];
    let (loose, known) = (free(want), from.map_or(0, |(_, known, _)| known));
    let held = from.map(|(row, _, _)| row);
    // Every row that the slot may end with; a cell is touched when it is not sure to hold that already. A free cell
    // that is left alone holds what the old table says.
    let mut best = usize::MAX;
    for end in 0..32u8 {
        if (end ^ want) & !loose & 31 != 0 || (ruled && !new.ruled(end)) {
            continue;
        }
        let mut touched = 0;
        for bit in 0..5 {
            let open = loose >> bit & 1 == 1;
            let unsure = held.is_none() || anew && known >> bit & 1 == 0;
            let differs = unsure || held.is_some_and(|row| (row ^ end) >> bit & 1 == 1);
            let must = !open && known >> bit & 1 == 0;
            // A free cell that no rule asks about is left alone where nobody knows what it holds, too.
            let idle = unsure && open && !asked(new, want, bit, ruled);
            touched += usize::from((differs || must) && !idle);
        }
        best = best.min(touched);
    }
    best + usize::from(new.display && from.map(|(_, _, name)| name) != Some(name))
}

/// Whether a rule's truth hangs on a free cell.
fn asked(new: &Book, want: u8, bit: u8, ruled: bool) -> bool {
    ruled && new.rules.iter().any(|(one, contact, _)| *contact == bit && want >> one & 1 == 1)
}

/// The fewest things to do over all orders and sources, and whether the order costs something.
pub(crate) fn least(old: &Book, new: &Book, exact: bool) -> (usize, bool) {
    let mut memo = BTreeMap::new();
    let same = |to: usize| {
        old.scenes.get(to).is_some_and(|(name, row)| {
            let sure = exact || free(*row) & !free(new.scenes[to].1) == 0;
            *row == new.scenes[to].1 && sure && (!new.display || *name == new.scenes[to].0)
        })
    };
    let todo: Vec<usize> = (0..new.scenes.len()).filter(|to| !same(*to)).collect();
    let least = tries(old, new, exact, &todo, 0, &mut memo);
    let alone: usize = todo.iter().map(|to| cheapest(old, new, exact, *to, 0, &todo)).sum();
    (least, least > alone)
}

/// The cheapest source of a slot while `done` are written already.
fn cheapest(old: &Book, new: &Book, exact: bool, to: usize, done: u8, todo: &[usize]) -> usize {
    let place = cost(held(old, to, exact), false, new, to, true);
    let stored = (0..old.scenes.len()).filter(|from| *from != to && done >> from & 1 == 0);
    let stored = stored.map(|from| 1 + cost(held(old, from, exact), false, new, to, true));
    let anew = todo.iter().filter(|from| **from != to && done >> **from & 1 == 1);
    let anew = anew.map(|from| 1 + cost(Some(written(new, *from)), true, new, to, true));
    stored.chain(anew).fold(place, usize::min)
}

fn tries(old: &Book, new: &Book, exact: bool, todo: &[usize], done: u8, memo: &mut BTreeMap<u8, usize>) -> usize {
    if let Some(known) = memo.get(&done) {
        return *known;
    }
    let open: Vec<usize> = todo.iter().copied().filter(|to| done >> to & 1 == 0).collect();
    let next = |to: &usize, memo: &mut _| {
        let cost = cheapest(old, new, exact, *to, done, todo);
        // A slot that needs nothing is not overwritten.
        let rest = tries(old, new, exact, todo, done | 1 << to, memo);
        cost + rest
    };
    let best = open.iter().map(|to| next(to, memo)).min().unwrap_or(0);
    memo.insert(done, best);
    best
}

/// Whether the new book's rules make the list longer.
pub(crate) fn rules_cost(old: &Book, new: &Book, exact: bool) -> bool {
    (0..new.scenes.len()).any(|to| {
        let here = held(old, to, exact);
        cost(here, false, new, to, true) > cost(here, false, new, to, false)
    })
}

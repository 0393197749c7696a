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
        let slot = |at: usize| Slot::at(0, at as u32);
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

/// What stands in a slot: the row; which of its cells are sure; of which there is something to go by; its name. A free
/// cell is open, as nobody typed it in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
struct Stands {
    row: u8,
    known: u8,
    believed: u8,
    name: &'static str,
}

/// What an old slot holds; one that holds nothing may hold anything, but where all is known.
fn held(old: &Book, at: usize, exact: bool) -> Stands {
    let all = if exact { 31 } else { 0 };
    let Some((name, row)) = old.scenes.get(at) else {
        return Stands { known: all, believed: all, ..Stands::default() };
    };
    Stands { row: row & !free(*row), known: 31 & !free(*row) | all, believed: 31, name }
}

/// Every way to turn what a slot holds into what it must hold, cell by cell, and the name; what that takes, and leaves.
fn turns(from: Stands, new: &Book, to: usize, ruled: bool) -> Vec<(usize, Stands)> {
    let (name, want) = new.scenes[to];
    let loose = free(want);
    let must = (from.row ^ want | !from.known) & !loose & 31;
    let unsure =
        (0..5).filter(|bit| loose >> bit & 1 == 1 && from.believed >> bit & 1 == 0 && asked(new, want, *bit, ruled));
    let unsure: u8 = unsure.map(|bit| 1 << bit).sum();
    let named = usize::from(new.display && from.name != name);
    let mut out = Vec::new();
    // A free cell that no rule asks about is left as it is.
    let open: u8 =
        (0..5).filter(|bit| loose >> bit & 1 == 1 && asked(new, want, *bit, ruled)).map(|bit| 1 << bit).sum();
    for set in (0..32u8).filter(|set| set & !open == 0 && set & unsure == unsure) {
        for value in (0..32u8).filter(|value| value & !set == 0) {
            let touched = must | set;
            let row = from.row & !touched | want & must | value;
            if !ruled || new.ruled(row) {
                let left = Stands { row, known: from.known | touched, believed: from.believed | touched, name };
                out.push((touched.count_ones() as usize + named, left));
            }
        }
    }
    out
}

/// The least of them.
fn cost(from: Stands, new: &Book, to: usize, ruled: bool) -> usize {
    turns(from, new, to, ruled).iter().map(|(cost, _)| *cost).min().unwrap_or(usize::MAX)
}

/// Whether a rule's truth hangs on a free cell.
fn asked(new: &Book, want: u8, bit: u8, ruled: bool) -> bool {
    ruled && new.rules.iter().any(|(one, contact, _)| *contact == bit && want >> one & 1 == 1)
}

/// The fewest things to do over all orders, sources and ways, each slot that must change written once; and whether the order
/// costs something.
pub(crate) fn least(old: &Book, new: &Book, exact: bool) -> (usize, bool) {
    let slots = old.scenes.len().max(new.scenes.len());
    let start: Vec<Stands> = (0..slots).map(|at| held(old, at, exact)).collect();
    let todo: Vec<usize> = (0..new.scenes.len()).filter(|to| cost(start[*to], new, *to, true) > 0).collect();
    let filled = (1u8 << old.scenes.len()) - 1;
    let least = tries(&start, filled, new, &todo, &mut BTreeMap::new());
    let cheapest = |to: &usize| {
        let copies = (0..old.scenes.len()).filter(|from| from != to).map(|from| 1 + cost(start[from], new, *to, true));
        copies.fold(cost(start[*to], new, *to, true), usize::min)
    };
    let alone: usize = todo.iter().map(cheapest).sum();
    (least, least > alone)
}

type Memo = BTreeMap<(Vec<Stands>, Vec<usize>), usize>;

fn tries(stands: &[Stands], filled: u8, new: &Book, todo: &[usize], memo: &mut Memo) -> usize {
    if todo.is_empty() {
        return 0;
    }
    let key = (stands.to_vec(), todo.to_vec());
    if let Some(known) = memo.get(&key) {
        return *known;
    }
    let mut best = usize::MAX;
    for to in todo {
        let rest: Vec<usize> = todo.iter().copied().filter(|t| t != to).collect();
        for from in (0..stands.len()).filter(|from| from == to || filled >> from & 1 == 1) {
            for (cost, left) in turns(stands[from], new, *to, true) {
                let mut after = stands.to_vec();
                after[*to] = left;
                let cost = cost + usize::from(from != *to);
                if cost < best {
                    best = best.min(cost + tries(&after, filled | 1 << to, new, &rest, memo));
                }
            }
        }
    }
    memo.insert(key, best);
    best
}

/// Whether the new book's rules make the list longer.
pub(crate) fn rules_cost(old: &Book, new: &Book, exact: bool) -> bool {
    (0..new.scenes.len()).any(|to| {
        let here = held(old, to, exact);
        cost(here, new, to, true) > cost(here, new, to, false)
    })
}

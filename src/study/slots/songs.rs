//! A bank a song: its sounds beside each other, in the order of its parts, and no other song's among them.
//!
//! Songs take the free banks in the order in which they are first played; then banks are exchanged while that spares presses.
//! A sound that several songs play is stored in the bank of each, as long as there is a bank for every song.

use fixedbitset::FixedBitSet;
use rustc_hash::FxHashMap;

use super::model::{Cost, Model, Placement};
use crate::book::{Book, Slot};
use crate::fill::Preset;
use crate::ids::{SceneId, SongId};
use crate::study::ways;

/// Songs laid down.
pub(super) struct Laid {
    pub placement: Placement,
    /// The sounds by slot, in the order of the parts.
    pub slots: Vec<(Slot, u32)>,
    /// Songs that found no bank of their own, indexes of `Show::songs`.
    pub without: Vec<SongId>,
}

/// A bank: its free switches, the sounds pinned in it, and whether a song may have it for its own.
struct Bank {
    number: u32,
    free: Vec<u32>,
    pinned: Vec<u32>,
    own: bool,
}

/// Lays every song into a bank; exchanges banks for so many steps at most.
pub(super) fn laid(model: &Model, book: &Book, presets: &[Preset], most: u64) -> Laid {
    let banks = banks(model, presets);
    let songs = songs(model, book);
    let (mut holds, mut without) = take(model, &banks, &songs, false);
    if !without.is_empty() {
        (holds, without) = take(model, &banks, &songs, true);
    }
    rest(model, &banks, &mut holds);
    let mut steps = 0;
    let mut least = cost(model, &banks, &holds, &mut steps);
    let own: Vec<usize> = (0..banks.len()).filter(|b| banks.get(*b).is_some_and(|b| b.own)).collect();
    let mut again = true;
    'all: while again {
        again = false;
        for (from, a) in own.iter().enumerate() {
            for (to, b) in own.iter().enumerate() {
                if steps > most {
                    break 'all;
                }
                if from == to {
                    continue;
                }
                // Two banks change places, or one goes behind another and those between move up.
                let mut other = holds.clone();
                other.swap(*a, *b);
                let mut moved = holds.clone();
                let line: Vec<usize> =
                    if from < to { own.get(from..=to) } else { own.get(to..=from) }.unwrap_or(&[]).to_vec();
                let mut held: Vec<Vec<u32>> = line.iter().filter_map(|b| holds.get(*b).cloned()).collect();
                if from < to {
                    held.rotate_left(1)
                } else {
                    held.rotate_right(1)
                }
                for (bank, sounds) in line.iter().zip(held) {
                    if let Some(slot) = moved.get_mut(*bank) {
                        *slot = sounds;
                    }
                }
                for next in [other, moved] {
                    if fits(&banks, &next) {
                        let cost = cost(model, &banks, &next, &mut steps);
                        if cost < least {
                            (least, holds, again) = (cost, next, true);
                        }
                    }
                }
            }
        }
    }
    let mut slots = Vec::new();
    for (bank, sounds) in banks.iter().zip(&holds) {
        let taken = bank.free.iter().zip(sounds);
        slots.extend(taken.map(|(switch, sound)| (Slot::at(bank.number, *switch), *sound)));
    }
    Laid { placement: placement(model, &banks, &holds), slots, without }
}

/// The banks. One is a song's own when nothing is pinned there but what is pinned in every bank.
fn banks(model: &Model, presets: &[Preset]) -> Vec<Bank> {
    let mut banks: Vec<Bank> = Vec::new();
    for spot in &model.spots {
        match banks.last_mut().filter(|b| b.number == spot.bank) {
            Some(bank) => bank.free.extend(&spot.free),
            None => banks.push(Bank { number: spot.bank, free: spot.free.clone(), pinned: Vec::new(), own: true }),
        }
    }
    banks.iter_mut().for_each(|bank| bank.free.sort_unstable());
    let mut everywhere: FxHashMap<SceneId, Vec<u32>> = FxHashMap::default();
    for preset in presets.iter().filter(|p| !p.chosen) {
        let Some(slot) = preset.slot else { continue };
        let list = everywhere.entry(preset.scene).or_default();
        if list.last() != Some(&slot.bank) {
            list.push(slot.bank);
        }
    }
    let sounds: FxHashMap<SceneId, u32> = model.scenes.iter().copied().zip(0..).collect();
    for (scene, within) in everywhere {
        for number in &within {
            let Ok(at) = banks.binary_search_by_key(number, |b| b.number) else { continue };
            let column = within.len() >= banks.len();
            let Some(bank) = banks.get_mut(at) else { continue };
            bank.own &= column;
            bank.pinned.extend(sounds.get(&scene));
        }
    }
    banks
}

/// The songs by first play, each with its sounds in the order of its parts.
fn songs(model: &Model, book: &Book) -> Vec<(SongId, Vec<u32>)> {
    let sounds: FxHashMap<SceneId, u32> = model.scenes.iter().copied().zip(0..).collect();
    let mut seen = FixedBitSet::with_capacity(book.show.songs.len());
    let mut out = Vec::new();
    for (song, _) in ways::runs(book).into_iter().flat_map(|run| run.songs) {
        let Some(parts) = book.show.songs.get(song).map(|s| &s.parts) else { continue };
        if seen.put(song.index()) {
            continue;
        }
        let mut wants: Vec<u32> = Vec::new();
        for sound in parts.iter().filter_map(|p| sounds.get(&book.show.anchor(p.scene?))) {
            if !wants.contains(sound) {
                wants.push(*sound);
            }
        }
        out.push((song, wants));
    }
    out
}

/// What each bank holds besides its pins, and the songs that found none. Where banks are short, a song whose sounds lie in
/// another's bank plays from there.
fn take(model: &Model, banks: &[Bank], songs: &[(SongId, Vec<u32>)], short: bool) -> (Vec<Vec<u32>>, Vec<SongId>) {
    let mut holds: Vec<Vec<u32>> = vec![Vec::new(); banks.len()];
    let mut taken = FixedBitSet::with_capacity(banks.len());
    let mut without = Vec::new();
    let mut within: FxHashMap<u32, Vec<usize>> = FxHashMap::default();
    for (at, bank) in banks.iter().enumerate() {
        bank.pinned.iter().for_each(|sound| within.entry(*sound).or_default().push(at));
    }
    let home = homes(banks, &within, songs, &mut taken);
    // So many presets more than every sound once.
    let mut waits: Vec<bool> = model.must.clone();
    let mut spare = model.room().saturating_sub(waits.iter().filter(|w| **w).count());
    let mut next = 0;
    for ((song, wants), home) in songs.iter().zip(home) {
        let lies = |at: usize, s: &u32| {
            banks.get(at).is_some_and(|b| b.pinned.contains(s)) || holds.get(at).is_some_and(|h| h.contains(s))
        };
        if short && (0..banks.len()).any(|at| wants.iter().all(|s| lies(at, s))) {
            continue;
        }
        // What is pinned in every bank, or in theirs, is there already.
        let there =
            |s: &u32| within.get(s).is_some_and(|w| w.len() == banks.len()) || home.iter().any(|at| lies(*at, s));
        let mut left: Vec<u32> = wants.iter().copied().filter(|s| !there(s)).collect();
        let all = left.len();
        left.retain(|s| {
            let waited = waits.get_mut(*s as usize).is_some_and(std::mem::take);
            let room = waited || spare > 0;
            spare -= usize::from(room && !waited);
            room
        });
        let cut = left.len() < all;
        let mut put = |at: usize, left: &mut Vec<u32>| {
            let (Some(bank), Some(held)) = (banks.get(at), holds.get_mut(at)) else { return };
            let room = bank.free.len().saturating_sub(held.len()).min(left.len());
            held.extend(left.drain(..room));
        };
        home.iter().for_each(|at| put(*at, &mut left));
        while !left.is_empty() {
            let open = |at: &usize| !taken.contains(*at) && banks.get(*at).is_some_and(|b| b.own && !b.free.is_empty());
            let Some(at) = (next..banks.len()).find(open) else { break };
            taken.insert(at);
            next = at + 1;
            put(at, &mut left);
        }
        if cut || !left.is_empty() {
            without.push(*song);
        }
    }
    (holds, without)
}

/// The banks that songs have by what is pinned there: a bank whose every pin one song plays is that song's.
fn homes(
    banks: &[Bank],
    within: &FxHashMap<u32, Vec<usize>>,
    songs: &[(SongId, Vec<u32>)],
    taken: &mut FixedBitSet,
) -> Vec<Vec<usize>> {
    let mut out = Vec::with_capacity(songs.len());
    for (_, wants) in songs {
        let mut homes: Vec<usize> = Vec::new();
        let mut left = wants.clone();
        loop {
            let theirs = |b: &Bank| !b.own && b.pinned.iter().all(|s| wants.contains(s));
            let near = left.iter().filter_map(|s| within.get(s)).flatten().copied();
            let found = near.filter_map(|at| {
                let bank = banks.get(at).filter(|b| !taken.contains(at) && theirs(b))?;
                Some((left.iter().filter(|s| bank.pinned.contains(s)).count(), std::cmp::Reverse(at)))
            });
            let Some((_, std::cmp::Reverse(at))) = found.max() else { break };
            taken.insert(at);
            homes.push(at);
            left.retain(|s| !banks.get(at).is_some_and(|b| b.pinned.contains(s)));
        }
        out.push(homes);
    }
    out
}

/// Sounds that wait and found no bank go wherever there is room.
fn rest(model: &Model, banks: &[Bank], holds: &mut [Vec<u32>]) {
    let mut lies = FixedBitSet::with_capacity(model.must.len());
    holds.iter().flatten().for_each(|s| lies.insert(*s as usize));
    let mut left: Vec<u32> = (0..model.must.len())
        .filter(|s| model.must.get(*s) == Some(&true) && !lies.contains(*s))
        .map(|s| s as u32)
        .rev()
        .collect();
    for (bank, held) in banks.iter().zip(holds.iter_mut()) {
        while held.len() < bank.free.len() {
            let Some(sound) = left.pop() else { return };
            held.push(sound);
        }
    }
    // No room but where copies lie: of sounds that lie elsewhere too, the last gives way.
    let mut often: FxHashMap<u32, usize> = FxHashMap::default();
    holds.iter().flatten().for_each(|s| *often.entry(*s).or_insert(0) += 1);
    for slot in holds.iter_mut().rev().flatten() {
        let Some(many) = often.get_mut(slot).filter(|n| **n > 1) else { continue };
        let Some(sound) = left.pop() else { return };
        *many -= 1;
        *slot = sound;
    }
}

fn fits(banks: &[Bank], holds: &[Vec<u32>]) -> bool {
    let room = |(bank, held): (&Bank, &Vec<u32>)| {
        held.len() <= bank.free.len() && held.iter().all(|s| !bank.pinned.contains(s))
    };
    banks.iter().zip(holds).all(room)
}

fn placement(model: &Model, banks: &[Bank], holds: &[Vec<u32>]) -> Placement {
    let mut out = model.empty();
    for (bank, held) in banks.iter().zip(holds) {
        for (switch, sound) in bank.free.iter().zip(held) {
            if let Some(spot) = model.spot_of(Slot::at(bank.number, *switch)) {
                out.put(*sound, spot);
            }
        }
    }
    out
}

fn cost(model: &Model, banks: &[Bank], holds: &[Vec<u32>], steps: &mut u64) -> Cost {
    *steps += banks.len() as u64;
    model.cost(&placement(model, banks, holds), steps)
}

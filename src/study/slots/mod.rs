//! Where presets live so that the sets cost the fewest presses, by what the switcher says that a press costs.
//!
//! Pinned slots stay; every other scene has a slot, and a sound may be stored in several while there is room. Of placements
//! that cost the same in all, the one that costs less inside the songs is taken, where there is no time.

mod bound;
mod exact;
mod first;
mod model;
pub mod once;
mod search;
mod songs;
mod tight;

use fixedbitset::FixedBitSet;

use self::model::{Cost, Model, Placement};
use super::budget;
use super::ways::{self, Run};
use crate::book::{Book, Slot};
use crate::fill::places::Spent;
use crate::fill::slots::second_rows;
use crate::fill::{Places, Preset};
use crate::ids::{SceneId, SongId};

/// So often the search goes on from the best that it found.
const AGAIN: usize = 2;

/// What a placement keeps to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rule {
    /// The fewest presses.
    Fewest,
    /// A bank a song: its sounds beside each other, in the order of its parts.
    BankASong,
}

/// What the book does not say.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Missing {
    /// Banks and switches.
    Slots,
    /// What a press costs.
    Presses,
    /// A song to play.
    Songs,
    /// Parts are called from outside: nobody presses for them, and that is not reckoned with.
    Called,
}

/// A run, and what it takes today and with the better placement.
#[derive(Clone, Debug)]
pub struct Compared {
    pub run: Run,
    pub before: Spent,
    pub after: Spent,
}

/// A placement, and what is known of it.
#[derive(Clone, Debug)]
pub struct Best {
    /// The presets, as [`crate::fill::presets`] gives them.
    pub presets: Vec<Preset>,
    /// Each run.
    pub runs: Vec<Compared>,
    /// No placement of these scenes with these pins takes fewer presses over all runs.
    pub bound: u64,
    /// Songs that found no bank of their own, indexes of `Show::songs`: under [`Rule::BankASong`].
    pub without: Vec<SongId>,
}

impl Best {
    /// Presses over all runs, before and after.
    pub fn presses(&self) -> (u64, u64) {
        (self.runs.iter().map(|r| r.before.all).sum(), self.runs.iter().map(|r| r.after.all).sum())
    }

    /// What is printed is the least, and that is proved.
    pub fn least(&self) -> bool {
        self.presses().1 == self.bound
    }
}

/// Looks for the best placement under a rule; `presets` is today's.
pub fn best(book: &Book, presets: &[Preset], rule: Rule) -> Result<Best, Missing> {
    let range = book.board.switcher.as_ref().and_then(|s| s.slots).ok_or(Missing::Slots)?;
    let presses = book.board.timing.presses.ok_or(Missing::Presses)?;
    if book.board.switcher.as_ref().is_some_and(|s| s.answers.is_some())
        && book.show.songs.iter().flat_map(|song| &song.parts).any(|part| part.besides().called.is_some())
    {
        return Err(Missing::Called);
    }
    let model = Model::of(book, presets, presses);
    if model.runs.iter().all(|run| run.parts.is_empty()) {
        return Err(Missing::Songs);
    }
    let mut bound = bound::all(&model);
    let mut steps = 0;
    let laid = songs::laid(&model, book, presets, budget::BANKS);
    let (found, without) = match rule {
        Rule::BankASong => (Some((laid.slots, model.cost(&laid.placement, &mut steps))), laid.without),
        Rule::Fewest => {
            let starts = [model.today(presets), first::along(&model), laid.placement];
            let (placement, proved) = fewest(&model, starts, bound);
            bound = bound.max(proved);
            let today = model.cost(&model.today(presets), &mut steps);
            let cost = model.cost(&placement, &mut steps);
            let better = (cost.all, cost.inside) < (today.all, today.inside);
            (better.then(|| (slots(&model, &placement), cost)), Vec::new())
        }
    };
    let presets_now = match found {
        Some((slots, _)) => whole(&model, book, presets, slots, range.all()),
        None => presets.to_vec(),
    };
    let (old, new) = (Places::of(book, presets), Places::of(book, &presets_now));
    let from = book.board.timing.wakes.map(|w| w.value);
    let runs = ways::runs(book).into_iter().map(|run| {
        let songs = || run.songs.iter().filter_map(|(s, _)| book.show.songs.get(*s));
        let (before, after) = (old.spent(from, songs()), new.spent(from, songs()));
        Compared { run, before, after }
    });
    Ok(Best { runs: runs.collect(), presets: presets_now, bound, without })
}

/// The best of several searches, and what was proved.
fn fewest(model: &Model, starts: [Placement; 3], bound: u64) -> (Placement, u64) {
    let mut steps = 0;
    let mut cost = |placement: &Placement| model.cost(placement, &mut steps);
    let (mut best, mut proved) = (Placement::default(), bound);
    let mut least: Option<Cost> = None;
    let mut offer = |placement: Placement, least: &mut Option<Cost>, best: &mut Placement| {
        let cost = cost(&placement);
        if least.is_none_or(|known| cost < known) {
            (*best, *least) = (placement, Some(cost));
        }
        cost.all
    };
    if let Some((placement, none_below)) = tight::least(model, budget::PLACED_ONCE) {
        proved = proved.max(none_below);
        offer(placement, &mut least, &mut best);
    }
    // A small book is soon searched through.
    let size = model.runs.iter().map(|run| run.parts.len()).sum::<usize>() * model.scenes.len();
    let most = budget::PLACED.min(budget::PLACED_EACH.saturating_mul(size as u64));
    let mut dice = 0;
    for start in starts {
        dice += 1;
        // Where the first is the best already, the search still looks for presses to spare inside the songs.
        offer(search::better(model, start, dice, most), &mut least, &mut best);
    }
    for _ in 0..AGAIN {
        dice += 1;
        offer(search::better(model, best.clone(), dice, most), &mut least, &mut best);
    }
    let all = least.map_or(u64::MAX, |l| l.all);
    if all > proved {
        let (found, whole) = exact::least(model, all, budget::PLAYED);
        let all = found.map_or(all, |placement| offer(placement, &mut least, &mut best).min(all));
        proved = if whole { all } else { proved };
    }
    (best, proved)
}

/// The sounds of each spot on its switches, by first play.
fn slots(model: &Model, placement: &Placement) -> Vec<(Slot, u32)> {
    let mut out = Vec::new();
    for (spot, chosen) in model.spots.iter().zip(&placement.chosen) {
        let mut chosen = chosen.clone();
        chosen.sort_unstable();
        let taken = spot.free.iter().zip(chosen);
        out.extend(taken.map(|(switch, sound)| (Slot::at(spot.bank, *switch), sound)));
    }
    out
}

/// All presets: those pinned, those placed, and scenes that nobody plays in what is free, banks without a song first. The
/// slot that the unit wakes in is never left empty.
fn whole(
    model: &Model,
    book: &Book,
    presets: &[Preset],
    placed: Vec<(Slot, u32)>,
    all: impl Iterator<Item = Slot>,
) -> Vec<Preset> {
    let mut out: Vec<Preset> = presets.iter().filter(|p| !p.chosen && p.slot.is_some()).copied().collect();
    let scene = |sound: u32| model.scenes.get(sound as usize).copied();
    let placed = placed.into_iter().filter_map(|(slot, sound)| Some((slot, scene(sound)?)));
    out.extend(placed.map(|(slot, scene)| Preset { slot: Some(slot), scene, chosen: true }));
    out.sort_by_key(|p| p.slot);
    let wakes = book.board.timing.wakes.map(|w| w.value);
    let empty = |slot: &Slot, out: &[Preset]| out.binary_search_by_key(&Some(*slot), |p| p.slot).is_err();
    let mut idle = model.idle.iter().copied().collect::<std::collections::VecDeque<SceneId>>();
    let mut more: Vec<Preset> = Vec::new();
    if let Some(slot) = wakes.filter(|slot| empty(slot, &out)) {
        let first = model.runs.iter().find_map(|run| run.parts.first()).and_then(|p| scene(p.0));
        more.extend(idle.pop_front().or(first).map(|scene| Preset { slot: Some(slot), scene, chosen: true }));
    }
    if !idle.is_empty() {
        let mut sung = FixedBitSet::new();
        out.iter().filter(|p| p.chosen).filter_map(|p| p.slot).for_each(|s| sung.grow_and_insert(s.bank as usize));
        let free: Vec<Slot> = all.filter(|s| Some(*s) != wakes && empty(s, &out)).collect();
        let (beside, apart): (Vec<Slot>, Vec<Slot>) = free.into_iter().partition(|s| sung.contains(s.bank as usize));
        let rest = apart.into_iter().chain(beside).zip(idle);
        more.extend(rest.map(|(slot, scene)| Preset { slot: Some(slot), scene, chosen: true }));
    }
    out.extend(more);
    // Second rows go where the first ones went.
    out.retain(|p| p.slot.is_none_or(|slot| !slot.again));
    out.extend(second_rows(book, &out));
    out.sort_by_key(|p| p.slot);
    out.extend(presets.iter().filter(|p| p.slot.is_none()).copied());
    out
}

//! A book as what there is to place: spots, sounds, and the runs that go from one to the next.
//!
//! What a change costs tells banks apart and not switches. So the free slots of a bank are one spot; but the slot that the
//! unit wakes in is one of its own: whoever starts there presses nothing.

use fixedbitset::FixedBitSet;
use indexmap::IndexMap;
use rustc_hash::FxHashMap;

use crate::book::{Book, Presses, Slot};
use crate::fill::Preset;
use crate::ids::SceneId;
use crate::study::ways;

/// Slots of one bank among which nothing tells.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    pub bank: u32,
    /// Its free switches.
    pub free: Vec<u32>,
    /// Sounds that are pinned here.
    pub pinned: Vec<u32>,
}

/// A run: its sounds in order, each with whether the change to it falls inside a song; and how many runs are the same.
#[derive(Clone, Debug)]
pub(super) struct Played {
    pub parts: Vec<(u32, bool)>,
    pub times: u64,
}

/// Everything that a placement is judged by. Sounds are numbered by first play.
#[derive(Clone, Debug)]
pub(super) struct Model {
    pub presses: Presses,
    pub spots: Vec<Spot>,
    /// The spot in which the unit wakes.
    pub wakes: Option<usize>,
    /// The scene of each sound.
    pub scenes: Vec<SceneId>,
    /// Sounds that wait for a slot.
    pub must: Vec<bool>,
    /// Scenes that nobody plays and that wait for a slot, by name.
    pub idle: Vec<SceneId>,
    pub runs: Vec<Played>,
    /// For each sound the runs that play it.
    pub plays: Vec<Vec<usize>>,
}

/// What a placement costs: presses in all, presses inside songs, and presets stored. Less is better, in this order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Cost {
    pub all: u64,
    pub inside: u64,
    pub stored: usize,
}

/// Presses of a run: in all above, inside songs below, so that one number holds both.
pub(super) type Way = u128;
const ALL: u32 = 64;

/// Which sounds lie where.
#[derive(Clone, Debug, Default)]
pub(super) struct Placement {
    /// For each sound its spots, pinned and chosen, in order.
    pub at: Vec<Vec<usize>>,
    /// For each spot the sounds chosen for it.
    pub chosen: Vec<Vec<u32>>,
    /// How many are chosen in all.
    pub stored: usize,
}

impl Model {
    /// Parts whose scene has no slot are left out, as the walk leaves them out.
    pub(super) fn of(book: &Book, presets: &[Preset], presses: Presses) -> Model {
        let range = book.board.switcher.as_ref().and_then(|s| s.slots);
        // A second row lies where the first does.
        let first = |p: &Preset| p.slot.is_none_or(|slot| !slot.again);
        let pinned: FxHashMap<Slot, SceneId> =
            presets.iter().filter(|p| !p.chosen).filter_map(|p| Some((p.slot?, p.scene))).collect();
        let mut waiting: Vec<SceneId> = presets.iter().filter(|p| p.chosen && first(p)).map(|p| p.scene).collect();
        waiting.sort_by_key(|id| book.show.scene(*id).map(|s| &s.name));
        let mut placed = FixedBitSet::with_capacity(book.show.scenes.len());
        presets.iter().filter(|p| p.slot.is_some()).for_each(|p| placed.insert(p.scene.index()));

        let mut numbers: IndexMap<SceneId, u32, rustc_hash::FxBuildHasher> = IndexMap::default();
        let mut runs: IndexMap<Vec<(u32, bool)>, u64, rustc_hash::FxBuildHasher> = IndexMap::default();
        for run in ways::runs(book) {
            let songs = run.songs.iter().filter_map(|(s, _)| book.show.songs.get(*s));
            let parts = songs.flat_map(|song| song.parts.iter().enumerate());
            let parts = parts.map(|(at, part)| (part.scene.map(|scene| book.show.anchor(scene)), at > 0));
            let known =
                parts.filter_map(|(scene, inside)| Some((scene.filter(|s| placed.contains(s.index()))?, inside)));
            let mut number = |scene: SceneId| {
                let next = numbers.len() as u32;
                *numbers.entry(scene).or_insert(next)
            };
            let parts: Vec<(u32, bool)> = known.map(|(scene, inside)| (number(scene), inside)).collect();
            *runs.entry(parts).or_insert(0) += 1;
        }
        let must: Vec<bool> = numbers
            .keys()
            .map(|scene| waiting.binary_search_by_key(&name(book, *scene), |w| name(book, *w)).is_ok())
            .collect();
        let idle = waiting.into_iter().filter(|scene| !numbers.contains_key(scene)).collect();

        let wakes = book.board.timing.wakes.map(|w| w.value);
        let mut model = Model {
            presses,
            spots: Vec::new(),
            wakes: None,
            scenes: numbers.keys().copied().collect(),
            must,
            idle,
            runs: runs.into_iter().map(|(parts, times)| Played { parts, times }).collect(),
            plays: vec![Vec::new(); numbers.len()],
        };
        let mut spot = Spot { bank: 0, free: Vec::new(), pinned: Vec::new() };
        for slot in range.into_iter().flat_map(|r| r.all()) {
            if slot.bank != spot.bank {
                model.push(&mut spot, slot.bank);
            }
            let alone = wakes == Some(slot);
            let mut own = Spot { bank: slot.bank, free: Vec::new(), pinned: Vec::new() };
            let into = if alone { &mut own } else { &mut spot };
            match pinned.get(&slot) {
                Some(scene) => into.pinned.extend(numbers.get(scene)),
                None => into.free.push(slot.switch),
            }
            if alone {
                model.wakes = Some(model.spots.len());
                model.spots.push(own);
            }
        }
        model.push(&mut spot, 0);
        for (at, run) in model.runs.iter().enumerate() {
            for (sound, _) in &run.parts {
                if let Some(list) = model.plays.get_mut(*sound as usize).filter(|list| list.last() != Some(&at)) {
                    list.push(at);
                }
            }
        }
        model
    }

    /// A spot that holds something or has room; the next one begins.
    fn push(&mut self, spot: &mut Spot, next: u32) {
        let done = std::mem::replace(spot, Spot { bank: next, free: Vec::new(), pinned: Vec::new() });
        if !done.free.is_empty() || !done.pinned.is_empty() {
            self.spots.push(done);
        }
    }

    /// The spot of a free slot.
    pub(super) fn spot_of(&self, slot: Slot) -> Option<usize> {
        let from = self.spots.partition_point(|s| s.bank < slot.bank);
        let near = self.spots.iter().enumerate().skip(from).take_while(|(_, s)| s.bank == slot.bank);
        near.into_iter().find(|(_, s)| s.free.contains(&slot.switch)).map(|(at, _)| at)
    }

    /// How many slots are free for played sounds: the idle scenes need one each.
    pub(super) fn room(&self) -> usize {
        self.spots.iter().map(|s| s.free.len()).sum::<usize>().saturating_sub(self.idle.len())
    }

    /// Nothing chosen yet.
    pub(super) fn empty(&self) -> Placement {
        let mut at = vec![Vec::new(); self.scenes.len()];
        for (spot, held) in self.spots.iter().enumerate() {
            for sound in &held.pinned {
                if let Some(list) = at.get_mut(*sound as usize).filter(|list| list.last() != Some(&spot)) {
                    list.push(spot);
                }
            }
        }
        Placement { at, chosen: vec![Vec::new(); self.spots.len()], stored: 0 }
    }

    /// What the presets say today.
    pub(super) fn today(&self, presets: &[Preset]) -> Placement {
        let numbers: FxHashMap<SceneId, u32> = self.scenes.iter().copied().zip(0..).collect();
        let mut placement = self.empty();
        for preset in presets.iter().filter(|p| p.chosen) {
            let spot = preset.slot.and_then(|slot| self.spot_of(slot));
            if let (Some(spot), Some(sound)) = (spot, numbers.get(&preset.scene)) {
                placement.put(*sound, spot);
            }
        }
        placement
    }

    /// A spot takes one more.
    pub(super) fn open(&self, placement: &Placement, spot: usize) -> bool {
        let room = self.spots.get(spot).map_or(0, |s| s.free.len());
        placement.chosen.get(spot).is_some_and(|c| c.len() < room)
    }

    /// Presses from one spot to another, to another sound or the same.
    pub(super) fn between(&self, from: usize, to: usize, same: bool) -> u64 {
        if from == to && same {
            return 0;
        }
        let bank = |spot: usize| self.spots.get(spot).map_or(0, |s| s.bank);
        u64::from(self.presses.same_bank) + u64::from(self.presses.bank_step) * u64::from(bank(from).abs_diff(bank(to)))
    }

    /// What a run costs on its cheapest way. Counts its steps.
    pub(super) fn along(&self, run: &Played, placement: &Placement, steps: &mut u64) -> Way {
        // In the spot that the unit wakes in lies one sound alone, whichever.
        self.stretch(&run.parts, placement, self.wakes.map(|spot| (spot, None)), steps)
    }

    /// The same for a stretch of a run that is come to from a spot, and the sound there.
    pub(super) fn stretch(
        &self,
        parts: &[(u32, bool)],
        placement: &Placement,
        from: Option<(usize, Option<u32>)>,
        steps: &mut u64,
    ) -> Way {
        let mut before: Vec<(usize, Way)> = from.map(|(spot, _)| (spot, 0)).into_iter().collect();
        let mut now: Vec<(usize, Way)> = Vec::with_capacity(4);
        let mut was = from.and_then(|(_, sound)| sound);
        for (sound, inside) in parts {
            let spots = placement.spots(*sound);
            if spots.is_empty() {
                continue;
            }
            let same = was.is_none_or(|w| w == *sound);
            let weigh = |presses: u64| (Way::from(presses) << ALL) | if *inside { Way::from(presses) } else { 0 };
            now.clear();
            for to in spots {
                let ways = before.iter().map(|(from, cost)| cost + weigh(self.between(*from, *to, same)));
                now.push((*to, ways.min().unwrap_or(0)));
            }
            *steps += (1 + now.len() * before.len()) as u64;
            std::mem::swap(&mut before, &mut now);
            was = Some(*sound);
        }
        before.iter().map(|(_, cost)| *cost).min().unwrap_or(0)
    }

    /// What a placement costs.
    pub(super) fn cost(&self, placement: &Placement, steps: &mut u64) -> Cost {
        let ways = self.runs.iter().map(|run| self.along(run, placement, steps) * Way::from(run.times));
        cost(ways.sum(), placement.stored)
    }
}

/// One number as what it holds.
pub(super) fn cost(way: Way, stored: usize) -> Cost {
    Cost { all: (way >> ALL) as u64, inside: way as u64, stored }
}

fn name(book: &Book, scene: SceneId) -> &str {
    book.show.scene(scene).map_or("", |s| &s.name)
}

impl Placement {
    /// Where a sound lies.
    pub(super) fn spots(&self, sound: u32) -> &[usize] {
        self.at.get(sound as usize).map_or(&[], Vec::as_slice)
    }

    /// True for a sound that lies in a spot.
    pub(super) fn holds(&self, spot: usize, sound: u32) -> bool {
        self.spots(sound).contains(&spot)
    }

    /// True for a sound that was put there.
    pub(super) fn chose(&self, spot: usize, sound: u32) -> bool {
        self.chosen.get(spot).is_some_and(|c| c.contains(&sound))
    }

    pub(super) fn put(&mut self, sound: u32, spot: usize) {
        let (Some(at), Some(chosen)) = (self.at.get_mut(sound as usize), self.chosen.get_mut(spot)) else { return };
        if let Err(place) = at.binary_search(&spot) {
            at.insert(place, spot);
            chosen.push(sound);
            self.stored += 1;
        }
    }

    pub(super) fn take(&mut self, sound: u32, spot: usize) {
        let (Some(at), Some(chosen)) = (self.at.get_mut(sound as usize), self.chosen.get_mut(spot)) else { return };
        if let Some(place) = chosen.iter().position(|s| *s == sound) {
            chosen.remove(place);
            at.retain(|s| *s != spot);
            self.stored -= 1;
        }
    }
}

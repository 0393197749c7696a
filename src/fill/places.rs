//! Where a set finds its presets: a scene may stand in several slots, and the feet take the way that costs least over the
//! whole set; of ways that cost the same, the one that costs least inside the songs, where there is no time.
//!
//! A part that is called from outside costs nothing to come to. What calls it knows one song and no set: so its slot is
//! chosen over the song alone, as a foot would go through it that must step in, and is the same whatever is played before.

use std::ops::Range;

use super::Preset;
use crate::book::{Answers, Book, Presses, Slot, SlotRange, Song};
use crate::ids::SceneId;

/// A slot on the way: what it costs to come there, in all and inside songs, and the slot before by its place.
type Reached = (Slot, (u64, u64), u32);

/// A part on the way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Stop {
    scene: Option<SceneId>,
    /// The change to it falls inside a song.
    inside: bool,
    /// It is called from outside: by what reaches this slot, or any that can be reached.
    called: Option<Option<Slot>>,
}

/// Presses over some songs: in all, and inside songs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Spent {
    pub all: u64,
    pub inside: u64,
}

/// The slots of every scene.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// By scene, then by slot.
    slots: Vec<(SceneId, Slot)>,
    presses: Option<Presses>,
    /// What calls them from outside.
    answers: Option<(Answers, SlotRange)>,
}

impl Places {
    /// Gathers them.
    pub fn of(book: &Book, presets: &[Preset]) -> Places {
        let mut slots: Vec<(SceneId, Slot)> = presets.iter().filter_map(|p| Some((p.scene, p.slot?))).collect();
        for (base, combinations) in &book.show.combinations {
            let of_base: Vec<Slot> = slots.iter().filter(|(scene, _)| scene == base).map(|(_, slot)| *slot).collect();
            for id in combinations {
                let pressed = book.show.pressed(*id);
                slots.extend(of_base.iter().map(|slot| (*id, Slot { pressed, ..*slot })));
            }
        }
        slots.sort_unstable();
        let switcher = book.board.switcher.as_ref();
        let answers = switcher.and_then(|s| s.answers.zip(s.slots));
        Places { slots, presses: book.board.timing.presses, answers }
    }

    /// A scene's first slot.
    pub fn first(&self, scene: SceneId) -> Option<Slot> {
        self.all(scene).first().map(|(_, slot)| *slot)
    }

    /// A scene's slots, in order.
    pub fn all(&self, scene: SceneId) -> &[(SceneId, Slot)] {
        let from = self.slots.partition_point(|(s, _)| *s < scene);
        let rest = self.slots.get(from..).unwrap_or(&[]);
        let many = rest.iter().take_while(|(s, _)| *s == scene).count();
        rest.get(..many).unwrap_or(&[])
    }

    /// Where a scene is come to with the fewest presses, of equal ones its lowest slot, and how many those are: unknown where
    /// the switcher states no cost, or nobody knows where the player stands; then it is the first slot.
    pub fn nearest(&self, from: Option<Slot>, scene: SceneId) -> Option<(Slot, Option<u32>)> {
        let cost = self.presses.zip(from);
        let presses = |slot: Slot| cost.map(|(presses, from)| presses.between(from, slot));
        let slot = self.all(scene).iter().map(|(_, slot)| *slot).min_by_key(|slot| (presses(*slot), *slot))?;
        Some((slot, presses(slot)))
    }

    /// Presses where the switcher states their cost, else banks passed.
    fn cost(&self, from: Option<Slot>, to: Slot) -> u32 {
        match (from, self.presses) {
            (Some(from), Some(presses)) => presses.between(from, to),
            (Some(from), None) => from.within(to).unwrap_or_else(|| from.bank.abs_diff(to.bank)),
            (None, _) => 0,
        }
    }

    /// The slot of each scene of some songs played one after the other, so that the whole costs least; of equal ways
    /// the one that costs least inside songs, then the one with the lower slots at its end. `from` is where the player
    /// stands. None for a scene in no slot.
    pub fn path<'s>(&self, from: Option<Slot>, songs: impl IntoIterator<Item = &'s Song>) -> Vec<Option<Slot>> {
        self.along(from, &self.played(songs))
    }

    /// The slot in which each part of a song is called from outside; None for one that a foot comes to: as it is said, or as
    /// no program reaches a slot of it. Empty where none is called.
    pub fn called(&self, song: &Song) -> Vec<Option<Slot>> {
        if self.answers.is_none() || song.parts.iter().all(|part| part.besides().called.is_none()) {
            return Vec::new();
        }
        let reached =
            |scene: Option<SceneId>| scene.is_some_and(|s| self.all(s).iter().any(|(_, slot)| self.reached(*slot)));
        let stops = song.parts.iter().enumerate().map(|(at, part)| Stop {
            scene: part.scene,
            inside: at > 0,
            called: (part.besides().called.is_some() && reached(part.scene)).then_some(None),
        });
        let stops: Vec<Stop> = stops.collect();
        let slots = self.along(None, &stops).into_iter().zip(&stops);
        slots.map(|(slot, stop)| slot.filter(|_| stop.called.is_some())).collect()
    }

    /// Some program reaches a slot.
    fn reached(&self, slot: Slot) -> bool {
        self.answers.is_some_and(|(answers, range)| answers.call(range, slot).is_some())
    }

    /// The parts of songs played one after the other.
    fn played<'s>(&self, songs: impl IntoIterator<Item = &'s Song>) -> Vec<Stop> {
        let mut out = Vec::new();
        for song in songs {
            let called = self.called(song);
            out.extend(song.parts.iter().enumerate().map(|(at, part)| Stop {
                scene: part.scene,
                inside: at > 0,
                called: called.get(at).copied().flatten().map(Some),
            }));
        }
        out
    }

    /// What that path costs.
    pub fn spent<'s>(&self, from: Option<Slot>, songs: impl IntoIterator<Item = &'s Song>) -> Spent {
        let stops = self.played(songs);
        let (mut here, mut spent) = (from, Spent::default());
        for (to, stop) in self.along(from, &stops).into_iter().zip(&stops) {
            let Some(to) = to else { continue };
            let cost = if stop.called.is_some() { 0 } else { u64::from(self.cost(here, to)) };
            spent.all += cost;
            spent.inside += if stop.inside { cost } else { 0 };
            here = Some(to);
        }
        spent
    }

    /// The slots of two scenes, one played after the other, so that the change costs least.
    pub fn pair(&self, from: SceneId, to: SceneId) -> [Option<Slot>; 2] {
        let stops =
            [(from, false), (to, true)].map(|(scene, inside)| Stop { scene: Some(scene), inside, called: None });
        let slots = self.along(None, &stops);
        [slots.first().copied().flatten(), slots.get(1).copied().flatten()]
    }

    /// The same for parts.
    fn along(&self, from: Option<Slot>, scenes: &[Stop]) -> Vec<Option<Slot>> {
        // For each scene: its slots, each with the least cost on the way there and where that way came from; and where in
        // that list its slots begin.
        let mut reached: Vec<Reached> = Vec::with_capacity(scenes.len());
        let mut begin: Vec<u32> = Vec::with_capacity(scenes.len());
        // Those of the last scene that has a slot.
        let mut before: Range<usize> = 0..0;
        for Stop { scene, inside, called } in scenes {
            let slots = scene.map_or(&[][..], |s| self.all(s)).iter().map(|(_, slot)| *slot);
            let slots =
                slots.filter(|slot| called.is_none_or(|at| at.map_or_else(|| self.reached(*slot), |at| at == *slot)));
            // What it costs in all, and what of that inside songs.
            let add = |(all, within): (u64, u64), from: Option<Slot>, to: Slot| {
                let more = if matches!(called, Some(Some(_))) { 0 } else { u64::from(self.cost(from, to)) };
                (all + more, within + if *inside { more } else { 0 })
            };
            let first = reached.len();
            begin.push(first as u32);
            for to in slots {
                let known = reached.get(before.clone()).into_iter().flatten().zip(before.start as u32..);
                let ways = known.map(|((s, cost, _), at)| (add(*cost, Some(*s), to), at));
                let (cost, at) = ways.min().unwrap_or_else(|| (add((0, 0), from, to), 0));
                reached.push((to, cost, at));
            }
            if reached.len() > first {
                before = first..reached.len();
            }
        }
        let last = reached.get(before.clone()).into_iter().flatten().zip(before.start..);
        let mut at = last.min_by_key(|((slot, cost, _), _)| (*cost, *slot)).map_or(0, |(_, at)| at);
        let mut out = vec![None; scenes.len()];
        let mut end = reached.len();
        for (begin, out) in begin.iter().zip(&mut out).rev() {
            if end > *begin as usize
                && let Some((slot, _, from)) = reached.get(at)
            {
                *out = Some(*slot);
                at = *from as usize;
            }
            end = *begin as usize;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRESSES: Presses = Presses { same_bank: 1, bank_step: 1 };

    fn slot(bank: u32, switch: u32) -> Slot {
        Slot::at(bank, switch)
    }

    fn scene(number: usize) -> SceneId {
        SceneId::nth(number)
    }

    /// Presses in all, and those inside songs.
    fn cost(path: &[Option<Slot>], from: Option<Slot>, inside: &[bool]) -> (u64, u64) {
        let (mut at, mut all, mut within) = (from, 0, 0);
        for (to, inside) in path.iter().zip(inside) {
            let Some(to) = to else { continue };
            let step = at.map_or(0, |from| u64::from(PRESSES.between(from, *to)));
            (at, all, within) = (Some(*to), all + step, within + if *inside { step } else { 0 });
        }
        (all, within)
    }

    /// Every choice of slots, tried.
    fn least(places: &Places, from: Option<Slot>, played: &[(Option<SceneId>, bool)]) -> (u64, u64) {
        let mut ways: Vec<Vec<Option<Slot>>> = vec![Vec::new()];
        let inside: Vec<bool> = played.iter().map(|(_, inside)| *inside).collect();
        for (scene, _) in played {
            let slots: Vec<Option<Slot>> =
                scene.map_or(Vec::new(), |s| places.all(s).iter().map(|p| Some(p.1)).collect());
            let slots = if slots.is_empty() { vec![None] } else { slots };
            ways = ways.iter().flat_map(|w| slots.iter().map(|s| [w.as_slice(), &[*s]].concat())).collect();
        }
        ways.iter().map(|w| cost(w, from, &inside)).min().unwrap()
    }

    #[test]
    fn a_song_stays_in_its_bank() {
        // `glass` (1) stands in banks 5 and 6; the song's other scenes (0, 2) in bank 6 alone.
        let slots = vec![(0, slot(6, 0)), (1, slot(5, 1)), (1, slot(6, 2)), (2, slot(6, 1))];
        let slots = slots.into_iter().map(|(number, slot)| (scene(number), slot)).collect();
        let places = Places { slots, presses: Some(PRESSES), answers: None };
        let song = [Some(0), Some(2), Some(1), None, Some(0)].map(|number: Option<usize>| Stop {
            scene: number.map(scene),
            inside: true,
            called: None,
        });
        let path = places.along(Some(slot(5, 0)), &song);
        assert_eq!(path, [Some(slot(6, 0)), Some(slot(6, 1)), Some(slot(6, 2)), None, Some(slot(6, 0))]);
        assert_eq!(places.first(scene(1)), Some(slot(5, 1)));
    }

    #[test]
    fn no_choice_of_slots_costs_less() {
        let mut seed = 7u32;
        let mut below = |n: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % n
        };
        for _ in 0..500 {
            let mut slots: Vec<(SceneId, Slot)> =
                (0..9).map(|_| (scene(below(4) as usize), slot(below(6), below(3)))).collect();
            slots.sort_unstable();
            slots.dedup();
            let places = Places { slots, presses: Some(PRESSES), answers: None };
            let scenes: Vec<Option<SceneId>> =
                (0..5).map(|_| Some(below(5)).filter(|s| *s < 4).map(|s| scene(s as usize))).collect();
            let inside: Vec<bool> = (0..5).map(|_| below(2) == 0).collect();
            let played: Vec<(Option<SceneId>, bool)> = scenes.iter().copied().zip(inside.iter().copied()).collect();
            let from = Some(slot(below(6), 0)).filter(|_| below(3) > 0);
            let stops = played.iter().map(|(scene, inside)| Stop { scene: *scene, inside: *inside, called: None });
            let path = places.along(from, &stops.collect::<Vec<_>>());
            assert_eq!(cost(&path, from, &inside), least(&places, from, &played), "{places:?} {played:?} {from:?}");
        }
    }
}

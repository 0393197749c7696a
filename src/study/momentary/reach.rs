//! Every way into every preset: which states of the turned controls a player may bring along.
//!
//! Each arrival is taken to come out right, so that one wrong preset is told once and not at everything after it.

use std::borrow::Cow;

use rustc_hash::{FxHashMap, FxHashSet};

use super::buttons::{Buttons, Wish};
use super::by_way::{self, Place, Turns};
use super::step::{self, Need, Stand, UNKNOWN};
use crate::book::PartAt;
use crate::book::Ways;
use crate::ids::{Numbered, SceneId, SongId};
use crate::study::budget;
use crate::study::ways::Run;

/// No arrival: the power has just come on.
pub const POWER: u32 = u32::MAX;

/// What may be played after what, in terms of scenes.
#[derive(Clone, Debug)]
pub struct Plan {
    /// For each scene: what it wishes of each control.
    pub wishes: Vec<Vec<Wish>>,
    /// For each song: the scenes of its parts; None where that is not known.
    pub songs: Numbered<SongId, Vec<Option<SceneId>>>,
    /// What is played in one go.
    pub runs: Vec<Run>,
    /// The scenes that have a preset, for `ways any`.
    pub stored: Vec<SceneId>,
    /// The scene after power-up.
    pub wakes: Option<SceneId>,
    /// How the ways were restricted or widened.
    pub ways: Option<Ways>,
    /// The same switch again may send its pulses again.
    pub repeats: bool,
    /// Scenes in the second row of a slot, each with the scene of the first.
    pub rows: FxHashMap<SceneId, SceneId>,
    /// What is pulsed where nobody hears it, by the way in.
    pub turns: Turns,
}

impl Plan {
    /// Pressing a scene's own switch again changes how the controls stand.
    fn again(&self, scene: SceneId) -> bool {
        let said = || self.wishes.get(scene.index()).is_some_and(|w| w.contains(&Wish::Pulse));
        // Where the slot has a second row, the switch calls that.
        let rows = self.rows.contains_key(&scene) || self.rows.values().any(|first| *first == scene);
        !rows && self.repeats && (self.turns.scenes.contains(&scene) || said())
    }

    /// What a scene wishes of each control at a place, the controls standing so.
    fn wishes_at(&self, buttons: &Buttons, scene: SceneId, place: Place, stood: &[Stand]) -> Option<Cow<'_, [Wish]>> {
        let mut wishes = Cow::from(self.wishes.get(scene.index())?);
        if !self.turns.scenes.contains(&scene) {
            return Some(wishes);
        }
        for (number, button) in buttons.list.iter().enumerate() {
            let stood: Vec<Stand> = button.controls.iter().filter_map(|c| stood.get(*c)).copied().collect();
            if self.turns.turned(place, number, &stood) {
                let turned = wishes.to_mut().iter_mut().enumerate().filter(|(c, _)| button.controls.contains(c));
                turned.for_each(|(_, wish)| *wish = Wish::Pulse);
            }
        }
        Some(wishes)
    }
}

/// One way of reaching a scene: with it sounding, and the controls standing so before.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Arrival {
    /// The scene.
    pub scene: SceneId,
    /// The song and the part in it; None after power-up, and under `ways any`.
    pub part: Option<PartAt>,
    /// The arrival before this one, or [`POWER`].
    pub before: u32,
    /// How the controls stood before, by number.
    pub came: u32,
    /// How they stand now, by number.
    pub hidden: u32,
}

/// All arrivals.
#[derive(Clone, Debug, Default)]
pub struct Reach {
    /// Each distinct way.
    pub arrivals: Vec<Arrival>,
    /// What each arrival needs of each button, by a number into this list.
    pub needs: Vec<Vec<Need>>,
    /// For each arrival, its place in `needs`.
    pub need_of: Vec<u32>,
    /// There were too many states to follow all.
    pub cut_short: bool,
    hidden: Vec<Vec<Stand>>,
    hidden_of: FxHashMap<Vec<Stand>, u32>,
    needs_of: FxHashMap<Vec<Need>, u32>,
    /// Arrivals seen: part or scene, and how the controls stood before; the first of each.
    seen: FxHashMap<(Option<PartAt>, SceneId, u32), u32>,
}

impl Reach {
    /// Follows every way.
    pub fn of(buttons: &Buttons, plan: &Plan) -> Reach {
        let mut reach = Reach::default();
        let start = buttons.controls.iter().map(|c| c.start.unwrap_or(UNKNOWN)).collect();
        let start = reach.number(start);
        let woken = plan.wakes.and_then(|scene| reach.arrive(buttons, plan, (scene, None), POWER, start));
        let mut first = vec![(POWER, start)];
        if let (Some(woken), Some(scene)) = (woken, plan.wakes) {
            first.clear();
            reach.same_switch(buttons, plan, (scene, None), woken, &mut first, &mut FxHashSet::default());
        }
        if plan.ways == Some(Ways::Any) {
            let stored: Vec<(SceneId, Option<PartAt>)> = plan.stored.iter().map(|s| (*s, None)).collect();
            reach.hub(buttons, plan, &stored, &first, &stored);
            return reach;
        }
        for run in &plan.runs {
            let mut from = first.clone();
            for (song, _) in &run.songs {
                from = reach.song(buttons, plan, *song, from);
            }
        }
        reach
    }

    /// How the controls stood before an arrival.
    pub fn came(&self, arrival: &Arrival) -> &[Stand] {
        self.hidden.get(arrival.came as usize).map_or(&[], Vec::as_slice)
    }

    /// What an arrival needs of each button.
    pub fn needs_at(&self, arrival: usize) -> &[Need] {
        let place = self.need_of.get(arrival).copied().unwrap_or(0);
        self.needs.get(place as usize).map_or(&[], Vec::as_slice)
    }

    /// The arrivals of a song's end, from those before it.
    fn song(&mut self, buttons: &Buttons, plan: &Plan, song: SongId, from: Vec<(u32, u32)>) -> Vec<(u32, u32)> {
        let parts = plan.songs.get(song).map_or(&[][..], Vec::as_slice);
        let parts = parts.iter().enumerate().filter_map(|(p, scene)| Some(((*scene)?, Some((song, p as u32)))));
        let parts: Vec<_> = parts.collect();
        let (Some(first), Some(last)) = (parts.first().copied(), parts.last().copied()) else { return from };
        if plan.ways == Some(Ways::Listed) {
            return parts.iter().fold(from, |from, part| self.each(buttons, plan, *part, &from));
        }
        let present = self.hub(buttons, plan, &[first], &from, &parts);
        // The last part's sound, however it was come by.
        present.into_iter().filter(|(a, _)| self.arrivals.get(*a as usize).is_some_and(|a| a.scene == last.0)).collect()
    }

    /// One part from several states; who has its sound already presses nothing.
    fn each(
        &mut self,
        buttons: &Buttons,
        plan: &Plan,
        part: (SceneId, Option<PartAt>),
        from: &[(u32, u32)],
    ) -> Vec<(u32, u32)> {
        let (mut out, mut passed) = (Vec::new(), FxHashSet::default());
        for (before, came) in from {
            let there = self.arrivals.get(*before as usize).is_some_and(|a| a.scene == part.0);
            let arrived = if there { Some(*before) } else { self.arrive(buttons, plan, part, *before, *came) };
            if let Some(arrived) = arrived {
                self.same_switch(buttons, plan, part, arrived, &mut out, &mut passed);
            }
        }
        let mut known: FxHashSet<(Option<SceneId>, u32)> = FxHashSet::default();
        out.retain(|(a, hidden)| {
            let scene = self.arrivals.get(*a as usize).map(|a| a.scene);
            known.insert((scene, *hidden))
        });
        out
    }

    /// An arrival, and where the same switch pressed again leads from there, until the controls stand as they did.
    fn same_switch(
        &mut self,
        buttons: &Buttons,
        plan: &Plan,
        part: (SceneId, Option<PartAt>),
        arrived: u32,
        out: &mut Vec<(u32, u32)>,
        passed: &mut FxHashSet<(u32, u32)>,
    ) {
        let mut at = self.arrivals.get(arrived as usize).map(|a| (arrived, a.hidden));
        while let Some((arrived, hidden)) = at.filter(|a| passed.insert(*a)) {
            out.push((arrived, hidden));
            let next = plan.again(part.0).then(|| self.arrive(buttons, plan, part, arrived, hidden)).flatten();
            at = next.and_then(|a| Some((a, self.arrivals.get(a as usize)?.hidden)));
        }
    }

    /// Any of `all` may follow any; `first` are those that may follow `from`. Gives every sounding state.
    fn hub(
        &mut self,
        buttons: &Buttons,
        plan: &Plan,
        first: &[(SceneId, Option<PartAt>)],
        from: &[(u32, u32)],
        all: &[(SceneId, Option<PartAt>)],
    ) -> Vec<(u32, u32)> {
        let mut present: Vec<(u32, u32)> = Vec::new();
        let mut known = FxHashMap::default();
        let mut add = |reach: &Reach, present: &mut Vec<(u32, u32)>, arrived: u32| {
            let Some(a) = reach.arrivals.get(arrived as usize) else { return };
            if known.insert((a.scene, a.hidden), ()).is_none() {
                present.push((arrived, a.hidden));
            }
        };
        for part in first {
            for (arrived, _) in self.each(buttons, plan, *part, from) {
                add(self, &mut present, arrived);
            }
        }
        // For each state of the controls: the first scene that had it, and whether its own switch was spared.
        let mut held: FxHashMap<u32, (SceneId, bool)> = FxHashMap::default();
        let mut at = 0;
        while let Some((before, hidden)) = present.get(at).copied() {
            at += 1;
            let Some(scene) = self.arrivals.get(before as usize).map(|a| a.scene) else { continue };
            let (wanted, spared) = match held.get(&hidden) {
                None => (None, true),
                // The scene that was spared is now met from another one.
                Some((first, true)) if *first != scene => (Some(*first), false),
                Some(_) => continue,
            };
            held.entry(hidden).and_modify(|h| h.1 = spared).or_insert((scene, spared));
            for part in all.iter().filter(|p| wanted.is_none_or(|w| w == p.0)) {
                if part.0 == scene && !plan.again(scene) {
                    continue;
                }
                if let Some(arrived) = self.arrive(buttons, plan, *part, before, hidden) {
                    add(self, &mut present, arrived);
                }
            }
        }
        present
    }

    /// Notes a way; gives the arrival that first came this way.
    fn arrive(
        &mut self,
        buttons: &Buttons,
        plan: &Plan,
        (scene, part): (SceneId, Option<PartAt>),
        before: u32,
        came: u32,
    ) -> Option<u32> {
        let (mut before, mut came) = (before, came);
        // The second row of a slot is called from its first.
        if let Some(first) = plan.rows.get(&scene) {
            let there = self.arrivals.get(before as usize).is_some_and(|a| [scene, *first].contains(&a.scene));
            if !there {
                before = self.arrive(buttons, plan, (*first, part), before, came)?;
                came = self.arrivals.get(before as usize)?.hidden;
            }
        }
        if let Some(known) = self.seen.get(&(part, scene, came)) {
            return Some(*known);
        }
        let stood = self.hidden.get(came as usize)?;
        let wishes = plan.wishes_at(buttons, scene, by_way::place(scene, part), stood)?;
        let needs = step::needs(buttons, stood, &wishes);
        let after = step::after(buttons, stood, &wishes, &needs);
        let stands = self.hidden.len() >= budget::STANDS && !self.hidden_of.contains_key(&after);
        if stands || self.arrivals.len() >= budget::ARRIVALS {
            self.cut_short = true;
            return None;
        }
        let hidden = self.number(after);
        let need = match self.needs_of.get(&needs) {
            Some(known) => *known,
            None => {
                let new = self.needs.len() as u32;
                self.needs.push(needs.clone());
                self.needs_of.insert(needs, new);
                new
            }
        };
        let new = self.arrivals.len() as u32;
        self.arrivals.push(Arrival { scene, part, before, came, hidden });
        self.need_of.push(need);
        self.seen.insert((part, scene, came), new);
        Some(new)
    }

    fn number(&mut self, hidden: Vec<Stand>) -> u32 {
        if let Some(known) = self.hidden_of.get(&hidden) {
            return *known;
        }
        let new = self.hidden.len() as u32;
        self.hidden.push(hidden.clone());
        self.hidden_of.insert(hidden, new);
        new
    }
}

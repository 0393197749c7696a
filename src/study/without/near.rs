//! The scene nearest to the one that is lost, among all that stand in a slot, are heard, and are not touched; and whether
//! the ways out that the book says hold wherever the scene stands.

use rustc_hash::FxHashMap;

use super::heard::{Blow, Mark};
use super::{Asked, Hit, Told};
use crate::book::Slot;
use crate::ids::{DeviceId, SceneId};

/// A preset to press instead.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Way {
    pub scene: SceneId,
    pub slot: Slot,
    /// From the preset that is lost; None where the switcher does not state what a press costs, or the lost one is in no slot.
    pub presses: Option<u32>,
    /// How far it lies from what was meant, in hundredths.
    pub off: u64,
}

/// A way out that the book says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Own {
    /// The device whose failure it is for, an index of `Board::devices`.
    pub device: DeviceId,
    /// The scene to press instead.
    pub scene: SceneId,
    /// It is touched as well.
    pub touched: bool,
    /// The way there; None where the scene stands in no slot.
    pub way: Option<Way>,
}

/// The search over all parts.
pub(super) struct Search {
    near: bool,
    reach: u32,
    left: u64,
    pub(super) stopped: bool,
}

impl Search {
    pub(super) fn new(asked: &Asked, budget: u64) -> Search {
        Search { near: asked.near, reach: asked.reach, left: budget, stopped: false }
    }

    /// Finds the ways out of each hit.
    pub(super) fn look(
        &mut self,
        told: &Told<'_>,
        blow: &Blow,
        touched: &FxHashMap<SceneId, Vec<Mark>>,
        hits: &mut [Hit],
    ) {
        let stored = if self.near { stored(told, touched) } else { Vec::new() };
        let mut known: FxHashMap<SceneId, Vec<(u64, SceneId)>> = FxHashMap::default();
        for hit in hits {
            hit.own = own(told, blow, touched, hit);
            if !self.near {
                continue;
            }
            let cost = stored.len() as u64;
            if cost > self.left {
                self.stopped = true;
                continue;
            }
            self.left -= cost;
            let scenes = known.entry(hit.scene).or_insert_with(|| {
                let meant = told.heard(hit.scene);
                let off = |scene: &SceneId| (told.distance(meant, told.heard(*scene)), *scene);
                let mut scenes: Vec<(u64, SceneId)> = stored.iter().map(off).collect();
                scenes.sort_unstable();
                scenes
            });
            (hit.near, hit.quick) = self.nearest(told, hit.slot, scenes);
        }
    }

    /// The nearest of all, and the nearest in reach: of equally near ones that with fewer presses, then the lower slot.
    fn nearest(&self, told: &Told<'_>, from: Option<Slot>, scenes: &[(u64, SceneId)]) -> (Option<Way>, Option<Way>) {
        let rank = |way: &Way| (way.off, way.presses, way.slot);
        let ways = scenes.iter().filter_map(|(off, scene)| way(told, from, *scene, *off));
        let (mut near, mut quick): (Option<Way>, Option<Way>) = (None, None);
        for way in ways {
            // The scenes come the nearest first.
            if near.is_some_and(|known| known.off < way.off) && quick.is_some_and(|known| known.off < way.off) {
                break;
            }
            if near.is_none_or(|known| rank(&way) < rank(&known)) {
                near = Some(way);
            }
            // The slots of a scene that is near enough may be too far; a farther scene may be in reach.
            let close = way.presses.is_some_and(|presses| presses <= self.reach);
            if close && quick.is_none_or(|known| rank(&way) < rank(&known)) {
                quick = Some(way);
            }
        }
        (near, quick)
    }
}

/// The scenes that may stand in: in a slot, not touched, heard, and no foot has to stay for them.
fn stored(told: &Told<'_>, touched: &FxHashMap<SceneId, Vec<Mark>>) -> Vec<SceneId> {
    let scenes = told.book.show.scenes.ids();
    let heard = |scene: &SceneId| told.heard(*scene).iter().any(|mark| *mark != Mark::Out);
    let held = |scene: &SceneId| told.book.show.is_held(*scene);
    scenes.filter(|s| !touched.contains_key(s) && told.places.first(*s).is_some() && heard(s) && !held(s)).collect()
}

fn way(told: &Told<'_>, from: Option<Slot>, scene: SceneId, off: u64) -> Option<Way> {
    let (slot, presses) = told.places.nearest(from, scene)?;
    Some(Way { scene, slot, presses, off })
}

fn own(told: &Told<'_>, blow: &Blow, touched: &FxHashMap<SceneId, Vec<Mark>>, hit: &Hit) -> Vec<Own> {
    let mut out: Vec<Own> = Vec::new();
    for fallback in told.book.show.fallbacks.iter().filter(|f| f.scene == Some(hit.scene)) {
        let (Some(device), Some(scene)) = (fallback.device, fallback.becomes) else { continue };
        if !blow.out.contains(&(device)) {
            continue;
        }
        let off = told.distance(told.heard(hit.scene), told.heard(scene));
        let way = way(told, hit.slot, scene, off);
        out.push(Own { device, scene, touched: touched.contains_key(&scene), way });
    }
    out.sort_by_key(|own| (own.device, own.way.map(|way| way.slot)));
    out
}

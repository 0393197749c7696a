//! Second rows of slots: whose each is. A book says it of a scene, so it must be so wherever that scene stands.

use rustc_hash::FxHashMap;

use super::fault::Fault;
use super::reading::{Read, Scene};
use crate::book::{Slot, SlotRange};

/// Says of each scene what its own switch, pressed again, calls; places of which that cannot be said are told, and left out.
/// `lines` has the row of the table for each slot.
pub(super) fn second(read: &mut Read, lines: &FxHashMap<Slot, usize>, range: SlotRange) {
    let mut at: FxHashMap<Slot, usize> = FxHashMap::default();
    for (number, scene) in read.scenes.iter().enumerate() {
        at.extend(scene.slots.iter().map(|slot| (*slot, number)));
    }
    let again = |slot: Slot| Slot { again: true, ..slot };
    let first = |slot: Slot| Slot { again: false, ..slot };
    let row = |slot: Slot| lines.get(&slot).copied().unwrap_or_default();
    let name = |scene: usize| read.scenes.get(scene).map_or(String::new(), |s| s.name.clone());
    let mut firsts: FxHashMap<usize, usize> = FxHashMap::default();
    let mut lost: Vec<usize> = Vec::new();
    for (number, scene) in read.scenes.iter().enumerate() {
        let (mut seconds, mut others): (Vec<Slot>, Vec<Slot>) = scene.slots.iter().partition(|slot| slot.again);
        seconds.sort_unstable();
        others.sort_unstable();
        let Some(here) = seconds.first().copied() else { continue };
        let mut fault = |slot: Slot, says: String| {
            read.faults.push(Fault::Second { row: row(slot), slot: range.show(slot), scene: scene.name.clone(), says });
            lost.push(number);
        };
        let Some(owner) = at.get(&first(here)).copied() else {
            fault(
                here,
                format!("slot {} has no first row: give it one, or give this row a slot", range.show(first(here))),
            );
            continue;
        };
        if let Some(other) = others.first() {
            let says = format!(
                "it stands in row {} too, in slot {}, and what a second row holds stands nowhere else",
                row(*other),
                range.show(*other)
            );
            fault(here, says + NAME);
            continue;
        }
        let strange = seconds.iter().find(|slot| at.get(&first(**slot)) != Some(&owner));
        if let Some(slot) = strange {
            let says = format!(
                "it is the second row of `{}` in row {} already, and of one scene alone",
                name(owner),
                row(here)
            );
            fault(*slot, says + NAME);
            continue;
        }
        let stands = read.scenes.get(owner).map_or(&[][..], |s: &Scene| &s.slots);
        if let Some(slot) =
            stands.iter().copied().filter(|slot| !slot.again).find(|slot| at.get(&again(*slot)) != Some(&number))
        {
            let says = format!(
                "it is the second row of `{}`, which stands in row {} too, in slot {}, without it: give one of these two rows another name",
                name(owner),
                row(slot),
                range.show(slot)
            );
            fault(here, says);
            continue;
        }
        firsts.insert(owner, number);
    }
    for (number, scene) in read.scenes.iter_mut().enumerate() {
        scene.again = firsts.get(&number).copied();
        if lost.contains(&number) {
            scene.slots.retain(|slot| !slot.again);
        }
    }
}

/// The way out of a name for two things.
const NAME: &str = ": give this row another name";

//! Slots: pinned ones never move; the others go to the lowest free slot by first play, then by name.

use fixedbitset::FixedBitSet;

use crate::book::inside::Again;
use crate::book::{Book, Fault, SetItem, Slot};
use crate::ids::SceneId;

/// A row of the switcher's memory: a slot and the scene stored there, or a scene that is in no slot.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Preset {
    /// The slot, if there is one.
    pub slot: Option<Slot>,
    /// The scene.
    pub scene: SceneId,
    /// Chosen by the tool, not said in the book.
    pub chosen: bool,
}

/// All presets in slot order, then the scenes in no slot, by name. Also says when the slots do not suffice.
pub fn presets(book: &Book) -> (Vec<Preset>, Option<Fault>) {
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let mut presets: Vec<Preset> = book
        .show
        .pins
        .iter()
        .map(|(slot, scene, _)| Preset { slot: Some(*slot), scene: *scene, chosen: false })
        .collect();
    let mut placed = FixedBitSet::with_capacity(book.show.scenes.len());
    presets.iter().for_each(|p| placed.insert(p.scene.index()));
    // A second row takes no slot of its own.
    book.show.again.iter().for_each(|again| placed.insert(again.second.index()));
    let waiting: Vec<SceneId> = order(book).into_iter().filter(|id| !placed.contains(id.index())).collect();
    let mut waiting = waiting.into_iter();
    let mut fault = None;
    if let (Some(range), true) = (range, book.show.auto) {
        let mut pinned = book.show.pins.iter().map(|(slot, _, _)| *slot).peekable();
        for slot in range.all() {
            if pinned.next_if_eq(&slot).is_some() {
                continue;
            }
            let Some(scene) = waiting.next() else { break };
            presets.push(Preset { slot: Some(slot), scene, chosen: true });
        }
        fault = full(book, waiting.as_slice(), range.banks as usize * range.switches as usize);
    }
    let rows = second_rows(book, &presets);
    let mut rest: Vec<SceneId> = waiting.collect();
    let lost = book.show.again.iter().map(|again| again.second);
    rest.extend(lost.filter(|second| !rows.iter().any(|p| p.scene == *second)));
    presets.extend(rows);
    presets.sort_by_key(|p| p.slot);
    rest.sort_by_key(|id| book.show.scene(*id).map(|s| &s.name));
    presets.extend(rest.into_iter().map(|scene| Preset { slot: None, scene, chosen: false }));
    (presets, fault)
}

/// The second rows of the slots in which these presets stand.
pub fn second_rows(book: &Book, presets: &[Preset]) -> Vec<Preset> {
    let rows = |again: &Again| {
        let first = presets.iter().filter(|p| p.scene == again.scene && p.slot.is_some_and(|s| !s.again)).copied();
        let second = again.second;
        first
            .map(move |p| Preset { slot: p.slot.map(|s| Slot { again: true, ..s }), scene: second, ..p })
            .collect::<Vec<_>>()
    };
    book.show.again.iter().flat_map(rows).collect()
}

fn full(book: &Book, left: &[SceneId], slots: usize) -> Option<Fault> {
    let first = book.show.scene(*left.first()?)?;
    let left_out = left.iter().filter_map(|id| Some(book.show.scene(*id)?.name.to_string())).collect();
    Some(Fault::SlotsFull { at: book.show.slots_at.unwrap_or(first.at), left_out, slots })
}

/// Scenes by first play over the sets (by the sets' names), then by name.
fn order(book: &Book) -> Vec<SceneId> {
    let mut seen = FixedBitSet::with_capacity(book.show.scenes.len());
    let mut out = Vec::with_capacity(book.show.scenes.len());
    let songs = book.show.sets_by_name().into_iter().flat_map(|set| &set.items).filter_map(SetItem::song);
    let songs = songs.filter_map(|song| book.show.songs.get(song));
    for scene in songs.flat_map(|song| &song.parts).filter_map(|part| part.scene) {
        let scene = book.show.anchor(scene);
        if !seen.put(scene.index()) {
            out.push(scene);
        }
    }
    let by_name = out.len();
    let rest = book.show.scenes.pairs().filter(|(id, scene)| !scene.repeated && !seen.contains(id.index()));
    out.extend(rest.map(|(id, _)| id));
    if let Some(rest) = out.get_mut(by_name..) {
        rest.sort_by_key(|id| book.show.scene(*id).map(|s| &s.name));
    }
    out.retain(|id| book.show.scene(*id).is_some_and(|s| !s.repeated));
    out
}

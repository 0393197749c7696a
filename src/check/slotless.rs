//! Scenes that stand in no slot, where the book lays slots out; and names that may have meant a scene.

use fixedbitset::FixedBitSet;

use super::{Diagnostic, Facts};
use crate::book::{Fault, PartAt, SetItem};
use crate::ids::SceneId;

/// So many names are told; the rest are counted.
const TOLD: usize = 5;

/// The scenes in no slot; None where it is told elsewhere why, or where no slot is stated at all.
pub(super) fn scenes(facts: &Facts<'_>) -> Option<FixedBitSet> {
    let book = facts.book;
    book.board.switcher.as_ref().filter(|s| !s.faulty)?.slots?;
    if book.broken || book.show.auto {
        return None;
    }
    let mut out = FixedBitSet::with_capacity(book.show.scenes.len());
    out.insert_range(..);
    let faulty = book.show.scenes.pairs().filter(|(_, s)| s.faulty || s.repeated).map(|(id, _)| id);
    let placed = facts.presets.iter().filter(|p| p.slot.is_some()).map(|p| p.scene);
    let told = book.show.mentioned.iter().copied();
    faulty.chain(placed).chain(told).for_each(|id| out.remove(id.index()));
    // A name that could not be found may have meant this scene.
    let meant = misspelt(facts)?;
    let misspelt = book.show.scenes.pairs().filter(|(_, s)| meant.binary_search(&&*s.name).is_ok());
    misspelt.for_each(|(id, _)| out.remove(id.index()));
    Some(out)
}

/// The scenes that the songs of the sets play; or, with `alone`, those of the songs that are in no set and are played.
pub(super) fn played(facts: &Facts<'_>, alone: bool) -> Vec<(SceneId, PartAt)> {
    let book = facts.book;
    let mut in_set = FixedBitSet::with_capacity(book.show.songs.len());
    for song in book.show.sets.iter().flat_map(|s| &s.items).filter_map(SetItem::song) {
        in_set.grow_and_insert(song.index());
    }
    let home = alone && book.show.sets_alone;
    let songs = book.show.songs.pairs().filter(|(s, _)| !home && in_set.contains(s.index()) != alone);
    let parts = songs.flat_map(|(s, song)| song.parts.iter().enumerate().map(move |(p, part)| (part, (s, p))));
    parts.filter_map(|(part, (s, p))| Some((book.show.base(part.scene?), (s, p as u32)))).collect()
}

/// Several scenes without a slot in one report: the first by name, the first one's part, and how many there are.
pub(super) fn told(facts: &Facts<'_>, found: &[(SceneId, PartAt)], what: &str) -> Option<Diagnostic> {
    let (scene, part) = found.first().copied()?;
    let (at, song) = facts.played(Some(part));
    let mut names: Vec<String> =
        found.iter().take(TOLD).map(|(scene, _)| format!("`{}`", facts.scene(*scene))).collect();
    if found.len() > TOLD {
        names.push(format!("{} more", found.len() - TOLD));
    }
    let message = format!("{} {what}", super::say::joined(&names, "and"));
    let told = Diagnostic::new(facts.book.show.slots_at.unwrap_or(at), message);
    let told = told.other(at, format!("`{}`, in \"{song}\"", facts.scene(scene)));
    let told = match facts.book.show.slots_at {
        Some(slots) => told.way("", "say `others auto`", facts.in_block(slots, "others auto")),
        None => told,
    };
    Some(told.besides("give each a switch here").help("give each a switch here"))
}

/// The report with how to give a scene a slot.
pub(super) fn way_out(facts: &Facts<'_>, told: Diagnostic, scene: SceneId) -> Diagnostic {
    let range = facts.book.board.switcher.as_ref().and_then(|s| s.slots);
    let taken: Vec<_> = facts.presets.iter().filter_map(|p| p.slot).collect();
    let free = range.and_then(|r| r.all().find(|slot| !taken.contains(slot)).map(|slot| r.show(slot)));
    let Some(slot) = free else {
        return told.help("every switch is taken: give it the one of a scene that no song plays");
    };
    let put = |say: &str| facts.in_block(facts.book.show.slots_at?, say);
    let pinned = format!("{slot} {}", facts.scene(scene));
    told.way("in `slots`", format!("say `{pinned}`"), put(&pinned))
        .way("in `slots`", "say `others auto`", put("others auto"))
        .help("decide which switch it stands on, and say so in `slots`")
}

/// The scenes that misspelt names seem to mean; None when one of those could mean any.
pub(super) fn misspelt<'f>(facts: &Facts<'f>) -> Option<Vec<&'f str>> {
    let mut meant = Vec::new();
    for fault in facts.binding {
        match fault {
            Fault::UnknownName { wanted: "scene", near, .. } => meant.push(near.as_deref()?),
            Fault::OtherKind { wanted: "scene", .. } => return None,
            _ => {}
        }
    }
    meant.sort_unstable();
    meant.dedup();
    Some(meant)
}

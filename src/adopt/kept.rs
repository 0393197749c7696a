//! Whether a book stores what was read: cell by cell wherever that is heard, switch by switch, slot by slot.

use rustc_hash::FxHashMap;

use super::fault::Fault;
use super::presses::{Move, Told};
use super::reading::Scene;
use crate::Compiled;
use crate::book::Slot;
use crate::ids::SceneId;
use crate::settle::inside::switches;
use crate::written::{cell, switch};

/// Where the book stores something else than was read, and how many cells nobody hears.
pub(super) fn compare(compiled: &Compiled, start: &Compiled, scenes: &[Scene]) -> (Vec<Fault>, usize) {
    let (book, table) = (&compiled.book, &compiled.table);
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let numbers: FxHashMap<&str, SceneId> =
        book.show.scenes.numbered().map(|(scene, number)| (scene.name.as_str(), number)).collect();
    let (mut faults, mut unheard) = (Vec::new(), 0);
    slots(compiled, scenes, &mut faults);
    for scene in scenes {
        let slot = || scene.slots.first().zip(range).map_or(String::new(), |(slot, range)| range.show(*slot));
        let Some(number) = numbers.get(scene.name.as_str()).copied() else { continue };
        for (value, (at, cell)) in scene.values.iter().zip(start.table.cells.list.pairs()) {
            let Some(value) = *value else { continue };
            if table.idle(number, at) {
                unheard += usize::from(Some(value) != table.empty(at));
                continue;
            }
            let stored = table.stored(number, at);
            if stored == value || stored.unstarted() == value {
                continue;
            }
            let wanted = cell::shown(&start.book.board, cell, value);
            let found = cell::shown(&book.board, cell, stored);
            if wanted != found {
                let (slot, scene, column) = (slot(), scene.name.clone(), cell.name.clone());
                faults.push(Fault::Otherwise { slot, scene, column, wanted, found });
            }
        }
        if scene.presses.is_empty() {
            continue;
        }
        let does = switches(book, table, number);
        for (switch, told) in scene.presses.iter().enumerate() {
            let Some(told) = told else { continue };
            let found =
                does.iter().find(|(of, ..)| usize::from(*of) == switch).map_or(Told::Nothing, |(_, holds, to)| {
                    let moves = to.iter().map(|(cell, there)| (*cell, *there, table.value(number, *cell)));
                    let cells = moves.map(|(cell, there, back)| Move { cell, there, back }).collect();
                    Told::Moves { holds: *holds, cells }
                });
            let (wanted, found) =
                (told.says(&start.book.board, &start.table.cells), found.says(&book.board, &table.cells));
            if wanted != found {
                let column = format!("{}{}", switch::COLUMN, book.board.switches_named(1 << switch));
                faults.push(Fault::Otherwise { slot: slot(), scene: scene.name.clone(), column, wanted, found });
            }
        }
    }
    (faults, unheard)
}

/// Each place that the table names holds its scene, and no slot has a second row that the table has not.
fn slots(compiled: &Compiled, scenes: &[Scene], faults: &mut Vec<Fault>) {
    let Some(range) = compiled.book.board.switcher.as_ref().and_then(|s| s.slots) else { return };
    let name = |id: SceneId| compiled.book.show.scene(id).map_or(String::new(), |s| s.name.to_string());
    let presets = compiled.presets.iter().filter_map(|p| Some((p.slot?, p.scene)));
    let mut stored: FxHashMap<Slot, SceneId> = presets.collect();
    for scene in scenes {
        for slot in &scene.slots {
            let found = stored.remove(slot).map(name);
            if found.as_ref() != Some(&scene.name) {
                let (slot, wanted) = (range.show(*slot), Some(scene.name.clone()));
                faults.push(Fault::OtherScene { slot, wanted, found });
            }
        }
    }
    let mut more: Vec<(Slot, SceneId)> = stored.into_iter().filter(|(slot, _)| slot.again).collect();
    more.sort_unstable();
    let more = more.into_iter().map(|(slot, scene)| (range.show(slot), Some(name(scene))));
    faults.extend(more.map(|(slot, found)| Fault::OtherScene { slot, wanted: None, found }));
}

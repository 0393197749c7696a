//! A song, or a part of one, that is played on a guitar which its scene does not hear.
//!
//! # On stage
//! The player strikes the strings, and nothing comes; the other guitar hums from its stand.
//!
//! # Way out
//! Let the scene hear the guitar, `hear slab`; or say which one the part is played on, `verse: bed, on arch`. A scene that
//! two songs play on two guitars has to be two.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! scene bed { hear arch }
//! song "Quay" on slab { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal chooser { always on; control side on remote 1 tip { left: open; right: closed } }
//! guitar slab { heard when chooser.side left }
//! guitar arch { heard when chooser.side right }
//! scene bed { hear slab }
//! song "Quay" on slab { bed; lift: bed, on arch }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! amp larch { fed by output 1 }
//! scene bed { hear arch }
//! scene hush { hear slab; mute }
//! song "Quay" on slab { hush; bed, on arch }
//! ```

use indexmap::IndexMap;

use crate::ids::{ColumnId, SceneId};
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Part;
use crate::settle::{Answer, Row};
use crate::settle::why::reasons;
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    if !book.board.chooses_guitars() {
        return;
    }
    let mut met: IndexMap<(SceneId, usize), Vec<(&str, &Part)>> = IndexMap::new();
    for song in &book.show.songs {
        for (part, scene) in song.parts.iter().filter_map(|p| Some((p, p.scene?))) {
            let Some(guitar) = song.guitar_of(part) else { continue };
            let row = Row::of(book, facts.table, scene);
            let sound = book.show.scene(scene).is_some_and(|s| !s.faulty);
            if sound && row.hears(guitar) == Answer::No && !row.muted() {
                met.entry((scene, guitar)).or_default().push((&song.title, part));
            }
        }
    }
    for ((scene, guitar), parts) in met {
        out.extend(one(facts, scene, guitar, &parts));
    }
}

/// One report for a scene and a guitar, however many parts play it so.
fn one(facts: &Facts<'_>, scene: SceneId, guitar: usize, parts: &[(&str, &Part)]) -> Option<Diagnostic> {
    let (title, part) = parts.first()?;
    let name = &facts.book.board.guitars.get(guitar)?.name;
    let row = Row::of(facts.book, facts.table, scene);
    let guitars = facts.book.board.guitars.iter().enumerate();
    let heard: Vec<&str> =
        guitars.filter(|(at, _)| row.hears(*at) == Answer::Yes).map(|(_, g)| g.name.as_str()).collect();
    let hears = if heard.is_empty() { "no guitar".to_owned() } else { say::list(&heard, "and") };
    let more = match parts.len() {
        1 => String::new(),
        2 => ", as 1 part more".to_owned(),
        n => format!(", as {} parts more", n - 1),
    };
    let bed = facts.scene(scene);
    let message = format!("`{}` of \"{title}\" is played on `{name}`{more}, and `{bed}` hears {hears}", part.label);
    let mut told = Diagnostic::new(part.at, message).about(bed).about(name);
    told = match says(facts, scene, guitar) {
        Some(at) => told.other(at, format!("{hears} is heard by this")),
        None => told.other(facts.scene_at(scene), format!("`{bed}` is described here")),
    };
    let (cells, say) = wish(facts, guitar)?;
    told = told.way(&format!("in `{bed}`"), format!("say `{say}`"), facts.in_scene(scene, &say, &cells));
    if let ([other], [_]) = (heard.as_slice(), parts) {
        let on = format!("on {other}");
        let end = Span { start: part.at.end, ..part.at };
        let edit = part.besides().guitar.map_or((end, format!(", {on}")), |own| (own.at, on.clone()));
        told = told.way("", format!("say `{on}` at `{}`", part.label), Some(vec![edit]));
    }
    Some(told.help(format!("let `{bed}` hear `{name}`, play a scene that does, or say which guitar the part is played on")))
}

/// The statement that decides it: of the input that is heard, or of what lets the guitar through.
fn says(facts: &Facts<'_>, scene: SceneId, guitar: usize) -> Option<Span> {
    let (cells, _) = wish(facts, guitar)?;
    let mut all = cells.iter().flat_map(|cell| reasons(facts.book, facts.table, scene, *cell));
    all.find(|reason| reason.live).map(|reason| reason.at)
}

/// What a scene says to hear a guitar, and the cells that it settles so.
fn wish(facts: &Facts<'_>, guitar: usize) -> Option<(Vec<ColumnId>, String)> {
    let guitar = facts.book.board.guitars.get(guitar)?;
    let cells = &facts.table.cells;
    let row = match guitar.when.as_slice() {
        [] => cells.guitar_cell().into_iter().collect(),
        [lets, ..] => cells.of_control(lets.value.device, lets.value.control).to_vec(),
    };
    let inputs = cells.guitar_cell().filter(|_| guitar.input.is_some());
    let say = match (guitar.when.as_slice(), inputs) {
        ([], _) | ([_], None) => format!("hear {}", guitar.name),
        ([lets, ..], _) => {
            let (device, control) = facts.part(lets.value.device, lets.value.control)?;
            format!("{}.{} {}", device.name, control.name, control.states.get(usize::from(lets.value.state))?.name)
        }
    };
    Some((row, say))
}

//! What the switches inside a preset do, in words.

use crate::Compiled;
use crate::book::inside::Press;
use crate::book::{Book, Device};
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::CellKind;
use crate::settle::inside::switches;

/// What a switch inside a preset is called.
pub fn name(compiled: &Compiled, switch: u8) -> String {
    compiled.book.board.switches_named(1 << switch)
}

/// Which switch of a scene's preset moves a device, in a sentence; None where none does.
pub fn moved(compiled: &Compiled, scene: SceneId, device: DeviceId) -> Option<String> {
    let (book, table) = (&compiled.book, &compiled.table);
    let show = &book.show;
    let of = |cell: ColumnId| table.cells.list.get(cell).map(|cell| cell.kind);
    let fed = book.board.devices.get(device)?.fed_by.and_then(|f| table.cells.output_cell(f.value));
    let touches = |cell: ColumnId| match of(cell) {
        Some(CellKind::Loop(number)) => book.board.in_loop(number).is_some_and(|d| found(book, device, d)),
        _ => fed == Some(cell) || table.cells.list.get(cell).is_some_and(|c| c.users.iter().any(|u| u.0 == device)),
    };
    let base = show.base(scene);
    let says: Vec<String> = switches(book, table, base)
        .into_iter()
        .filter(|(_, _, moves)| moves.iter().any(|(cell, _)| touches(*cell)))
        .map(|(switch, holds, _)| {
            let name = name(compiled, switch);
            if holds {
                format!("switch {name} moves it as long as the foot stays")
            } else {
                format!("switch {name} toggles it")
            }
        })
        .collect();
    (!says.is_empty()).then(|| format!("in this preset {}", says.join(", and ")))
}

fn found(book: &Book, device: DeviceId, other: &Device) -> bool {
    book.board.devices.get(device).is_some_and(|d| std::ptr::eq(d, other))
}

/// What the switch of a scene's preset calls when it is pressed again, in a sentence.
pub fn again(compiled: &Compiled, scene: SceneId) -> Option<String> {
    let show = &compiled.book.show;
    let base = show.base(scene);
    let other = show.again.iter().find_map(|again| match base {
        _ if again.scene == base => Some(again.second),
        _ if again.second == base => Some(again.scene),
        _ => None,
    })?;
    Some(format!("pressed again, its own switch calls `{}`", show.scene(other)?.name))
}

/// What a switch of a scene's preset brings, in words: "`gully` engaged".
pub fn brings(compiled: &Compiled, scene: SceneId, switch: u8) -> Option<String> {
    let show = &compiled.book.show;
    let pressed = show.scene(show.pressing(scene, switch)?)?;
    // What the statement moves stands first; the others only keep beside it what was.
    Some(crate::book::words::saying(&compiled.book, pressed.own.from))
}

/// What the switches of a scene's preset do as long as a foot stays on them: `switch 7 held: vane engaged`.
pub fn held(compiled: &Compiled, scene: SceneId) -> Vec<String> {
    let base = compiled.book.show.base(scene);
    let switches = compiled.book.show.switches(base).into_iter();
    let holding = switches.filter(|press| press.does.moved().is_some_and(|(_, holds)| holds));
    let says = |press: Press| {
        let wants = bare(&brings(compiled, base, press.switch)?);
        Some(format!("switch {} held: {wants}", name(compiled, press.switch)))
    };
    holding.filter_map(says).collect()
}

/// Without marks a state is told as everywhere in such words, `scoop off`: it may be called `on` itself.
fn bare(wants: &str) -> String {
    wants.replace(" on `", " `").replace('`', "")
}

/// In the musician's words: "6 toggles `gully` in", and what the preset's own switch calls.
pub fn says(compiled: &Compiled, scene: SceneId) -> Vec<String> {
    let show = &compiled.book.show;
    let base = show.base(scene);
    let mut out: Vec<String> = Vec::new();
    for press in show.switches(base) {
        let Some(wants) = brings(compiled, base, press.switch).map(|wants| bare(&wants)) else { continue };
        let word = match press.does.moved() {
            Some((_, true)) => "held",
            _ => "pressed",
        };
        out.push(format!("{} {word}: {wants}", self::name(compiled, press.switch)));
    }
    let name = |id: SceneId| show.scene(id).map_or("", |s| &s.name);
    for again in &show.again {
        if again.scene == base {
            out.push(format!("its switch again: {}", name(again.second)));
        } else if again.second == base {
            out.push(format!("its switch again: {}", name(again.scene)));
        }
    }
    out
}

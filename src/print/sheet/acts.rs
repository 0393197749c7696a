//! What a hand or a foot must do in a part, told verb first.

use rustc_hash::FxHashMap;

use super::tempo;
use super::{Act, ActKind};
use crate::Compiled;
use crate::book::{Note, Part, Song, Travel, amount};
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Row, Value};
use crate::study::walk::Under;

/// How the feet have left the pedals since the song began. Each song starts from nothing: the one before may be left out.
#[derive(Default)]
pub(super) struct Memory {
    states: FxHashMap<ColumnId, Value>,
}

/// The acts of a part: what a foot holds, taps and switches, what a hand does, reminders.
pub(super) fn of(compiled: &Compiled, song: &Song, part: &Part, memory: &mut Memory) -> Vec<Act> {
    let mut acts = Vec::new();
    if let Some(scene) = part.scene {
        held_and_switched(compiled, scene, memory, &mut acts);
        let inside = crate::print::inside::held(compiled, scene).into_iter();
        acts.extend(inside.map(|says| Act { kind: ActKind::Switch, brief: says.clone(), says }));
    }
    for note in &part.besides().notes {
        acts.push(match note {
            // The preset does it.
            Note::Beat { .. } => continue,
            Note::Tap { device, value } => tap(compiled, song, *device, value),
            Note::Hand(says) => Act { kind: ActKind::Hand, says: says.clone(), brief: format!("set by hand {says}") },
            Note::Cue(says) => Act { kind: ActKind::Cue, says: format!("cue: {says}"), brief: says.clone() },
            Note::Note(says) => Act { kind: ActKind::Note, says: says.clone(), brief: says.clone() },
        });
    }
    acts.sort_by_key(|a| a.kind as u8);
    acts
}

fn held_and_switched(compiled: &Compiled, scene: SceneId, memory: &mut Memory, acts: &mut Vec<Act>) {
    // What one treadle moves is one thing to hold.
    let mut known: Vec<Under> = Vec::new();
    for (column, cell) in compiled.table.cells.list.pairs() {
        if compiled.table.is_free(scene, column) {
            continue;
        }
        let value = compiled.table.value(scene, column);
        if let Some(under) = Under::of(column, value) {
            if known.contains(&under) {
                continue;
            }
            known.push(under);
            let (says, brief) = hold(compiled, scene, column);
            acts.push(Act { kind: ActKind::Hold, says, brief });
        } else if matches!(cell.kind, CellKind::ByFoot { .. })
            && value != Value::Stays
            && memory.states.insert(column, value) != Some(value)
        {
            let says = switch(compiled, scene, column, value);
            acts.push(Act { kind: ActKind::Foot, brief: says.clone(), says });
        }
    }
}

/// `hold tide depth on left-treadle, heel down to start`, and `put left-treadle heel down`.
pub(crate) fn hold(compiled: &Compiled, scene: SceneId, column: ColumnId) -> (String, String) {
    let value = compiled.table.value(scene, column);
    let Some(cell) = compiled.table.cells.list.get(column) else { return Default::default() };
    if let Value::Moved(travel) = value {
        return moved(compiled, scene, travel);
    }
    let users = cell.users.iter().filter_map(|(d, c)| {
        let device = compiled.book.board.devices.get(*d)?;
        Some(format!("{} {}", device.name, device.controls.get(*c)?.name))
    });
    let what: Vec<String> = users.collect();
    let what = if what.is_empty() { cell.name.clone() } else { what.join(" and ") };
    let mut says = format!("hold {what}");
    // The floor shows treadles, not what they move.
    let mut under = what;
    if let CellKind::Port(port) = cell.kind {
        match compiled.book.board.treadle_of(port) {
            Some(treadle) => {
                says += &format!(" on {}", treadle.name);
                under.clone_from(&treadle.name);
            }
            None => says += &format!(" on expression {port}"),
        }
    }
    match value.start() {
        Some(end) => (says + &format!(", {0} down to start", end.word()), format!("put {under} {} down", end.word())),
        None => (says, format!("hold {under}")),
    }
}

/// `move tide depth from 20 % to 70 % on rocker, heel down to start`, and `rocker heel down: depth 20-70 %`; of several levels
/// with their pedals.
fn moved(compiled: &Compiled, scene: SceneId, travel: Travel) -> (String, String) {
    let (table, board) = (&compiled.table, &compiled.book.board);
    let row = Row::of(&compiled.book, table, scene);
    let (mut levels, mut short) = (Vec::new(), Vec::new());
    for (cell, column) in table.cells.list.numbered() {
        let mine = matches!(table.value(scene, column), Value::Moved(t) if t.input() == travel.input());
        if !mine || table.is_free(scene, column) {
            continue;
        }
        for (d, c) in cell.users.iter().filter(|(d, _)| row.sounds(*d) != Answer::No) {
            let Some((_, heel, toe)) = row.way(*d, *c) else { continue };
            let device = board.devices.get(*d);
            let level = device.and_then(|d| d.controls.get(*c)).map_or("?", |c| &c.name);
            let device = device.map_or("?", |d| &d.name);
            let (heel, toe) = (amount::show(heel), amount::show(toe));
            levels.push(format!("{device} {level} from {heel} to {toe}"));
            short.push((format!("{device} "), format!("{level} {}", between(&heel, &toe))));
        }
    }
    let treadle = board.treadle_name(travel.input());
    // Of several nobody guesses whose they are.
    let several = short.len() > 1;
    let short = short.into_iter().map(|(device, level)| if several { device + &level } else { level });
    let (says, brief) = (format!("move {} on {treadle}", levels.join(" and ")), short.collect::<Vec<_>>().join(", "));
    match travel.start() {
        Some(end) => {
            (format!("{says}, {} down to start", end.word()), format!("{treadle}, {} down: {brief}", end.word()))
        }
        None => (says, format!("{treadle}: {brief}")),
    }
}

/// `20-70 %`, where both ends are said in one unit and neither is negative.
fn between(heel: &str, toe: &str) -> String {
    match (heel.split_once(' '), toe.split_once(' ')) {
        (Some((from, a)), Some((to, b))) if a == b && !from.starts_with('-') && !to.starts_with('-') => {
            format!("{from}-{to} {b}")
        }
        _ => format!("{heel} to {toe}"),
    }
}

/// `set swing speed to slow`.
fn switch(compiled: &Compiled, scene: SceneId, column: ColumnId, value: Value) -> String {
    let Some(cell) = compiled.table.cells.list.get(column) else { return String::new() };
    let CellKind::ByFoot { device, control } = cell.kind else { return String::new() };
    let amount = Row::of(&compiled.book, &compiled.table, scene).amount(device, control);
    let device = compiled.book.board.devices.get(device);
    let control = device.and_then(|d| d.controls.get(control));
    let (device, control) = (device.map_or("?", |d| &d.name), control.map_or("?", |c| &c.name));
    let mut to = String::new();
    match amount {
        Some(amount) => to = amount::show(amount),
        None => crate::written::cell::write(&mut to, &compiled.book.board, cell, value),
    }
    format!("set {device} {control} to {to}")
}

/// `tap gully every 652 ms, it repeats a dotted eighth (489 ms)`; for the player `tap gully: dotted eighths at 92`.
fn tap(compiled: &Compiled, song: &Song, device: Option<DeviceId>, value: &str) -> Act {
    let name = device.and_then(|d| compiled.book.board.devices.get(d)).map_or("?", |d| d.name.as_str());
    let words = tempo::words(value);
    let (says, brief) = match (song.tempo, tempo::beats(value)) {
        (Some(bpm), Some(beats)) => {
            let beat = tempo::milliseconds(bpm.value, 1.0);
            let note = tempo::milliseconds(bpm.value, beats);
            let plain = beats == 1.0;
            let note = if plain { "quarter".to_owned() } else { format!("{words} = {note} ms") };
            let brief = format!("tap {name}: {} at {}", tempo::many(&words), song.tempo_text);
            (format!("tap {name} every {beat} ms ({note})"), brief)
        }
        _ => (
            format!("tap {name} ({words}; no time: the song says no tempo, `at … bpm`)"),
            format!("tap {name}: {}, no tempo given", tempo::many(&words)),
        ),
    };
    Act { kind: ActKind::Tap, says, brief }
}

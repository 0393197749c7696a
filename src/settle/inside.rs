//! Scenes with switches pressed inside their preset: each combination becomes a row that nothing stores and a foot reaches.
//!
//! A combination says over its scene what its switches bring, and is settled like any other: whatever is held against a
//! row is held against each of them.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::{Answer, CellKind, Fault, Row, Setting, Settled, Table, Value, why};
use crate::book::fault::NotInside;
use crate::book::inside::{Does, Moved, Owner, Press};
use crate::book::{self, Book, ContactValue, Saying, SayingRange, Scene, What, beat};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};

/// So many combinations are laid, over all scenes.
const MOST: usize = 200_000;

/// Settles a book, with a row for each combination of pressed switches. What is wrong with them is told too.
pub fn settle(book: &mut Book, look: bool) -> (Settled, Vec<book::Fault>) {
    let settled = super::settle(book, look);
    if book.show.presses.is_empty() {
        return (settled, Vec::new());
    }
    // What songs say of a tempo stands behind all other sayings, and each part plays what it presses.
    beat::forget(book);
    let told = combine(book, &settled.table);
    beat::play(book);
    let mut settled = super::settle(book, look);
    settled.faults = once(book, settled.faults);
    tie(book, &mut settled.table);
    (settled, told)
}

/// What a combination lacks as its scene does is told once, and so is what several combinations of a scene lack.
fn once(book: &Book, faults: Vec<Fault>) -> Vec<Fault> {
    let of_base = |fault: &Fault| match fault.clone() {
        Fault::Unsettled { scene, device, control } => {
            Fault::Unsettled { scene: book.show.base(scene), device, control }
        }
        Fault::PatternUnknown { scene, device, control } => {
            Fault::PatternUnknown { scene: book.show.base(scene), device, control }
        }
        other => other,
    };
    let mut known: Vec<Fault> = faults.iter().filter(|f| of_base(f) == **f).cloned().collect();
    let mut out = known.clone();
    for fault in faults {
        let base = of_base(&fault);
        if base != fault && !known.contains(&base) {
            known.push(base);
            out.push(fault);
        }
    }
    out
}

/// What a switch brings: values of cells, those beside them that a statement about them must not disturb, and statements.
struct Brings {
    press: Press,
    whats: Vec<What>,
    cells: Vec<ColumnId>,
    kept: BTreeMap<ColumnId, Value>,
}

fn combine(book: &mut Book, table: &Table) -> Vec<book::Fault> {
    let mut faults = Vec::new();
    let mut laid = 0;
    let mut wanted: Vec<(SceneId, Vec<Brings>)> = Vec::new();
    for id in book.show.scenes.ids() {
        let Some(scene) = book.show.scene(id).filter(|s| !s.faulty && !s.repeated) else { continue };
        let presses = book.show.switches(id);
        layers_agree(book, scene, &mut faults);
        if !few(book, id, &presses, &mut faults) {
            continue;
        }
        let mut all: Vec<Brings> = Vec::new();
        for press in presses {
            let brings = match brings(book, table, id, press) {
                Ok(brings) => brings,
                Err(why) => {
                    faults.push(book::Fault::Inside { at: press.at, why, there: Some(scene.at) });
                    continue;
                }
            };
            if let Some(other) = all.iter().find(|b| b.cells.iter().any(|c| brings.cells.contains(c))) {
                let name = scene.name.to_string();
                let there = Some(other.press.at);
                faults.push(book::Fault::Inside { at: press.at, why: NotInside::Same { scene: name }, there });
                continue;
            }
            all.push(brings);
        }
        laid += (1usize << all.len()) - 1;
        if laid > MOST {
            let at = all.first().map_or(scene.at, |b| b.press.at);
            faults.push(book::Fault::Inside { at, why: NotInside::TooMany(MOST), there: Some(scene.at) });
            break;
        }
        if !all.is_empty() {
            wanted.push((id, all));
        }
    }
    // One statement that many scenes inherit is told once.
    faults.sort_by_key(book::Fault::at);
    faults.dedup_by(|a, b| match (&a, &b) {
        (book::Fault::Inside { at: x, why: a, .. }, book::Fault::Inside { at: y, why: b, .. }) => {
            x == y && std::mem::discriminant(a) == std::mem::discriminant(b)
        }
        _ => a == b,
    });
    for (id, all) in wanted {
        lay(book, table, id, &all);
    }
    part_scenes(book);
    faults
}

/// Two layers of one scene that speak of one switch must say the same.
fn layers_agree(book: &Book, scene: &Scene, faults: &mut Vec<book::Fault>) {
    let mut known: FxHashMap<u8, Press> = FxHashMap::default();
    for (layer, _) in book.show.layers_of(scene) {
        for press in book.show.presses_of(Owner::Layer(*layer)) {
            match known.get(&press.switch) {
                Some(first) if first.does != press.does => {
                    faults.push(book::Fault::SaidTwice { at: press.at, first: first.at });
                }
                Some(_) => {}
                None => {
                    known.insert(press.switch, *press);
                }
            }
        }
    }
}

/// No more switches than the unit can do.
fn few(book: &Book, id: SceneId, presses: &[Press], faults: &mut Vec<book::Fault>) -> bool {
    let Some(inside) = book.board.switcher.as_ref().and_then(|s| s.inside) else { return false };
    let name = || book.show.scene(id).map_or(String::new(), |s| s.name.to_string());
    let holds = |p: &Press| p.does.moved().is_some_and(|(_, holds)| holds);
    let mut few = true;
    for (held, word, most) in [(false, "toggles", inside.toggles), (true, "holds", inside.holds)] {
        let mut of = presses.iter().filter(|p| holds(p) == held);
        if let Some(over) = of.nth(most as usize) {
            let why = NotInside::MostOf { scene: name(), word, most };
            faults.push(book::Fault::Inside { at: over.at, why, there: Some(inside.at) });
            few = false;
        }
    }
    few
}

fn brings(book: &Book, table: &Table, id: SceneId, press: Press) -> Result<Brings, NotInside> {
    let scene = || book.show.scene(id).map_or(String::new(), |s| s.name.to_string());
    let (moved, _) = press.does.moved().ok_or(NotInside::StartUnknown { scene: scene() })?;
    let cells = &table.cells;
    let row = Row::of(book, table, id);
    let unknown = || NotInside::StartUnknown { scene: scene() };
    let flipped = |cell: Option<ColumnId>| match cell.map(|c| row.value(c)) {
        Some(Value::On) => Ok(false),
        Some(Value::Off) => Ok(true),
        _ => Err(unknown()),
    };
    let whats = match moved {
        Moved::Loop(number) => vec![What::Loop { number, on: flipped(cells.loop_cell(number))? }],
        Moved::Output(number) => vec![What::Output { number, on: flipped(cells.output_cell(number))? }],
        Moved::Device(device) => match row.sounds(device) {
            Answer::Yes => vec![What::Engaged { device, on: false }],
            Answer::No => vec![What::Engaged { device, on: true }],
            Answer::Maybe => return Err(unknown()),
        },
        Moved::Contact(jack, ring) => {
            let value = match flipped(cells.contact_cell(jack, ring))? {
                true => ContactValue::Closed,
                false => ContactValue::Open,
            };
            vec![What::Contact { jack, ring, value }]
        }
        Moved::Control(device, control, wanted) => {
            let stands = match row.setting(device, control) {
                Some(Setting::State(state)) => state,
                _ => return Err(unknown()),
            };
            let state = wanted.unwrap_or(1 - stands.min(1));
            if state == stands {
                return Err(NotInside::Already { scene: scene() });
            }
            vec![What::Choice { device, control, state }]
        }
    };
    let mut brings = Brings { press, whats, cells: Vec::new(), kept: BTreeMap::new() };
    for what in &brings.whats {
        cells.settles(*what, |cell, _| brings.cells.push(cell));
    }
    // A statement that touches one contact of a control replaces what was said of the whole: the others are said again.
    for cell in &brings.cells {
        for (device, control) in cells.list.get(*cell).map_or(&[][..], |c| &c.users) {
            for beside in cells.of_control(*device, *control) {
                if !brings.cells.contains(beside) {
                    brings.kept.insert(*beside, row.value(*beside));
                }
            }
        }
    }
    Ok(brings)
}

fn lay(book: &mut Book, table: &Table, id: SceneId, all: &[Brings]) {
    let mut combinations = Vec::new();
    for mask in 1usize..1 << all.len() {
        let Some(base) = book.show.scene(id) else { return };
        let (name, at) = (base.name.clone(), base.at);
        let some: Vec<&Brings> = all.iter().enumerate().filter(|(n, _)| mask >> n & 1 == 1).map(|(_, b)| b).collect();
        let switches = some.iter().fold(0u8, |mask, b| mask | 1 << b.press.switch);
        let from = book.show.sayings.next();
        for brings in &some {
            book.show.sayings.extend(brings.whats.iter().map(|what| Saying { what: *what, at: brings.press.at }));
            for (cell, value) in &brings.kept {
                let moved = some.iter().any(|b| b.cells.contains(cell));
                let what = table.cells.list.get(*cell).and_then(|c| kept(c.kind, *value));
                book.show.sayings.extend(what.filter(|_| !moved).map(|what| Saying { what, at: brings.press.at }));
            }
        }
        let to = book.show.sayings.next();
        combinations.push(book.show.scenes.next());
        let none = book.show.mixed.len() as u32;
        book.show.scenes.push(Scene {
            name: format!("{name}, {} pressed", book.board.switches_named(switches)).into(),
            at,
            title: Default::default(),
            parent: Some(id),
            layers: (none, none),
            own: SayingRange { from, to },
            was: Default::default(),
            faulty: false,
            repeated: true,
            pressed: switches,
        });
    }
    book.show.combinations.insert(id, combinations);
}

fn kept(kind: CellKind, value: Value) -> Option<What> {
    let value = match value {
        Value::On => ContactValue::Closed,
        Value::Off => ContactValue::Open,
        _ => return None,
    };
    match kind {
        CellKind::Contact(contact) => Some(What::Contact { jack: contact.jack, ring: contact.ring, value }),
        _ => None,
    }
}

/// A part that asks for presses plays the scene with them.
fn part_scenes(book: &mut Book) {
    let show = &mut book.show;
    let mut of: FxHashMap<(SceneId, u8), SceneId> = FxHashMap::default();
    for (id, scene) in show.scenes.pairs() {
        if let Some(base) = scene.parent.filter(|_| scene.pressed != 0) {
            of.insert((base, scene.pressed), id);
        }
    }
    for part in show.songs.iter_mut().flat_map(|song| &mut song.parts).filter(|part| part.pressed != 0) {
        part.scene = part.scene.map(|scene| of.get(&(scene, part.pressed)).copied().unwrap_or(scene));
    }
}

/// What the preset stores must be right for each combination, and only the switches move anything.
fn tie(book: &Book, table: &mut Table) {
    for (base, combinations) in &book.show.combinations {
        let moves = |id: SceneId| {
            let mut moved = Vec::new();
            for saying in book.show.scene(id).into_iter().flat_map(|scene| book.show.said(scene.own)) {
                table.cells.settles(saying.what, |cell, _| moved.push(cell));
            }
            moved
        };
        let moved: Vec<Vec<ColumnId>> = combinations.iter().map(|id| moves(*id)).collect();
        for (id, moved) in combinations.iter().zip(&moved) {
            // What is heard with a switch pressed alone is stored before it is; what that press moves starts as the scene says.
            let heard = |c: &ColumnId| table.is_free(*base, *c) && !table.is_free(*id, *c) && !moved.contains(c);
            let heard: Vec<ColumnId> = table.cells.list.ids().filter(heard).collect();
            heard.into_iter().for_each(|cell| table.set_value(*base, cell, table.value(*id, cell)));
        }
        timed(book, table, *base, combinations);
        let mut all = table.free_row(*base).to_vec();
        for id in combinations {
            all.iter_mut().zip(table.free_row(*id)).for_each(|(all, free)| *all &= free);
        }
        for id in combinations.iter().chain([base]) {
            table.set_free(*id, &all);
        }
        for (id, moved) in combinations.iter().zip(moved) {
            table.follow(*id, *base, moved);
        }
    }
    table.leave();
}

/// A preset stores one tempo, whatever is pressed: that of the parts that hear the pedal; where none does, and some press lets
/// it sound, that of all songs that play the scene, if they want one. Where parts want several, nobody knows.
fn timed(book: &Book, table: &mut Table, base: SceneId, combinations: &[SceneId]) {
    let paced = |(cell, column): (ColumnId, &super::Cell)| column.tempo.then(|| (cell, column.users.clone()));
    let paced: Vec<(ColumnId, Vec<(DeviceId, ControlId)>)> = table.cells.list.pairs().filter_map(paced).collect();
    let all = || [base].into_iter().chain(combinations.iter().copied());
    for (cell, users) in paced {
        let scenes = |reason: &why::Reason| !matches!(reason.rank, why::Rank::Song(_));
        if why::reasons(book, table, base, cell).iter().any(scenes) {
            continue;
        }
        let heard = |id: SceneId| {
            let row = Row::of(book, table, id);
            !row.muted() && users.iter().any(|(device, _)| row.sounds(*device) == Answer::Yes)
        };
        let wanted = all().map(|id| table.value(id, cell)).filter(|value| *value != Value::Stays);
        let tempo = match one(wanted) {
            None if all().any(heard) => one(all().flat_map(|id| songs(book, table, id, cell))),
            tempo => tempo,
        };
        let Some(tempo) = tempo else { continue };
        all().collect::<Vec<SceneId>>().into_iter().for_each(|id| table.set_value(id, cell, tempo));
    }
}

/// What songs say of a cell while they play a scene.
fn songs(book: &Book, table: &Table, scene: SceneId, cell: ColumnId) -> Vec<Value> {
    let mut out = Vec::new();
    for saying in book.show.said(book.show.played(scene)) {
        table.cells.settles(saying.what, |at, value| out.extend((at == cell).then_some(value)));
    }
    out
}

/// The one value, nothing where there is none, unknown where there are several.
fn one(values: impl Iterator<Item = Value>) -> Option<Value> {
    values.reduce(|one, other| if one == other { one } else { Value::Unknown })
}

/// What a switch does to the cells of a scene: each cell that it moves, with what it brings.
pub fn moves(book: &Book, table: &Table, scene: SceneId, switch: u8) -> Vec<(ColumnId, Value)> {
    let Some(id) = book.show.pressing(scene, switch) else { return Vec::new() };
    let changed = |cell: &ColumnId| table.value(id, *cell) != table.value(scene, *cell);
    table.cells.list.ids().filter(changed).map(|cell| (cell, table.value(id, cell))).collect()
}

/// What a switch of a scene does: its number, whether it only holds, and what it moves.
pub type Switched = (u8, bool, Vec<(ColumnId, Value)>);

/// What each switch of a scene does.
pub fn switches(book: &Book, table: &Table, scene: SceneId) -> Vec<Switched> {
    let does = book.show.switches(scene).into_iter();
    let does = does.filter(|_| !book.show.combinations(scene).is_empty());
    let holds = |does: Does| does.moved().is_some_and(|(_, holds)| holds);
    does.map(|p| (p.switch, holds(p.does), moves(book, table, scene, p.switch))).collect()
}

//! Two independent routes to a table agree: laid upwards from the parents, and asked downwards cell by cell.

use tipring::Compiled;
use tipring::book::DeviceKind;
use tipring::ids::{DeviceId, SceneId};
use tipring::settle::row::{Row, Setting};
use tipring::settle::why::{reasons, settled};
use tipring::settle::{Cell, CellKind, Value};

use super::books;

/// Cells asked, and of these free, said by nobody, and in conflict.
#[derive(Default)]
struct Asked {
    cells: usize,
    free: usize,
    unsaid: usize,
    clash: usize,
}

/// The cell is what engages a device in no loop.
fn engages(compiled: &Compiled, cell: &Cell) -> bool {
    let by = |device: DeviceId| compiled.book.board.devices.get(device).unwrap().engaged_by;
    cell.users.iter().any(|(device, control)| by(*device).is_some_and(|by| by.control == *control))
}

/// What makes no sound takes it: it matters always, and nothing is sent where nobody says what.
fn listens(compiled: &Compiled, cell: &Cell) -> bool {
    cell.users.iter().any(|(device, _)| compiled.book.board.devices.get(*device).unwrap().kind == DeviceKind::Listener)
}

/// No device that uses the cell sounds, as its loop stands in the row, nor with any switch pressed inside the preset.
fn idle(compiled: &Compiled, scene: SceneId, cell: &Cell) -> bool {
    let pressed = compiled.book.show.combinations(scene).iter();
    pressed.copied().chain([scene]).all(|row| idle_in(compiled, row, cell))
}

fn idle_in(compiled: &Compiled, scene: SceneId, cell: &Cell) -> bool {
    if engages(compiled, cell) || listens(compiled, cell) {
        return false;
    }
    let column = |kind| compiled.table.cells.list.iter().position(|c| c.kind == kind);
    let silent = |number: DeviceId| {
        let device = compiled.book.board.devices.get(number).unwrap();
        if let Some(by) = device.engaged_by {
            let stands = Row::of(&compiled.book, &compiled.table, scene).setting(number, by.control);
            return matches!(stands, Some(Setting::State(state)) if state != by.engaged);
        }
        let at = device.loop_at.and_then(|l| column(CellKind::Loop(l.value)));
        at.map_or(!device.always(), |c| compiled.table.row(scene)[c] == Value::Off)
    };
    !cell.users.is_empty() && cell.users.iter().all(|(device, _)| silent(*device))
}

fn ask(compiled: &Compiled, asked: &mut Asked) {
    let (book, table) = (&compiled.book, &compiled.table);
    for (id, scene) in book.show.scenes.pairs().filter(|(_, s)| !s.faulty && !s.repeated) {
        // What calls a helper follows from its loops, once the rows are settled.
        for (c, cell) in table.cells.list.pairs().filter(|(_, cell)| !cell.calls) {
            let at = c;
            let place = || format!("{} {}", scene.name, cell.name);
            let said = settled(&reasons(book, table, id, at));
            // What nobody settles, a default or a device that was not understood may: then it is unknown, not free.
            let unsure =
                book.show.default_faulty || cell.users.iter().any(|(d, _)| book.board.devices.get(*d).unwrap().faulty);
            let free = idle(compiled, id, cell) && (said.is_some() || !unsure);
            assert_eq!(table.is_free(id, at), free, "{}", place());
            let wanted = match said {
                Some(value) => value,
                None if free => cell.rest,
                // Where no song with a tempo hears the pedal, nothing is sent.
                None if listens(compiled, cell) && !unsure => Value::Stays,
                None if cell.tempo && !unsure => Value::Stays,
                None if cell.users.is_empty() || engages(compiled, cell) && !unsure => cell.unsaid,
                None => Value::Unknown,
            };
            assert_eq!(table.value(id, at), wanted, "{}", place());
            asked.cells += 1;
            asked.free += usize::from(free);
            asked.unsaid += usize::from(said.is_none());
            asked.clash += usize::from(said == Some(Value::Unknown));
        }
    }
}

#[test]
fn both_routes_agree_on_the_examples() {
    let mut asked = Asked::default();
    books::examples().iter().chain(&books::presets()).for_each(|book| ask(&books::compile(book), &mut asked));
    assert!(asked.cells > 3_000 && asked.free > 300 && asked.unsaid > 300, "{} cells", asked.cells);
}

#[test]
fn both_routes_agree_on_random_books() {
    let mut asked = Asked::default();
    books::random(2_000..3_000).for_each(|book| ask(&books::compile(&book), &mut asked));
    assert!(asked.cells > 50_000 && asked.free > 5_000 && asked.unsaid > 5_000, "{} cells", asked.cells);
    assert!(asked.clash > 500, "{} cells in conflict", asked.clash);
}

#[test]
fn both_routes_agree_on_the_suite() {
    let mut asked = Asked::default();
    books::suite().iter().for_each(|book| ask(&books::compile(book), &mut asked));
    assert!(asked.cells > 1_000);
}

//! What to say so that a scene gets what it lacks: the text follows, and the book is compiled before anybody is told.

use crate::Compiled;
use crate::edit::{self, Wanted};
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{Through, Value};

/// What a scene may lack.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lack {
    /// A device that is out, by its index.
    Engaged(DeviceId),
    /// An output that is off, from 1.
    On(u16),
}

/// What to say, where, and what it does besides.
#[derive(Clone, PartialEq, Debug)]
pub struct Wish {
    /// The statement to write.
    pub say: String,
    /// The statement of the scene's own that goes for it.
    pub instead: Option<String>,
    /// Other scenes in which the same thing changes, by their names.
    pub also: Vec<String>,
}

/// What to say in a scene; None where no such edit was proved: the book has errors before or after it, the scene still
/// lacks it, or something else changes with it.
pub fn wish(book: &Compiled, scene: SceneId, lack: Lack) -> Option<Wish> {
    let cells = &book.table.cells;
    let wants = |cell: ColumnId, value: Value| Wanted { scene, cell, value, said: None };
    let wanted: Vec<Wanted> = match lack {
        Lack::Engaged(d) => match cells.through(d) {
            Through::Loop(cell) => vec![wants(cell, Value::On)],
            Through::Control { control, engaged, .. } => {
                let columns = cells.of_control(d, control).iter().zip(cells.of_state(d, control, engaged));
                columns.map(|(cell, value)| wants(*cell, *value)).collect()
            }
            _ => return None,
        },
        Lack::On(n) => vec![wants(cells.output_cell(n)?, Value::On)],
    };
    let offer = edit::alone(book, &wanted)?;
    let [change] = offer.changes.as_slice() else { return None };
    let say = edit::says(book, *change.put.first()?)?;
    let out: Vec<String> = change.out.iter().filter_map(|sayings| edit::said(book, sayings)).collect();
    let mut also = Vec::new();
    for moved in &offer.follows {
        if !wanted.iter().any(|w| w.cell == moved.cell) {
            return None;
        }
        also.extend(book.book.show.scene(moved.scene).filter(|_| moved.scene != scene).map(|s| s.name.to_string()));
    }
    also.sort_unstable();
    also.dedup();
    match out.as_slice() {
        [] => Some(Wish { say, instead: None, also }),
        [one] => Some(Wish { say, instead: Some(one.clone()), also }),
        _ => None,
    }
}

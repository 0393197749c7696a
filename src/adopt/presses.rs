//! What the switches inside presets do, as a table says it, and the statements that say the same.

use super::fault::{Fault, Place};
use super::heads::Target;
use super::heard::Heard;
use super::reading::{Column, Scene};
use super::ways::{self, Way};
use crate::book::Board;
use crate::book::inside::{Does, Moved, Owner};
use crate::ids::ColumnId;
use crate::settle::{Answer, Cells, Value};
use crate::written::{cell, switch};
use crate::{Compiled, near};

/// What a switch does, as the table says it.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Told {
    Nothing,
    Moves { holds: bool, cells: Vec<Move> },
}

/// A cell that a switch moves.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Move {
    pub cell: ColumnId,
    pub there: Value,
    pub back: Value,
}

impl Told {
    pub(super) fn cells(&self) -> &[Move] {
        match self {
            Told::Nothing => &[],
            Told::Moves { cells, .. } => cells,
        }
    }

    fn holds(&self) -> Option<bool> {
        match self {
            Told::Nothing => None,
            Told::Moves { holds, .. } => Some(*holds),
        }
    }

    /// The same, as tables write it.
    pub(super) fn says(&self, board: &Board, cells: &Cells) -> String {
        let Told::Moves { holds, cells: moves } = self else { return switch::NOTHING.to_owned() };
        let moves = moves.iter().map(|m| {
            let name = cells.list.get(m.cell).map_or("", |c| &c.name);
            format!("{name} {} back {}", shown(board, cells, m.cell, m.there), shown(board, cells, m.cell, m.back))
        });
        switch::written(*holds, moves)
    }
}

fn shown(board: &Board, cells: &Cells, at: ColumnId, value: Value) -> String {
    cells.list.get(at).map_or(String::new(), |column| cell::shown(board, column, value))
}

/// True for a text that says that a switch does nothing.
pub(super) fn says_nothing(text: &str) -> bool {
    text.eq_ignore_ascii_case(switch::NOTHING)
}

/// A spreadsheet begins a cell with a capital.
pub(super) fn plain(text: &str) -> String {
    let (word, rest) = text.split_once(' ').unwrap_or((text, ""));
    format!("{} {rest}", word.to_lowercase())
}

/// Reads one text; what is wrong with it, if it is not understood.
pub(super) fn read(text: &str, board: &Board, cells: &Cells) -> Result<Told, String> {
    if says_nothing(text) {
        return Ok(Told::Nothing);
    }
    let plain = plain(text);
    let Some((holds, moves)) = switch::parts(&plain) else {
        return Err(format!(
            "`{text}` is nothing that a switch does: say `{NOTHING}`, or `toggles loop-1 1 back 0`, or `holds loop-1 1 \
             back 0`; a `;` before each further column",
            NOTHING = switch::NOTHING
        ));
    };
    let mut out: Vec<Move> = Vec::new();
    for (name, there, back) in moves {
        let Some(at) = cells.list.position(|cell| cell.name == name) else {
            let near = near::nearest(name, cells.list.iter().map(|c| c.name.as_str()));
            let meant = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
            return Err(format!("`{text}` moves `{name}`, and the board has no such column{meant}"));
        };
        let value = |text: &str| cells.list.get(at).and_then(|column| cell::read(board, column, text));
        let (there, back) = match (value(there), value(back)) {
            (Some(there), Some(back)) => (there, back),
            (None, _) => return Err(format!("`{text}`: `{name}` cannot stand at `{there}`")),
            (_, None) => return Err(format!("`{text}`: `{name}` cannot stand at `{back}`")),
        };
        if there == back {
            return Err(format!("`{text}`: `{name}` stands there as it stands back, so nothing is moved"));
        }
        if out.iter().any(|known| known.cell == at) {
            return Err(format!("`{text}` moves `{name}` twice"));
        }
        out.push(Move { cell: at, there, back });
    }
    out.sort_by_key(|m| m.cell);
    Ok(Told::Moves { holds, cells: out })
}

/// What the board says by default of each switch that works inside presets.
pub(super) fn by_default(compiled: &Compiled) -> Vec<Does> {
    let (show, count) = (&compiled.book.show, compiled.book.board.inside().1 as u8);
    let said = show.presses_of(Owner::Default);
    let of = |switch: u8| said.iter().find(|p| p.switch == switch).map_or(Does::Nothing, |p| p.does);
    (0..count).map(of).collect()
}

/// A switch of a scene with the statements that say what it does.
struct Open {
    scene: usize,
    switch: usize,
    holds: bool,
    ways: Vec<Way>,
}

/// Finds the statement of each switch of each scene. What no statement says is told, and left out.
pub(super) fn settle(compiled: &Compiled, heard: &Heard<'_>, scenes: &mut [Scene], columns: &[Column]) -> Vec<Fault> {
    let rooted = by_default(compiled);
    let (mut faults, mut lost) = (Vec::new(), Vec::new());
    let mut open: Vec<Open> = Vec::new();
    for (number, scene) in scenes.iter().enumerate() {
        if scene.presses.iter().flatten().all(|told| told.cells().is_empty()) {
            continue;
        }
        let of = Of { compiled, heard, scene, sounds: heard.sounds(scene), columns };
        for (switch, told) in scene.presses.iter().enumerate() {
            let Some((told, holds)) = told.as_ref().and_then(|told| Some((told, told.holds()?))) else { continue };
            match of.ways(switch, told, holds) {
                Ok(ways) => open.push(Open { scene: number, switch, holds, ways }),
                Err(says) => {
                    let column = columns.iter().find(|c| c.target == Target::Inside(switch as u8));
                    let (column, head) = column.map_or((0, String::new()), |c| (c.at, c.head.clone()));
                    faults.push(Fault::Switch { at: Place { row: scene.row, column }, head, says });
                    lost.push((number, switch));
                }
            }
        }
    }
    for (scene, switch) in lost {
        if let Some(told) = scenes.get_mut(scene).and_then(|scene| scene.presses.get_mut(switch)) {
            *told = None;
        }
    }
    for scene in scenes.iter_mut() {
        scene.does = scene.presses.iter().map(|told| Some(Does::Nothing).filter(|_| told.is_some())).collect();
    }
    let mut used: Vec<(usize, Moved, usize)> = Vec::new();
    for (switch, moved) in open.iter().flat_map(|o| o.ways.iter().map(|way| (o.switch, way.moved))) {
        match used.iter_mut().find(|(s, m, _)| (*s, *m) == (switch, moved)) {
            Some((_, _, times)) => *times += 1,
            None => used.push((switch, moved, 1)),
        }
    }
    for Open { scene, switch, holds, ways } in open {
        let does = |moved: Moved| if holds { Does::Holds(moved) } else { Does::Toggles(moved) };
        let times = |moved: Moved| used.iter().find(|(s, m, _)| (*s, *m) == (switch, moved)).map_or(0, |(.., n)| *n);
        // What the board says already, else the plainest; of equals what most scenes can say.
        let order = |way: &&Way| {
            let said = rooted.get(switch) == Some(&does(way.moved));
            (!said, way.rank, std::cmp::Reverse(times(way.moved)))
        };
        let (Some(way), Some(scene)) = (ways.iter().min_by_key(order), scenes.get_mut(scene)) else { continue };
        scene.moved.extend(&way.stands);
        if let Some(slot) = scene.does.get_mut(switch) {
            *slot = Some(does(way.moved));
        }
    }
    faults
}

/// A scene whose switches are looked at.
struct Of<'o> {
    compiled: &'o Compiled,
    heard: &'o Heard<'o>,
    scene: &'o Scene,
    sounds: Vec<Answer>,
    columns: &'o [Column],
}

impl Of<'_> {
    fn ways(&self, switch: usize, told: &Told, holds: bool) -> Result<Vec<Way>, String> {
        let (board, cells) = (&self.compiled.book.board, &self.compiled.table.cells);
        self.few(switch, holds)?;
        let name = |at: ColumnId| cells.list.get(at).map_or("", |c| &c.name);
        for moved in told.cells() {
            let held = self.scene.values.get(moved.cell.index()).copied().flatten();
            if let Some(held) = held.filter(|held| *held != moved.back && !self.heard.idle(moved.cell, &self.sounds)) {
                let (held, back) = (shown(board, cells, moved.cell, held), shown(board, cells, moved.cell, moved.back));
                let name = name(moved.cell);
                return Err(format!("the switch brings `{name}` back to `{back}`, and the row has `{held}` there"));
            }
        }
        let others = || self.scene.presses.iter().enumerate().filter(|(other, _)| *other != switch);
        let others = || others().flat_map(|(other, t)| t.iter().flat_map(Told::cells).map(move |m| (other, m.cell)));
        let mine = |cell: ColumnId| told.cells().iter().any(|m| m.cell == cell);
        if let Some((other, cell)) = others().find(|(other, cell)| *other < switch && mine(*cell)) {
            let other = self.columns.iter().find(|c| c.target == Target::Inside(other as u8));
            let (name, other) = (name(cell), other.map_or("", |c| &c.head));
            return Err(format!("`{name}` is moved by `{other}` too: one of the two switches does `nothing`"));
        }
        let stands = |at: ColumnId| match self.heard.idle(at, &self.sounds) {
            true => None,
            false => self.scene.values.get(at.index()).copied().flatten().or_else(|| self.heard.unsaid(at)),
        };
        let others: Vec<ColumnId> = others().map(|(_, cell)| cell).filter(|cell| !mine(*cell)).collect();
        let ways = ways::all(board, cells, told.cells(), stands, &others);
        if ways.is_empty() { Err(ways::none(cells, told.cells())) } else { Ok(ways) }
    }

    /// No more switches than the unit can do.
    fn few(&self, switch: usize, holds: bool) -> Result<(), String> {
        let has = self.compiled.book.board.switcher.as_ref().and_then(|s| s.inside);
        let (word, most) = if holds { ("holds", has.map(|i| i.holds)) } else { ("toggles", has.map(|i| i.toggles)) };
        let most = most.unwrap_or_default();
        let same = |told: &&Option<Told>| told.as_ref().and_then(Told::holds) == Some(holds);
        let before = self.scene.presses.iter().take(switch).filter(same).count();
        if before < most as usize {
            return Ok(());
        }
        Err(format!(
            "one more switch that {word}, and the board says that the unit does {most} in a preset: say in its \
             `switcher` what the unit does, as `inside: switches 6..7, toggles 2, holds 1`"
        ))
    }
}

//! The worksheet for programming the unit from empty.

use super::cells::{Group, columns, presets};
use crate::Compiled;

/// One slot to program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// The slot as the unit shows it.
    pub slot: String,
    /// The scene's name, cut to what the display can show.
    pub name: String,
    /// What to set, a group of cells each; cells that do not matter are left out.
    pub set: Vec<String>,
}

/// All slots that are filled, in order. A unit that is empty has every loop out and every contact open.
pub fn worksheet(compiled: &Compiled) -> Vec<Step> {
    let columns = columns(compiled);
    let letters = compiled.book.board.switcher.as_ref().and_then(|s| s.display).map_or(usize::MAX, usize::from);
    let rows = presets(compiled);
    let rows = rows.iter().filter(|row| !row.slot.is_empty());
    let step = |row: &super::PresetRow| {
        let mut set = Vec::new();
        for group in [Group::Loops, Group::Contacts, Group::Levels, Group::Outputs, Group::Messages] {
            let cells = columns.iter().zip(&row.cells).filter(|(c, cell)| c.group == group && !cell.free);
            let says: Vec<String> = cells.filter_map(|(c, cell)| one(group, &c.head, &c.name, &cell.text)).collect();
            let none = match group {
                Group::Loops => "no loop in",
                Group::Contacts => "all contacts open",
                _ => "",
            };
            match says.is_empty() {
                false => set.push(says.join(", ")),
                true if !none.is_empty() => set.push(none.to_owned()),
                true => {}
            }
        }
        Step { slot: row.slot.clone(), name: row.scene.chars().take(letters).collect(), set }
    };
    rows.map(step).collect()
}

/// A cell to set, in words; none for what an empty slot has already.
fn one(group: Group, head: &str, name: &str, value: &str) -> Option<String> {
    match (group, value) {
        (Group::Loops | Group::Contacts, "0") => None,
        (Group::Loops, "1") => Some(format!("{head} in")),
        (Group::Contacts, "1") => Some(format!("{head} closed")),
        (Group::Outputs, "1") => Some(format!("{head} on")),
        (Group::Outputs, "0") => Some(format!("{head} off")),
        (_, "stays") => Some(format!("{head}: send nothing")),
        (Group::Levels, "foot") => Some(format!("{head} to the foot")),
        (Group::Levels, value) if value != "?" => Some(format!("{head} at {value} %")),
        (Group::Messages, value) => {
            let channel = name.split_once(':').map_or("", |(midi, _)| midi).trim_start_matches("midi-");
            Some(format!("midi {channel}: {head} {value}"))
        }
        (_, value) => Some(format!("{head} {value}")),
    }
}

//! What the heads of a table mean: a head that is itself a word of the map stands for itself; any other is looked up in
//! the map that the user gave. What it might mean is only proposed.

use rustc_hash::FxHashMap;

use crate::book::Board;
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::near;
use crate::settle::{CellKind, Cells};
use crate::written::switch;

/// What a column holds.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Target {
    Slot,
    Bank,
    Switch,
    /// What a switch inside the preset does.
    Inside(u8),
    /// The scene's name.
    Scene,
    /// The text behind the name.
    Text,
    /// Nothing that a book says.
    Nothing,
    /// A column of the truth table.
    Cell(ColumnId),
    /// Whether a device sounds.
    Device(DeviceId),
    /// A control or level, by device.
    Control(DeviceId, ControlId),
}

const WORDS: [(&str, Target); 6] = [
    ("slot", Target::Slot),
    ("bank", Target::Bank),
    ("switch", Target::Switch),
    ("scene", Target::Scene),
    ("text", Target::Text),
    ("nothing", Target::Nothing),
];

/// Heads that people write, beside the word that they mean.
const WRITTEN: [(&str, &str); 14] = [
    ("name", "scene"),
    ("sound", "scene"),
    ("preset", "scene"),
    ("presetname", "scene"),
    ("scenename", "scene"),
    ("slots", "slot"),
    ("place", "slot"),
    ("button", "switch"),
    ("footswitch", "switch"),
    ("note", "text"),
    ("notes", "text"),
    ("remark", "text"),
    ("remarks", "text"),
    ("description", "text"),
];

/// The heads that the user gave a meaning, and those meanings.
#[derive(Clone, Debug, Default)]
pub struct Map(FxHashMap<String, String>);

impl Map {
    /// Reads lines `Head = loop 3`; a head may stand in quotes. Gives the lines that are none.
    pub fn read(lines: impl IntoIterator<Item = String>) -> (Map, Vec<String>) {
        let (mut map, mut wrong) = (Map::default(), Vec::new());
        for line in lines {
            let text = line.trim();
            if text.is_empty() || text.starts_with('#') {
                continue;
            }
            match text.rsplit_once('=') {
                Some((head, word)) if !word.trim().is_empty() => {
                    map.0.insert(key(unquoted(head.trim())), word.trim().to_owned());
                }
                _ => wrong.push(text.to_owned()),
            }
        }
        (map, wrong)
    }

    /// What a head was said to mean.
    pub fn says(&self, head: &str) -> Option<&str> {
        self.0.get(&key(head)).map(String::as_str)
    }

    /// Heads that the map names and the table has not.
    pub fn strangers<'h>(&self, heads: impl Iterator<Item = &'h str>) -> Vec<String> {
        let known: Vec<String> = heads.map(key).collect();
        let mut out: Vec<String> = self.0.keys().filter(|head| !known.contains(head)).cloned().collect();
        out.sort();
        out
    }
}

fn unquoted(head: &str) -> &str {
    head.strip_prefix('"').and_then(|h| h.strip_suffix('"')).unwrap_or(head)
}

/// Heads are told apart without case and by single blanks.
fn key(head: &str) -> String {
    head.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// What a word of the map stands for on a board.
pub fn target(word: &str, board: &Board, cells: &Cells) -> Option<Target> {
    let word = word.trim();
    if let Some((_, target)) = WORDS.iter().find(|(known, _)| *known == word) {
        return Some(*target);
    }
    let column = word.split_whitespace().collect::<Vec<_>>().join("-");
    if let Some(at) = cells.list.position(|cell| cell.name == column) {
        return Some(Target::Cell(at));
    }
    if let Some(switch) = switch::column(board, &column) {
        return Some(Target::Inside(switch));
    }
    let (device, control) = word.split_once('.').map_or((word, None), |(device, control)| (device, Some(control)));
    let at = board.devices.position(|d| d.name == device)?;
    let found = board.devices.get(at)?;
    match control {
        Some(control) => {
            let control = found.controls.position(|c| c.name == control)?;
            (!cells.of_control(at, control).is_empty()).then_some(Target::Control(at, control))
        }
        None if found.loop_at.is_some() || found.engaged_by.is_some() => Some(Target::Device(at)),
        None => None,
    }
}

/// The column of a switch inside presets, by a word of the map, whatever the board has: `switch-6`, `switch-F`.
pub fn of_switch(word: &str) -> Option<String> {
    let column = word.split_whitespace().collect::<Vec<_>>().join("-");
    let name = column.strip_prefix(switch::COLUMN)?;
    let mut letters = name.chars();
    let number = name.len() < 7 && name.parse::<u32>().is_ok_and(|number| number.to_string() == name);
    let letter = letters.next().is_some_and(|c| c.is_ascii_alphabetic()) && letters.next().is_none();
    (number || letter).then_some(column)
}

/// A word of the map for a column of the truth table: `remote 2 tip`, or the control that alone is sent there.
pub fn word(at: ColumnId, board: &Board, cells: &Cells) -> String {
    let Some(cell) = cells.list.get(at) else { return "nothing".to_owned() };
    match cell.kind {
        CellKind::Message { device, control, .. } | CellKind::ByFoot { device, control } => {
            let device = board.devices.get(device);
            let control = device.and_then(|d| d.controls.get(control));
            device.zip(control).map(|(d, c)| format!("{}.{}", d.name, c.name)).unwrap_or_default()
        }
        _ => cell.name.replace('-', " "),
    }
}

/// A column that a bare name of the hardware means: `L3`, `loop3`, `R2 tip`, `exp 1`, `out 2`, in the table's own words.
pub fn hardware(head: &str) -> Option<String> {
    let plain: String = head.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
    let letters = plain.find(|c: char| c.is_ascii_digit())?;
    let (word, rest) = plain.split_at(letters);
    let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let (number, side) = rest.split_at(digits);
    let number: u16 = number.parse().ok().filter(|n| *n > 0)?;
    let side = match side {
        "t" | "tip" => Some("tip"),
        "r" | "ring" => Some("ring"),
        "" => None,
        _ => return None,
    };
    match (word, side) {
        ("l" | "lp" | "loop", None) => Some(format!("loop-{number}")),
        ("r" | "rem" | "remote" | "jack" | "remotejack", Some(side)) => Some(format!("remote-{number}-{side}")),
        ("e" | "exp" | "expr" | "expression", None) => Some(format!("expression-{number}")),
        ("o" | "out" | "output", None) => Some(format!("output-{number}")),
        _ => None,
    }
}

/// What a head might mean: a guess, for its owner to confirm.
pub fn guess(head: &str, board: &Board, cells: &Cells) -> Option<String> {
    let plain: String = head.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
    if let Some((_, word)) = WRITTEN.iter().find(|(written, _)| *written == plain) {
        return Some((*word).to_owned());
    }
    if let Some(at) = hardware(head).and_then(|name| cells.list.position(|cell| cell.name == name)) {
        return Some(word(at, board, cells));
    }
    let words: Vec<String> = words(board, cells);
    let same =
        |word: &&String| word.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase() == plain;
    let near = || near::only(&head.to_lowercase(), words.iter().map(String::as_str)).map(str::to_owned);
    let switch = || of_switch(&head.to_lowercase()).map(|switch| switch.replacen('-', " ", 1));
    words.iter().find(same).cloned().or_else(switch).or_else(near)
}

/// Every word of the map that this board knows.
pub fn words(board: &Board, cells: &Cells) -> Vec<String> {
    let mut out: Vec<String> = WORDS.iter().map(|(word, _)| (*word).to_owned()).collect();
    out.extend(cells.list.ids().map(|at| word(at, board, cells)));
    out.extend(switch::names(board).into_iter().map(|name| format!("switch {name}")));
    for device in &board.devices {
        let names = device.controls.iter().map(|c| format!("{}.{}", device.name, c.name));
        out.extend(std::iter::once(device.name.clone()).chain(names).filter(|w| target(w, board, cells).is_some()));
    }
    out.dedup();
    out
}

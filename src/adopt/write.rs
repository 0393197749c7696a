//! The text of the book: scenes in the order of the table, what they share before them, slots at the end.

use super::groups::{Groups, Said, Word};
use super::layers::Piece;
use super::names::Names;
use super::reading::Scene;
use crate::book::{Slot, SlotRange};

/// What a book consists of, before it is text.
pub(super) struct Draft<'d> {
    pub scenes: &'d [Scene],
    pub parents: &'d [Option<usize>],
    pub bodies: &'d [Vec<Said>],
    pub pieces: &'d [Piece],
    pub default: &'d [Said],
    pub range: Option<SlotRange>,
}

/// Layers by name, scenes, slots; the names of layers are free ones.
pub(super) fn book(draft: &Draft<'_>, groups: &Groups<'_>, names: &mut Names) -> String {
    let mut out = String::new();
    if !draft.default.is_empty() {
        out += &format!(
            "# What a scene has unless it says otherwise.\ndefault {}\n\n",
            block(groups, draft.default, None)
        );
    }
    let layers: Vec<String> = draft.pieces.iter().map(|piece| names.free(&called(groups, &piece.says))).collect();
    if !layers.is_empty() {
        out += "# What several scenes share.\n";
    }
    for (name, piece) in layers.iter().zip(draft.pieces) {
        out += &format!("layer {name} {}\n", block(groups, &piece.says, None));
    }
    if !layers.is_empty() {
        out += "\n";
    }
    let mut mixed: Vec<Vec<&str>> = vec![Vec::new(); draft.scenes.len()];
    for (name, piece) in layers.iter().zip(draft.pieces) {
        for scene in &piece.by {
            if let Some(mixed) = mixed.get_mut(*scene) {
                mixed.push(name);
            }
        }
    }
    for (((scene, parent), body), mut mixed) in draft.scenes.iter().zip(draft.parents).zip(draft.bodies).zip(mixed) {
        out += "scene ";
        out += &scene.name;
        if !scene.text.is_empty() {
            out += &format!(" \"{}\"", scene.text);
        }
        if let Some(parent) = parent.and_then(|parent| draft.scenes.get(parent)) {
            out += &format!(" from {}", parent.name);
        }
        if !mixed.is_empty() {
            mixed.sort_unstable();
            out += &format!(" with {}", mixed.join(", "));
        }
        let again = scene.again.and_then(|again| draft.scenes.get(again)).map(|again| format!("again {}", again.name));
        if !body.is_empty() || again.is_some() {
            out.push(' ');
            out += &block(groups, body, again);
        }
        out.push('\n');
    }
    out + &slots(draft.scenes, draft.range)
}

/// `{ engage ember, wick; tide.depth 40 % }`
fn block(groups: &Groups<'_>, says: &[Said], again: Option<String>) -> String {
    let words = says.iter().filter(|said| **said != Said::MUTE).filter_map(|said| groups.words(*said)).flatten();
    let (mut engaged, mut bypassed, mut lines) = (Vec::new(), Vec::new(), Vec::new());
    for word in words {
        match word {
            Word::Engage(name) => engaged.push(name.as_str()),
            Word::Bypass(name) => bypassed.push(name.as_str()),
            Word::Line(line) => lines.push(line.clone()),
        }
    }
    let mut all = Vec::new();
    if says.contains(&Said::MUTE) {
        all.push("mute".to_owned());
    }
    if !engaged.is_empty() {
        all.push(format!("engage {}", engaged.join(", ")));
    }
    if !bypassed.is_empty() {
        all.push(format!("bypass {}", bypassed.join(", ")));
    }
    all.extend(lines.into_iter().chain(again));
    format!("{{ {} }}", all.join("; "))
}

/// A name for a layer: what it engages, else what it sets; with the states it sets.
fn called(groups: &Groups<'_>, says: &[Said]) -> String {
    let (mut devices, mut states) = (Vec::new(), Vec::new());
    for word in says.iter().filter_map(|said| groups.words(*said)).flatten() {
        match word {
            Word::Engage(name) => devices.push(name.replace(' ', "-")),
            Word::Bypass(name) => states.push(format!("no-{}", name.replace(' ', "-"))),
            Word::Line(line) => {
                let setting = line.split_once(' ').filter(|(of, _)| of.contains('.')).map(|(_, state)| state);
                let named = setting.filter(|s| s.chars().next().is_some_and(char::is_alphabetic) && !s.contains(' '));
                states.extend(named.map(str::to_owned));
            }
        }
    }
    let words: Vec<String> = devices.into_iter().chain(states).take(2).collect();
    if words.is_empty() { "shared".to_owned() } else { words.join("-") }
}

/// The slots, each pinned; a switch that is the same in every bank is said once.
fn slots(scenes: &[Scene], range: Option<SlotRange>) -> String {
    let Some(range) = range else { return String::new() };
    let mut pins: Vec<(Slot, &str)> = Vec::new();
    for scene in scenes {
        // What stands in a second row is said by the scene in the first.
        pins.extend(scene.slots.iter().filter(|slot| !slot.again).map(|slot| (*slot, scene.name.as_str())));
    }
    if pins.is_empty() {
        return String::new();
    }
    pins.sort_unstable();
    let mut out = "\nslots {\n".to_owned();
    for switch in 0..if range.banks > 1 { range.switches } else { 0 } {
        let mut here = pins.iter().filter(|(slot, _)| slot.switch == switch);
        let Some((first, name)) = here.next().copied() else { continue };
        if here.clone().count() + 1 == range.banks as usize && here.all(|(_, other)| *other == name) {
            let shown = range.show(Slot { bank: 0, ..first });
            let bank = range.first_bank.to_string();
            let switch_name = shown.strip_prefix(&bank).unwrap_or(&shown).trim_start_matches('.');
            out += &format!("  every bank switch {switch_name} {name}\n");
            pins.retain(|(slot, _)| slot.switch != switch);
        }
    }
    for (slot, name) in pins {
        out += &format!("  {} {name}\n", range.show(slot));
    }
    out + "}\n"
}

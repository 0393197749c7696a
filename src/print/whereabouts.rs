//! Where something is used: a line a song, with its parts, switches and scenes.

use super::doc::{Block, Cell, Doc, Table, named, para};
use crate::Compiled;
use crate::ask::{Fits, Thing, Used};
use crate::book::Slot;
use crate::fill::Places;
use crate::ids::SceneId;
use crate::study::pressed::Pressed;

/// So many slots of one scene are listed.
const FEW: usize = 3;

/// What is asked after, how often it is used, and a line a song.
pub fn doc(compiled: &Compiled, thing: &Thing, used: &Used) -> Doc {
    let (places, pressed) =
        (Places::of(&compiled.book, &compiled.presets), Pressed::of(&compiled.book, &compiled.presets));
    let show = &compiled.book.show;
    let all = show.scenes.iter().filter(|s| !s.repeated).count();
    let says = thing.says(&compiled.book);
    let mut blocks = Vec::new();
    if used.songs.is_empty() && used.scenes.is_empty() && used.pressed.is_empty() {
        blocks.push(Block::Para(named(&format!("{says}: used nowhere, in none of {}", counted(all, "scene")))));
        return Doc::report(compiled, "where it is used", blocks);
    }
    let (songs, scenes) = (counted(show.songs.len(), "song"), counted(all, "scene"));
    let head = format!("{says}: in {} of {songs}, {} of {scenes}", used.songs.len(), used.scenes.len());
    blocks.push(Block::Para(named(&head)));
    let rows = used.songs.iter().map(|found| {
        let song = show.songs.get(found.song);
        let part = |(part, scene, fits): &(u32, SceneId, Fits)| {
            let label = song.and_then(|s| s.parts.get(*part as usize)).map_or("?", |p| p.label.as_str());
            // A part named like its scene is named once.
            let base = show.scene(show.base(*scene));
            let own = base.is_some_and(|s| s.name == label);
            let slots = stood(shown(compiled, pressed.at((found.song, *part))));
            let name = base.filter(|_| !own).map_or(String::new(), |s| format!(" {}", s.name));
            format!("{label}{slots}{name}{}", mark(*fits))
        };
        let parts: Vec<String> = found.parts.iter().map(part).collect();
        Cell::row([song.map_or(String::new(), |s| s.title.to_string()), parts.join("; ")])
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    if !rows.is_empty() {
        blocks.push(Block::Table(Table::new("where it is used", &["song", "parts"], 1, &[1], rows)));
    }
    for (how, scenes) in [("in no song", &used.unplayed), ("by a switch inside the preset", &used.pressed)] {
        let scene =
            |(id, fits): &(SceneId, Fits)| format!("{}{}", stands(compiled, &places, *id).trim_start(), mark(*fits));
        let scenes: Vec<String> = scenes.iter().map(scene).collect();
        blocks.extend((!scenes.is_empty()).then(|| para(format!("{how}: {}", scenes.join("; ")))));
    }
    Doc::report(compiled, "where it is used", blocks)
}

/// One record a part, then one a scene that no song plays (RFC 4180).
pub fn csv(compiled: &Compiled, used: &Used) -> String {
    let (places, pressed) =
        (Places::of(&compiled.book, &compiled.presets), Pressed::of(&compiled.book, &compiled.presets));
    let show = &compiled.book.show;
    let name = |scene: SceneId| show.scene(scene).map_or(String::new(), |s| s.name.to_string());
    let how = |fits: Fits| mark(fits).trim().trim_matches(['(', ')']).to_owned();
    let mut records = Vec::new();
    for found in &used.songs {
        let Some(song) = show.songs.get(found.song) else { continue };
        for (part, scene, fits) in &found.parts {
            let label = song.parts.get(*part as usize).map_or(String::new(), |p| p.label.to_string());
            let slots = shown(compiled, pressed.at((found.song, *part))).join(" ");
            records.push([song.title.to_string(), label, name(*scene), slots, how(*fits)]);
        }
    }
    for (scene, fits) in &used.unplayed {
        let slots = slots(compiled, &places, *scene).join(" ");
        records.push([String::new(), String::new(), name(*scene), slots, how(*fits)]);
    }
    super::csv::records(&["song", "part", "scene", "slots", "how"], records)
}

/// ` 1.4 swell`: where a scene stands, and its name.
fn stands(compiled: &Compiled, places: &Places, scene: SceneId) -> String {
    let name = compiled.book.show.scene(compiled.book.show.base(scene)).map_or("?", |s| s.name.as_str());
    format!("{} {name}", stood(slots(compiled, places, scene)))
}

fn stood(mut slots: Vec<String>) -> String {
    let more = slots.len().saturating_sub(FEW);
    slots.truncate(FEW);
    let slots = slots.iter().map(|slot| format!(" {slot}")).collect::<String>();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    slots + &more
}

fn slots(compiled: &Compiled, places: &Places, scene: SceneId) -> Vec<String> {
    shown(compiled, places.all(scene).iter().map(|(_, slot)| *slot))
}

fn shown(compiled: &Compiled, slots: impl Iterator<Item = Slot>) -> Vec<String> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    range.map_or(Vec::new(), |range| slots.map(|slot| range.show(slot)).collect())
}

fn mark(fits: Fits) -> &'static str {
    match fits {
        Fits::Foot => " (under the foot)",
        Fits::Unknown => " (not known)",
        Fits::No | Fits::Yes => "",
    }
}

fn counted(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

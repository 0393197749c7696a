//! A comparison for other programs.

use serde_json::{Map, Value, json};

use super::words;
use crate::compare::Comparison;
use crate::compare::edits::Work;
use crate::compare::heard::{PartTurn, SceneTurn, SongTurn, Turn, What};
use crate::compare::said::{Area, Stated};
use crate::compare::sets::{Fate, SetLine};

/// The whole comparison as one object; `source` is the text diff of the files, where wanted.
pub fn all(comparison: &Comparison<'_>, source: Option<&str>) -> String {
    let list = |area: Area| comparison.of(area).map(stated).collect::<Vec<_>>();
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| drop(out.insert(key.to_owned(), value));
    put("format", json!("tipring-diff"));
    put("version", json!(1));
    put("same", json!(comparison.same()));
    put(
        "heard",
        json!({
            "songs": comparison.songs.iter().map(song).collect::<Vec<_>>(),
            "scenes": comparison.scenes.iter().map(scene).collect::<Vec<_>>(),
        }),
    );
    let work: Vec<Value> = comparison.work.iter().map(|w| self::work(comparison, w)).collect();
    put(
        "reprogrammed",
        json!({
            "slots": work,
            "emptied": comparison.emptied.iter().map(|(slot, scene)| json!({
                "slot": words::slot(comparison.old, *slot), "scene": words::scene(comparison.old, *scene),
            })).collect::<Vec<_>>(),
        }),
    );
    put("hardware", json!(list(Area::Hardware)));
    put("knobs", json!(list(Area::Knobs)));
    put("rules", json!(list(Area::Rules)));
    put(
        "sets",
        comparison
            .sets
            .iter()
            .map(|s| {
                json!({
                    "was": s.was, "now": s.now, "lines": s.lines.iter().map(line).collect::<Vec<_>>(),
                })
            })
            .collect(),
    );
    if let Some(source) = source {
        put("source", json!(source));
    }
    serde_json::to_string_pretty(&Value::Object(out)).unwrap_or_default() + "\n"
}

fn turn(turn: &Turn) -> Value {
    let (what, kind) = match &turn.what {
        What::Pedal(name) => (name.clone(), "pedal"),
        What::Amp(name) => (name.clone(), "amp"),
        What::Setting(device, control) => (format!("{device}.{control}"), "setting"),
        What::Jack(name) => (name.clone(), "jack"),
    };
    json!({ "what": what, "kind": kind, "was": turn.was, "now": turn.now })
}

fn turns(list: &[Turn]) -> Vec<Value> {
    list.iter().map(turn).collect()
}

fn song(song: &SongTurn) -> Value {
    let facts = song.facts.iter().map(|(what, was, now)| json!({ "what": what, "was": was, "now": now }));
    json!({
        "was": song.was, "now": song.now, "reordered": song.reordered,
        "facts": facts.collect::<Vec<_>>(), "parts": song.parts.iter().map(part).collect::<Vec<_>>(),
    })
}

fn part(part: &PartTurn) -> Value {
    json!({
        "was": part.was, "now": part.now,
        "scene": { "was": part.scenes.0, "now": part.scenes.1 },
        "changes": turns(&part.turns),
        "notes": { "was": part.notes.0, "now": part.notes.1 },
    })
}

fn scene(scene: &SceneTurn) -> Value {
    json!({ "was": scene.was, "now": scene.now, "changes": turns(&scene.turns), "songs": scene.songs })
}

fn work(comparison: &Comparison<'_>, work: &Work) -> Value {
    let (old, new) = (comparison.old, comparison.new);
    let cells = work.edits.iter().map(|edit| {
        let (was, now) = words::values(old, new, edit);
        let name = new.table.cells.list.get(edit.cell as usize).map_or("", |c| c.name.as_str());
        json!({ "cell": name, "was": was, "now": now })
    });
    json!({
        "slot": words::slot(new, work.slot),
        "scene": { "was": work.was.map(|s| words::scene(old, s)), "now": words::scene(new, work.now) },
        "display": work.label,
        "cells": cells.collect::<Vec<_>>(),
    })
}

fn stated(stated: &Stated) -> Value {
    json!({ "about": stated.about, "fact": stated.fact, "was": stated.was, "now": stated.now })
}

fn line(line: &SetLine) -> Value {
    let (fate, after) = match &line.fate {
        Fate::Came(after) => ("came", after.as_deref()),
        Fate::Went => ("went", None),
        Fate::Moved(after) => ("moved", after.as_deref()),
    };
    json!({ "title": line.title, "pause": line.pause, "fate": fate, "after": after })
}

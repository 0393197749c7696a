//! A comparison for other programs.

use serde_json::{Map, Value, json};

use super::calls;
use super::leads::{self, Told as LeadTold};
use super::stated::{Told, told};
use super::{sound, words};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::Comparison;
use crate::compare::heard::{Change, NoteSaid, PartChange, SceneChange, SongChange, Tone, What};
use crate::compare::helpers::HelperWork;
use crate::compare::pairing::{Renamed, THRESHOLD};
use crate::compare::sets::{Fate, LineName, SetLine};
use crate::compare::stated::Area;
use crate::compare::todo::{Source, Work};
use crate::fill::helpers::own_loops;
use crate::ids::SceneId;

/// The whole comparison as one object; `source` is the text diff of the files, where wanted.
pub fn all(comparison: &Comparison<'_>, source: Option<&str>) -> String {
    let list = |area: Area| stated(comparison, area);
    let mut out = Map::new();
    let mut put = |key: &str, value: Value| drop(out.insert(key.to_owned(), value));
    put("format", json!("tipring-diff"));
    put("version", json!(1));
    put("same", json!(comparison.same()));
    put("sources", json!({ "was": comparison.sources.0, "now": comparison.sources.1 }));
    let heard = json!({
        "songs": comparison.songs.iter().map(song).collect::<Vec<_>>(),
        "scenes": comparison.scenes.iter().map(scene).collect::<Vec<_>>(),
    });
    put("heard", heard);
    put("renamed", comparison.matched.renamed.iter().map(renamed).collect());
    put("threshold", json!(THRESHOLD));
    put("paired_greedily", comparison.matched.greedy.iter().map(|kind| json!(words::paired(*kind))).collect());
    put("reprogrammed", reprogrammed(comparison));
    if !comparison.helpers.is_empty() {
        put("helpers", helpers(comparison));
    }
    if !comparison.calls.is_empty() {
        put("calls", calls::json(comparison));
    }
    put("touched", touched(comparison));
    put("walk", step_through(comparison));
    put(
        "rewired",
        comparison
            .rewired
            .iter()
            .map(|r| rewired(&r.says, json!({ "loop": r.number, "was": r.was, "now": r.now })))
            .collect(),
    );
    put(
        "relabelled",
        comparison
            .relabelled
            .iter()
            .map(|r| rewired(&r.says, json!({ "loop": r.number, "pedal": r.pedal, "was": r.was, "now": r.now })))
            .collect(),
    );
    put("leads", leads::told(comparison).into_iter().map(|(says, told)| lead(&says, &told)).collect());
    put("panel", leads::panel(comparison).into_iter().map(Value::from).collect());
    put("hardware", list(Area::Hardware));
    put("knobs", list(Area::Knobs));
    put("rules", list(Area::Rules));
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

/// The presets to store in each helper, with the loops that they engage.
fn helpers(comparison: &Comparison<'_>) -> Value {
    let own = |loops: u32| own_loops(loops).collect::<Vec<u16>>();
    let of = |work: &HelperWork| {
        let name = comparison.new.book.board.devices.get(work.device).map(|d| d.name.clone());
        let presets =
            work.presets.iter().map(|e| json!({ "preset": e.number, "was": e.was.map(own), "now": own(e.now) }));
        json!({ "helper": name, "presets": presets.collect::<Vec<_>>() })
    };
    comparison.helpers.iter().map(of).collect()
}

/// A loop of a helper has no number of the switcher's: it goes by its words.
fn rewired(says: &str, mut told: Value) -> Value {
    if let Some(place) = told.get_mut("loop").filter(|_| says.contains(" of ")) {
        *place = json!(says);
    }
    told
}

fn lead(says: &str, told: &LeadTold) -> Value {
    json!({
        "what": told.what, "was": told.was, "now": told.now, "from": told.from, "to": told.to, "says": says,
    })
}

fn renamed(renamed: &Renamed) -> Value {
    json!({ "kind": words::paired(renamed.kind), "was": renamed.was, "now": renamed.now, "likeness": renamed.likeness })
}

fn row(book: &Compiled, slot: Slot, scene: SceneId) -> Value {
    json!({ "slot": words::slot(book, slot), "scene": words::scene(book, scene) })
}

fn reprogrammed(comparison: &Comparison<'_>) -> Value {
    let books = (comparison.old, comparison.new);
    let slots: Vec<Value> = comparison.list.work.iter().map(|w| Value::Object(work(books, w))).collect();
    let emptied = comparison.touched.emptied.iter().map(|(slot, scene)| row(comparison.old, *slot, *scene));
    let mut out = json!({
        "count": comparison.list.count(),
        "copies": comparison.options.copies,
        "least": comparison.list.least(),
        "none_below": comparison.list.fewest,
        "slots": slots,
        "emptied": emptied.collect::<Vec<_>>(),
    });
    let switched = comparison.switched.iter().map(|one| {
        json!({ "slot": words::slot(comparison.new, one.slot), "says": super::inside::says(comparison.new, one) })
    });
    let switched: Vec<Value> = switched.collect();
    if let (false, Some(out)) = (switched.is_empty(), out.as_object_mut()) {
        out.insert("switches".to_owned(), switched.into());
    }
    out
}

fn touched(comparison: &Comparison<'_>) -> Value {
    let touched = &comparison.touched;
    let songs = touched.songs.iter().map(|(song, slots)| {
        let slots: Vec<String> = slots.iter().map(|s| words::slot(comparison.new, *s)).collect();
        json!({ "song": song, "slots": slots })
    });
    let unplayed = touched.unplayed.iter().map(|(slot, scene)| row(comparison.new, *slot, *scene));
    json!({ "songs": songs.collect::<Vec<_>>(), "unplayed": unplayed.collect::<Vec<_>>() })
}

fn step_through(comparison: &Comparison<'_>) -> Value {
    let found = &comparison.step_through;
    let steps = found.steps.iter().map(|(slot, scene, fresh)| {
        json!({
            "slot": words::slot(comparison.new, *slot),
            "scene": words::scene(comparison.new, *scene),
            "changes": fresh,
        })
    });
    json!({ "changes": found.changes, "fewest": found.fewest, "slots": steps.collect::<Vec<_>>() })
}

fn change(change: &Change) -> Value {
    let kind = match &change.what {
        What::Pedal(_) => "pedal",
        What::Amp(_) => "amp",
        What::Tuner(_) => "tuner",
        What::Setting(..) => "setting",
        What::Order => "order",
        What::Guitar => "guitar",
        What::Loop(_) | What::Contact(_) | What::Port(_) | What::Output(_) | What::Sound => "jack",
    };
    let says = |standing: &Option<_>| standing.as_ref().map(sound::standing);
    json!({ "what": sound::what(&change.what), "kind": kind, "was": says(&change.was), "now": says(&change.now) })
}

fn changes(list: &[Change]) -> Vec<Value> {
    list.iter().map(change).collect()
}

fn song(song: &SongChange) -> Value {
    let facts = song.facts.iter().map(|fact| {
        let (what, was, now) = sound::fact(fact);
        json!({ "what": what, "was": was, "now": now })
    });
    json!({
        "was": song.was, "now": song.now, "reordered": song.reordered,
        "facts": facts.collect::<Vec<_>>(), "parts": song.parts.iter().map(part).collect::<Vec<_>>(),
    })
}

fn part(part: &PartChange) -> Value {
    let notes = |list: &[NoteSaid]| list.iter().map(sound::note).collect::<Vec<_>>();
    json!({
        "was": part.was, "now": part.now,
        "scene": { "was": part.scenes.0, "now": part.scenes.1 },
        "changes": changes(&part.changes),
        "level_db": part.tone.level,
        "treble_hz": treble(part.tone),
        "peak_db": part.tone.peak,
        "notes": { "was": notes(&part.notes.0), "now": notes(&part.notes.1) },
    })
}

fn treble(tone: Tone) -> Option<Value> {
    tone.treble.map(|(was, now)| json!({ "was": was, "now": now }))
}

fn scene(scene: &SceneChange) -> Value {
    let guitars = scene
        .tones
        .iter()
        .map(|(guitar, tone)| json!({ "guitar": guitar, "level_db": tone.level, "treble_hz": treble(*tone), "peak_db": tone.peak }));
    json!({
        "was": scene.was, "now": scene.now,
        "changes": changes(&scene.changes),
        "guitars": guitars.collect::<Vec<_>>(),
        "songs": scene.songs,
    })
}

pub(super) fn work((old, new): (&Compiled, &Compiled), work: &Work) -> Map<String, Value> {
    let cells = work.edits.iter().map(|edit| {
        let (was, now) = words::values(old, new, edit);
        let name = new.table.cells.list.get(edit.cell).map_or("", |c| c.name.as_str());
        json!({ "cell": name, "was": was, "now": now })
    });
    let from = work.from.map(|from| match from {
        Source::Old(slot, scene) => row(old, slot, scene),
        Source::New(slot, scene) => row(new, slot, scene),
    });
    let scene = json!({ "was": work.was.map(|s| words::scene(old, s)), "now": words::scene(new, work.now) });
    let fields = [
        ("slot", json!(words::slot(new, work.slot))),
        ("scene", scene),
        ("from", json!(from)),
        ("from_new", json!(matches!(work.from, Some(Source::New(..))))),
        ("display", json!(work.label)),
        ("cells", cells.collect()),
    ];
    fields.into_iter().map(|(key, value)| (key.to_owned(), value)).collect()
}

fn stated(comparison: &Comparison<'_>, area: Area) -> Value {
    let one = |s: Told<'_>| json!({ "about": s.about, "fact": s.fact, "was": s.stated.was, "now": s.stated.now });
    told(comparison.of(area)).into_iter().map(one).collect()
}

fn line(line: &SetLine) -> Value {
    let (fate, after) = match &line.fate {
        Fate::Came(after) => ("came", after.as_ref().map(title)),
        Fate::Went => ("went", None),
        Fate::Moved(after) => ("moved", after.as_ref().map(title)),
    };
    let pause = matches!(line.name, LineName::Pause(_));
    json!({ "title": title(&line.name), "pause": pause, "fate": fate, "after": after })
}

fn title(name: &LineName) -> &str {
    match name {
        LineName::Song(text) | LineName::Pause(text) => text,
        LineName::Encore => "encore",
    }
}

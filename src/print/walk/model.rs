//! What every format of the walk prints, in words.

use serde::Serialize;
use smol_str::SmolStr;

use super::turns::turns;
use crate::Compiled;
use crate::ask::Spot;
use crate::book::amount;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::print::sheet;
use crate::print::sheet::Held;
use crate::settle;
use crate::study::momentary::recovery;
use crate::study::walk::{self, Change, Jump, LevelStep, Manual, Place, TailCut, Takes, Totals, Walked};
use crate::written::cell;

/// The whole.
#[derive(Serialize)]
pub struct Pages {
    /// The board's title.
    pub board: String,
    /// One a set, or a song that is in no set.
    pub sets: Vec<Page>,
    /// What to see to after a power loss.
    pub after_power_loss: Vec<Line>,
    /// What would have to be stated for more figures.
    pub missing: Vec<String>,
}

/// One thing to see to.
#[derive(Serialize)]
pub struct Line {
    /// What.
    pub what: String,
    /// How it stands then.
    pub stands: String,
    /// What to do.
    pub way: String,
}

/// One set.
#[derive(Serialize)]
pub struct Page {
    /// The set's title, or the song's.
    pub title: String,
    /// Its sums.
    pub totals: Totals,
    /// The five worst changes inside songs, by their number.
    pub worst: Vec<usize>,
    /// Its changes.
    pub changes: Vec<Row>,
}

/// One change.
#[derive(Serialize)]
pub struct Row {
    /// Its number in the set, from 1.
    pub number: usize,
    /// The song.
    pub song: String,
    /// The part.
    pub part: String,
    /// The song it comes from.
    pub from_song: Option<String>,
    /// The part it comes from.
    pub from_part: Option<String>,
    /// The scene it comes from, and its slot.
    pub from: Option<String>,
    /// That slot.
    pub from_slot: Option<String>,
    /// The scene it goes to.
    pub scene: String,
    /// Its slot.
    pub slot: Option<String>,
    /// It lies inside a song.
    pub inside: bool,
    /// It is called from outside: no foot presses.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub called: bool,
    /// Presses.
    pub presses: Option<u32>,
    /// Loops that move.
    pub loops: Vec<String>,
    /// Contacts that move, by the columns of the table.
    pub contacts: Vec<String>,
    /// What is set otherwise, as it is heard: `larch channel to lead`.
    pub turns: Vec<String>,
    /// What a hand or foot does.
    pub manual: Vec<String>,
    /// What hands change between two parts of one song: the guitar, its tuning, its capo.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hands: Vec<String>,
    /// What a foot holds while the part sounds.
    pub held: Vec<String>,
    /// Feet wanted at one moment.
    pub feet: u32,
    /// The part asks both feet or more while it sounds.
    pub crowded: bool,
    /// Levels that jump.
    pub jumps: Vec<String>,
    /// How much louder, in dB, by the gains of switched pedals.
    pub level_db: Option<f64>,
    /// Tails that are cut.
    pub tails: Vec<String>,
    /// How much it hurts.
    pub pain: u32,
}

/// Builds the pages; only of one set when it is named.
pub fn pages(compiled: &Compiled, set: Option<&str>) -> Pages {
    let wanted = |w: &&Walked| set.is_none_or(|s| crate::book::song::title_key(s) == key(compiled, w));
    let walk = compiled.walk();
    let walked: Vec<&Walked> = walk.runs.iter().filter(wanted).collect();
    let changes: Vec<&Change> = walked.iter().flat_map(|w| &w.changes).collect();
    let missing = missing(compiled, &changes);
    let lines = recovery::list(&compiled.book, &compiled.table).into_iter();
    Pages {
        board: board(compiled),
        sets: walked.into_iter().map(|w| page(compiled, w)).collect(),
        after_power_loss: lines.map(|r| Line { what: r.what, stands: r.stands, way: r.way }).collect(),
        missing,
    }
}

/// The changes from some places straight to others.
#[derive(Serialize)]
pub struct Between {
    /// The board's title.
    pub board: String,
    /// Each with the song that it starts from, when it leaves it.
    pub changes: Vec<Row>,
    /// What would have to be stated for more figures.
    pub missing: Vec<String>,
}

/// Builds the changes between pairs of places, numbered as they were asked for.
pub fn between(compiled: &Compiled, pairs: &[[Spot; 2]]) -> Between {
    let pairs: Vec<[walk::Stand; 2]> = pairs.iter().map(|pair| pair.map(|s| (s.scene, s.part))).collect();
    let changes = walk::between(&compiled.book, &compiled.table, &compiled.presets, &pairs);
    let rows = changes.iter().zip(1..).map(|(change, number)| row(compiled, number, change));
    Between {
        board: board(compiled),
        changes: rows.collect(),
        missing: missing(compiled, &changes.iter().collect::<Vec<_>>()),
    }
}

fn board(compiled: &Compiled) -> String {
    compiled.book.board.title.as_ref().map_or(String::new(), |b| b.value.clone())
}

/// What would have to be stated for more figures.
fn missing(compiled: &Compiled, changes: &[&Change]) -> Vec<String> {
    let mut missing = Vec::new();
    if compiled.book.board.timing.presses.is_none() && compiled.book.board.switcher.is_some() {
        missing.push("presses: say `presses: same bank 1, bank step 1` in `switcher`".to_owned());
    }
    if compiled.momentary.reach.cut_short {
        missing.push("pulses: too many momentary controls to follow every way".to_owned());
    }
    let mut silent: Vec<&str> = Vec::new();
    for change in changes {
        if let LevelStep::Missing(devices) = &change.level {
            silent.extend(devices.iter().map(|d| device(compiled, *d)));
        }
    }
    let legs =
        changes.iter().filter_map(|c| if let LevelStep::Legs(devices) = &c.level { Some(devices) } else { None });
    let mut legs: Vec<&str> = legs.flatten().map(|d| device(compiled, *d)).collect();
    legs.sort_unstable();
    legs.dedup();
    silent.sort_unstable();
    silent.dedup();
    missing.extend(legs.iter().map(|name| format!("level steps through the legs of `{name}`: `signal` adds them up")));
    missing.extend(silent.iter().map(|name| format!("level steps: `{name}` states no `gain`")));
    missing
}

fn key(compiled: &Compiled, walked: &Walked) -> SmolStr {
    crate::book::song::title_key(walked.run.title(&compiled.book))
}

fn page(compiled: &Compiled, walked: &Walked) -> Page {
    let changes = walked.changes.iter().enumerate().map(|(i, c)| row(compiled, i + 1, c)).collect();
    Page {
        title: walked.run.title(&compiled.book).to_owned(),
        totals: walked.totals(),
        worst: walked.worst().into_iter().map(|i| i + 1).collect(),
        changes,
    }
}

fn row(compiled: &Compiled, number: usize, change: &Change) -> Row {
    let book = &compiled.book;
    let (song, part) = part_of(compiled, &change.to);
    let scene = |p: &Place| book.show.scene(p.scene).map_or(String::new(), |s| s.name.to_string());
    let column = |c: &ColumnId| compiled.table.cells.list.get(*c).map_or(String::new(), |c| c.name.clone());
    Row {
        number,
        song,
        turns: turns(compiled, change),
        part,
        from_song: change.from.as_ref().map(|p| part_of(compiled, p).0).filter(|song| !song.is_empty()),
        from_part: change.from.as_ref().map(|p| part_of(compiled, p).1).filter(|part| !part.is_empty()),
        from: change.from.as_ref().map(scene),
        from_slot: change.from.as_ref().and_then(|p| slot(compiled, p)),
        scene: scene(&change.to),
        slot: slot(compiled, &change.to),
        inside: change.inside,
        called: change.called,
        presses: change.presses,
        loops: moves(compiled, change),
        contacts: change.contacts.iter().map(column).collect(),
        manual: change.manual.iter().map(|m| manual(compiled, change.to.scene, m)).collect(),
        hands: hands(compiled, change),
        held: change.held.iter().map(|(d, c)| hold(compiled, change.to.scene, *d, *c)).collect(),
        feet: change.feet,
        crowded: change.crowded(),
        jumps: change.jumps.iter().map(|j| jump(compiled, change, j)).collect(),
        level_db: match &change.level {
            LevelStep::Db(db) => Some((db * 10.0).round() / 10.0),
            _ => None,
        },
        tails: change.tails.iter().map(|cut| tail(compiled, cut)).collect(),
        pain: change.pain(),
    }
}

/// What hands change on the way from one part of a song to another: `take arch, tuned drop D`.
fn hands(compiled: &Compiled, change: &Change) -> Vec<String> {
    let place = |place: &Place| {
        let (song, part) = place.part?;
        let song = compiled.book.show.songs.get(song)?;
        Some((song, Held::of(song, song.parts.get(part as usize))))
    };
    let (Some((song, was)), Some((other, now))) = (change.from.as_ref().and_then(place), place(&change.to)) else {
        return Vec::new();
    };
    if !std::ptr::eq(song, other) {
        return Vec::new();
    }
    let mut out = Vec::new();
    let taken = now.guitar.filter(|_| now.guitar != was.guitar).and_then(|g| compiled.book.board.guitars.get(g));
    if let Some(guitar) = taken {
        out.push(format!("take {}", guitar.name));
        out.extend(now.tuning.map(|tuning| format!("tuned {tuning}")));
        out.extend(now.capo.map(|fret| format!("capo {fret}")));
        return out;
    }
    if now.tuning != was.tuning {
        out.push(now.tuning.map_or("tune back to standard".to_owned(), |tuning| format!("tune to {tuning}")));
    }
    if now.capo != was.capo {
        out.push(now.capo.map_or("capo off".to_owned(), |fret| format!("capo {fret}")));
    }
    out
}

/// A song's title and a part's label.
fn part_of(compiled: &Compiled, place: &Place) -> (String, String) {
    let song = place.part.and_then(|(s, _)| compiled.book.show.songs.get(s));
    let part = song.zip(place.part).and_then(|(song, (_, p))| song.parts.get(p as usize));
    (song.map_or(String::new(), |s| s.title.to_string()), part.map_or(String::new(), |p| p.label.to_string()))
}

fn slot(compiled: &Compiled, place: &Place) -> Option<String> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots)?;
    place.slot.map(|slot| range.show(slot))
}

fn device(compiled: &Compiled, number: DeviceId) -> &str {
    compiled.book.board.devices.get(number).map_or("?", |d| d.name.as_str())
}

fn control(compiled: &Compiled, number: DeviceId, control: ControlId) -> &str {
    let found = compiled.book.board.devices.get(number).and_then(|d| d.controls.get(control));
    found.map_or("?", |c| c.name.as_str())
}

/// What goes in and out: loops by number, then pedals that are engaged otherwise.
fn moves(compiled: &Compiled, change: &Change) -> Vec<String> {
    let in_loop =
        |n: u16| compiled.book.board.in_loop(n).map_or_else(|| compiled.book.board.loop_says(n), |d| d.name.clone());
    let loops = change.loops.iter().map(|(n, on)| (in_loop(*n), *on));
    let switched = change.switched.iter().map(|(d, on)| (device(compiled, *d).to_owned(), *on));
    loops.chain(switched).map(|(what, on)| format!("{what} {}", if on { "in" } else { "out" })).collect()
}

fn manual(compiled: &Compiled, scene: SceneId, manual: &Manual) -> String {
    match manual {
        Manual::Move { device: d, control: c, value } => {
            let column = compiled.table.cells.of_control(*d, *c).first();
            let column = column.and_then(|c| compiled.table.cells.list.get(*c));
            let mut to = String::new();
            match (settle::Row::of(&compiled.book, &compiled.table, scene).amount(*d, *c), column) {
                (Some(amount), _) => to = amount::show(amount),
                (None, Some(column)) => cell::write(&mut to, &compiled.book.board, column, *value),
                _ => {}
            }
            format!("{} {} to {to}", device(compiled, *d), control(compiled, *d, *c))
        }
        Manual::Tap { device: d, note } => {
            let name = d.and_then(|d| compiled.book.board.devices.get(d)).map_or("?", |d| d.name.as_str());
            format!("tap {name} ({note})")
        }
        Manual::Hand(text) => text.clone(),
    }
}

/// `hold tide depth on left-treadle, heel down to start`.
fn hold(compiled: &Compiled, scene: SceneId, d: DeviceId, c: ControlId) -> String {
    let column = compiled.table.cells.of_control(d, c).first();
    column.map_or(String::new(), |c| sheet::hold(compiled, scene, *c).0)
}

/// A level that jumps, in words.
fn jump(compiled: &Compiled, change: &Change, jump: &Jump) -> String {
    let (d, c) = jump.level;
    let found = compiled.book.board.devices.get(d).and_then(|d| d.controls.get(c));
    let steps = compiled.table.cells.list.get(jump.port).map_or(2, |c| c.steps);
    let value = |step: u16| match found.and_then(|f| f.how.level()) {
        Some((from, to)) => amount::show(amount::at_step(step, steps, from, to)),
        None => "?".to_owned(),
    };
    let stood = settle::Row::of(&compiled.book, &compiled.table, jump.held.0).amount(d, c);
    let stood = stood.map_or("?".to_owned(), amount::show);
    let what = format!("{} {}", device(compiled, d), control(compiled, d, c));
    // The ends of the foot's way in the scene before or after; where a treadle on an input moves it they are its own.
    let ends = |scene: Option<SceneId>| {
        let row = scene.map(|scene| settle::Row::of(&compiled.book, &compiled.table, scene))?;
        row.way(d, c).map(|(_, heel, toe)| (amount::show(heel), amount::show(toe)))
    };
    let stands = |scene| match ends(scene) {
        Some((heel, toe)) => {
            // Where it stands anyhow it does not jump.
            let leaps = |at: &String| *at != stood || jump.takes == Takes::Otherwise;
            let ends = [(heel, "heel"), (toe, "toe")].into_iter().filter(|(at, _)| leaps(at));
            ends.map(|(at, end)| format!("{at} ({end})")).collect::<Vec<_>>().join(" or ")
        }
        None => "wherever the treadle stands".to_owned(),
    };
    let (before, after) = (change.from.map(|from| from.scene), Some(change.to.scene));
    match jump.takes {
        Takes::Anywhere => format!("{what}: from {stood} to {}", stands(after)),
        Takes::From(start) => format!("{what}: from {stood} to {}, where the foot starts", value(start)),
        Takes::GivesBack => format!("{what}: from {} to {stood}", stands(before)),
        Takes::Otherwise => format!("{what}: from {} to {}", stands(before), stands(after)),
    }
}

fn tail(compiled: &Compiled, cut: &TailCut) -> String {
    let by = if cut.by_program { ", and is sent a program" } else { "" };
    format!("{} rings {} s{by}", device(compiled, cut.device), cut.seconds)
}

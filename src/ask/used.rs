//! Where a thing is used: in which scenes, and which parts of which songs play them.

use super::part::by_title;
use super::{Thing, words};
use crate::Compiled;
use crate::book::{Bound, How, Part, Plugged};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId, SongId};
use crate::settle::bytes::Message;
use crate::settle::inside::switches;
use crate::settle::{Answer, Cell, CellKind, Row, Setting, Value};
use crate::study::walk::Under;

/// Whether a scene uses something.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fits {
    /// It does not.
    No,
    /// Nobody knows: the book has a mistake there.
    Unknown,
    /// Where the foot stands decides.
    Foot,
    /// It does.
    Yes,
}

/// The parts of one song that use something: part and scene.
#[derive(Clone, PartialEq, Debug)]
pub struct InSong {
    /// The song, an index.
    pub song: SongId,
    /// Its parts: place in the song, scene, and how far they do.
    pub parts: Vec<(u32, SceneId, Fits)>,
}

/// Where something is used.
#[derive(Clone, PartialEq, Debug)]
pub struct Used {
    /// The songs by title.
    pub songs: Vec<InSong>,
    /// The scenes that use it, in the order read.
    pub scenes: Vec<(SceneId, Fits)>,
    /// Those of them that no song plays, by name.
    pub unplayed: Vec<(SceneId, Fits)>,
    /// Scenes that do not use it as they are called, with the fewest of their switches pressed that let them.
    pub pressed: Vec<(SceneId, Fits)>,
}

/// Where something is used: songs by title, parts as they are played.
pub fn used(compiled: &Compiled, thing: &Thing) -> Used {
    let show = &compiled.book.show;
    let mut played = vec![false; show.scenes.len()];
    let fits: Vec<Fits> = show.scenes.ids().map(|scene| fits(compiled, thing, scene)).collect();
    let of = |scene: SceneId| fits.get(scene.index()).copied().unwrap_or(Fits::No);
    let mut songs = Vec::new();
    for song in by_title(compiled) {
        let Some(found) = show.songs.get(song) else { continue };
        let whole = |part: &Part| match thing {
            Thing::Guitar(guitar) => found.guitar_of(part) == Some(*guitar),
            Thing::Tuning(tuning) => found.tuning_of(part).is_some_and(|t| words(t) == words(tuning)),
            _ => false,
        };
        let mut parts = Vec::new();
        for (part, at) in found.parts.iter().zip(0u32..) {
            let Some(scene) = part.scene else { continue };
            for scene in show.on_the_way(scene) {
                played.get_mut(scene.index()).into_iter().for_each(|p| *p = true);
            }
            let fits = if whole(part) { Fits::Yes } else { of(scene) };
            parts.extend((fits != Fits::No).then_some((at, scene, fits)));
        }
        songs.extend((!parts.is_empty()).then_some(InSong { song, parts }));
    }
    let scenes = show.scenes.numbered().filter(|(s, _)| !s.repeated).map(|(_, id)| (id, of(id)));
    let mut scenes: Vec<(SceneId, Fits)> = scenes.filter(|(_, fits)| *fits != Fits::No).collect();
    if matches!(thing, Thing::Guitar(_) | Thing::Tuning(_)) {
        scenes = songs.iter().flat_map(|s| &s.parts).map(|(_, scene, fits)| (show.base(*scene), *fits)).collect();
        scenes.sort_unstable_by_key(|(scene, _)| *scene);
        scenes.dedup();
    }
    let mut unplayed: Vec<(SceneId, Fits)> =
        scenes.iter().copied().filter(|(scene, _)| played.get(scene.index()) == Some(&false)).collect();
    unplayed.sort_by_key(|(scene, _)| show.scene(*scene).map(|s| &s.name));
    let mut pressed: Vec<(SceneId, Fits)> = Vec::new();
    for base in show.scenes.ids() {
        if of(base) == Fits::No && !matches!(thing, Thing::Scene(_)) {
            let fewer = |a: SceneId, b: SceneId| show.pressed(a) & show.pressed(b) == show.pressed(a);
            for id in show.combinations(base).iter().filter(|id| of(**id) != Fits::No) {
                let known = |(known, _): &(SceneId, Fits)| show.base(*known) == base && fewer(*known, *id);
                if !pressed.iter().any(known) {
                    pressed.push((*id, of(*id)));
                }
            }
        }
    }
    pressed.sort_by_key(|(scene, _)| show.scene(*scene).map(|s| &s.name));
    Used { songs, scenes, unplayed, pressed }
}

/// Whether a scene uses something. What a silent device is set to is not used.
pub fn fits(compiled: &Compiled, thing: &Thing, scene: SceneId) -> Fits {
    let (book, table) = (&compiled.book, &compiled.table);
    let row = Row::of(book, table, scene);
    let cut = compiled.cut_off(scene);
    let listens = |d: DeviceId| book.board.devices.get(d).is_some_and(|d| d.listens());
    let heard = |d: DeviceId| {
        if listens(d) {
            Answer::Yes
        } else if cut.as_ref().is_some_and(|cut| cut.contains(&d)) {
            Answer::No
        } else {
            row.sounds(d).min(row.fed(d))
        }
    };
    let setting = |d: DeviceId, c: ControlId, so: &dyn Fn(Setting) -> Fits| match heard(d) {
        Answer::No => Fits::No,
        Answer::Maybe => Fits::Unknown,
        Answer::Yes => match row.setting(d, c) {
            None => Fits::No,
            Some(Setting::Unknown) => Fits::Unknown,
            Some(setting) => so(setting),
        },
    };
    match thing {
        Thing::Device(d) => match book.board.devices.get(*d).and_then(|d| d.helper.as_ref()) {
            // A helper is used where something in it is.
            Some(helper) => answer(helper.numbers().map(|n| row.engaged(n)).max().unwrap_or(Answer::No)),
            // What makes no sound is used where something is sent to it.
            None if listens(*d) => {
                let controls = book.board.devices.get(*d).into_iter().flat_map(|d| d.controls.ids());
                let sent: Vec<Fits> = controls.map(|c| setting(*d, c, &|s| yes(s != Setting::Stays))).collect();
                [Fits::Yes, Fits::Unknown].into_iter().find(|fits| sent.contains(fits)).unwrap_or(Fits::No)
            }
            None => answer(heard(*d)),
        },
        Thing::Control(d, c) => setting(*d, *c, &|s| yes(s != Setting::Stays)),
        Thing::State(d, c, state) => setting(*d, *c, &|s| yes(s == Setting::State(*state))),
        Thing::Foot(d, c) => setting(*d, *c, &|s| yes(matches!(s, Setting::Foot(_)))),
        Thing::Level { device, control, bound, step, .. } => {
            let how = book.board.devices.get(*device).and_then(|d| d.controls.get(*control));
            let falls = how.and_then(|c| c.how.level()).is_some_and(|(from, to)| to.below(from));
            let steps = how.map_or(0, |c| c.how.steps(book.board.switcher.as_ref().map_or(128, |s| s.steps)));
            setting(*device, *control, &|s| match s {
                Setting::Step(held) => yes(meets(*bound, held, *step, falls)),
                // What holds anywhere on the foot's way holds at one of its ends, or where it was asked for.
                Setting::Foot(held) => {
                    let (heel, toe) = held.ends(steps).unwrap_or_default();
                    let (low, high) = (heel.min(toe), heel.max(toe));
                    let mut stands = [low, (*step).clamp(low, high), high].into_iter();
                    if stands.any(|held| meets(*bound, held, *step, falls)) { Fits::Foot } else { Fits::No }
                }
                _ => Fits::No,
            })
        }
        Thing::Loop(n) => answer(row.engaged(*n)),
        Thing::Contact(contact, closed) => {
            let Some(cell) = table.cells.contact_cell(contact.jack, contact.ring) else { return Fits::No };
            match (table.stored(scene, cell), closed) {
                _ if table.idle(scene, cell) => Fits::No,
                (Value::Unknown, _) => Fits::Unknown,
                (Value::On, Some(true) | None) | (Value::Off, Some(false)) | (Value::Pulse, None) => Fits::Yes,
                _ => Fits::No,
            }
        }
        Thing::Port(n) => port(compiled, scene, *n),
        Thing::Output(n, on) => match (row.lets_out(*n), on) {
            (Answer::Maybe, _) => Fits::Unknown,
            (Answer::Yes, true) | (Answer::No, false) => Fits::Yes,
            _ => Fits::No,
        },
        Thing::Message { channel, program, controller } => {
            let sent = row.bytes();
            let from = |(d, c): (DeviceId, ControlId)| {
                let control = book.board.devices.get(d).and_then(|d| d.controls.get(c));
                match control.map(|c| &c.how) {
                    Some(How::Programs { from, .. }) => *from,
                    _ => 0,
                }
            };
            let asked = |sent: &crate::settle::bytes::Sent| match sent.messages.last() {
                _ if sent.channel != *channel => false,
                _ if program.is_none() && controller.is_none() => true,
                Some(Message::Program(byte)) => *program == Some(u16::from(*byte) + from(sent.control)),
                Some(Message::Control(cc, _)) => *controller == Some(u16::from(*cc)),
                _ => false,
            };
            yes(sent.iter().any(asked))
        }
        Thing::Scene(wanted) => yes(scene == *wanted),
        // Where it does something: whether it is pressed there or not.
        Thing::Switch(n) => {
            let base = book.show.base(scene);
            yes(switches(book, table, base).iter().any(|(switch, ..)| switch == n))
        }
        Thing::Order => match table.cells.order_cell() {
            Some(cell) if !table.idle(scene, cell) => match table.stored(scene, cell) {
                Value::Order(order) => yes(!order.wired()),
                _ => Fits::Unknown,
            },
            _ => Fits::No,
        },
        Thing::Treadle(treadle) => {
            let heard = |column: ColumnId| {
                let users = table.cells.list.get(column).map_or(&[][..], |cell| &cell.users);
                if users.is_empty() {
                    Answer::Yes
                } else {
                    users.iter().map(|u| heard(u.0)).max().unwrap_or(Answer::No)
                }
            };
            answer(moves(compiled, *treadle, scene).into_iter().map(heard).max().unwrap_or(Answer::No))
        }
        Thing::Guitar(_) | Thing::Tuning(_) => Fits::No,
    }
}

/// The columns that a treadle moves in a scene.
pub fn moves(compiled: &Compiled, treadle: usize, scene: SceneId) -> Vec<ColumnId> {
    let (book, table) = (&compiled.book, &compiled.table);
    let Some(treadle) = book.board.treadles.get(treadle) else { return Vec::new() };
    let moves = |cell: &Cell, column: ColumnId| match (Under::of(column, table.stored(scene, column)), treadle.plugged)
    {
        (Some(Under::Input(of)), Plugged::Input(input)) => of == input,
        (Some(Under::Column(_)), Plugged::Port(port)) => cell.kind == CellKind::Port(port),
        _ => false,
    };
    let cells = table.cells.list.numbered();
    cells.filter(|(cell, column)| moves(cell, *column) && !table.idle(scene, *column)).map(|(_, c)| c).collect()
}

/// A port is used where something that sounds hangs on it, or where a bare port is told what to do.
fn port(compiled: &Compiled, scene: SceneId, number: u16) -> Fits {
    let table = &compiled.table;
    let cells = table.cells.list.numbered();
    let cell = cells.into_iter().find(|(cell, _)| cell.kind == CellKind::Port(number));
    let Some((cell, at)) = cell else { return Fits::No };
    match table.stored(scene, at) {
        _ if table.idle(scene, at) => Fits::No,
        Value::Unknown => Fits::Unknown,
        held => yes(!cell.users.is_empty() || held != cell.unsaid),
    }
}

fn meets(bound: Bound, held: u16, step: u16, falls: bool) -> bool {
    let (held, step) = if falls { (step, held) } else { (held, step) };
    match bound {
        Bound::Least => held >= step,
        Bound::Most => held <= step,
        Bound::Above => held > step,
        Bound::Below => held < step,
        Bound::Exactly => held == step,
    }
}

fn yes(so: bool) -> Fits {
    if so { Fits::Yes } else { Fits::No }
}

fn answer(answer: Answer) -> Fits {
    match answer {
        Answer::Yes => Fits::Yes,
        Answer::No => Fits::No,
        Answer::Maybe => Fits::Unknown,
    }
}

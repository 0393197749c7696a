//! Tempo that presets give: scenes that songs of several tempi share, tempi that a pedal does not take, and what is heard
//! at another song's tempo all the same.
//!
//! A preset stores one tempo for each pedal. Parts that want different ones of a scene cannot share its preset, and parts
//! that want the same can: so a scene takes as many presets as its parts want different tempi, and no fewer.

use rustc_hash::{FxHashMap, FxHashSet};

use super::failed::Failed;
use super::{heard, nights_of_sets, programmed, sounding};
use crate::book::beat::{self, Wish};
use crate::book::{Amount, Book, Control, Note, PartAt};
use crate::ids::{ControlId, DeviceId, SceneId, SongId};
use crate::settle::why::{self, Rank};
use crate::settle::{Row, Table, Value};

/// Parts that want one tempo of each pedal.
#[derive(Clone, PartialEq, Debug)]
pub struct Want {
    /// The parts, in the order of titles.
    pub parts: Vec<PartAt>,
    /// The tempo of each pedal, in the order of [`Clash::devices`].
    pub tempi: Vec<Amount>,
}

/// A scene whose parts want several tempi: one preset each.
#[derive(Clone, PartialEq, Debug)]
pub struct Clash {
    pub scene: SceneId,
    /// The pedals that songs time in it.
    pub devices: Vec<DeviceId>,
    /// The different wants, two or more.
    pub wants: Vec<Want>,
}

/// Where a pedal has the tempo from that it has.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum From {
    /// This scene gives it in this part.
    Preset(PartAt, SceneId),
    /// A foot tapped it in this part.
    Foot(PartAt),
    /// This scene gives it, whose switch is pressed on the way to the part.
    Way(PartAt, SceneId),
}

/// A part that hears a pedal at another tempo than its song's.
#[derive(Clone, PartialEq, Debug)]
pub struct Astray {
    pub device: DeviceId,
    /// The first part of its song in which it is heard so.
    pub heard: PartAt,
    /// What the part wants, and what the pedal has.
    pub wants: Amount,
    pub has: Amount,
    pub from: From,
    /// What is played there: the part's scene, or what stands in for it.
    pub scene: SceneId,
    /// Only when this device has failed.
    pub failed: Option<DeviceId>,
}

/// The level of a pedal that takes a tempo.
fn control(book: &Book, device: DeviceId, control: ControlId) -> Option<&Control> {
    book.board.devices.get(device)?.controls.get(control)
}

fn step(book: &Book, wish: &Wish<'_>) -> Option<u16> {
    wish.step(&control(book, wish.device, wish.control)?.how)
}

/// True where songs time a pedal in a scene: it is heard, and no scene, layer or default says anything of its tempo.
fn timed(book: &Book, table: &Table, (scene, device, control): (SceneId, DeviceId, ControlId)) -> bool {
    let Some(cell) = table.cells.of_control(device, control).first() else { return false };
    let said = |reason: &why::Reason| !matches!(reason.rank, Rank::Song(_));
    heard(&Row::of(book, table, scene), device) && !why::reasons(book, table, scene, *cell).iter().any(said)
}

/// The wishes that decide a preset's tempo.
fn deciding<'b>(book: &'b Book, table: &Table) -> Vec<Wish<'b>> {
    let mut known: FxHashMap<(SceneId, DeviceId, ControlId), bool> = FxHashMap::default();
    let mut all = beat::wishes(book);
    all.retain(|w| {
        let key = (w.scene, w.device, w.control);
        *known.entry(key).or_insert_with(|| timed(book, table, key))
    });
    all
}

/// Scenes that need several presets, each told once, in their order.
pub fn clashes(book: &Book, table: &Table) -> Vec<Clash> {
    // By scene: the part, and the steps that it wants.
    type Parts = Vec<(PartAt, Vec<(DeviceId, u16, Amount)>)>;
    let mut scenes: FxHashMap<SceneId, Parts> = FxHashMap::default();
    for wish in deciding(book, table) {
        let Some(step) = step(book, &wish) else { continue };
        let parts = scenes.entry(book.show.base(wish.scene)).or_default();
        let at = (wish.song, wish.part);
        let want = (wish.device, step, wish.tempo);
        match parts.last_mut().filter(|(last, _)| *last == at) {
            Some((_, wants)) => wants.push(want),
            None => parts.push((at, vec![want])),
        }
    }
    let mut out: Vec<Clash> = Vec::new();
    for (scene, parts) in scenes {
        // What a pedal does not take is told as that.
        let devices: Vec<DeviceId> =
            parts.iter().flat_map(|(_, wants)| wants.iter().map(|(device, ..)| *device)).collect();
        let mut devices: Vec<DeviceId> = devices.into_iter().collect::<FxHashSet<DeviceId>>().into_iter().collect();
        devices.sort_unstable();
        let mut wants: Vec<(Vec<u16>, Want)> = Vec::new();
        for (at, part) in parts.iter().filter(|(_, part)| part.len() == devices.len()) {
            let steps: Vec<u16> = part.iter().map(|(_, step, _)| *step).collect();
            match wants.iter_mut().find(|(known, _)| *known == steps) {
                Some((_, want)) => want.parts.push(*at),
                None => {
                    let tempi = part.iter().map(|(.., tempo)| *tempo).collect();
                    wants.push((steps, Want { parts: vec![*at], tempi }));
                }
            }
        }
        if wants.len() > 1 {
            out.push(Clash { scene, devices, wants: wants.into_iter().map(|(_, want)| want).collect() });
        }
    }
    out.sort_by_key(|clash| book.show.scene(clash.scene).map(|scene| scene.at));
    out
}

/// Parts that want a tempo which the pedal does not take, the first of each song and pedal.
pub fn beyond<'b>(book: &'b Book, table: &Table) -> Vec<Wish<'b>> {
    let mut told = FxHashSet::default();
    let all = deciding(book, table).into_iter();
    all.filter(|wish| step(book, wish).is_none() && told.insert((wish.song, wish.device))).collect()
}

/// Every song of the sets in which a pedal has another tempo than the part wants, each told once.
pub fn astray(book: &Book, table: &Table) -> Vec<Astray> {
    let (mut out, mut told) = (Vec::new(), FxHashSet::default());
    let takers = beat::takers(book);
    if takers.is_empty() {
        return out;
    }
    let wishes = beat::wishes(book);
    let mut wanted: FxHashMap<(PartAt, DeviceId), &Wish<'_>> = FxHashMap::default();
    wanted.extend(wishes.iter().map(|wish| (((wish.song, wish.part), wish.device), wish)));
    for (night, set) in nights_of_sets(&Failed::nights(book), book) {
        let mut has: FxHashMap<DeviceId, (u16, Amount, From)> = FxHashMap::default();
        let mut stands: Option<SceneId> = None;
        for number in set.items.iter().filter_map(crate::book::SetItem::song) {
            let Some(song) = book.show.songs.get(number) else { continue };
            for (part, place) in song.parts.iter().zip(0..) {
                let (at, row) = ((number, place), part.scene.map(|scene| Row::of(book, table, night.plays(scene))));
                // Who comes to a second row from elsewhere calls the first one on the way.
                let plays = part.scene.map(|scene| night.plays(scene));
                let first = plays.and_then(|scene| book.show.through(scene)).filter(|first| stands != Some(*first));
                stands = plays.map(|scene| book.show.anchor(scene));
                let way = first.map(|first| (Row::of(book, table, first), From::Way(at, first)));
                for (device, control) in takers.iter().filter(|(device, _)| night.device != Some(*device)) {
                    let wish = wanted.get(&(at, *device)).copied();
                    let step = wish.and_then(|wish| step(book, wish));
                    for (row, from) in way
                        .iter()
                        .map(|(row, from)| (row, *from))
                        .chain(row.iter().map(|row| (row, From::Preset(at, row.scene()))))
                    {
                        let cell = table.cells.of_control(*device, *control).first();
                        match cell.map(|cell| table.stored(row.scene(), *cell)) {
                            Some(Value::Step(step)) => {
                                let amount = row.amount(*device, *control);
                                has.extend(amount.map(|amount| (*device, (step, amount, from))));
                            }
                            Some(Value::Stays) if !programmed(row, book, *device) => {}
                            _ => drop(has.remove(device)),
                        }
                    }
                    let taps = |note: &Note| matches!(note, Note::Tap { device: Some(d), .. } if d == device);
                    if part.besides().notes.iter().any(taps) {
                        has.remove(device);
                        let tapped = step.zip(wish).map(|(step, wish)| (*device, (step, wish.tempo, From::Foot(at))));
                        has.extend(tapped);
                    }
                    let (Some(row), Some(step), Some(wish)) = (&row, step, wish) else { continue };
                    let Some((_, amount, from)) = has.get(device).copied().filter(|(had, ..)| *had != step) else {
                        continue;
                    };
                    if heard(row, *device) && told.insert((number, *device)) {
                        let (wants, scene, failed) = (wish.tempo, row.scene(), night.device);
                        out.push(Astray { device: *device, heard: at, wants, has: amount, from, scene, failed });
                    }
                }
            }
        }
    }
    out
}

/// Songs without a tempo that hear a pedal whose presets give it one, or leave it as it is, with nobody having said so: the
/// part, the pedal, the song whose tempo it has, and the scene in which it is heard.
pub fn untimed(book: &Book, table: &Table) -> Vec<(PartAt, DeviceId, Option<SongId>, SceneId)> {
    let takers = beat::takers(book);
    let timed: FxHashSet<DeviceId> = beat::wishes(book).iter().map(|wish| wish.device).collect();
    let mut out = Vec::new();
    for (number, song) in book.show.songs.pairs().filter(|(_, song)| song.tempo.is_none()) {
        let hears = |scene: SceneId| {
            takers.iter().filter(|(device, _)| timed.contains(device)).find_map(|(device, control)| {
                let cell = *table.cells.of_control(*device, *control).first()?;
                let reasons = why::reasons(book, table, scene, cell);
                let by = reasons.iter().find_map(|r| if let Rank::Song(song) = r.rank { Some(song) } else { None });
                let silent = !reasons.iter().any(|r| !matches!(r.rank, Rank::Song(_)));
                let row = Row::of(book, table, scene);
                (silent && heard(&row, *device)).then_some((*device, by, scene))
            })
        };
        let found = song.parts.iter().zip(0..).find_map(|(part, place)| {
            let (device, by, scene) = sounding(book, part).find_map(hears)?;
            Some(((number, place), device, by, scene))
        });
        out.extend(found);
    }
    out
}

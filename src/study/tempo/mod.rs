//! Which tempo a pedal has when it is heard: the one that was tapped last, in whichever song; the clock's; or what presets
//! give it.

mod failed;
pub mod given;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::book::{Book, How, Note, Part, PartAt, Set, Song};
use crate::ids::{DeviceId, SceneId, SongId};
use crate::settle::{Answer, Row, Setting, Table};
use failed::Failed;

/// A part in which a pedal repeats at another song's tempo.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stale {
    /// The pedal.
    pub device: DeviceId,
    /// The first part of its song in which it is heard so.
    pub heard: PartAt,
    /// Where it was tapped last.
    pub tapped: PartAt,
    /// The note value of that tap.
    pub value: String,
    /// What is played there: the part's scene, or what stands in for it.
    pub scene: SceneId,
    /// Only when this device has failed.
    pub failed: Option<DeviceId>,
}

/// Every song of the sets in which a tapped pedal still has the tempo of another, each told once.
pub fn stale(book: &Book, table: &Table) -> Vec<Stale> {
    let mut out = Vec::new();
    let mut told = FxHashSet::default();
    let takers: Vec<DeviceId> = devices(book, |d| d.tap && !d.clock && d.tempo.is_none());
    if takers.is_empty() {
        return out;
    }
    for (night, set) in nights_of_sets(&Failed::nights(book), book) {
        let mut last: FxHashMap<DeviceId, (PartAt, &str)> = FxHashMap::default();
        for (number, song) in set.items.iter().filter_map(|item| song_of(book, item.song()?)) {
            for (part, place) in song.parts.iter().zip(0..) {
                let row = part.scene.map(|scene| Row::of(book, table, night.plays(scene)));
                if let Some(row) = &row {
                    last.retain(|device, _| !programmed(row, book, *device));
                }
                for note in &part.besides().notes {
                    if let Note::Tap { device: Some(device), value } = note {
                        last.insert(*device, ((number, place), value));
                    }
                }
                let (Some(tempo), Some(row)) = (&song.tempo, &row) else { continue };
                for device in takers.iter().filter(|device| night.device != Some(**device)) {
                    let Some((tapped, value)) = last.get(device).copied() else { continue };
                    let had = book.show.songs.get(tapped.0).and_then(|s| s.tempo);
                    if had.is_some_and(|had| had.value != tempo.value)
                        && heard(row, *device)
                        && told.insert((number, *device))
                    {
                        let (value, scene, failed) = (value.to_owned(), row.scene(), night.device);
                        out.push(Stale { device: *device, heard: (number, place), tapped, value, scene, failed });
                    }
                }
            }
        }
    }
    out
}

/// Every set on every night: all as the songs say first.
fn nights_of_sets<'n>(nights: &'n [Failed], book: &'n Book) -> impl Iterator<Item = (&'n Failed, &'n Set)> {
    nights.iter().flat_map(|night| book.show.sets.iter().map(move |set| (night, set)))
}

/// What may be heard in a part: its scene, then what stands in for it when something fails.
fn sounding(book: &Book, part: &Part) -> impl Iterator<Item = SceneId> {
    part.scene.into_iter().flat_map(|scene| std::iter::once(scene).chain(book.show.stand_ins(scene)))
}

/// Songs without a tempo, by place, with the first of the pedals heard in them that follow a clock, where other songs
/// make the clock run; and the scene in which it is heard.
pub fn unsaid(book: &Book, table: &Table) -> Vec<(PartAt, DeviceId, SceneId)> {
    let followers = devices(book, |d| d.clock && d.tempo.is_none());
    if followers.is_empty() || book.show.songs.iter().all(|s| s.tempo.is_none()) {
        return Vec::new();
    }
    let silent = book.show.songs.pairs().filter(|(_, song)| song.tempo.is_none());
    let found = silent.filter_map(|(number, song)| {
        song.parts.iter().zip(0..).find_map(|(part, place)| {
            sounding(book, part).find_map(|scene| {
                let row = Row::of(book, table, scene);
                let device = followers.iter().find(|device| heard(&row, **device))?;
                Some(((number, place), *device, scene))
            })
        })
    });
    found.collect()
}

fn devices(book: &Book, wanted: impl Fn(&crate::book::Device) -> bool) -> Vec<DeviceId> {
    let all = book.board.devices.pairs();
    all.filter(|(_, device)| !device.faulty && wanted(device)).map(|(number, _)| number).collect()
}

fn song_of(book: &Book, number: SongId) -> Option<(SongId, &Song)> {
    book.show.songs.get(number).map(|song| (number, song))
}

/// Whether the preset sends the device a program: that brings a tempo of its own, of which the book says nothing.
fn programmed(row: &Row<'_>, book: &Book, device: DeviceId) -> bool {
    let controls = book.board.devices.get(device).map(|d| d.controls.pairs());
    controls.into_iter().flatten().any(|(control, c)| {
        matches!(c.how, How::Programs { .. }) && row.setting(device, control) != Some(Setting::Stays)
    })
}

fn heard(row: &Row<'_>, device: DeviceId) -> bool {
    row.sounds(device) == Answer::Yes && !row.muted()
}

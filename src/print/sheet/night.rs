//! Songs in playing order.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::acts::{self, Memory};
use super::{Act, ActKind, Entry, Night, PartLine, Presses, SongBlock, Wanted, shown};
use crate::Compiled;
use crate::book::song::{show_length, title_key};
use crate::book::{Part, Set, SetItem, Slot, Song};
use crate::fill::Places;
use crate::ids::SongId;
use crate::print::words::CALLED;
use crate::study::length;

/// The nights that are wanted: one set, all sets by title, or all songs when there is no set.
pub fn nights(compiled: &Compiled, wanted: &Wanted) -> Vec<Night> {
    let book = &compiled.book;
    let places = &Places::of(book, &compiled.presets);
    let asked = |set: &&Set| wanted.set.as_ref().is_none_or(|w| title_key(w) == title_key(&set.title));
    let sets = book.show.sets_by_name();
    let mut nights: Vec<Night> =
        sets.into_iter().filter(asked).map(|set| night(compiled, places, wanted, &set.title, &set.items)).collect();
    // A song that is in no set may be asked for by its title.
    if let Some(title) = wanted.set.as_ref().filter(|_| nights.is_empty()) {
        let song = book.show.songs.position(|s| title_key(&s.title) == title_key(title));
        nights.extend(song.map(|song| night(compiled, places, wanted, title, &[SetItem::Song(song)])));
    } else if book.show.sets.is_empty() && !book.show.songs.is_empty() {
        let mut songs: Vec<SongId> = book.show.songs.ids().collect();
        songs.sort_by_key(|s| book.show.songs.get(*s).map(|s| &s.title));
        let items: Vec<SetItem> = songs.into_iter().map(SetItem::Song).collect();
        nights.push(night(compiled, places, wanted, "all songs by title", &items));
    }
    nights
}

/// Where the player starts: in the slot in which the unit wakes, where one stands there.
pub fn stands(compiled: &Compiled) -> Option<Slot> {
    let wakes = compiled.book.board.timing.wakes.map(|w| w.value);
    compiled.presets.iter().find(|p| wakes.is_some() && p.slot == wakes).and_then(|p| p.slot)
}

fn night(compiled: &Compiled, places: &Places, wanted: &Wanted, title: &str, items: &[SetItem]) -> Night {
    let length = length::of(&compiled.book, items);
    let mut out = Night { title: title.to_owned(), entries: Vec::new(), length };
    let mut number = 0;
    let mut hands = Hands::default();
    // The player starts where the unit wakes, and goes from song to song: the same way as the walk.
    let stands = stands(compiled);
    let songs = items.iter().filter_map(|item| compiled.book.show.songs.get(item.song()?));
    let mut path = places.path(stands, songs).into_iter();
    let mut before = stands;
    for item in items {
        match item {
            SetItem::Encore => out.entries.push(Entry::Encore),
            SetItem::Pause(text) => out.entries.push(Entry::Pause(text.clone())),
            SetItem::Song(song) => {
                let Some(song) = compiled.book.show.songs.get(*song) else { continue };
                number += 1;
                let slots: Vec<Option<Slot>> = path.by_ref().take(song.parts.len()).collect();
                let mut block = block(compiled, song, &slots, &places.called(song), before);
                before = slots.iter().rev().find_map(|slot| *slot).or(before);
                block.number = number;
                block.changes = stale(compiled, wanted, &slots);
                block.changes.extend(hands.change(compiled, &Held::of(song, song.parts.first())));
                // The parts behind the first: what hands change while the song goes on.
                for (line, part) in block.parts.iter_mut().zip(&song.parts).skip(1) {
                    let says = hands.change(compiled, &Held::of(song, Some(part))).join(", ");
                    if !says.is_empty() {
                        line.acts.insert(0, Act { kind: ActKind::Change, brief: says.clone(), says });
                    }
                }
                out.entries.push(Entry::Song(block));
            }
        }
    }
    out
}

/// A song that may be played at any place of a night, and where each of its scenes is stored.
#[derive(Clone, Debug)]
pub struct Playable {
    /// The song, its scenes in their first slots, nothing changed before it.
    pub song: SongBlock,
    /// For each part, the slots that hold its scene, in order.
    pub slots: Vec<Vec<Slot>>,
    /// For each part, what hands hold in it that is not the song's: the guitar, its tuning, its capo.
    pub held: Vec<Option<Own>>,
    /// Beats a minute.
    pub tempo: Option<f64>,
    /// The fret of the capo.
    pub capo: Option<u32>,
}

/// What hands hold in a part of their own: the guitar's name, how it is tuned, its capo.
pub type Own = (Option<String>, Option<String>, Option<u32>);

/// All songs of the book, by title.
pub fn playable(compiled: &Compiled) -> Vec<Playable> {
    let places = &Places::of(&compiled.book, &compiled.presets);
    let of = |song: &Song| {
        let slots = song
            .parts
            .iter()
            .map(|p| p.scene.map_or(Vec::new(), |s| places.all(s).iter().map(|(_, slot)| *slot).collect()));
        let slots: Vec<Vec<Slot>> = slots.collect();
        // A part that is called is called from one of them, whatever is played before it.
        let called = places.called(song);
        let slots: Vec<Vec<Slot>> =
            slots.into_iter().enumerate().map(|(at, all)| one(&called, at).map_or(all, |slot| vec![slot])).collect();
        let first: Vec<Option<Slot>> = slots.iter().map(|of_part| of_part.first().copied()).collect();
        let said = block(compiled, song, &first, &called, None);
        let whole = Held::of(song, None);
        let own = |part: &Part| {
            let held = Held::of(song, Some(part));
            let guitar = held.guitar.and_then(|g| compiled.book.board.guitars.get(g)).map(|g| g.name.clone());
            (held != whole).then(|| (guitar, held.tuning.map(str::to_owned), held.capo))
        };
        let held = song.parts.iter().map(own).collect();
        Playable { song: said, slots, held, tempo: song.tempo.map(|t| t.value), capo: song.music.capo }
    };
    let mut songs: Vec<&Song> = compiled.book.show.songs.iter().collect();
    songs.sort_by_key(|song| &song.title);
    songs.into_iter().map(of).collect()
}

/// The slot in which a part is called from outside.
fn one(called: &[Option<Slot>], part: usize) -> Option<Slot> {
    called.get(part).copied().flatten()
}

/// A tuning; none where it is said to be the standard one.
fn own(tuning: Option<&str>) -> Option<&str> {
    tuning.filter(|t| !t.trim().eq_ignore_ascii_case("standard"))
}

/// What hands hold in a part.
#[derive(Clone, PartialEq, Debug)]
pub struct Held<'s> {
    /// The guitar, an index of `Board::guitars`.
    pub guitar: Option<usize>,
    /// How it is tuned.
    pub tuning: Option<&'s str>,
    /// The fret of its capo.
    pub capo: Option<u32>,
}

impl<'s> Held<'s> {
    /// In a part of a song; in a song without parts as the song says.
    pub fn of(song: &'s Song, part: Option<&'s Part>) -> Held<'s> {
        match part {
            Some(part) => {
                Held { guitar: song.guitar_of(part), tuning: own(song.tuning_of(part)), capo: song.capo_of(part) }
            }
            None => Held { guitar: song.guitar, tuning: own(song.tuning.as_deref()), capo: song.music.capo },
        }
    }
}

/// The guitar in hand, and how each one is tuned, and where its capo is, that was played already.
#[derive(Default)]
struct Hands<'c> {
    holds: Option<usize>,
    tuned: FxHashMap<Option<usize>, &'c str>,
    capos: FxHashMap<Option<usize>, u32>,
}

impl<'c> Hands<'c> {
    /// What they change before a song, or a part of it; before the first one, what they start with.
    fn change(&mut self, compiled: &Compiled, held: &Held<'c>) -> Vec<String> {
        let mut out = Vec::new();
        let taken = held.guitar.filter(|guitar| self.holds != Some(*guitar));
        if let Some(guitar) = taken.and_then(|g| compiled.book.board.guitars.get(g)) {
            out.push(format!("take {}", guitar.name));
        }
        self.holds = held.guitar;
        let was = match held.tuning {
            Some(tuning) => self.tuned.insert(held.guitar, tuning),
            None => self.tuned.remove(&held.guitar),
        };
        match held.tuning {
            Some(tuning) if was != Some(tuning) => out.push(format!("tune to {tuning}")),
            None if was.is_some() => out.push("tune back to standard".to_owned()),
            _ => {}
        }
        let was = match held.capo {
            Some(fret) => self.capos.insert(held.guitar, fret),
            None => self.capos.remove(&held.guitar),
        };
        match held.capo {
            Some(fret) if was != Some(fret) => out.push(format!("capo {fret}")),
            None if was.is_some() => out.push("capo off".to_owned()),
            _ => {}
        }
        out
    }
}

/// The song's presets that the unit holds otherwise.
fn stale(compiled: &Compiled, wanted: &Wanted, slots: &[Option<Slot>]) -> Vec<String> {
    let slots: BTreeSet<Slot> =
        slots.iter().flatten().map(|slot| slot.stored()).filter(|slot| wanted.stale.contains(slot)).collect();
    let slots: Vec<String> = slots.into_iter().map(|slot| shown(compiled, Some(slot))).collect();
    if slots.is_empty() { Vec::new() } else { vec![format!("reprogram {} first", slots.join(", "))] }
}

/// A song with the slots of its parts, and which of them are called from outside; `before` is where the player stands.
fn block(
    compiled: &Compiled,
    song: &Song,
    slots: &[Option<Slot>],
    called: &[Option<Slot>],
    mut before: Option<Slot>,
) -> SongBlock {
    let mut memory = Memory::default();
    let mut parts = Vec::new();
    // Between songs hands tune and feet mute: nobody is sure where the player stands.
    let mut sure = false;
    for (at, (part, slot)) in song.parts.iter().zip(slots.iter().copied()).enumerate() {
        let scene = part.scene.and_then(|id| compiled.book.show.scene(compiled.book.show.base(id)));
        let mut acts = acts::of(compiled, song, part, &mut memory);
        let called = one(called, at).is_some();
        if called {
            acts.insert(0, Act { kind: ActKind::Called, says: CALLED.to_owned(), brief: CALLED.to_owned() });
        }
        parts.push(PartLine {
            label: part.label.to_string(),
            slot: part.scene.map_or_else(|| "?".to_owned(), |_| shown(compiled, slot)),
            scene: scene.map_or_else(|| "?".to_owned(), |s| s.name.to_string()),
            stored: shown(compiled, slot.map(Slot::stored)),
            presses: Presses::of(compiled, before, slot, sure, called),
            id: part.scene,
            at: super::at(compiled, slot),
            times: part.times,
            called,
            held: acts.iter().any(|a| a.kind == ActKind::Hold),
            acts,
        });
        sure |= slot.is_some();
        before = slot.or(before);
    }
    let guitar = song.guitar.and_then(|g| compiled.book.board.guitars.get(g));
    SongBlock {
        number: 0,
        title: song.title.to_string(),
        tempo: song.tempo.map(|_| format!("{} bpm", song.tempo_text)),
        guitar: guitar.map(|g| g.name.clone()),
        tuning: song.tuning.clone(),
        changes: Vec::new(),
        music: music(song),
        notes: song.music.notes.clone(),
        parts,
    }
}

fn music(song: &Song) -> Vec<String> {
    let key = song.music.key.clone();
    let counts = song.music.count_in.as_ref().map(|who| format!("{who} count in"));
    let lasts = length::of_song(song).map(show_length);
    [key, counts, lasts].into_iter().flatten().collect()
}

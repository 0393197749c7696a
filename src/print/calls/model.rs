//! What every format of the calls prints, in words.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::Compiled;
use crate::book::song::title_key;
use crate::book::{Answers, Call, How, Slot, Song};
use crate::fill::Places;
use crate::ids::SceneId;
use crate::settle::bytes::{Message, bank};
use crate::study::calls::{self, Called};
use crate::study::ways;

/// The whole.
#[derive(Serialize)]
pub struct Pages {
    /// The board's title.
    pub board: String,
    /// The channel that the switcher answers on, from 1.
    pub channel: u16,
    /// The number by which the unit shows its first program; on the wire it is 0.
    pub programs_from: u16,
    /// So many programs in a bank, where it answers to banks.
    pub programs_in_a_bank: Option<u16>,
    /// Every preset that stands in a slot, in their order.
    pub presets: Vec<Preset>,
    /// Slots in which nothing stands: no program may call them.
    pub empty: Vec<String>,
    /// Slots that no program reaches.
    pub out_of_reach: Vec<String>,
    /// What is played, part by part.
    pub sets: Vec<Set>,
    /// What is not known, and what to see to.
    pub remarks: Vec<String>,
}

/// A preset, and what calls it.
#[derive(Serialize)]
pub struct Preset {
    /// Its slot.
    pub slot: String,
    /// Its scene.
    pub scene: String,
    /// What calls it; none where no program reaches it.
    pub sent: Option<Sent>,
    /// The parts that are called from it: `Marl / verse`.
    pub called_by: Vec<String>,
}

/// A program, with its bank.
#[derive(Clone, PartialEq, Eq, Serialize)]
pub struct Sent {
    /// The bank, from 1, where the unit answers to banks.
    pub bank: Option<u16>,
    /// The program as the unit shows it.
    pub program: u16,
    /// The bytes, in hexadecimal: a program is counted from 0 in them.
    pub bytes: String,
}

/// A set, or a song that is in none.
#[derive(Serialize)]
pub struct Set {
    /// Its title.
    pub title: String,
    /// Its songs, in order.
    pub songs: Vec<Lines>,
}

/// A song's parts.
#[derive(Serialize)]
pub struct Lines {
    /// Its title.
    pub song: String,
    /// Its parts, in order.
    pub parts: Vec<Line>,
}

/// A part.
#[derive(Serialize)]
pub struct Line {
    /// What the musician calls it.
    pub part: String,
    /// Its scene.
    pub scene: String,
    /// The slot that is called; none for a part that a foot calls.
    pub slot: Option<String>,
    /// What is sent at its start; none where nothing is.
    pub sent: Option<Sent>,
    /// It stays in the preset of the part before.
    pub stays: bool,
}

/// Builds the pages; only of one set when it is named.
pub fn pages(compiled: &Compiled, set: Option<&str>) -> Option<Pages> {
    let (book, board) = (&compiled.book, &compiled.book.board);
    let switcher = board.switcher.as_ref()?;
    let (answers, range) = switcher.answers.zip(switcher.slots)?;
    let places = Places::of(book, &compiled.presets);
    let songs = book.show.songs_by_name();
    let called: Vec<(&Song, Vec<Called>)> =
        songs.into_iter().map(|song| (song, calls::of_song(board, &places, song))).collect();
    let mut by: BTreeMap<Slot, Vec<String>> = BTreeMap::new();
    for (song, one) in called.iter().flat_map(|(song, called)| called.iter().map(move |one| (*song, one))) {
        by.entry(one.slot).or_default().push(format!("{} / {}", song.title, label(song, one.part)));
    }
    let presets = compiled.presets.iter().filter_map(|preset| {
        let slot = preset.slot?;
        Some(Preset {
            slot: range.show(slot),
            scene: scene(compiled, Some(preset.scene)),
            sent: board.call(slot).map(|call| sent(answers, call)),
            called_by: by.remove(&slot).unwrap_or_default(),
        })
    });
    let wanted = |title: &str| set.is_none_or(|set| title_key(set) == title_key(title));
    let runs = ways::runs(book).into_iter().filter(|run| wanted(run.title(book)));
    let sets = runs.map(|run| {
        let songs = run.songs.iter().filter_map(|(song, _)| book.show.songs.get(*song));
        let lines = |song: &Song| {
            let called = calls::of_song(board, &places, song);
            let part = |(at, part): (usize, &crate::book::Part)| {
                let one = called.iter().find(|one| one.part == at);
                Line {
                    part: part.label.to_string(),
                    scene: scene(compiled, part.scene),
                    slot: one.map(|one| range.show(one.slot)),
                    sent: one.filter(|one| !one.stays).map(|one| sent(answers, one.call)),
                    stays: one.is_some_and(|one| one.stays),
                }
            };
            Lines { song: song.title.to_string(), parts: song.parts.iter().enumerate().map(part).collect() }
        };
        Set { title: run.title(book).to_owned(), songs: songs.map(lines).collect() }
    });
    let far = range.all().filter(|slot| board.call(*slot).is_none());
    Some(Pages {
        board: board.title.as_ref().map_or(String::new(), |b| b.value.clone()),
        channel: answers.channel,
        programs_from: answers.from,
        programs_in_a_bank: answers.banks,
        presets: presets.collect(),
        empty: calls::empty(board, &compiled.presets)?.into_iter().map(|slot| range.show(slot)).collect(),
        out_of_reach: far.map(|slot| range.show(slot)).collect(),
        sets: sets.collect(),
        remarks: remarks(compiled, answers, &called),
    })
}

fn label(song: &Song, part: usize) -> &str {
    song.parts.get(part).map_or("", |p| p.label.as_str())
}

fn scene(compiled: &Compiled, scene: Option<SceneId>) -> String {
    scene.and_then(|s| compiled.book.show.scene(s)).map_or("?".to_owned(), |s| s.name.to_string())
}

/// A call, as the unit shows it and as it is sent.
pub fn sent(answers: Answers, call: Call) -> Sent {
    let bytes = messages(call).into_iter().flat_map(|message| message.bytes(answers.channel));
    let bytes: Vec<String> = bytes.map(|b| format!("{b:02X}")).collect();
    Sent { bank: call.bank.map(|bank| bank + 1), program: answers.shown(call), bytes: bytes.join(" ") }
}

/// The messages of a call, in the order in which they are sent.
pub(super) fn messages(call: Call) -> Vec<Message> {
    let bank = call.bank.into_iter().flat_map(|number| bank(number + 1));
    bank.chain([Message::Program(call.program)]).collect()
}

fn remarks(compiled: &Compiled, answers: Answers, called: &[(&Song, Vec<Called>)]) -> Vec<String> {
    let mut out = Vec::new();
    let silent = |song: &Song| song.parts.iter().any(|part| part.besides().lasts.is_none());
    if called.iter().any(|(song, called)| !called.is_empty() && silent(song)) {
        out.push(
            "in the MIDI file of a set the next part begins where a part says that it is over (`lasts 1:30`); a part that does \
             not say it has four quarters there: move what follows to its time"
                .to_owned(),
        );
    }
    if called.iter().all(|(_, called)| called.is_empty()) {
        out.push("no part is called from outside: say `called from outside` in a song, or at a part".to_owned());
    }
    // Who says how messages run is answered by a rule.
    if answers.hears_itself || answers.passes_on {
        return out;
    }
    let listens = |how: &How| matches!(how, How::Programs { channel, .. } if *channel == answers.channel);
    for device in compiled.book.board.devices.iter().filter(|d| d.controls.iter().any(|c| listens(&c.how))) {
        out.push(format!(
            "not known: `{}` hears programs on channel {} too. See that nothing passes on what calls the switcher, and that \
             what the switcher sends does not come back; say `passes on` or `hears itself` where it does",
            device.name, answers.channel
        ));
    }
    out
}

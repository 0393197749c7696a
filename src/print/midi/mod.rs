//! MIDI: a set as a standard file, and each preset's bytes for people and programs.
//!
//! Standard MIDI Files 1.0 (RP-001, MMA, revised February 1996): one track, 480 ticks in a quarter. A part that says how long
//! it lasts is given that time; of the others nobody knows it, and each is given four quarters. A part's marker, tempo and
//! messages stand at its start.

mod set;

use std::fmt::Write;

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};
use serde::Serialize;

use crate::Compiled;
use crate::book::message::{UNMEASURED, When};
use crate::book::{How, Part, amount};
use crate::ids::SceneId;
use crate::settle::bytes::{Message, Sent};
use crate::settle::{Cell, CellKind, Row, Value};
use crate::study::messages::{self, CLOCKS};
use crate::study::walk::Walked;

pub use set::events;

/// Ticks in a quarter note.
pub const TICKS: u16 = 480;
/// Quarters that a part is given in the file that does not say how long it lasts.
const QUARTERS: u32 = 4;
/// Microseconds in a quarter where no tempo is said.
const UNSAID_US: u32 = 500_000;
/// The longest time between two events that a file can hold.
const LONGEST: u32 = 0x0FFF_FFFF;

/// A time in milliseconds, at a tempo in microseconds a quarter.
fn ticks(ms: u64, tempo: Option<u32>) -> u32 {
    let quarter = u64::from(tempo.unwrap_or(UNSAID_US)).max(1);
    let ticks = (ms * 1000 * u64::from(TICKS) + quarter / 2) / quarter;
    u32::try_from(ticks).unwrap_or(LONGEST).min(LONGEST)
}

/// How long a part lasts, as often as it is played, at a tempo; None where it does not say it.
pub fn lasts(part: &Part, tempo: Option<u32>) -> Option<u32> {
    let seconds = u64::from(part.besides().lasts?) * u64::from(part.times);
    Some(ticks(seconds * 1000, tempo))
}

/// What a part is given in the file where nobody says how long it lasts.
pub fn unsaid() -> u32 {
    QUARTERS * u32::from(TICKS)
}

/// Something in a file, at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// Microseconds in a quarter note.
    Tempo(u32),
    /// A marker.
    Marker(String),
    /// A message on a channel, from 1.
    Channel(u16, Message),
}

/// A file of one track; events in order, each with its tick. It ends at `end`.
pub fn file(events: &[(u32, Event)], end: u32) -> Vec<u8> {
    let timing = Timing::Metrical(u15::new(TICKS & 0x7FFF));
    let mut smf = Smf::new(Header::new(Format::SingleTrack, timing));
    let mut track = Vec::with_capacity(events.len() + 1);
    let mut now = 0;
    for (tick, event) in events {
        let key = |n: &u8| u7::new(n & 127);
        let kind = match event {
            Event::Tempo(us) => TrackEventKind::Meta(MetaMessage::Tempo(u24::new((*us).min(0xFF_FFFF)))),
            Event::Marker(text) => TrackEventKind::Meta(MetaMessage::Marker(text.as_bytes())),
            // The file keeps the first byte in its own way.
            Event::Channel(_, Message::Exclusive(bytes)) => TrackEventKind::SysEx(bytes.get(1..).unwrap_or(&[])),
            Event::Channel(channel, message) => TrackEventKind::Midi {
                channel: u4::new((channel.saturating_sub(1) & 15) as u8),
                message: match message {
                    Message::Control(controller, value) => {
                        MidiMessage::Controller { controller: key(controller), value: key(value) }
                    }
                    Message::Program(program) => MidiMessage::ProgramChange { program: key(program) },
                    Message::NoteOn(note, vel) => MidiMessage::NoteOn { key: key(note), vel: key(vel) },
                    Message::NoteOff(note) => MidiMessage::NoteOff { key: key(note), vel: u7::new(UNMEASURED) },
                    Message::Exclusive(_) => continue,
                },
            },
        };
        track.push(TrackEvent { delta: u28::new(tick.saturating_sub(now) & 0x0FFF_FFFF), kind });
        now = (*tick).max(now);
    }
    let delta = u28::new(end.saturating_sub(now) & 0x0FFF_FFFF);
    track.push(TrackEvent { delta, kind: TrackEventKind::Meta(MetaMessage::EndOfTrack) });
    smf.tracks.push(track);
    let mut out = Vec::new();
    // Writing to memory does not fail.
    let _ = smf.write_std(&mut out);
    out
}

/// A set as a standard MIDI file.
pub fn set(compiled: &Compiled, walked: &Walked) -> Vec<u8> {
    let (events, end) = events(compiled, walked);
    file(&events, end)
}

/// One preset's messages.
#[derive(Serialize)]
pub struct Preset {
    /// Its slot.
    pub slot: Option<String>,
    /// Its scene.
    pub scene: String,
    /// What it sends as it is entered, in order.
    pub messages: Vec<Line>,
    /// Time on the wire, in milliseconds.
    pub wire_ms: f64,
    /// What it sends as it is left, before what the next preset sends.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub on_leaving: Vec<Line>,
    /// What it sends later, where it is not left before.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub later: Vec<Later>,
    /// The clock that it sets running, where the switcher sends one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock: Option<Running>,
    /// Contacts that pulse a tempo.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pulses: Vec<Pulsed>,
    /// What a treadle sends while it moves.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_foot: Vec<ByFoot>,
}

/// What a preset sends so long after it was entered.
#[derive(Serialize)]
pub struct Later {
    /// Seconds from the press.
    pub after_s: f64,
    /// The messages, in order.
    pub messages: Vec<Line>,
}

/// A clock that runs from the press of a preset on.
#[derive(Serialize)]
pub struct Running {
    /// Its tempo.
    pub bpm: String,
    /// From one clock byte to the next, in milliseconds.
    pub every_ms: f64,
    /// The devices that follow.
    pub devices: Vec<String>,
}

/// A contact that pulses a tempo.
#[derive(Serialize)]
pub struct Pulsed {
    /// The device and its level: `tide.tempo`.
    pub what: String,
    /// The contact: `remote 1 tip`.
    pub contact: String,
    /// How often it pulses, and the time from one pulse to the next, in milliseconds.
    pub pulses: u16,
    pub every_ms: f64,
}

/// A controller that a treadle moves.
#[derive(Serialize)]
pub struct ByFoot {
    /// The device and its level.
    pub what: String,
    /// The channel, from 1, and the controller.
    pub channel: u16,
    pub cc: u16,
    /// The treadle, and what it sends with the heel down and with the toe down.
    pub treadle: String,
    pub heel: u16,
    pub toe: u16,
}

/// One thing sent.
#[derive(Serialize)]
pub struct Line {
    /// The device and its control: `throb.wave`.
    pub what: String,
    /// The channel, from 1.
    pub channel: u16,
    /// The bytes, in hexadecimal.
    pub bytes: String,
    /// When the last of them is out, in milliseconds from the first byte of what is sent together.
    pub out_ms: f64,
    /// Left out where the same was the last that the control sent.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub only_if_changed: bool,
}

/// A song's clock, for devices that follow one.
#[derive(Serialize)]
pub struct Clock {
    /// The song.
    pub song: String,
    /// Its tempo, as written.
    pub bpm: String,
    /// From one clock byte to the next, in milliseconds.
    pub every_ms: f64,
    /// The devices that follow.
    pub devices: Vec<String>,
}

/// Everything sent.
#[derive(Serialize)]
pub struct All {
    /// By preset.
    pub presets: Vec<Preset>,
    /// By song.
    pub clocks: Vec<Clock>,
}

/// What each preset sends, and which clock each song runs at.
pub fn all(compiled: &Compiled) -> All {
    let book = &compiled.book;
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let presets = compiled.presets.iter().map(|preset| {
        let row = Row::of(book, &compiled.table, preset.scene);
        let messages = lines(compiled, row.sent(When::Entering));
        Preset {
            slot: preset.slot.zip(range).map(|(slot, range)| range.show(slot)),
            scene: book.show.scene(preset.scene).map_or(String::new(), |s| s.name.to_string()),
            wire_ms: messages.last().map_or(0.0, |l| l.out_ms),
            messages,
            on_leaving: lines(compiled, row.sent(When::Leaving)),
            later: later(compiled, row),
            clock: running(compiled, preset.scene),
            pulses: pulses(compiled, preset.scene),
            by_foot: by_foot(compiled, preset.scene),
        }
    });
    let devices: Vec<String> =
        book.board.devices.iter().filter(|d| d.clock && d.tempo.is_none()).map(|d| d.name.clone()).collect();
    let clocked = book.show.songs_by_name().into_iter().filter(|_| !devices.is_empty());
    let clocks = clocked.filter_map(|song| {
        let bpm = song.tempo?.value;
        let every = messages::beat_ms(bpm) / CLOCKS;
        Some(Clock {
            song: song.title.to_string(),
            bpm: song.tempo_text.to_string(),
            every_ms: (every * 1000.0).round() / 1000.0,
            devices: devices.clone(),
        })
    });
    All { presets: presets.collect(), clocks: clocks.collect() }
}

/// The clock that a preset sets, where the switcher sends one.
fn running(compiled: &Compiled, scene: SceneId) -> Option<Running> {
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let cells = &compiled.table.cells.list;
    let (at, cell) = cells.pairs().find(|(_, cell)| cell.kind == CellKind::Clock)?;
    if !matches!(compiled.table.stored(scene, at), Value::Step(_)) {
        return None;
    }
    let tempo = cell.users.iter().find_map(|(device, control)| row.amount(*device, *control))?;
    let every = messages::beat_ms(tempo.value()) / CLOCKS;
    let devices = cell.users.iter().filter_map(|(d, _)| compiled.book.board.devices.get(*d));
    Some(Running {
        bpm: amount::show(tempo),
        every_ms: (every * 1000.0).round() / 1000.0,
        devices: devices.map(|d| d.name.clone()).collect(),
    })
}

/// The contacts that pulse a tempo, in board order.
fn pulses(compiled: &Compiled, scene: SceneId) -> Vec<Pulsed> {
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let pulsed = |cell: &Cell| {
        let CellKind::Taps { contact, device, control } = cell.kind else { return None };
        let found = compiled.book.board.devices.get(device)?;
        let level = found.controls.get(control)?;
        let How::Pulses { count, .. } = level.how else { return None };
        let every = messages::beat_ms(row.amount(device, control)?.value());
        Some(Pulsed {
            what: format!("{}.{}", found.name, level.name),
            contact: contact.says(),
            pulses: count,
            every_ms: (every * 1000.0).round() / 1000.0,
        })
    };
    compiled.table.cells.list.iter().filter_map(pulsed).collect()
}

/// What treadles send in a preset.
fn by_foot(compiled: &Compiled, scene: SceneId) -> Vec<ByFoot> {
    let (board, table) = (&compiled.book.board, &compiled.table);
    let moved = table.cells.list.numbered().filter_map(|(cell, column)| {
        let (CellKind::Message { channel, device, control }, Value::Moved(travel)) =
            (cell.kind, table.stored(scene, column))
        else {
            return None;
        };
        let device = board.devices.get(device)?;
        let level = device.controls.get(control)?;
        let How::Cc { cc, .. } = level.how else { return None };
        let (heel, toe) = travel.ends();
        let (what, treadle) = (format!("{}.{}", device.name, level.name), board.treadle_name(travel.input()));
        Some(ByFoot { what, channel, cc, treadle, heel, toe })
    });
    moved.collect()
}

/// What goes out together, and when each is out.
fn lines(compiled: &Compiled, sent: Vec<Sent>) -> Vec<Line> {
    let mut bytes = 0;
    let mut line = |sent: Sent| {
        let (device, control) = sent.control;
        let device = compiled.book.board.devices.get(device);
        let control = device.and_then(|d| d.controls.get(control)).map_or("?", |c| c.name.as_str());
        let own = sent.bytes();
        bytes += own.len();
        let own: Vec<String> = own.iter().map(|b| format!("{b:02X}")).collect();
        Line {
            what: format!("{}.{control}", device.map_or("?", |d| d.name.as_str())),
            channel: sent.channel,
            bytes: own.join(" "),
            out_ms: messages::wire_us(bytes) as f64 / 1000.0,
            only_if_changed: sent.cue.changed,
        }
    };
    sent.into_iter().map(&mut line).collect()
}

/// What goes out later, the soonest first.
fn later(compiled: &Compiled, row: Row<'_>) -> Vec<Later> {
    let mut times: Vec<u32> = Vec::new();
    for sent in row.bytes() {
        if let When::After(ms) = sent.cue.when
            && times.last() != Some(&ms)
        {
            times.push(ms);
        }
    }
    let at = |ms: u32| Later { after_s: f64::from(ms) / 1000.0, messages: lines(compiled, row.sent(When::After(ms))) };
    times.into_iter().map(at).collect()
}

/// The bytes, for a person to check.
pub fn hex(compiled: &Compiled) -> String {
    let all = all(compiled);
    let mut out = String::new();
    for preset in &all.presets {
        let slot = preset.slot.as_deref().unwrap_or("-");
        together(&mut out, &format!("{slot:<6} {}", preset.scene), &preset.messages);
        if !preset.on_leaving.is_empty() {
            together(&mut out, "       on leaving", &preset.on_leaving);
        }
        for later in &preset.later {
            together(&mut out, &format!("       after {} s", later.after_s), &later.messages);
        }
        if let Some(clock) = &preset.clock {
            let devices = clock.devices.join(", ");
            let _ = writeln!(out, "       F8 every {} ms from here on: {}, for {devices}", clock.every_ms, clock.bpm);
        }
        for one in &preset.pulses {
            let _ = writeln!(
                out,
                "       {} pulses, one every {} ms: {} ({})",
                one.pulses, one.every_ms, one.what, one.contact
            );
        }
        for ByFoot { what, channel, cc, treadle, heel, toe } in &preset.by_foot {
            let sent = format!("cc {cc}: {heel} to {toe}");
            let _ = writeln!(out, "       {sent:<23} {what} (channel {channel}), as {treadle} moves");
        }
    }
    for clock in &all.clocks {
        let devices = clock.devices.join(", ");
        let _ = writeln!(out, "F8 every {} ms: \"{}\", {} bpm, for {devices}", clock.every_ms, clock.song, clock.bpm);
    }
    out
}

/// What goes out together: how much, and when each is out.
fn together(out: &mut String, head: &str, lines: &[Line]) {
    let bytes: usize = lines.iter().map(|m| m.bytes.split(' ').count()).sum();
    let _ = writeln!(out, "{head}: {bytes} bytes, {:.2} ms on the wire", lines.last().map_or(0.0, |l| l.out_ms));
    for Line { what, channel, bytes, out_ms, only_if_changed } in lines {
        let changed = if *only_if_changed { ", only if changed" } else { "" };
        let _ = writeln!(out, "       {bytes:<23} {what} (channel {channel}), out after {out_ms:.2} ms{changed}");
    }
}

/// The bytes, for programs.
pub fn json(compiled: &Compiled) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(&all(compiled)).unwrap_or_default() + "\n"
}

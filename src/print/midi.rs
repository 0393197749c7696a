//! MIDI: a set as a standard file, and each preset's bytes for people and programs.
//!
//! Standard MIDI Files 1.0 (RP-001, MMA, revised February 1996): one track, 480 ticks in a quarter. Nobody knows how
//! long a part lasts, so each is given four quarters; its marker, tempo and messages stand at its start.

use std::fmt::Write;

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};
use serde::Serialize;

use crate::Compiled;
use crate::book::{How, amount};
use crate::settle::bytes::{Message, Sent};
use crate::settle::{Cell, CellKind, Row, Value};
use crate::study::messages::{self, CLOCKS};
use crate::study::walk::Walked;

/// Ticks in a quarter note.
pub const TICKS: u16 = 480;
/// Quarters that a part is given in the file.
pub const QUARTERS: u32 = 4;

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
        let kind = match event {
            Event::Tempo(us) => TrackEventKind::Meta(MetaMessage::Tempo(u24::new((*us).min(0xFF_FFFF)))),
            Event::Marker(text) => TrackEventKind::Meta(MetaMessage::Marker(text.as_bytes())),
            Event::Channel(channel, message) => TrackEventKind::Midi {
                channel: u4::new((channel.saturating_sub(1) & 15) as u8),
                message: match message {
                    Message::Control(controller, value) => {
                        MidiMessage::Controller { controller: u7::new(controller & 127), value: u7::new(value & 127) }
                    }
                    Message::Program(program) => MidiMessage::ProgramChange { program: u7::new(program & 127) },
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

/// A set's events, and where they end.
pub fn events(compiled: &Compiled, walked: &Walked) -> (Vec<(u32, Event)>, u32) {
    let book = &compiled.book;
    let (mut out, mut now, mut tempo) = (Vec::new(), 0, None);
    for change in &walked.changes {
        let Some((song, part)) = change.to.part else { continue };
        let Some(song) = book.show.songs.get(song as usize) else { continue };
        let label = song.parts.get(part as usize).map_or("", |p| p.label.as_str());
        if let Some(bpm) = song.tempo.filter(|t| tempo != Some(t.value)) {
            tempo = Some(bpm.value);
            out.push((now, Event::Tempo(messages::quarter_us(bpm.value))));
        }
        let scene = book.show.scene(change.to.scene).map_or("", |s| &s.name);
        out.push((now, Event::Marker(format!("{} / {label}: {scene}", song.title))));
        for sent in Row::of(book, &compiled.table, change.to.scene).bytes() {
            out.extend(sent.messages.iter().map(|m| (now, Event::Channel(sent.channel, *m))));
        }
        now += QUARTERS * u32::from(TICKS);
    }
    (out, now)
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
    /// What it sends, in order.
    pub messages: Vec<Line>,
    /// Time on the wire, in milliseconds.
    pub wire_ms: f64,
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
        let sent = Row::of(book, &compiled.table, preset.scene).bytes();
        let bytes: usize = sent.iter().map(|s| s.bytes().len()).sum();
        Preset {
            slot: preset.slot.zip(range).map(|(slot, range)| range.show(slot)),
            scene: book.show.scene(preset.scene).map_or(String::new(), |s| s.name.to_string()),
            messages: sent.iter().map(|s| line(compiled, s)).collect(),
            wire_ms: messages::wire_us(bytes) as f64 / 1000.0,
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
fn running(compiled: &Compiled, scene: u32) -> Option<Running> {
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let cells = &compiled.table.cells.list;
    let (at, cell) = (0u16..).zip(cells).find(|(_, cell)| cell.kind == CellKind::Clock)?;
    if !matches!(compiled.table.stored(scene, at), Value::Step(_)) {
        return None;
    }
    let tempo = cell.users.iter().find_map(|(device, control)| row.amount(*device, *control))?;
    let every = messages::beat_ms(tempo.value()) / CLOCKS;
    let devices = cell.users.iter().filter_map(|(d, _)| compiled.book.board.devices.get(usize::from(*d)));
    Some(Running {
        bpm: amount::show(tempo),
        every_ms: (every * 1000.0).round() / 1000.0,
        devices: devices.map(|d| d.name.clone()).collect(),
    })
}

/// The contacts that pulse a tempo, in board order.
fn pulses(compiled: &Compiled, scene: u32) -> Vec<Pulsed> {
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let pulsed = |cell: &Cell| {
        let CellKind::Taps { contact, device, control } = cell.kind else { return None };
        let found = compiled.book.board.devices.get(usize::from(device))?;
        let level = found.controls.get(usize::from(control))?;
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
fn by_foot(compiled: &Compiled, scene: u32) -> Vec<ByFoot> {
    let (board, table) = (&compiled.book.board, &compiled.table);
    let moved = table.cells.list.iter().zip(0u16..).filter_map(|(cell, column)| {
        let (CellKind::Message { channel, device, control }, Value::Moved(travel)) =
            (cell.kind, table.stored(scene, column))
        else {
            return None;
        };
        let device = board.devices.get(device as usize)?;
        let level = device.controls.get(control as usize)?;
        let How::Cc { cc, .. } = level.how else { return None };
        let (heel, toe) = travel.ends();
        let (what, treadle) = (format!("{}.{}", device.name, level.name), board.treadle_name(travel.input()));
        Some(ByFoot { what, channel, cc, treadle, heel, toe })
    });
    moved.collect()
}

fn line(compiled: &Compiled, sent: &Sent) -> Line {
    let (device, control) = sent.control;
    let device = compiled.book.board.devices.get(device as usize);
    let control = device.and_then(|d| d.controls.get(control as usize)).map_or("?", |c| c.name.as_str());
    let bytes: Vec<String> = sent.bytes().iter().map(|b| format!("{b:02X}")).collect();
    Line {
        what: format!("{}.{control}", device.map_or("?", |d| d.name.as_str())),
        channel: sent.channel,
        bytes: bytes.join(" "),
    }
}

/// The bytes, for a person to check.
pub fn hex(compiled: &Compiled) -> String {
    let all = all(compiled);
    let mut out = String::new();
    for preset in &all.presets {
        let bytes: usize = preset.messages.iter().map(|m| m.bytes.split(' ').count()).sum();
        let slot = preset.slot.as_deref().unwrap_or("-");
        let _ = writeln!(out, "{slot:<6} {}: {bytes} bytes, {:.2} ms on the wire", preset.scene, preset.wire_ms);
        for line in &preset.messages {
            let _ = writeln!(out, "       {:<23} {} (channel {})", line.bytes, line.what, line.channel);
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

/// The bytes, for programs.
pub fn json(compiled: &Compiled) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(&all(compiled)).unwrap_or_default() + "\n"
}

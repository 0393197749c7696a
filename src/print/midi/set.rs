//! A set as it is played: tempo, markers and messages, each at its tick.
//!
//! What is sent on leaving goes out as the next preset is pressed, before what that one sends; what is sent later stands in
//! its time at the song's tempo (120 where nobody says one: Standard MIDI Files 1.0). A part that does not say how long it
//! lasts lasts until then; one that ends before is left before, and nothing more is sent.

use rustc_hash::FxHashMap;

use super::{Event, TICKS, lasts, ticks, unsaid};
use crate::Compiled;
use crate::book::Slot;
use crate::book::message::When;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::Row;
use crate::settle::bytes::Sent;
use crate::study::messages;
use crate::study::walk::Walked;

/// What is sent, less what the unit leaves out: the last that each control sent is known.
#[derive(Default)]
struct Line {
    out: Vec<(u32, Event)>,
    last: FxHashMap<(DeviceId, ControlId), Vec<u8>>,
    /// What is sent later, with its tick.
    later: Vec<(u32, Sent)>,
}

impl Line {
    fn send(&mut self, tick: u32, sent: Sent) {
        let bytes = sent.bytes();
        if sent.cue.changed && self.last.get(&sent.control) == Some(&bytes) {
            return;
        }
        self.last.insert(sent.control, bytes);
        self.out.extend(sent.messages.into_iter().map(|m| (tick, Event::Channel(sent.channel, m))));
    }

    /// Sends what is due until then.
    fn until(&mut self, tick: u32) {
        let (due, later): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.later).into_iter().partition(|(at, _)| *at <= tick);
        self.later = later;
        due.into_iter().for_each(|(at, sent)| self.send(at, sent));
    }
}

/// A set's events, and where they end.
pub fn events(compiled: &Compiled, walked: &Walked) -> (Vec<(u32, Event)>, u32) {
    let book = &compiled.book;
    let row = |scene: SceneId| Row::of(book, &compiled.table, scene);
    let (mut line, mut now, mut tempo, mut quarter) = (Line::default(), 0u32, None, None);
    let mut before = None;
    for change in &walked.changes {
        let Some((song, part)) = change.to.part else { continue };
        let Some(song) = book.show.songs.get(song) else { continue };
        let here = (book.show.base(change.to.scene), change.to.slot.map(Slot::stored));
        line.until(now);
        // Who stays in a preset, or presses switches inside it, neither leaves nor enters: only what these move is sent.
        let stays = before.filter(|(_, left)| *left == here && !change.called);
        if let Some((scene, _)) = before.filter(|_| stays.is_none()) {
            line.later.clear();
            row(scene).sent(When::Leaving).into_iter().for_each(|sent| line.send(now, sent));
        }
        let stood: Vec<Sent> = stays.map_or(Vec::new(), |(scene, _)| row(scene).bytes());
        before = Some((change.to.scene, here));
        let part = song.parts.get(part as usize);
        let label = part.map_or("", |p| p.label.as_str());
        if let Some(bpm) = song.tempo.filter(|t| tempo != Some(t.value)) {
            tempo = Some(bpm.value);
            quarter = Some(messages::quarter_us(bpm.value));
            line.out.extend(quarter.map(|us| (now, Event::Tempo(us))));
        }
        let scene = book.show.scene(change.to.scene).map_or("", |s| &s.name);
        line.out.push((now, Event::Marker(format!("{} / {label}: {scene}", song.title))));
        let stands = |sent: &Sent| stood.iter().any(|s| s.control == sent.control && s.bytes() == sent.bytes());
        for sent in row(change.to.scene).bytes().into_iter().filter(|sent| !stands(sent)) {
            match sent.cue.when {
                When::Entering => line.send(now, sent),
                When::Leaving => {}
                When::After(ms) => line.later.push((now.saturating_add(ticks(u64::from(ms), quarter)), sent)),
            }
        }
        line.later.sort_by_key(|(due, _)| *due);
        now = match part.and_then(|part| lasts(part, quarter)) {
            Some(said) => now.saturating_add(said),
            None => {
                let last = line.later.last().map_or(0, |(due, _)| due.div_ceil(u32::from(TICKS)) * u32::from(TICKS));
                now.saturating_add(unsaid()).max(last)
            }
        };
    }
    line.until(now);
    (line.out, now)
}

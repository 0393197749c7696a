//! A set as it is played: tempo, markers and messages, each at its tick.
//!
//! What is sent on leaving goes out as the next preset is pressed, before what that one sends; what is sent later stands in
//! its time at the song's tempo (120 where nobody says one: Standard MIDI Files 1.0), and its part lasts until then.

use rustc_hash::FxHashMap;

use super::{Event, QUARTERS, TICKS};
use crate::Compiled;
use crate::book::message::When;
use crate::settle::Row;
use crate::settle::bytes::Sent;
use crate::study::messages;
use crate::study::walk::Walked;

/// Microseconds in a quarter where no tempo is said.
const UNSAID_US: u32 = 500_000;

/// What is sent, less what the unit leaves out: the last that each control sent is known.
#[derive(Default)]
struct Line {
    out: Vec<(u32, Event)>,
    last: FxHashMap<(u16, u16), Vec<u8>>,
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
}

/// A set's events, and where they end.
pub fn events(compiled: &Compiled, walked: &Walked) -> (Vec<(u32, Event)>, u32) {
    let book = &compiled.book;
    let row = |scene: u32| Row::of(book, &compiled.table, scene);
    let (mut line, mut now, mut tempo) = (Line::default(), 0, None);
    let mut before = None;
    for change in &walked.changes {
        let Some((song, part)) = change.to.part else { continue };
        let Some(song) = book.show.songs.get(song as usize) else { continue };
        let here = (change.to.scene, change.to.slot);
        if let Some((scene, _)) = before.filter(|left| *left != here) {
            row(scene).sent(When::Leaving).into_iter().for_each(|sent| line.send(now, sent));
        }
        before = Some(here);
        let label = song.parts.get(part as usize).map_or("", |p| p.label.as_str());
        if let Some(bpm) = song.tempo.filter(|t| tempo != Some(t.value)) {
            tempo = Some(bpm.value);
            line.out.push((now, Event::Tempo(messages::quarter_us(bpm.value))));
        }
        let scene = book.show.scene(change.to.scene).map_or("", |s| &s.name);
        line.out.push((now, Event::Marker(format!("{} / {label}: {scene}", song.title))));
        let quarter = u64::from(tempo.map_or(UNSAID_US, messages::quarter_us));
        let mut end = now + QUARTERS * u32::from(TICKS);
        for sent in row(change.to.scene).bytes() {
            match sent.cue.when {
                When::Entering => line.send(now, sent),
                When::Leaving => {}
                When::After(ms) => {
                    let ticks = (u64::from(ms) * 1000 * u64::from(TICKS) + quarter / 2) / quarter;
                    let due = now.saturating_add(u32::try_from(ticks).unwrap_or(u32::MAX));
                    end = end.max(due.div_ceil(u32::from(TICKS)) * u32::from(TICKS));
                    line.send(due, sent);
                }
            }
        }
        now = end;
    }
    (line.out, now)
}

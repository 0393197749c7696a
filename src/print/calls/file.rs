//! A standard MIDI file that calls the presets of a set: a marker for each part, and at its start what calls it.

use super::model::messages;
use crate::Compiled;
use crate::fill::Places;
use crate::print::midi::{self, Event, lasts, unsaid};
use crate::study::calls;
use crate::study::messages::quarter_us;
use crate::study::ways::Run;

/// Writes the file of a run. A part that does not say how long it lasts is given four quarters, as in the file of messages.
pub fn file(compiled: &Compiled, run: &Run) -> Vec<u8> {
    let book = &compiled.book;
    let places = Places::of(book, &compiled.presets);
    let channel = book.board.switcher.as_ref().and_then(|s| s.answers).map_or(1, |answers| answers.channel);
    let (mut events, mut now, mut tempo) = (Vec::new(), 0u32, None);
    for song in run.songs.iter().filter_map(|(song, _)| book.show.songs.get(*song)) {
        let called = calls::of_song(&book.board, &places, song);
        if let Some(bpm) = song.tempo.filter(|bpm| tempo != Some(bpm.value)) {
            tempo = Some(bpm.value);
            events.push((now, Event::Tempo(quarter_us(bpm.value))));
        }
        for (at, part) in song.parts.iter().enumerate() {
            events.push((now, Event::Marker(format!("{} / {}", song.title, part.label))));
            if let Some(one) = called.iter().find(|one| one.part == at && !one.stays) {
                events.extend(messages(one.call).into_iter().map(|message| (now, Event::Channel(channel, message))));
            }
            now = now.saturating_add(lasts(part, tempo.map(quarter_us)).unwrap_or_else(unsaid));
        }
    }
    midi::file(&events, now)
}

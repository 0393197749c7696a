//! Which tempo a part gives to a pedal that takes one from its preset: the song's, at the note value that the part names.

use super::amount::Amount;
use super::show::Played;
use super::{Book, How, LevelValue, Note, Part, Saying, SayingRange, What};
use crate::ids::{ControlId, DeviceId, SceneId, SongId};

/// The note value that is meant where a part names none: a beat is a quarter.
pub const BEAT: &str = "quarter";

/// Beats that a note value lasts, as a fraction: a quarter is one. None for a word that is no note value.
pub fn beats(value: &str) -> Option<(i64, i64)> {
    let (factor, plain) = match value.split_once('-') {
        Some(("dotted", plain)) => ((3, 2), plain),
        Some(("triplet", plain)) => ((2, 3), plain),
        _ => ((1, 1), value),
    };
    let plain = match plain {
        "whole" => (4, 1),
        "half" => (2, 1),
        "quarter" => (1, 1),
        "eighth" => (1, 2),
        "sixteenth" => (1, 4),
        _ => return None,
    };
    Some((factor.0 * plain.0, factor.1 * plain.1))
}

/// Digits behind the point of a tempo that no decimal number is.
const DIGITS: i32 = 3;

/// A tempo at which every beat is one note value of another: 92 bpm in dotted eighths is 122.667 bpm.
pub fn at(tempo: Amount, value: &str) -> Option<Amount> {
    let (over, under) = beats(value)?;
    let whole = i128::from(tempo.mantissa).checked_mul(i128::from(under))?;
    let over = i128::from(over);
    if whole % over == 0 {
        return Some(Amount { mantissa: i64::try_from(whole / over).ok()?, ..tempo });
    }
    let finer = (DIGITS + tempo.ten).max(0);
    let whole = whole.checked_mul(10i128.checked_pow(finer.unsigned_abs())?)?;
    let mantissa = i64::try_from((2 * whole + over) / (2 * over)).ok()?;
    Some(Amount { mantissa, ten: tempo.ten - finer, ..tempo })
}

/// A part that wants a tempo of a pedal.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Wish<'b> {
    /// The song and the part, by their places.
    pub song: SongId,
    pub part: u32,
    pub scene: SceneId,
    /// The pedal, and the level of it.
    pub device: DeviceId,
    pub control: ControlId,
    /// The note value, and the beats a minute that it comes to.
    pub value: &'b str,
    pub tempo: Amount,
}

impl Wish<'_> {
    /// The step that is stored; None where the pedal does not take such a tempo.
    pub fn step(&self, how: &How) -> Option<u16> {
        let ((from, to), (least, most)) = (how.level()?, how.takes()?);
        self.tempo.step(from, to, how.steps(0)).filter(|_| self.tempo.within(least, most))
    }
}

/// The pedals that take a tempo from a preset, each with the level that does it.
pub fn takers(book: &Book) -> Vec<(DeviceId, ControlId)> {
    let takes = |(at, device): (DeviceId, &super::Device)| {
        let control = device.tempo?;
        let how = &device.controls.get(control)?.how;
        matches!(how, How::Pulses { .. } | How::Cc { .. } | How::Clock).then_some((at, control))
    };
    book.board.devices.pairs().filter_map(takes).collect()
}

/// The note value that a part names for a pedal.
pub fn named(part: &Part, device: DeviceId) -> &str {
    let named = part.besides().notes.iter().find_map(|note| match note {
        Note::Beat { device: Some(d), value } if *d == device => Some(value.as_str()),
        _ => None,
    });
    named.unwrap_or(BEAT)
}

/// All that songs want of such pedals, by title and part. Whether a pedal is heard there, the table knows.
pub fn wishes(book: &Book) -> Vec<Wish<'_>> {
    let takers = takers(book);
    if takers.is_empty() {
        return Vec::new();
    }
    let mut songs: Vec<SongId> = book.show.songs.ids().collect();
    songs.sort_by_key(|at| book.show.songs.get(*at).map(|song| song.title.as_str()));
    let mut out = Vec::new();
    for song in songs {
        let Some(found) = book.show.songs.get(song) else { continue };
        let said = found.tempo.and_then(|_| Amount::read(&format!("{} bpm", found.tempo_text)));
        let Some(said) = said else { continue };
        for (played, part) in found.parts.iter().zip(0..) {
            let Some(scene) = played.scene else { continue };
            // What stands in for its scene is played in it too, on the night that something fails.
            for scene in std::iter::once(scene).chain(book.show.stand_ins(scene)) {
                for (device, control) in &takers {
                    let value = named(played, *device);
                    let Some(tempo) = at(said, value) else { continue };
                    out.push(Wish { song, part, scene, device: *device, control: *control, value, tempo });
                }
            }
        }
    }
    out
}

/// Takes back what songs say, so that the book can change.
pub fn forget(book: &mut Book) {
    let Played { first, songs, .. } = std::mem::take(&mut book.show.played);
    if !songs.is_empty() {
        book.show.sayings.truncate(first);
        book.show.amounts.retain(|(saying, _)| *saying < first);
    }
}

/// Says for each scene what its songs want of its pedals' tempo, each tempo once.
pub fn play(book: &mut Book) {
    let mut said: Vec<(SceneId, DeviceId, ControlId, u16, SongId, super::Amount)> = Vec::new();
    for wish in wishes(book) {
        let how = book.board.devices.get(wish.device).and_then(|d| d.controls.get(wish.control));
        let Some(step) = how.and_then(|c| wish.step(&c.how)) else { continue };
        said.push((wish.scene, wish.device, wish.control, step, wish.song, wish.tempo));
    }
    if said.is_empty() {
        return;
    }
    // Of several songs that want one tempo the first by its title speaks for them.
    said.sort_by_key(|(scene, device, control, step, ..)| (*scene, *device, *control, *step));
    said.dedup_by_key(|(scene, device, control, step, ..)| (*scene, *device, *control, *step));
    let show = &mut book.show;
    let first = show.sayings.next();
    let mut played =
        Played { by_scene: show.scenes.iter().map(|_| SayingRange::default()).collect(), first, songs: Vec::new() };
    for (scene, device, control, step, song, tempo) in said {
        let Some(at) = show.songs.get(song).and_then(|song| song.tempo).map(|tempo| tempo.at) else { continue };
        let Some(range) = played.by_scene.get_mut(scene) else { continue };
        let what = What::Level { device, control, value: LevelValue::Step(step) };
        let saying = show.sayings.push(Saying { what, at });
        if range.from == range.to {
            range.from = saying;
        }
        range.to = show.sayings.next();
        show.amounts.push((saying, tempo));
        played.songs.push(song);
    }
    show.played = played;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::amount::show;

    /// 92 · 4/3 = 122.66…, 92.5 · 2 = 185, 120 · 3/2 = 180 (arithmetic).
    #[test]
    fn a_note_value_has_a_tempo_of_its_own() {
        let of = |tempo: &str, value| show(at(Amount::read(tempo).unwrap(), value).unwrap());
        assert_eq!(of("92 bpm", "quarter"), "92 bpm");
        assert_eq!(of("92 bpm", "dotted-eighth"), "122.667 bpm");
        assert_eq!(of("92.5 bpm", "eighth"), "185 bpm");
        assert_eq!(of("120 bpm", "triplet-quarter"), "180 bpm");
        assert_eq!(of("92 bpm", "whole"), "23 bpm");
    }
}

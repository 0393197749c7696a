//! Who says something, as a player reads it.

use crate::Compiled;
use crate::ask::Spot;
use crate::book::{LevelValue, What, beat};
use crate::ids::{SceneId, SongId};
use crate::print::inside;
use crate::settle::why::{Rank, Reason};
use crate::source::Span;

/// `bridge`; `verse`, which `bridge` comes from; layer `wide`, mixed into `verse`; the default.
pub(super) fn speaker(compiled: &Compiled, spot: &Spot, reason: &Reason) -> String {
    match reason.rank {
        // Of a part one song is asked after.
        Rank::Song(song) if spot.part.is_none() => songs(compiled, reason, song),
        rank => ranked(compiled, spot, rank, reason.at),
    }
}

/// The same of a rank, for what is said in this place.
pub(super) fn ranked(compiled: &Compiled, spot: &Spot, rank: Rank, at: Span) -> String {
    let (scene, show) = (spot.scene, &compiled.book.show);
    let name = |id: SceneId| show.scene(id).map_or("?", |s| s.name.as_str());
    // With switches pressed it is the scene, and what its switches bring.
    let base = show.base(scene);
    match rank {
        Rank::Own(id) if id == base => format!("`{}`", name(id)),
        Rank::Own(id) if id == scene => match show.switches(base).iter().find(|p| p.at == at) {
            Some(press) => format!("switch {} of `{}`", inside::name(compiled, press.switch), name(base)),
            None => format!("`{}`", name(id)),
        },
        Rank::Own(id) => format!("`{}`, which `{}` comes from,", name(id), name(base)),
        Rank::Layer(layer, id) => {
            let layer = compiled.book.show.layers.get(layer).map_or("?", |l| &*l.name);
            format!("layer `{layer}`, mixed into `{}`,", name(id))
        }
        Rank::Default => "the default".to_owned(),
        Rank::Song(song) => title(compiled, song),
    }
}

/// The song that speaks for all that want this tempo, and how many others.
pub(super) fn songs(compiled: &Compiled, reason: &Reason, speaks: SongId) -> String {
    let title = |song: SongId| title(compiled, song);
    let mut others = wanting(compiled, reason);
    others.retain(|song| *song != speaks);
    match others.as_slice() {
        [] => title(speaks),
        [one] => format!("{} with {}", title(speaks), title(*one)),
        more => format!("{} with {} songs more", title(speaks), more.len()),
    }
}

fn title(compiled: &Compiled, song: SongId) -> String {
    format!("\"{}\"", compiled.book.show.songs.get(song).map_or("?", |s| s.title.as_str()))
}

/// The same reason in the mouth of the song that is asked after, where that wants the tempo too.
pub(super) fn asked(compiled: &Compiled, spot: &Spot, reason: Reason) -> Reason {
    let song = spot.part.filter(|(song, _)| wanting(compiled, &reason).contains(song)).map(|(song, _)| song);
    let tempo = song.and_then(|song| Some((song, compiled.book.show.songs.get(song)?.tempo?.at)));
    tempo.map_or(reason, |(song, at)| Reason { rank: Rank::Song(song), at, ..reason })
}

/// The songs that want of a scene what one song says of a pedal's tempo.
fn wanting(compiled: &Compiled, reason: &Reason) -> Vec<SongId> {
    let (show, board) = (&compiled.book.show, &compiled.book.board);
    let level = match (reason.rank, show.sayings.get(reason.saying).map(|s| s.what)) {
        (Rank::Song(_), Some(What::Level { device, control, value: LevelValue::Step(step) })) => {
            (device, control, step)
        }
        _ => return Vec::new(),
    };
    let (device, control, step) = level;
    let found = board.devices.get(device).and_then(|d| d.controls.get(control));
    let plays = |scene: SceneId| {
        let said = show.played(scene);
        (said.from..said.to).contains(&reason.saying)
    };
    let wishes = beat::wishes(&compiled.book).into_iter().filter(|w| (w.device, w.control) == (device, control));
    let wishes = wishes.filter(|w| plays(w.scene) && found.is_some_and(|found| w.step(&found.how) == Some(step)));
    let mut songs: Vec<SongId> = wishes.map(|w| w.song).collect();
    songs.dedup();
    songs
}

/// The scene and all that it comes from, by their names.
pub(super) fn line(compiled: &Compiled, scene: SceneId) -> Vec<&str> {
    let show = &compiled.book.show;
    let up = std::iter::successors(show.scene(show.base(scene)), |s| s.parent.and_then(|p| show.scene(p)));
    up.take(show.scenes.len()).map(|s| s.name.as_str()).collect()
}

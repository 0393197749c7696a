//! Who is who: entered once, it hands on which of the old book is which of the new one.

mod alike;
pub mod assign;
mod leftover;
mod matched;
mod named;
mod pairs;
mod renamed;

pub use alike::THRESHOLD;
pub use matched::{Matched, Paired, Renamed};
pub use pairs::Pairs;

use leftover::leftover;
use named::named;

use crate::Compiled;
use crate::book::song::title_key;
use crate::book::{Book, Device, Set, Song};
use crate::ids::{DeviceId, Numbered, SceneId, SongId};

/// Pairs by `was`, then by name, then, where `renames` are looked for, what is most alike.
pub fn matched(old: &Compiled, new: &Compiled, renames: bool) -> Matched {
    let (a, b) = (&old.book, &new.book);
    let mut out = Matched {
        scenes: named::scenes(old, new),
        devices: named(a.board.devices.iter().map(|d| &d.name), b.board.devices.iter().map(|d| &d.name)),
        songs: named(
            a.show.songs.iter().map(|s| title_key(&s.title)),
            b.show.songs.iter().map(|s| title_key(&s.title)),
        ),
        sets: named(a.show.sets.iter().map(|s| title_key(&s.title)), b.show.sets.iter().map(|s| title_key(&s.title))),
        ..Matched::default()
    };
    if !renames {
        pressed(a, b, &mut out.scenes);
        return out;
    }
    let (was, now) = (&a.board.devices, &b.board.devices);
    let likeness = |x: DeviceId, y: DeviceId| match (was.get(x), now.get(y)) {
        (Some(x), Some(y)) => alike::devices(old, x, new, y),
        _ => 0,
    };
    let name = |list: &Numbered<DeviceId, Device>, at: DeviceId| list.get(at).map_or(String::new(), |d| d.name.clone());
    let mut pairs = std::mem::take(&mut out.devices);
    leftover(&mut pairs, Paired::Device, &|at| name(was, at), &|at| name(now, at), &likeness, &mut out);
    out.devices = pairs;

    renamed::scenes(old, new, &mut out);

    let (was, now) = (&a.show.songs, &b.show.songs);
    let mut pairs = std::mem::take(&mut out.songs);
    let known = std::mem::take(&mut out.scenes);
    let likeness = |x: SongId, y: SongId| match (was.get(x), now.get(y)) {
        (Some(x), Some(y)) => alike::songs(x, y, &known),
        _ => 0,
    };
    let name = |list: &Numbered<SongId, Song>, at: SongId| list.get(at).map_or(String::new(), |s| s.title.to_string());
    leftover(&mut pairs, Paired::Song, &|at| name(was, at), &|at| name(now, at), &likeness, &mut out);
    (out.songs, out.scenes) = (pairs, known);

    let (was, now) = (&a.show.sets, &b.show.sets);
    let mut pairs = std::mem::take(&mut out.sets);
    let known = std::mem::take(&mut out.songs);
    let likeness = |x: usize, y: usize| match (was.get(x), now.get(y)) {
        (Some(x), Some(y)) => alike::sets(x, y, &known),
        _ => 0,
    };
    let name = |list: &[Set], at: usize| list.get(at).map_or(String::new(), |s| s.title.clone());
    leftover(&mut pairs, Paired::Set, &|at| name(was, at), &|at| name(now, at), &likeness, &mut out);
    (out.sets, out.songs) = (pairs, known);
    pressed(a, b, &mut out.scenes);
    out.renamed.sort();
    out
}

/// Scenes with the same switches pressed, of scenes that are paired.
fn pressed(old: &Book, new: &Book, pairs: &mut Pairs<SceneId>) {
    let of = |book: &Book, base: SceneId| -> Vec<(u8, SceneId)> {
        book.show.combinations(base).iter().map(|id| (book.show.pressed(*id), *id)).collect()
    };
    for base in old.show.combinations.keys() {
        let Some(now) = pairs.new_of(*base) else { continue };
        let now = of(new, now);
        for (switches, was) in of(old, *base) {
            if let Some((_, now)) = now.iter().find(|(same, _)| *same == switches) {
                pairs.join(was, *now);
            }
        }
    }
}

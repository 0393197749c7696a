//! Who says something, as a player reads it.

use crate::Compiled;
use crate::settle::why::{Rank, Reason};

/// `bridge`; `verse`, which `bridge` comes from; layer `wide`, mixed into `verse`; the default.
pub(super) fn speaker(compiled: &Compiled, scene: u32, reason: &Reason) -> String {
    let name = |id: u32| compiled.book.show.scene(id).map_or("?", |s| s.name.as_str());
    match reason.rank {
        Rank::Own(id) if id == scene => format!("`{}`", name(id)),
        Rank::Own(id) => format!("`{}`, which `{}` comes from,", name(id), name(scene)),
        Rank::Layer(layer, id) => {
            let layer = compiled.book.show.layers.get(layer as usize).map_or("?", |l| &*l.name);
            format!("layer `{layer}`, mixed into `{}`,", name(id))
        }
        Rank::Default => "the default".to_owned(),
        Rank::Song(song) => {
            format!("\"{}\"", compiled.book.show.songs.get(song as usize).map_or("?", |s| s.title.as_str()))
        }
    }
}

/// The scene and all that it comes from, by their names.
pub(super) fn line(compiled: &Compiled, scene: u32) -> Vec<&str> {
    let show = &compiled.book.show;
    let up = std::iter::successors(show.scene(scene), |s| s.parent.and_then(|p| show.scene(p)));
    up.take(show.scenes.len()).map(|s| s.name.as_str()).collect()
}

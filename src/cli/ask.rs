//! What a player's words mean, or what to say when they mean nothing here.

use super::Trouble;
use super::offer::{listed, meant, offer};
use crate::Compiled;
use crate::ask::{self, Doubt, NoSpot, Spot, Thing};
use crate::book::amount;
use crate::ids::SceneId;

/// Where a question points.
pub(super) fn point(compiled: &Compiled, said: &str) -> Result<Vec<Spot>, Trouble> {
    ask::spots(compiled, said).map_err(|no| Trouble(nowhere(compiled, said, no)))
}

/// The scene that is meant.
pub(super) fn scene(compiled: &Compiled, said: &str) -> Result<SceneId, Trouble> {
    ask::part::scene(compiled, said).ok_or_else(|| {
        let offer = offer(said, compiled.book.show.scenes.iter().map(|s| &*s.name));
        Trouble(format!("no scene and no filled slot is called `{said}`{offer}"))
    })
}

pub(super) fn nowhere(compiled: &Compiled, said: &str, no: NoSpot) -> String {
    let show = &compiled.book.show;
    let titles = || show.songs.iter().map(|s| s.title.as_str());
    match no {
        NoSpot::Nothing => {
            let parts = show.songs.iter().flat_map(|s| &s.parts).map(|p| p.label.as_str());
            let offer = offer(said, show.scenes.iter().map(|s| &*s.name).chain(parts));
            format!("no part, no scene and no filled slot is called `{said}`{offer}")
        }
        NoSpot::Song(title) => {
            let words = titles().flat_map(str::split_whitespace);
            format!("there is no song `{title}`{}", offer(&title, titles().chain(words)))
        }
        NoSpot::Songs(titles) => format!("`{said}` may be in {}: say more of the title", quoted(&titles)),
        NoSpot::Part(song, label) => {
            let Some(song) = show.songs.get(song) else { return String::new() };
            let has = listed(song.parts.iter().map(|p| p.label.as_str()));
            format!("\"{}\" has no part `{label}`{has}", song.title)
        }
    }
}

/// What is asked after.
pub(super) fn thing(compiled: &Compiled, said: &str) -> Result<Thing, Trouble> {
    ask::thing(compiled, said).map_err(|doubt| Trouble(nothing(compiled, said, doubt)))
}

/// Why words mean nothing, or not one thing.
pub(super) fn nothing(compiled: &Compiled, said: &str, doubt: Doubt) -> String {
    let book = &compiled.book;
    match doubt {
        Doubt::Several(several) => format!("`{said}` may mean {}: say which", or(&several)),
        Doubt::Outside(what, from, to) => format!("{what} goes from {} to {}", amount::show(from), amount::show(to)),
        Doubt::Nothing => {
            let devices = book.board.devices.iter();
            let controls = devices.clone().flat_map(|d| d.controls.iter().map(|c| format!("{}.{}", d.name, c.name)));
            let cells = compiled.table.cells.list.iter().map(|c| c.name.clone());
            let treadles = book.board.treadles.iter().map(|t| t.name.clone());
            let guitars = book.board.guitars.iter().map(|g| g.name.clone());
            let texts = devices.clone().flat_map(|d| d.title.iter().chain(&d.like));
            let words = texts.flat_map(|text| text.split([' ', '-'])).map(str::to_owned);
            let names = devices.clone().map(|d| d.name.clone());
            let has: Vec<String> =
                names.chain(controls).chain(cells).chain(guitars).chain(treadles).chain(words).collect();
            let meant = meant(said, has.iter().map(String::as_str));
            let offer = meant.unwrap_or_else(|| "`tipring labels` shows what the board has".to_owned());
            format!("nothing on this board is called `{said}`; {offer}")
        }
    }
}

fn quoted(titles: &[String]) -> String {
    or(&titles.iter().map(|t| format!("\"{t}\"")).collect::<Vec<_>>())
}

fn or(list: &[String]) -> String {
    match list {
        [before @ .., last] if !before.is_empty() => format!("{} or {last}", before.join(", ")),
        _ => list.concat(),
    }
}

//! A pause whose words no longer fit the songs around it: it tells the player to change guitars, and the next song is played
//! on the same one; or it names a guitar that the next song is not played on.
//!
//! # On stage
//! The player takes the wrong guitar, or looks for a change that nobody wants.
//!
//! # Way out
//! Take the pause out, move it, or write what is done there.
//!
//! # Fires
//! ```scene
//! guitar plank
//! guitar hollow
//! scene bed { mute }
//! song "Quay" on plank { bed }
//! song "Mole" on plank { bed }
//! set "one" { "Quay"; pause "change guitar"; "Mole" }
//! ```
//! ```scene
//! guitar plank
//! guitar hollow
//! scene bed { mute }
//! song "Quay" on plank { bed }
//! song "Mole" on plank { bed }
//! song "Pier" on hollow { bed }
//! set "one" { "Quay"; pause "the hollow one"; "Mole"; "Pier" }
//! ```
//!
//! # Silent
//! ```scene
//! guitar plank
//! guitar hollow
//! scene bed { mute }
//! song "Quay" on plank { bed }
//! song "Mole" on hollow { bed }
//! song "Pier" on hollow { tuning "drop D"; bed }
//! set "one" { "Quay"; pause "change guitar, to hollow"; "Mole"; pause "tune the guitar down"; "Pier" }
//! ```

use crate::book::SetItem;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Hint;

/// Words that ask for another guitar, where the word `guitar` stands beside them.
const CHANGES: [&str; 4] = ["change", "swap", "switch", "other"];

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let mut told = Vec::new();
    for set in &book.show.sets {
        let song = |item: &SetItem| book.show.songs.get(item.song()?);
        let starts = |item: &SetItem| song(item).map(|s| (s, s.parts.first().map_or(s.guitar, |p| s.guitar_of(p))));
        let ends = |item: &SetItem| song(item).map(|s| (s, s.parts.last().map_or(s.guitar, |p| s.guitar_of(p))));
        for (place, item) in set.items.iter().enumerate() {
            let SetItem::Pause(text) = item else { continue };
            let before = set.items.iter().take(place).rev().find_map(ends);
            let next = set.items.iter().skip(place).find_map(starts);
            let (Some((_, before)), Some((song, Some(next)))) = (before, next) else { continue };
            let words: Vec<String> = words(text);
            let named = |g: usize| book.board.guitars.get(g).is_some_and(|g| words.contains(&g.name.to_lowercase()));
            let another = (0..book.board.guitars.len()).find(|g| *g != next && named(*g)).filter(|_| !named(next));
            let asks = words.iter().any(|w| w == "guitar" || w == "guitars")
                && words.iter().any(|w| CHANGES.contains(&w.as_str()));
            let name = book.board.guitars.get(next).map_or("", |g| &g.name);
            let says = match another.and_then(|g| book.board.guitars.get(g)) {
                Some(other) => format!("it names `{}`, and \"{}\" is played on `{name}`", other.name, song.title),
                None if asks && before == Some(next) => {
                    format!("\"{}\" is played on `{name}`, as the song before it", song.title)
                }
                None => continue,
            };
            // A set that derives from another has its pauses.
            if !told.contains(&(text, song.title.clone())) {
                told.push((text, song.title.clone()));
                out.push(
                    Diagnostic::new(set.at, format!("the pause \"{text}\" in \"{}\" no longer fits: {says}", set.title))
                        .help("take it out, move it, or write what is done there"),
                );
            }
        }
    }
}

fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|w| !w.is_empty());
    parts.map(str::to_lowercase).collect()
}

//! Sets: songs that come, go or move.

use rustc_hash::FxHashSet;

use super::pairing::Matched;
use crate::Compiled;
use crate::book::{Set, SetItem};
use crate::ids::SongId;

/// A set that differs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetChange {
    /// Its old title; None when it is new.
    pub was: Option<String>,
    /// Its new title; None when it is gone.
    pub now: Option<String>,
    /// Its lines that differ, in the order of the new set.
    pub lines: Vec<SetLine>,
}

/// One line of a set that differs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetLine {
    /// Which line.
    pub name: LineName,
    /// What became of it.
    pub fate: Fate,
}

/// What a line of a set is told by.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum LineName {
    /// A song's title.
    Song(String),
    /// A pause's text.
    Pause(String),
    /// Where the encore begins.
    Encore,
}

/// What became of a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fate {
    /// It came, behind this line; None at the start.
    Came(Option<LineName>),
    /// It went.
    Went,
    /// It stands elsewhere, now behind this line.
    Moved(Option<LineName>),
}

/// The sets that differ, by title.
pub fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<SetChange> {
    let mut out = Vec::new();
    for (id, set) in new.book.show.sets.iter().enumerate() {
        let from = matched.sets.old_of(id).and_then(|id| old.book.show.sets.get(id));
        let now = Some(set.title.clone());
        let Some(from) = from else {
            out.push(SetChange { was: None, now, lines: Vec::new() });
            continue;
        };
        let lines = lines(&keys(old, from, Some(matched)), &keys(new, set, None));
        if !lines.is_empty() || from.title != set.title {
            out.push(SetChange { was: Some(from.title.clone()), now, lines });
        }
    }
    let gone = matched.sets.lone_old().filter_map(|id| old.book.show.sets.get(id));
    // Of a set that is gone: the songs that the book still has, and that no set plays any more.
    let played: FxHashSet<SongId> =
        new.book.show.sets.iter().flat_map(|set| &set.items).filter_map(SetItem::song).collect();
    let dropped = |line: &Line<'_>| matches!(line.key, Key::Song(song) if !played.contains(&song));
    out.extend(gone.map(|set| {
        let lines = keys(old, set, Some(matched)).into_iter().filter(dropped);
        let lines = lines.map(|line| SetLine { name: line.name, fate: Fate::Went }).collect();
        SetChange { was: Some(set.title.clone()), now: None, lines }
    }));
    out.sort_by(|a, b| a.name().cmp(b.name()));
    out
}

/// A line by what both books share.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Key<'c> {
    Pause(&'c str),
    Encore,
    /// A song, by its number in the new book.
    Song(SongId),
    /// A song of the old book alone.
    Gone(SongId),
}

/// A line of a set.
#[derive(Clone)]
struct Line<'c> {
    key: Key<'c>,
    name: LineName,
}

fn keys<'c>(compiled: &Compiled, set: &'c Set, old: Option<&Matched>) -> Vec<Line<'c>> {
    let line = |item: &'c SetItem| match item {
        SetItem::Pause(text) => Line { key: Key::Pause(text), name: LineName::Pause(text.clone()) },
        SetItem::Encore => Line { key: Key::Encore, name: LineName::Encore },
        SetItem::Song(song) => {
            let title = compiled.book.show.songs.get(*song).map_or(String::new(), |s| s.title.to_string());
            let partner = old.map_or(Some(*song), |matched| matched.songs.new_of(*song));
            let key = partner.map_or(Key::Gone(*song), Key::Song);
            Line { key, name: LineName::Song(title) }
        }
    };
    set.items.iter().map(line).collect()
}

fn lines(old: &[Line<'_>], new: &[Line<'_>]) -> Vec<SetLine> {
    let (a, b): (Vec<Key<'_>>, Vec<Key<'_>>) =
        (old.iter().map(|l| l.key).collect(), new.iter().map(|l| l.key).collect());
    let ops = similar::capture_diff_slices(similar::Algorithm::Myers, &a, &b);
    let mut went: Vec<&Line<'_>> = Vec::new();
    let mut came: Vec<(usize, &Line<'_>)> = Vec::new();
    for op in ops {
        if let similar::DiffOp::Equal { .. } = op {
            continue;
        }
        went.extend(old.get(op.old_range()).unwrap_or(&[]));
        came.extend(op.new_range().filter_map(|at| Some((at, new.get(at)?))));
    }
    let mut out = Vec::new();
    for (at, line) in came {
        let after = at.checked_sub(1).and_then(|at| new.get(at)).map(|l| l.name.clone());
        let moved = went.iter().position(|w| w.key == line.key);
        if let Some(from) = moved {
            went.remove(from);
        }
        let fate = if moved.is_some() { Fate::Moved(after) } else { Fate::Came(after) };
        out.push(SetLine { name: line.name.clone(), fate });
    }
    out.extend(went.iter().map(|l| SetLine { name: l.name.clone(), fate: Fate::Went }));
    out
}

impl SetChange {
    /// The title it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }
}

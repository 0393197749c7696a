//! Sets: songs that come, go or move.

use crate::Compiled;
use crate::book::{Set, SetItem};

use super::pairs::Matched;

/// A set that differs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetTurn {
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
    /// The song's title, or the pause's text.
    pub title: String,
    /// It is a pause.
    pub pause: bool,
    /// What became of it.
    pub fate: Fate,
}

/// What became of a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fate {
    /// It came, behind this line (a title; true for a pause); None at the start.
    Came(Option<(String, bool)>),
    /// It went.
    Went,
    /// It stands elsewhere, now behind this line.
    Moved(Option<(String, bool)>),
}

/// The sets that differ, by title.
pub fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<SetTurn> {
    let mut out = Vec::new();
    for (id, set) in new.book.sets.iter().enumerate() {
        let from = matched.sets.old_of(id as u32).and_then(|id| old.book.sets.get(id as usize));
        let now = Some(set.title.clone());
        let Some(from) = from else {
            out.push(SetTurn { was: None, now, lines: Vec::new() });
            continue;
        };
        let lines = lines(&keys(old, from, Some(matched)), &keys(new, set, None));
        if !lines.is_empty() || from.title != set.title {
            out.push(SetTurn { was: Some(from.title.clone()), now, lines });
        }
    }
    let gone = matched.sets.lone_old().filter_map(|id| old.book.sets.get(id as usize));
    out.extend(gone.map(|set| SetTurn { was: Some(set.title.clone()), now: None, lines: Vec::new() }));
    out.sort_by(|a, b| a.name().cmp(b.name()));
    out
}

/// A line by what both books share, and as it reads.
#[derive(Clone)]
struct Line {
    key: String,
    title: String,
    pause: bool,
}

fn keys(compiled: &Compiled, set: &Set, old: Option<&Matched>) -> Vec<Line> {
    let count = compiled.book.songs.len();
    let line = |item: &SetItem| match item {
        SetItem::Pause(text) => Line { key: format!("pause {text}"), title: text.clone(), pause: true },
        SetItem::Song(song) => {
            let title = compiled.book.songs.get(*song).map_or(String::new(), |s| s.title.to_string());
            let key = match old {
                None => format!("song {song}"),
                Some(matched) => match matched.songs.new_of(*song as u32) {
                    Some(partner) => format!("song {partner}"),
                    None => format!("gone {}", count + song),
                },
            };
            Line { key, title, pause: false }
        }
    };
    set.items.iter().map(line).collect()
}

fn lines(old: &[Line], new: &[Line]) -> Vec<SetLine> {
    let (a, b): (Vec<&str>, Vec<&str>) =
        (old.iter().map(|l| l.key.as_str()).collect(), new.iter().map(|l| l.key.as_str()).collect());
    let ops = similar::capture_diff_slices(similar::Algorithm::Myers, &a, &b);
    let mut went: Vec<&Line> = Vec::new();
    let mut came: Vec<(usize, &Line)> = Vec::new();
    for op in ops {
        if let similar::DiffOp::Equal { .. } = op {
            continue;
        }
        went.extend(old.get(op.old_range()).unwrap_or(&[]));
        came.extend(op.new_range().filter_map(|at| Some((at, new.get(at)?))));
    }
    let mut out = Vec::new();
    for (at, line) in came {
        let after = at.checked_sub(1).and_then(|at| new.get(at)).map(|l| (l.title.clone(), l.pause));
        let moved = went.iter().position(|w| w.key == line.key);
        if let Some(from) = moved {
            went.remove(from);
        }
        let fate = if moved.is_some() { Fate::Moved(after) } else { Fate::Came(after) };
        out.push(SetLine { title: line.title.clone(), pause: line.pause, fate });
    }
    out.extend(went.iter().map(|l| SetLine { title: l.title.clone(), pause: l.pause, fate: Fate::Went }));
    out
}

impl SetTurn {
    /// The title it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }
}

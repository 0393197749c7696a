//! Sets: songs, pauses and the encore, and what a set that derives from another changes.

use rustc_hash::FxHashMap;
use smol_str::SmolStr;

use super::line::{End, Line};
use super::names::nfc;
use super::song::key_of;
use super::{Binder, content, said_twice};
use crate::book::{Fault, Meaning, Set, SetItem};
use crate::ids::SongId;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::lexer;
use crate::syntax::tree::View;

/// A set while its lines are read.
struct Running {
    items: Vec<SetItem>,
    /// Where the encore was begun in this block: songs without a place go to its end, else before it.
    encore: Option<Span>,
    /// Whether there is an encore among the items: a long set is not searched for each song.
    marked: bool,
    /// False when the set that it derives from is not known: then nobody knows what is in it.
    known: bool,
}

impl Running {
    fn marker(&self) -> Option<usize> {
        // From the end, where it stands.
        if self.marked { self.items.iter().rposition(|item| *item == SetItem::Encore) } else { None }
    }

    fn first(&self) -> usize {
        self.encore.and_then(|_| self.marker()).map_or(0, |at| at + 1)
    }

    fn last(&self) -> usize {
        let marker = if self.encore.is_some() { None } else { self.marker() };
        marker.unwrap_or(self.items.len())
    }

    fn place(&self, song: SongId) -> Option<usize> {
        self.items.iter().position(|item| *item == SetItem::Song(song))
    }

    /// Where the pauses before the item at `at` begin: they belong to it.
    fn start(&self, at: usize) -> usize {
        let before = self.items.iter().take(at).rev().take_while(|item| matches!(item, SetItem::Pause(_)));
        at - before.count()
    }

    /// A song with its pauses, taken out.
    fn take(&mut self, song: SongId) -> Option<Vec<SetItem>> {
        let at = self.place(song)?;
        Some(self.items.drain(self.start(at)..=at).collect())
    }

    fn insert(&mut self, at: usize, some: Vec<SetItem>) {
        self.items.splice(at..at, some);
    }

    fn swap(&mut self, one: SongId, other: SongId) -> Option<()> {
        let (a, b) = (self.place(one)?, self.place(other)?);
        let (a, b) = (a.min(b), a.max(b));
        let (a, b) = (self.start(a)..a + 1, self.start(b)..b + 1);
        if a.end > b.start {
            return Some(());
        }
        let (begin, len) = (a.start, self.items.len());
        let ranges = [0..begin, b.clone(), a.end..b.start, a, b.end..len];
        self.items = ranges.into_iter().filter_map(|range| self.items.get(range)).flatten().cloned().collect();
        Some(())
    }
}

impl<'t> Binder<'t> {
    pub(super) fn sets(&mut self) {
        let views = std::mem::take(&mut self.found.sets);
        let mut kept: Vec<(View<'t>, View<'t>)> = Vec::new();
        let mut places: FxHashMap<SmolStr, usize> = FxHashMap::default();
        for view in views {
            self.book.broken |= view.broken();
            let Some(title) = view.child(Kind::Text) else { continue };
            match places.get(&key_of(title)).and_then(|first| kept.get(*first)) {
                Some((_, first)) => {
                    self.faults.push(Fault::DuplicateName { at: title.span(), first: first.span(), kind: "set" })
                }
                None => {
                    places.insert(key_of(title), kept.len());
                    self.note(title, Meaning::Set(kept.len()), true);
                    kept.push((view, title));
                }
            }
        }
        self.replaced(Kind::Set, |_, key| places.get(key).copied().map(Meaning::Set));
        // Sets that others stand for tonight are there to derive from alone.
        let shown = kept.len();
        let olds: Vec<View<'t>> = self.amend.olds().filter(|v| v.kind() == Kind::Set).collect();
        kept.extend(olds.into_iter().filter_map(|view| Some((view, view.child(Kind::Text)?))));
        let above = kept.iter().map(|(view, _)| self.set_above(*view, &kept, &places)).collect();
        let line = Line::of(above);
        for circle in &line.circles {
            let link = |id: &usize| {
                let (view, title) = kept.get(*id)?;
                Some((content(*title), view.child(Kind::From)?.child(Kind::Text)?.span()))
            };
            let circle: Vec<(String, Span)> = circle.iter().filter_map(link).collect();
            if let Some((_, at)) = circle.last() {
                self.faults.push(Fault::CircularFrom { at: *at, circle });
            }
        }
        let mut items: Vec<Vec<SetItem>> = vec![Vec::new(); kept.len()];
        for id in line.order.iter().copied() {
            let Some((view, title)) = kept.get(id) else { continue };
            let end = line.end(id);
            if end == End::Far {
                self.faults.push(Fault::LineTooLong { at: title.span(), word: "from" });
            }
            // Nothing is known of a set too far down the line.
            if end != End::Near {
                continue;
            }
            let above = line.above.get(id).copied().flatten();
            let known = above.is_some() || view.child(Kind::From).is_none();
            let list = above.and_then(|above| items.get(above)).cloned().unwrap_or_default();
            let marked = list.contains(&SetItem::Encore);
            let list = self.listed(Running { items: list, encore: None, marked, known }, *view);
            if let Some(slot) = items.get_mut(id) {
                *slot = list;
            }
        }
        for ((_, title), items) in kept.iter().zip(items).take(shown) {
            self.book.show.sets.push(Set { title: nfc(&content(*title)).into_owned(), at: title.span(), items });
        }
    }

    /// The set that a set derives from, by its place; told when there is none such.
    fn set_above(
        &mut self,
        view: View<'t>,
        sets: &[(View<'t>, View<'t>)],
        places: &FxHashMap<SmolStr, usize>,
    ) -> Option<usize> {
        let from = view.child(Kind::From)?.child(Kind::Text)?;
        let found = places.get(&key_of(from)).copied();
        if let Some(found) = found {
            self.note(from, Meaning::Set(found), false);
        }
        if let Some(old) = self.amend.old_of(view, from) {
            return sets.iter().position(|(set, _)| set.span() == old.span());
        }
        if found.is_none() {
            let near = self.near(&content(from), sets.iter().map(|(_, title)| lexer::unquoted(title.text())));
            self.unknown(Fault::UnknownName { at: from.span(), wanted: "set", near });
        }
        found
    }

    fn listed(&mut self, mut set: Running, view: View<'t>) -> Vec<SetItem> {
        for line in view.children() {
            match line.kind() {
                Kind::Pause => {
                    let at = set.last();
                    set.insert(at, line.child(Kind::Text).map(content).map(SetItem::Pause).into_iter().collect());
                }
                Kind::Encore => match set.encore {
                    Some(first) => said_twice(&mut self.faults, first, line),
                    None => {
                        set.encore = Some(line.span());
                        if !set.marked {
                            set.marked = true;
                            set.items.push(SetItem::Encore);
                        }
                    }
                },
                Kind::Play => self.play(&mut set, line),
                Kind::Drop => {
                    for (song, title) in self.about(line) {
                        match set.place(song) {
                            Some(at) => drop(set.items.remove(at)),
                            None => self.not_listed(&set, title),
                        }
                    }
                }
                Kind::Move => self.moved(&mut set, line),
                Kind::Swap => {
                    let two = self.both(line);
                    for (song, title) in &two {
                        if set.place(*song).is_none() {
                            self.not_listed(&set, *title);
                        }
                    }
                    if let [(one, _), (other, _)] = two[..] {
                        set.swap(one, other);
                    }
                }
                Kind::Replace => {
                    if let [(gone, title), (comes, _)] = self.both(line)[..] {
                        match set.place(gone) {
                            Some(at) => set.items.splice(at..=at, [SetItem::Song(comes)]).for_each(drop),
                            None => self.not_listed(&set, title),
                        }
                    }
                }
                _ => {}
            }
        }
        set.items
    }

    fn play(&mut self, set: &mut Running, line: View<'t>) {
        let songs: Vec<SetItem> = self.about(line).into_iter().map(|(song, _)| SetItem::Song(song)).collect();
        let at = self.spot(set, line).unwrap_or(set.last());
        set.insert(at, songs);
    }

    fn moved(&mut self, set: &mut Running, line: View<'t>) {
        let mut songs = Vec::new();
        for (song, title) in self.about(line) {
            match set.take(song) {
                Some(with_pauses) => songs.extend(with_pauses),
                None => self.not_listed(set, title),
            }
        }
        let at = self.spot(set, line).unwrap_or(set.last());
        set.insert(at, songs);
    }

    /// Where a line puts its songs; None when it does not say, or names a song that is not in the set.
    fn spot(&mut self, set: &Running, line: View<'t>) -> Option<usize> {
        let spot = line.child(Kind::Spot);
        if let Some(spot) = spot.filter(|s| s.says("first") || s.says("last")) {
            return Some(if spot.says("first") { set.first() } else { set.last() });
        }
        let title = spot.map_or_else(|| line.nth(Kind::Text, 1), |s| s.child(Kind::Text))?;
        let song = self.find_song(title)?;
        let Some(at) = set.place(song) else {
            self.not_listed(set, title);
            return None;
        };
        Some(if spot.is_some() { set.start(at) } else { at + 1 })
    }

    /// The songs that a line is about; those after `after` and `before` only say where.
    fn about(&mut self, line: View<'t>) -> Vec<(SongId, View<'t>)> {
        let more = line.all(Kind::Also).filter_map(|also| also.child(Kind::Text));
        let titles: Vec<View<'t>> = line.child(Kind::Text).into_iter().chain(more).collect();
        titles.into_iter().filter_map(|title| Some((self.find_song(title)?, title))).collect()
    }

    fn both(&mut self, line: View<'t>) -> Vec<(SongId, View<'t>)> {
        let titles: Vec<View<'t>> = line.all(Kind::Text).collect();
        titles.into_iter().filter_map(|title| Some((self.find_song(title)?, title))).collect()
    }

    fn not_listed(&mut self, set: &Running, title: View<'t>) {
        if set.known {
            self.faults.push(Fault::UnknownSong { at: title.span(), near: None, listed: true });
        }
    }

    fn find_song(&mut self, text: View<'t>) -> Option<SongId> {
        if let Some(found) = self.songs.get(&key_of(text)).copied() {
            if let Some(song) = found {
                self.note(text, Meaning::Song(song), false);
            }
            return found;
        }
        let near = self.near(&content(text), self.book.show.songs.iter().map(|s| s.title.as_str()));
        self.unknown(Fault::UnknownSong { at: text.span(), near, listed: false });
        None
    }
}

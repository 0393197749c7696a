//! Songs and sets.

use rustc_hash::FxHashMap;
use smol_str::{SmolStr, StrExt};

use super::line::{End, Line};
use super::names::{Wanted, nfc};
use super::{Binder, content};
use crate::book::fault::OutOfReach;
use crate::book::song::title_key;
use crate::book::{Fault, Note, Part, Set, SetItem, Song, Spanned};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::lexer;
use crate::syntax::tree::View;

/// How a title is matched.
pub(super) fn key_of(text: View<'_>) -> SmolStr {
    title_key(&nfc(lexer::unquoted(text.text())))
}

impl<'t> Binder<'t> {
    pub(super) fn songs(&mut self) {
        let count = self.all(Kind::Song).count();
        self.book.show.songs.reserve_exact(count);
        self.songs.reserve(count);
        for view in self.all(Kind::Song) {
            let Some(title) = view.child(Kind::Text) else { continue };
            let song = self.song(view, title);
            let key = key_of(title);
            match self.songs.get(&key).copied().flatten() {
                Some(first) => {
                    self.book.show.mentioned.extend(song.parts.iter().filter_map(|p| p.scene));
                    let first = self.book.show.songs.get(first).map_or(title.span(), |s| s.at);
                    self.faults.push(Fault::DuplicateName { at: title.span(), first, kind: "song" });
                }
                None => {
                    self.songs.insert(key, Some(self.book.show.songs.len()));
                    self.book.show.songs.push(song);
                }
            }
        }
    }

    fn song(&mut self, view: View<'t>, title: View<'t>) -> Song {
        self.book.broken |= view.broken();
        let tempo = view.child(Kind::Tempo).and_then(|t| t.child(Kind::Number));
        let guitar = view.child(Kind::Name).and_then(|name| self.find(name, Wanted::Guitar));
        let mut song = Song {
            title: nfc(lexer::unquoted(title.text())).into(),
            at: title.span(),
            tempo: tempo.and_then(|n| self.tempo(n)),
            tempo_text: tempo.map_or(SmolStr::default(), |n| n.text().replace_smolstr(",", ".")),
            guitar: guitar.map(|g| g as usize),
            tuning: None,
            parts: Vec::with_capacity(view.all(Kind::Part).count()),
        };
        for line in view.children() {
            match line.kind() {
                Kind::Tuning => song.tuning = line.child(Kind::Text).map(content),
                Kind::Part => {
                    let part = self.part(line);
                    song.parts.push(part);
                }
                _ => {}
            }
        }
        song
    }

    fn tempo(&mut self, number: View<'t>) -> Option<Spanned<f64>> {
        let value = number.text().replace(',', ".").parse::<f64>().ok().filter(|bpm| (10.0..=999.0).contains(bpm));
        if value.is_none() {
            let range = "from 10 to 999 bpm".to_owned();
            let what = "the tempo".to_owned();
            self.faults.push(Fault::OutOfRange { at: number.span(), what, range, there: None });
        }
        value.map(|value| Spanned { value, at: number.span() })
    }

    fn part(&mut self, view: View<'t>) -> Part {
        let mut names = view.all(Kind::Name);
        let (label, scene) = match (view.child(Kind::Text), names.next(), names.next(), names.next()) {
            (Some(text), Some(scene), ..) => (lexer::unquoted(text.text()), Some(scene)),
            (None, Some(label), Some(scene), None) => (label.text(), Some(scene)),
            (None, Some(scene), None, _) => (scene.text(), Some(scene)),
            _ => ("", None),
        };
        // `intro bed` without its colon: nobody knows which of the two is the scene.
        let scene = scene.filter(|_| !view.broken()).and_then(|name| self.find_played(name));
        let mut notes = Vec::new();
        for note in view.all(Kind::PartNote) {
            let text = note.child(Kind::Text).map(content);
            if note.says("tap") {
                notes.push(self.tap(note));
            } else if let Some(text) = text {
                notes.push(if note.says("hand") { Note::Hand(text) } else { Note::Note(text) });
            }
        }
        Part { label: label.into(), scene, notes, at: view.span() }
    }

    /// A scene that a part plays; a name of the last tour is met with the new one.
    fn find_played(&mut self, name: View<'t>) -> Option<u32> {
        let before = self.faults.len();
        let found = self.find(name, Wanted::Scene);
        if self.faults.len() > before
            && let Some(now) = self.renamed(name.text())
            && let Some(Fault::UnknownName { near, .. }) = self.faults.last_mut()
        {
            *near = Some(now);
        }
        found
    }

    /// The scene that `was` called so. All are gathered at the first question: a broken book asks for every part.
    fn renamed(&mut self, name: &str) -> Option<String> {
        let (trees, files) = (self.trees, self.files);
        let renames = self.renames.get_or_insert_with(|| {
            let statements = trees.iter().zip(files.iter()).flat_map(|(t, (_, file))| t.statements(&file.text));
            let mut renames = FxHashMap::default();
            for scene in statements.filter(|v| v.kind() == Kind::Scene) {
                let was = scene.child(Kind::Was).and_then(|w| w.child(Kind::Name));
                if let (Some(was), Some(now)) = (was, scene.child(Kind::Name)) {
                    renames.entry(was.text()).or_insert(now.text());
                }
            }
            renames
        });
        Some(nfc(renames.get(name)?).into_owned())
    }

    fn tap(&mut self, note: View<'t>) -> Note {
        let value = note.child(Kind::NoteValue).map_or(String::new(), |v| v.text().to_owned());
        let Some(name) = note.child(Kind::Name) else { return Note::Tap { device: None, value } };
        let device = self.find(name, Wanted::Device).map(|d| d as usize);
        if let Some(index) = device
            && let Some(found) = self.devices.get(index)
        {
            let (tap, under, faulty) = (found.tap, found.under(), found.faulty);
            if !tap && !faulty {
                self.out_of_reach(index, name.span(), OutOfReach::NoTap);
            } else if under {
                self.out_of_reach(index, name.span(), OutOfReach::Under);
            }
        }
        Note::Tap { device, value }
    }

    pub(super) fn sets(&mut self) {
        let views = std::mem::take(&mut self.found.sets);
        let mut kept: Vec<(View<'t>, View<'t>)> = Vec::new();
        let mut places: FxHashMap<SmolStr, u32> = FxHashMap::default();
        for view in views {
            self.book.broken |= view.broken();
            let Some(title) = view.child(Kind::Text) else { continue };
            match places.get(&key_of(title)).and_then(|first| kept.get(*first as usize)) {
                Some((_, first)) => {
                    self.faults.push(Fault::DuplicateName { at: title.span(), first: first.span(), kind: "set" })
                }
                None => {
                    places.insert(key_of(title), kept.len() as u32);
                    kept.push((view, title));
                }
            }
        }
        let above = kept.iter().map(|(view, _)| self.set_above(*view, &kept, &places)).collect();
        let line = Line::of(above);
        for circle in &line.circles {
            let link = |id: &u32| {
                let (view, title) = kept.get(*id as usize)?;
                Some((content(*title), view.child(Kind::From)?.child(Kind::Text)?.span()))
            };
            let circle: Vec<(String, Span)> = circle.iter().filter_map(link).collect();
            if let Some((_, at)) = circle.last() {
                self.faults.push(Fault::CircularFrom { at: *at, circle });
            }
        }
        let mut items: Vec<Vec<SetItem>> = vec![Vec::new(); kept.len()];
        for id in line.order.iter().copied() {
            let Some((view, title)) = kept.get(id as usize) else { continue };
            let end = line.end(id);
            if end == End::Far {
                self.faults.push(Fault::LineTooLong { at: title.span(), word: "from" });
            }
            // Nothing is known of a set too far down the line.
            if end != End::Near {
                continue;
            }
            let above = line.above.get(id as usize).copied().flatten();
            let mut list = above.and_then(|above| items.get(above as usize)).cloned().unwrap_or_default();
            for change in view.children() {
                self.set_line(&mut list, change);
            }
            if let Some(slot) = items.get_mut(id as usize) {
                *slot = list;
            }
        }
        for ((_, title), items) in kept.iter().zip(items) {
            self.book.show.sets.push(Set { title: nfc(&content(*title)).into_owned(), at: title.span(), items });
        }
    }

    /// The set that a set derives from, by its place; told when there is none such.
    fn set_above(
        &mut self,
        view: View<'t>,
        sets: &[(View<'t>, View<'t>)],
        places: &FxHashMap<SmolStr, u32>,
    ) -> Option<u32> {
        let from = view.child(Kind::From)?.child(Kind::Text)?;
        let found = places.get(&key_of(from)).copied();
        if found.is_none() {
            let near = self.near(&content(from), sets.iter().map(|(_, title)| lexer::unquoted(title.text())));
            self.unknown(Fault::UnknownName { at: from.span(), wanted: "set", near });
        }
        found
    }

    fn set_line(&mut self, items: &mut Vec<SetItem>, view: View<'t>) {
        let mut texts = view.all(Kind::Text);
        let Some(text) = texts.next() else { return };
        let place = |items: &[SetItem], song: usize| items.iter().position(|i| *i == SetItem::Song(song));
        match view.kind() {
            Kind::Pause => items.push(SetItem::Pause(content(text))),
            Kind::Drop => {
                if let Some(song) = self.find_song(text) {
                    match place(items, song) {
                        Some(at) => drop(items.remove(at)),
                        None => self.faults.push(Fault::UnknownSong { at: text.span(), near: None, listed: true }),
                    }
                }
            }
            Kind::Play => {
                let song = self.find_song(text);
                let mut at = items.len();
                if let Some(after) = texts.next()
                    && let Some(other) = self.find_song(after)
                {
                    match place(items, other) {
                        Some(found) => at = found + 1,
                        None => self.faults.push(Fault::UnknownSong { at: after.span(), near: None, listed: true }),
                    }
                }
                if let Some(song) = song {
                    items.insert(at, SetItem::Song(song));
                }
            }
            _ => {}
        }
    }

    fn find_song(&mut self, text: View<'t>) -> Option<usize> {
        if let Some(found) = self.songs.get(&key_of(text)) {
            return *found;
        }
        let near = self.near(&content(text), self.book.show.songs.iter().map(|s| s.title.as_str()));
        self.unknown(Fault::UnknownSong { at: text.span(), near, listed: false });
        None
    }
}

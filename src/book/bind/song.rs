//! Songs.

use rustc_hash::FxHashMap;
use smol_str::{SmolStr, StrExt};

use super::names::{Wanted, nfc};
use super::{Binder, content, said_twice};
use crate::book::device::{FASTEST, SLOWEST};
use crate::book::fault::OutOfReach;
use crate::book::song::Music;
use crate::book::song::title_key;
use crate::book::{Fault, Meaning, Note, Part, Song, Spanned};
use crate::ids::SceneId;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::lexer;
use crate::syntax::tree::View;

/// Beyond this nobody plays.
const HIGHEST_FRET: u32 = 24;

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
                    let id = self.book.show.songs.next();
                    self.note(title, Meaning::Song(id), true);
                    self.songs.insert(key, Some(id));
                    self.book.show.songs.push(song);
                }
            }
        }
        self.replaced(Kind::Song, |binder, key| Some(Meaning::Song((*binder.songs.get(key)?)?)));
    }

    fn song(&mut self, view: View<'t>, title: View<'t>) -> Song {
        self.book.broken |= view.broken();
        let tempo = view.child(Kind::Tempo).and_then(|t| t.child(Kind::Number));
        let guitar = view.child(Kind::Name).and_then(|name| self.find(name, Wanted::GUITAR));
        let mut song = Song {
            title: nfc(lexer::unquoted(title.text())).into(),
            at: title.span(),
            tempo: tempo.and_then(|n| self.tempo(n)),
            tempo_text: tempo.map_or(SmolStr::default(), |n| n.text().replace_smolstr(",", ".")),
            guitar,
            tuning: None,
            music: Music::default(),
            parts: Vec::with_capacity(view.all(Kind::Part).count()),
        };
        let mut said: Vec<View<'t>> = Vec::new();
        // What calls the song calls all of it, wherever in the song that stands.
        let called = view.child(Kind::FromOutside).map(View::span);
        for line in view.children() {
            match line.kind() {
                Kind::Part => {
                    let mut part = self.part(line, song.tempo.is_some());
                    let foot = line.all(Kind::PartNote).any(|note| note.child(Kind::ByFoot).is_some());
                    let called = part.besides().called.or(called).filter(|_| !foot);
                    if called != part.besides().called {
                        part.besides_mut().called = called;
                    }
                    song.parts.push(part);
                }
                Kind::SongNote => song.music.notes.extend(line.child(Kind::Text).map(content)),
                Kind::Tuning | Kind::MusicalKey | Kind::Capo | Kind::CountIn | Kind::Lasts | Kind::FromOutside => {
                    match said.iter().find(|s| s.kind() == line.kind()) {
                        Some(first) => said_twice(&mut self.faults, first.span(), line),
                        None => {
                            said.push(line);
                            self.music(&mut song, line);
                        }
                    }
                }
                _ => {}
            }
        }
        song
    }

    fn music(&mut self, song: &mut Song, line: View<'t>) {
        let text = line.child(Kind::Text).map(content);
        let music = &mut song.music;
        match line.kind() {
            Kind::Tuning => song.tuning = text,
            Kind::MusicalKey => music.key = text,
            Kind::CountIn => music.count_in = text,
            Kind::Capo => {
                music.capo =
                    line.child(Kind::Number).and_then(|n| self.count(n, 1, HIGHEST_FRET, "the fret of the capo"));
            }
            Kind::FromOutside => {}
            _ => music.lasts = self.length(line),
        }
    }

    /// `lasts 4:10`, in seconds.
    fn length(&mut self, line: View<'t>) -> Option<Spanned<u32>> {
        let clock = line.child(Kind::Clock)?;
        let read = || {
            let (minutes, seconds) = clock.text().split_once(':')?;
            let (m, s) = (minutes.parse::<u32>().ok()?, seconds.parse::<u32>().ok()?);
            (seconds.len() == 2 && s < 60 && m < 600 && m + s > 0).then_some(m * 60 + s)
        };
        let value = read();
        if value.is_none() {
            let (what, range) =
                ("the length".to_owned(), "minutes and seconds, as in `4:05`, below 600 minutes".to_owned());
            self.faults.push(Fault::OutOfRange { at: clock.span(), what, range, there: None });
        }
        value.map(|value| Spanned { value, at: clock.span() })
    }

    fn tempo(&mut self, number: View<'t>) -> Option<Spanned<f64>> {
        let value = number
            .text()
            .replace(',', ".")
            .parse::<f64>()
            .ok()
            .filter(|bpm| (SLOWEST as f64..=FASTEST as f64).contains(bpm));
        if value.is_none() {
            let range = format!("from {SLOWEST} to {FASTEST} bpm");
            let what = "the tempo".to_owned();
            self.faults.push(Fault::OutOfRange { at: number.span(), what, range, there: None });
        }
        value.map(|value| Spanned { value, at: number.span() })
    }

    fn part(&mut self, view: View<'t>, tempo: bool) -> Part {
        let mut names = view.all(Kind::Name);
        let (label, scene) = match (view.child(Kind::Text), names.next(), names.next(), names.next()) {
            (Some(text), Some(scene), ..) => (lexer::unquoted(text.text()), Some(scene)),
            (None, Some(label), Some(scene), None) => (label.text(), Some(scene)),
            (None, Some(scene), None, _) => (scene.text(), Some(scene)),
            _ => ("", None),
        };
        // `intro bed` without its colon: nobody knows which of the two is the scene.
        let scene = scene.filter(|_| !view.broken()).and_then(|name| self.find_played(name));
        let mut part = Part { label: label.into(), scene, times: 1, pressed: 0, at: view.span(), besides: None };
        let mut said: Vec<(&str, Span)> = Vec::new();
        for note in view.all(Kind::PartNote) {
            let text = note.child(Kind::Text).map(content);
            if note.says("press") {
                part.pressed |= self.pressed(note, part.pressed);
            } else if note.says("tap") {
                part.besides_mut().notes.push(self.tap(note));
            } else if note.says("beat") {
                let name = note.child(Kind::Name).map(View::text);
                let mut before =
                    view.all(Kind::PartNote).filter(|n| n.says("beat") && n.child(Kind::Name).map(View::text) == name);
                match before.next().filter(|first| first.span() != note.span()) {
                    Some(first) => said_twice(&mut self.faults, first.span(), note),
                    None => {
                        let beat = self.beat(note, tempo);
                        part.besides_mut().notes.push(beat);
                    }
                }
            } else if let Some(text) = text {
                part.besides_mut().notes.push(match () {
                    () if note.says("hand") => Note::Hand(text),
                    () if note.says("cue") => Note::Cue(text),
                    () => Note::Note(text),
                });
            } else {
                // Who calls it is said once, whichever way.
                let what = match note.text().split([' ', '\t']).next().unwrap_or_default() {
                    "by" => "called",
                    what => what,
                };
                match said.iter().find(|(known, _)| *known == what) {
                    Some((_, first)) => said_twice(&mut self.faults, *first, note),
                    None => {
                        said.push((what, note.span()));
                        self.once(&mut part, note);
                    }
                }
            }
        }
        part
    }

    /// What is said once of a part.
    fn once(&mut self, part: &mut Part, note: View<'t>) {
        if let Some(outside) = note.child(Kind::FromOutside) {
            part.besides_mut().called = Some(outside.span());
        } else if let Some(length) = note.child(Kind::Lasts) {
            part.besides_mut().lasts = self.length(length).map(|l| l.value);
        } else if let Some(tuning) = note.child(Kind::Tuning) {
            part.besides_mut().tuning = tuning.child(Kind::Text).map(content);
        } else if let Some(capo) = note.child(Kind::Capo) {
            let fret = capo.child(Kind::Number);
            part.besides_mut().capo = fret.and_then(|n| self.count(n, 0, HIGHEST_FRET, "the fret of the capo"));
        } else if let Some(name) = note.child(Kind::Name) {
            let guitar = self.find(name, Wanted::GUITAR);
            part.besides_mut().guitar = guitar.map(|g| Spanned { value: g, at: note.span() });
        } else if let Some(number) = note.child(Kind::Number) {
            part.times = self.count(number, 1, 999, "how often a part is played").unwrap_or(1);
        }
    }

    /// A scene that a part plays; a name of the last tour is met with the new one.
    fn find_played(&mut self, name: View<'t>) -> Option<SceneId> {
        let before = self.faults.len();
        let found = self.find(name, Wanted::SCENE);
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
        let device = self.find(name, Wanted::DEVICE);
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
}

//! What rules look at, and how they speak of it.

use std::collections::BTreeSet;

use crate::book::PartAt;
use crate::book::{self, Book, Mentions, words};
use crate::fill::Preset;
use crate::ids::{ColumnId, ControlId, DeviceId, SayingId, SceneId};
use crate::settle::{self, Table};
use crate::source::{self, Files, Span};
use crate::stages::Stages;
use crate::study::Momentary;
use crate::study::inside::Inside;
use crate::study::route::Route;
use crate::study::rules::Rules;
use crate::study::signal::SignalOverview;
use crate::study::supply::Budget;
use crate::study::walk::{Change, Place};
use crate::study::wiring::Wiring;
use crate::syntax::kind::Kind;
use crate::syntax::tree::{Tree, View};
use crate::syntax::{self};

/// Everything the stages found.
pub struct Facts<'f> {
    /// The files.
    pub files: &'f Files,
    /// Their trees.
    pub trees: &'f [Tree],
    /// Mistakes of finding files.
    pub loading: &'f [source::load::Fault],
    /// Mistakes of reading.
    pub reading: &'f [syntax::fault::Fault],
    /// The book.
    pub book: &'f Book,
    /// Mistakes of binding.
    pub binding: &'f [book::Fault],
    /// The table.
    pub table: &'f Table,
    /// Mistakes of settling.
    pub settling: &'f [settle::Fault],
    /// The presets.
    pub presets: &'f [Preset],
    /// More scenes than slots.
    pub slots: Option<&'f book::Fault>,
    /// Whether each stored pulse is right.
    pub momentary: &'f Momentary,
    stages: &'f Stages,
}

impl<'f> Facts<'f> {
    /// What the stages found.
    pub fn of(stages: &'f Stages) -> Facts<'f> {
        Facts {
            files: &stages.files,
            trees: &stages.trees,
            loading: &stages.loading,
            reading: &stages.reading,
            book: &stages.book,
            binding: &stages.binding,
            table: stages.settled(),
            settling: &stages.settling,
            presets: &stages.presets,
            slots: stages.slots.as_ref(),
            momentary: &stages.momentary,
            stages,
        }
    }

    /// What settling finds that is no mistake.
    pub fn hints(&self) -> &'f [settle::Fault] {
        self.stages.hints()
    }

    /// Which name stands where, and what it means.
    pub fn mentions(&self) -> &'f Mentions {
        self.stages.mentions()
    }

    /// What the rules say.
    pub fn rules(&self) -> &'f Rules {
        self.stages.rules()
    }

    /// What each scene does to level and treble.
    pub fn signal(&self) -> &'f SignalOverview {
        self.stages.signal()
    }

    /// The kinds of which a name is taken twice, or could not be read: a proper name of theirs is not known.
    pub fn taken(&self) -> BTreeSet<&'static str> {
        let twice = self.binding.iter().filter_map(|f| match f {
            book::Fault::DuplicateName { kind, .. } => Some(*kind),
            _ => None,
        });
        twice.chain(self.book.broken.then_some("set")).collect()
    }

    /// The line of a place, counted in its file.
    pub fn line(&self, at: Span) -> (u32, u32) {
        (at.file, self.files.place(at).line)
    }

    /// The board may stand in what could not be read: no switcher is described.
    pub fn board_lost(&self) -> bool {
        self.book.broken && self.book.board.switcher.is_none()
    }

    /// True for what a night's book took over from the book that it amends.
    pub fn of_base(&self, at: Span) -> bool {
        self.book.night.as_ref().is_some_and(|night| night.file != at.file)
    }

    /// Two things hang on one jack or loop, and are told: what a preset does there is not known.
    pub fn claimed(&self) -> bool {
        let twice = |f: &book::Fault| {
            matches!(
                f,
                book::Fault::LoopClaimed { .. }
                    | book::Fault::ContactClaimed { .. }
                    | book::Fault::PortShared { .. }
                    | book::Fault::TrimMisplaced { .. }
            )
        };
        self.binding.iter().any(twice)
    }

    /// The scenes of some groups: "`bed` and 3 more".
    pub fn sounding(&self, groups: &[u32]) -> String {
        let (scene, count) = self.signal().scenes(self.book, groups);
        and_more(self.scene(scene), count)
    }

    /// What each outlet gives, and what hangs on it.
    pub fn supply(&self) -> &'f Budget {
        self.stages.supply()
    }

    /// Helpers with too few presets.
    pub fn helpers_full(&self) -> Vec<book::Fault> {
        self.stages.helpers.full(self.book)
    }

    /// Every lead on the board.
    pub fn wiring(&self) -> &'f Wiring {
        self.stages.wiring()
    }

    /// Where leads run.
    pub fn route(&self) -> &'f Route {
        self.stages.route()
    }

    /// What stands in an insert or a leg; None on a board without such.
    pub fn inside(&self) -> Option<&'f Inside> {
        self.stages.inside()
    }

    /// The text of a place.
    pub fn text(&self, at: Span) -> &'f str {
        self.files.text(at)
    }

    /// The statement around a place that is a leaf of a tree, and which of its leaves of that kind it is.
    pub fn around(&self, at: Span) -> Option<(View<'f>, usize)> {
        let tree = self.trees.get(at.file as usize)?;
        let source = &self.files.get(at.file)?.text;
        let leaf = tree.leaf(source, at)?;
        let parent = tree.parent(source, leaf)?;
        let nth = parent.all(leaf.kind()).position(|v| v.id() == leaf.id())?;
        Some((parent, nth))
    }

    /// A scene's name.
    pub fn scene(&self, id: SceneId) -> &'f str {
        self.book.show.scene(id).map_or("", |s| &s.name)
    }

    /// `, where `bare` stands in for `bed``: behind a part in which not its own scene is meant.
    pub fn standing_in(&self, part: &book::Part, scene: SceneId) -> String {
        match part.scene.filter(|own| *own != scene) {
            Some(own) => format!(", where `{}` stands in for `{}`", self.scene(scene), self.scene(own)),
            None => String::new(),
        }
    }

    /// The changes that there is something to tell of, between scenes that were understood.
    pub fn changes(&self) -> impl Iterator<Item = &'f Change> {
        let sound = |p: &Place| self.book.show.scene(p.scene).is_some_and(|s| !s.faulty);
        self.stages.telling().iter().filter(move |c| sound(&c.to) && c.from.as_ref().is_none_or(sound))
    }

    /// All changes of all that is played.
    pub fn walked(&self) -> impl Iterator<Item = &'f Change> {
        self.stages.walk().runs.iter().flat_map(|run| &run.changes)
    }

    /// Where a part is said, and what its song is called; of what sounds after power-up where the switcher says that it wakes.
    pub fn played(&self, part: Option<PartAt>) -> (Span, &'f str) {
        if let (None, Some(wakes)) = (part, &self.book.board.timing.wakes) {
            return (wakes.at, "");
        }
        let song = part.and_then(|(s, _)| self.book.show.songs.get(s));
        let found = song.zip(part).and_then(|(song, (_, p))| song.parts.get(p as usize));
        (found.map_or(Span::default(), |p| p.at), song.map_or("", |s| &s.title))
    }

    /// The scenes that were understood and in whose rows something holds, as "`bed` and 2 more"; None when in none. The
    /// one named is the first by name.
    pub fn scenes_where(&self, holds: impl Fn(&settle::Row<'_>) -> bool) -> Option<(SceneId, String)> {
        let scenes = self.book.show.scenes.numbered().filter(|(s, _)| !s.faulty && (!s.repeated || s.pressed != 0));
        let held = scenes.filter(|(_, id)| holds(&settle::Row::of(self.book, self.table, *id)));
        let (mut first, mut count): (Option<(&str, SceneId)>, usize) = (None, 0);
        for (scene, id) in held {
            count += 1;
            first = Some(first.map_or((&*scene.name, id), |known| known.min((&*scene.name, id))));
        }
        let (name, id) = first?;
        Some((id, and_more(name, count)))
    }

    /// A scene's place: its name where it is described.
    pub fn scene_at(&self, id: SceneId) -> Span {
        self.book.show.scene(id).map_or(Span::default(), |s| s.at)
    }

    /// Where a saying stands.
    pub fn said_at(&self, saying: SayingId) -> Span {
        self.book.show.sayings.get(saying).map_or(Span::default(), |s| s.at)
    }

    /// A saying in sounds: "`combo` on `lead`".
    pub fn said(&self, saying: SayingId) -> String {
        words::saying(self.book, saying)
    }

    /// A cell's name.
    pub fn cell(&self, cell: ColumnId) -> &'f str {
        self.table.cells.list.get(cell).map_or("", |c| &c.name)
    }

    /// A device's name.
    pub fn device(&self, device: DeviceId) -> &'f str {
        self.book.board.devices.get(device).map_or("", |d| &d.name)
    }

    /// A control.
    pub fn control(&self, device: DeviceId, control: ControlId) -> Option<&'f book::Control> {
        self.book.board.devices.get(device)?.controls.get(control)
    }

    /// Where a rule stands.
    pub fn rule_at(&self, rule: usize) -> Span {
        self.book.board.rules.get(rule).map_or(Span::default(), |r| r.at)
    }

    /// A rule in its owner's words, else as it is written.
    pub fn rule_says(&self, rule: usize) -> String {
        match self.book.board.rules.get(rule) {
            Some(book::Rule { title: Some(title), .. }) => format!("\"{title}\""),
            Some(rule) => {
                let words: Vec<&str> = self.text(rule.at).split_whitespace().skip(1).collect();
                format!("`{}`", words.join(" "))
            }
            None => String::new(),
        }
    }

    /// The name of the scene, pedal or whatever else whose statement holds a place.
    pub fn owner(&self, at: Span) -> Option<&'f str> {
        let text = self.files.get(at.file)?.text.as_str();
        let mut statements = self.trees.get(at.file as usize)?.statements(text);
        let holds = |s: Span| s.start <= at.start && at.end <= s.end;
        Some(statements.find(|v| holds(v.span()))?.child(Kind::Name)?.text())
    }
}

/// The first of so many by name: "`bed`", "`bed` and 3 more".
fn and_more(first: &str, count: usize) -> String {
    match count {
        0 | 1 => format!("`{first}`"),
        _ => format!("`{first}` and {} more", count - 1),
    }
}

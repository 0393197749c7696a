//! Two compiled books: what is heard differently, and what must be reprogrammed. Reads no file.

mod align;
pub mod alike;
pub mod arborescence;
pub mod assign;
pub mod edits;
pub mod heard;
pub mod memory;
pub mod merge;
pub mod pairs;
pub mod said;
pub mod sets;
pub mod sound;
pub mod stored;
pub mod tone;
pub mod touched;

use std::collections::BTreeSet;

use crate::Compiled;
use crate::syntax::fingerprint::fingerprint;
use edits::List;
use heard::{Listener, SceneTurn, SongTurn};
use pairs::{Matched, Matching};
use said::{Area, Stated};
use sets::SetTurn;
use touched::{Touched, Walk};

/// How two books are compared.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Recognise renamed scenes, songs and pedals by what they are; else by `was` and name alone.
    pub renames: bool,
    /// The unit holds the old table to the letter, free cells too.
    pub exact: bool,
}

impl Default for Options {
    fn default() -> Options {
        Options { renames: true, exact: false }
    }
}

/// A loop that holds another pedal than before: the loop, the old pedal, the new one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rewired {
    /// The loop, from 1.
    pub number: u16,
    /// What sat there.
    pub was: Option<String>,
    /// What sits there.
    pub now: Option<String>,
}

/// A pedal in its old loop that wants another label: the loop, the old letters, the new ones.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Relabelled {
    /// The loop, from 1.
    pub number: u16,
    /// The pedal's new name.
    pub pedal: String,
    /// What the label said.
    pub was: String,
    /// What it must say.
    pub now: String,
}

/// Everything that differs between two books.
pub struct Comparison<'c> {
    /// The book as it was.
    pub old: &'c Compiled,
    /// The book as it is.
    pub new: &'c Compiled,
    /// What is what.
    pub matched: Matched,
    /// Songs that differ: heard.
    pub songs: Vec<SongTurn>,
    /// Scenes that differ: heard.
    pub scenes: Vec<SceneTurn>,
    /// What to do to the unit: reprogrammed.
    pub list: List,
    /// Songs and presets that this reaches.
    pub touched: Touched,
    /// Presets to step through afterwards.
    pub walk: Walk,
    /// Loops that hold another pedal.
    pub rewired: Vec<Rewired>,
    /// Labels to print for pedals that stay in their loop.
    pub relabelled: Vec<Relabelled>,
    /// Hardware, knobs and rules that differ.
    pub stated: Vec<Stated>,
    /// Sets that differ.
    pub sets: Vec<SetTurn>,
    /// The fingerprints of both sources, old and new.
    pub sources: (String, String),
}

/// Compares two books.
pub fn compare<'c>(old: &'c Compiled, new: &'c Compiled, options: Options) -> Comparison<'c> {
    let matched = pairs::matched(old, new, Matching { renames: options.renames });
    let rewired = rewired(old, new, &matched);
    let relabelled = relabelled(old, new, &matched);
    let done = || {
        let list = edits::list(old, new, &matched, options.exact);
        let loops: BTreeSet<u16> = rewired.iter().filter(|r| r.now.is_some()).map(|r| r.number).collect();
        let touched = touched::touched(old, new, &matched, &list.work);
        let walk = touched::walk(new, &list.work, &loops);
        (list, touched, walk, sets::differences(old, new, &matched))
    };
    let heard = || {
        let stated = said::differences(old, new, &matched);
        // A board that differs may sound different in scenes that do not.
        let board = stated.iter().any(|s| s.area == Area::Hardware);
        let mut listener = Listener::new(old, new, &matched, board);
        (listener.songs(&matched), listener.scenes(&matched), stated)
    };
    let source = |c: &Compiled| fingerprint(&c.files, &c.trees);
    // Songs, slots and sources do not bear on each other.
    let (((list, touched, walk, sets), (songs, scenes, stated)), sources) =
        rayon::join(|| rayon::join(done, heard), || rayon::join(|| source(old), || source(new)));
    Comparison { touched, walk, stated, sets, rewired, relabelled, list, songs, scenes, old, new, matched, sources }
}

/// Labels are three letters made from the name, or stated: a pedal that stays where it is may want another one.
fn relabelled(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Relabelled> {
    let turned = new.book.devices.iter().enumerate().filter_map(|(at, now)| {
        let was = old.book.devices.get(matched.devices.old_of(at as u32)? as usize)?;
        let number = now.loop_at.filter(|l| was.loop_at.map(|w| w.value) == Some(l.value))?.value;
        let (was, label) = (was.label(), now.label());
        (was != label).then(|| Relabelled { number, pedal: now.name.clone(), was, now: label })
    });
    turned.collect()
}

fn rewired(old: &Compiled, new: &Compiled, matched: &Matched) -> Vec<Rewired> {
    let loops = |c: &Compiled| c.book.switcher.as_ref().map_or(0, |s| s.loops);
    let found = |c: &Compiled, n: u16| {
        c.book.devices.iter().position(|d| d.loop_at.is_some_and(|l| l.value == n)).map(|at| at as u32)
    };
    let name =
        |c: &Compiled, at: Option<u32>| at.and_then(|at| c.book.devices.get(at as usize)).map(|d| d.name.clone());
    let mut out = Vec::new();
    for number in 1..=loops(old).max(loops(new)) {
        let (was, now) = (found(old, number), found(new, number));
        let same = match (was, now) {
            (Some(was), Some(now)) => matched.devices.new_of(was) == Some(now),
            (None, None) => true,
            _ => false,
        };
        if !same {
            out.push(Rewired { number, was: name(old, was), now: name(new, now) });
        }
    }
    out
}

impl Comparison<'_> {
    /// True when nothing differs that anybody hears, programs, wires or plays.
    pub fn same(&self) -> bool {
        self.songs.is_empty()
            && self.scenes.is_empty()
            && self.list.work.is_empty()
            && self.touched.emptied.is_empty()
            && self.stated.is_empty()
            && self.relabelled.is_empty()
            && self.sets.is_empty()
    }

    /// The statements of one area that differ.
    pub fn of(&self, area: Area) -> impl Iterator<Item = &Stated> {
        self.stated.iter().filter(move |s| s.area == area)
    }
}

//! The presets of the helpers: which combination of its loops has which number, and what the switcher sends or closes to call
//! it.
//!
//! Loops are never left open, so two scenes can share a preset of a helper just where they engage the same of its loops: as
//! many presets are needed as there are combinations, and none can be saved.
//!
//! A number that the book gives stays. Any other combination takes the number that it has by itself: the first number, and
//! for each loop that is in 1, 2, 4 and so on more. So a new scene moves no number that is not wanted twice. Where there is
//! no such number, or the book gave it to another, the lowest free one is taken, combination by combination.

use std::collections::{BTreeMap, BTreeSet};

use fixedbitset::FixedBitSet;

use super::Preset;
use crate::book::{Book, Called, Device, Fault, Helper};
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{Answer, Row, Table, Value};
use crate::source::{Files, Span};
use crate::syntax::edit::Edit;

/// A preset of a helper that is wanted.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// The loops that it engages, a bit each.
    pub loops: u32,
    /// Its number; None where there are too few.
    pub number: Option<u16>,
    /// The book gives the number.
    pub kept: bool,
    /// The scenes that call it, in the order of the presets.
    pub scenes: Vec<SceneId>,
}

/// What is wanted of one helper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Calls {
    /// The helper, an index of `Board::devices`.
    pub device: DeviceId,
    /// The combinations that stored scenes want, by number; those without one last.
    pub presets: Vec<Wanted>,
}

/// What is wanted of all helpers, in board order.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Helpers {
    /// One each, also where its loops are called one by one.
    pub all: Vec<Calls>,
}

impl Helpers {
    /// Gathers the combinations that stored scenes want, and gives them numbers. Without slots every scene counts.
    pub fn of(book: &Book, table: &Table, presets: &[Preset]) -> Helpers {
        let stored = presets.iter().any(|p| p.slot.is_some());
        let scenes = || presets.iter().filter(|p| !stored || p.slot.is_some()).map(|p| p.scene);
        let of = |(at, _, helper): (DeviceId, &Device, &Helper)| {
            let mut wanted: BTreeMap<u32, Vec<SceneId>> = BTreeMap::new();
            let mut seen = FixedBitSet::with_capacity(book.show.scenes.len());
            for scene in scenes().filter(|scene| !seen.put(scene.index())) {
                if let Some(loops) = loops(book, table, helper, scene) {
                    wanted.entry(loops).or_default().push(scene);
                }
            }
            Calls { device: at, presets: numbered(helper, wanted) }
        };
        Helpers { all: book.board.helpers().map(of).collect() }
    }

    /// Puts into each row what calls the helpers' presets.
    pub fn store(&self, book: &Book, table: &mut Table) {
        for calls in &self.all {
            let Some((device, helper)) = helper(book, calls.device) else { continue };
            for scene in book.show.scenes.ids() {
                let Some(loops) = loops(book, table, helper, scene) else { continue };
                for (c, _) in device.controls.pairs() {
                    let state = match helper.called {
                        Some(Called::Preset) => calls.number(loops).map(|n| n - helper.presets.0),
                        Some(Called::Loops) => Some((loops >> c.index() & 1) as u16),
                        None => None,
                    };
                    let (d, c) = (calls.device, c);
                    let Some(state) = state else { continue };
                    let cells: Vec<ColumnId> = table.cells.of_control(d, c).to_vec();
                    let values: Vec<Value> = table.cells.of_state(d, c, state).to_vec();
                    cells.iter().zip(values).for_each(|(cell, value)| table.put(scene, *cell, value));
                }
            }
        }
    }

    /// The helpers that have too few presets.
    pub fn full(&self, book: &Book) -> Vec<Fault> {
        let full = self.all.iter().filter_map(|calls| {
            let left: Vec<SceneId> =
                calls.presets.iter().filter(|p| p.number.is_none()).flat_map(|p| p.scenes.iter().copied()).collect();
            let (device, helper) = helper(book, calls.device)?;
            let name = |id: &SceneId| book.show.scene(*id).map(|s| s.name.to_string());
            let full = !left.is_empty() && helper.called == Some(Called::Preset) && !device.faulty;
            full.then(|| Fault::HelperFull {
                at: device.at,
                name: device.name.clone(),
                wanted: calls.presets.len(),
                presets: usize::from(helper.presets.1),
                left_out: left.iter().filter_map(name).collect(),
            })
        });
        full.collect()
    }

    /// What is wanted of a helper.
    pub fn of_device(&self, device: DeviceId) -> Option<&Calls> {
        self.all.iter().find(|calls| calls.device == device)
    }
}

impl Calls {
    /// The number of a combination.
    pub fn number(&self, loops: u32) -> Option<u16> {
        self.presets.iter().find(|p| p.loops == loops)?.number
    }
}

/// A helper by its device.
fn helper(book: &Book, device: DeviceId) -> Option<(&Device, &Helper)> {
    let device = book.board.devices.get(device)?;
    Some((device, device.helper.as_deref()?))
}

/// The loops of a helper that a scene engages, a bit each; None where that is not known.
pub fn loops(book: &Book, table: &Table, helper: &Helper, scene: SceneId) -> Option<u32> {
    let row = Row::of(book, table, scene);
    helper.numbers().zip(0u32..).try_fold(0, |bits, (number, bit)| match row.engaged(number) {
        Answer::Yes => Some(bits | 1 << bit),
        Answer::No => Some(bits),
        Answer::Maybe => None,
    })
}

fn numbered(helper: &Helper, wanted: BTreeMap<u32, Vec<SceneId>>) -> Vec<Wanted> {
    let mut taken: BTreeSet<u16> = BTreeSet::new();
    let kept = |loops: u32| helper.kept.iter().find(|k| k.loops == loops).map(|k| k.preset);
    taken.extend(helper.kept.iter().map(|k| k.preset));
    let mut out: Vec<Wanted> = wanted
        .into_iter()
        .map(|(loops, scenes)| Wanted { loops, number: kept(loops), kept: kept(loops).is_some(), scenes })
        .collect();
    let own = |loops: u32| {
        let number = u32::from(helper.presets.0) + loops;
        u16::try_from(number).ok().filter(|n| helper.all().contains(n))
    };
    for one in out.iter_mut().filter(|one| one.number.is_none()) {
        one.number = own(one.loops).filter(|n| taken.insert(*n));
    }
    for one in out.iter_mut().filter(|one| one.number.is_none()) {
        one.number = helper.all().find(|n| !taken.contains(n));
        taken.extend(one.number);
    }
    out.sort_by_key(|one| (one.number.is_none(), one.number, one.loops));
    out
}

/// The loops of a combination as the helper counts them.
pub fn own_loops(loops: u32) -> impl Iterator<Item = u16> {
    (0..32u16).filter(move |bit| loops >> bit & 1 == 1).map(|bit| bit + 1)
}

/// What stands in the loops of a combination: the pedals by name, a loop without one as `loop 2`.
pub fn holds(book: &Book, helper: &Helper, loops: u32) -> Vec<String> {
    let says = |own: u16| {
        let pedal = book.board.in_loop(helper.first + own - 1);
        pedal.map_or_else(|| format!("loop {own}"), |d| d.name.clone())
    };
    own_loops(loops).map(says).collect()
}

/// The edits that write the numbers into the book: at the end of each helper that has some to write.
pub fn keep_edits(book: &Book, files: &Files, helpers: &Helpers) -> Vec<Edit> {
    let edit = |calls: &Calls| {
        let (_, helper) = helper(book, calls.device)?;
        let mut lines = String::new();
        for one in calls.presets.iter().filter(|p| !p.kept) {
            let number = one.number?;
            let holds = holds(book, helper, one.loops);
            let colon = if holds.is_empty() { "" } else { ": " };
            lines += &format!("  preset {number}{colon}{}\n", holds.join(", "));
        }
        if lines.is_empty() || helper.called != Some(Called::Preset) {
            return None;
        }
        // Before the brace that closes it: on the brace's line, or before that where it stands alone.
        let before = files.get(helper.end.file)?.text.get(..helper.end.start as usize)?;
        let line = before.trim_end_matches([' ', '\t']);
        let (start, text) =
            if line.ends_with('\n') { (line.len() as u32, lines) } else { (helper.end.start, format!("\n{lines}")) };
        Some(Edit::new(Span { start, end: start, ..helper.end }, text))
    };
    // Of a night's book nothing but its own file is written to.
    let own = |edit: &Edit| book.night.as_ref().is_none_or(|night| night.file == edit.at.file);
    helpers.all.iter().filter_map(edit).filter(own).collect()
}

//! The rules of a book judged by looking at every way the rig can stand.

use super::model::{Book, Control, World, worlds};

/// For every world and every kind of scene: which rules it keeps, as bits.
pub(crate) struct Seen {
    /// The scene, the rig, the rules kept.
    pub rows: Vec<(Option<usize>, World, u32)>,
}

impl Seen {
    pub(crate) fn of(book: &Book) -> Seen {
        let mut rows = Vec::new();
        for world in worlds(&book.board) {
            for scene in (0..book.scenes.len()).map(Some).chain([None]) {
                let mut world = world.clone();
                world.scene = scene;
                let kept = book.rules.iter().enumerate().filter(|(_, r)| world.keeps(book, r));
                let bits = kept.fold(0, |bits, (i, _)| bits | 1 << i);
                rows.push((scene, world, bits));
            }
        }
        Seen { rows }
    }

    /// True when some row that fits keeps all these rules.
    pub(crate) fn possible(&self, rules: u32, fits: &dyn Fn(Option<usize>, &World) -> bool) -> bool {
        self.rows.iter().any(|(scene, world, kept)| kept & rules == rules && fits(*scene, world))
    }

    /// How many rules the smallest set has that no row that fits keeps.
    pub(crate) fn least(&self, rules: u32, fits: &dyn Fn(Option<usize>, &World) -> bool) -> Option<u32> {
        let mut kinds: Vec<u32> = self.rows.iter().filter(|(s, w, _)| fits(*s, w)).map(|(_, _, k)| *k).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let subsets = (0..=rules).filter(|set| set & rules == *set);
        subsets.filter(|set| !kinds.iter().any(|k| k & set == *set)).map(u32::count_ones).min()
    }
}

/// A row as the tool settled it; None is a cell that may still be chosen.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub loops: Vec<Option<bool>>,
    pub contacts: Vec<Option<bool>>,
    pub outputs: Vec<Option<bool>>,
    pub choices: Vec<Option<usize>>,
    pub levels: Vec<Option<(usize, bool)>>,
    /// A level under the foot stands anywhere.
    pub roams: Vec<bool>,
}

impl Row {
    pub(crate) fn fits(&self, book: &Book, world: &World) -> bool {
        fn agree<T: PartialEq>(row: &[Option<T>], world: &[T]) -> bool {
            row.iter().zip(world).all(|(a, b)| a.as_ref().is_none_or(|a| a == b))
        }
        let levels = self.levels.iter().enumerate().all(|(p, level)| match level {
            Some((_, true)) if self.roams[p] => world.levels[p].1,
            Some(level) => *level == world.levels[p],
            None => true,
        });
        let choices = self.choices.iter().enumerate().all(|(p, c)| {
            let choice = matches!(book.board.pedals[p].control, Some(Control::Choice { .. }));
            !choice || c.is_none_or(|c| c == world.choices[p])
        });
        agree(&self.loops, &world.loops)
            && agree(&self.contacts, &world.contacts)
            && agree(&self.outputs, &world.outputs)
            && choices
            && levels
    }
}

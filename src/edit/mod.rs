//! The text follows: wanted values of cells in, the least change of statements out, after which the table is the wanted
//! one and nothing else moves. Nothing is written here.
//!
//! What counts is statements: one put in, one taken out, and one put in place of another count one each; of a list
//! (`engage a, b`) each name counts. `from`, `with` and what stands outside the blocks of scenes, layers and the default
//! stay as they are.

mod cost;
mod goal;
mod least;
mod model;
mod moved;
mod offer;
mod options;
mod plan;
mod shared;
mod spell;
mod state;
pub mod table;
mod write;

use std::collections::BTreeMap;

pub use moved::{Moved, kept};
pub use offer::Offer;
pub use plan::{Change, Put};
pub use spell::{said, says};

use crate::Compiled;
use crate::book::{Amount, What};
use crate::driver;
use crate::ids::{ColumnId, ControlId, DeviceId, LayerId, SceneId};
use crate::settle::Value;
use crate::syntax::edit::{Edit, rewrite};

/// A cell of a scene's row, and what it is to hold.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Wanted {
    /// The scene.
    pub scene: SceneId,
    /// The column.
    pub cell: ColumnId,
    /// What settling is to put there: of a control that pulses its state, or a pulse.
    pub value: Value,
    /// The statement that says it best, and the amount in it, where a level was wanted in words.
    pub said: Option<(What, Amount)>,
}

/// A block of statements.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Block {
    /// A scene's own.
    Scene(SceneId),
    /// A layer's.
    Layer(LayerId),
    /// That of the default.
    Default,
}

/// How the text follows.
pub struct Followed {
    /// What changes, block by block: the scenes' own first.
    pub changes: Vec<Change>,
    /// The same as edits of the text.
    pub edits: Vec<Edit>,
    /// The texts after it, by the numbers of the files.
    pub texts: BTreeMap<u32, String>,
    /// So many statements are touched.
    pub touched: u32,
    /// No change touches fewer than these; equal to `touched` where that is proved to be the least.
    pub bound: u32,
    /// Wanted cells, by their place among those that were given, that hold it already.
    pub same: Vec<usize>,
    /// Wanted cells that nobody hears: whatever is stored there does.
    pub free: Vec<usize>,
    /// Cells that nobody heard before and that are heard now: they hold what the text said of them all along.
    pub woken: Vec<(SceneId, ColumnId)>,
    /// Other changes that give what is wanted, each with what else would follow.
    pub offers: Vec<Offer>,
}

/// Why the text cannot follow.
pub enum Refusal {
    /// The book has errors before anything is changed.
    Errors(usize),
    /// A switch (scene, switch) moves this inside the preset: what it brings would have to follow too.
    Switched(SceneId, u8),
    /// A wanted cell (its place among those that were given) is of a scene with switches pressed: the scene says what they
    /// bring.
    Pressed(usize),
    /// Two wanted cells are one, and differ: their places among those that were given.
    Clash(usize, usize),
    /// No statement puts this in the cell.
    CannotHold(usize),
    /// A control (scene, device, control) would be heard, and nobody says how it stands.
    Unsaid(SceneId, DeviceId, ControlId),
    /// The columns that statements tie together are too many to look at.
    TooWide(usize),
    /// No change was found that gives all of this and moves nothing else.
    NoWay(Vec<usize>),
    /// A statement (here) stands in a list with a comment inside: it cannot be taken out.
    Comment(crate::source::Span),
    /// What would change stands here, in the book that a night's book amends: that one stays as it is.
    Base(crate::source::Span),
    /// The book would have errors: as it would be.
    Broken(Box<Compiled>),
    /// Other cells would move with the least change that gives it: a pulse that hangs on where the player comes from.
    Moves(Offer),
}

/// The least change of the text after which the wanted cells hold what is wanted and no other cell moves; or all the
/// reasons why there is none.
///
/// It is compiled before it is given: what is told of it was seen.
///
/// # Errors
/// Every reason found, not the first alone.
pub fn follow(book: &Compiled, wanted: &[Wanted]) -> Result<Followed, Vec<Refusal>> {
    if book.errors() > 0 {
        return Err(vec![Refusal::Errors(book.errors())]);
    }
    let goal = goal::Goal::of(book, wanted)?;
    let plan = plan::least(&goal)?;
    let (edits, texts) = written(book, &plan.changes)?;
    let after = driver::compile_changed(book, &texts);
    if after.errors() > 0 {
        return Err(vec![Refusal::Broken(Box::new(after))]);
    }
    let holds = |at: &usize| wanted.get(*at).is_some_and(|w| after.table.stored(w.scene, w.cell) == w.value);
    let (held, not): (Vec<usize>, Vec<usize>) = goal.calling.iter().copied().partition(|at| holds(at));
    if !not.is_empty() {
        return Err(not.into_iter().map(Refusal::CannotHold).collect());
    }
    let follows = moved::others(&goal, &after);
    if !follows.is_empty() {
        let block = plan.changes.first().map_or(Block::Default, |c| c.block);
        return Err(vec![Refusal::Moves(Offer { block, changes: plan.changes, edits, texts, follows })]);
    }
    let offers = offer::offers(&goal, &plan.changes);
    let woken = moved::woken(&goal, &after);
    let goal::Goal { mut same, free, .. } = goal;
    same.extend(held);
    Ok(Followed {
        changes: plan.changes,
        edits,
        texts,
        touched: plan.touched,
        bound: plan.bound,
        same,
        free,
        woken,
        offers,
    })
}

/// What a change of one scene's own block does, whatever follows it; None where the book would have errors or the scene
/// not what is wanted.
pub fn alone(book: &Compiled, wanted: &[Wanted]) -> Option<Offer> {
    let goal =
        goal::Goal::of(book, wanted).ok().filter(|_| book.errors() == 0 && book.book.show.combinations.is_empty())?;
    offer::own(&goal)
}

/// Edits, and the texts after them by the numbers of the files.
type Written = (Vec<Edit>, BTreeMap<u32, String>);

/// Changes as they are written.
fn written(book: &Compiled, changes: &[Change]) -> Result<Written, Vec<Refusal>> {
    let (mut edits, mut refused) = (Vec::new(), Vec::new());
    let blocks = write::Blocks::of(book);
    for change in changes {
        match write::block(&blocks, change) {
            Ok(edit) => edits.extend(edit),
            Err(at) => refused.push(Refusal::Comment(at)),
        }
    }
    let night = book.book.night.as_ref().map(|night| night.file);
    let base = edits.iter().find(|edit: &&Edit| night.is_some_and(|file| file != edit.at.file));
    refused.extend(base.map(|edit| Refusal::Base(edit.at)));
    if !refused.is_empty() {
        return Err(refused);
    }
    let mut of: BTreeMap<u32, Vec<Edit>> = BTreeMap::new();
    edits.iter().for_each(|edit| of.entry(edit.at.file).or_default().push(edit.clone()));
    let text = |file: u32| book.files.get(file).map_or("", |f| f.text.as_str());
    let texts = of.into_iter().map(|(file, edits)| (file, rewrite(text(file), edits))).collect();
    Ok((edits, texts))
}

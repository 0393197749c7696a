//! Why a cell holds what it holds: one row settled again, from the top rank down, with every statement watched.

use fixedbitset::FixedBitSet;

use super::{Cells, Table, Value};
use crate::book::{Book, SayingRange, words};
use crate::ids::{ColumnId, LayerId, SayingId, SceneId, SongId};
use crate::source::Span;

/// Where a statement stands in the order of ranks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rank {
    /// Spanned by the scene with this number.
    Own(SceneId),
    /// Spanned by a layer that the scene with the second number mixes in.
    Layer(LayerId, SceneId),
    /// Spanned by the default.
    Default,
    /// The tempo of the song with this number, which no scene says and nothing overrides.
    Song(SongId),
}

/// A statement that bears on a cell.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Reason {
    /// The statement, an index of the book's sayings.
    pub saying: SayingId,
    /// Where it is said.
    pub at: Span,
    /// Who says it.
    pub rank: Rank,
    /// What it puts in the cell.
    pub value: Value,
    /// It settles the cell; else a higher rank overrode it.
    pub live: bool,
}

/// Every statement that bears on a cell of a scene's row, the highest rank first.
///
/// Settled by a route of its own: downwards over all ranks, where the table is laid upwards from the parents.
pub fn reasons(book: &Book, table: &Table, scene: SceneId, cell: ColumnId) -> Vec<Reason> {
    let cells = &table.cells;
    let mut touched = FixedBitSet::with_capacity(cells.width());
    let mut out = Vec::new();
    for rank in ranks(book, scene) {
        let mut here = FixedBitSet::with_capacity(cells.width());
        let first = out.len();
        for (rank, mix) in rank {
            for saying in mix.ids() {
                let Some(said) = book.show.sayings.get(saying) else { continue };
                let (mut live, mut value) = (true, None);
                cells.settles(said.what, |c, v| {
                    live &= !touched.contains(c.index());
                    here.insert(c.index());
                    if c == cell {
                        value = Some(v);
                    }
                });
                if let Some(value) = value {
                    out.push(Reason { saying, at: said.at, rank, value, live });
                }
            }
        }
        touched.union_with(&here);
        // Several of one rank go by who says them and by their words, wherever they stand.
        if let Some(several) = out.get_mut(first..).filter(|several| several.len() > 1) {
            several.sort_by_cached_key(|r| (layer(book, r.rank), words::saying(book, r.saying)));
        }
    }
    played(book, table, scene, cell, touched.contains(cell.index()), &mut out);
    out
}

/// What songs say of a tempo, below all ranks: it holds where nothing else was said and the pedal is heard.
fn played(book: &Book, table: &Table, scene: SceneId, cell: ColumnId, touched: bool, out: &mut Vec<Reason>) {
    // A preset has one tempo, whatever is pressed there.
    let show = &book.show;
    let base = show.base(scene);
    let all = [base].into_iter().chain(show.combinations(base).iter().copied()).map(|id| show.played(id));
    for (saying, said) in all.flat_map(|range| range.ids().zip(show.said(range))) {
        let mut value = None;
        table.cells.settles(said.what, |c, v| value = if c == cell { Some(v) } else { value });
        let (Some(value), Some(song)) = (value, show.played_by(saying)) else { continue };
        if out.iter().any(|known| known.rank == Rank::Song(song) && known.value == value) {
            continue;
        }
        let live = !touched && table.value(scene, cell) != Value::Stays;
        out.push(Reason { saying, at: said.at, rank: Rank::Song(song), value, live });
    }
}

fn layer(book: &Book, rank: Rank) -> Option<&str> {
    let Rank::Layer(layer, _) = rank else { return None };
    book.show.layers.get(layer).map(|l| &*l.name)
}

/// The value that the live reasons agree on; None when there is none.
pub fn settled(reasons: &[Reason]) -> Option<Value> {
    let mut live = reasons.iter().filter(|r| r.live).map(|r| r.value);
    let first = live.next()?;
    Some(if live.all(|v| v == first) { first } else { Value::Unknown })
}

/// The ranks above one scene's row, highest first; layers of one scene are one rank, but a scene's own
/// statements hide those of its layers.
fn ranks(book: &Book, scene: SceneId) -> Vec<Vec<(Rank, SayingRange)>> {
    let mut out = Vec::new();
    let mut at = Some(scene);
    while let Some(id) = at {
        let Some(found) = book.show.scene(id) else { break };
        out.push(vec![(Rank::Own(id), found.own)]);
        let layers = book.show.layers_of(found).iter();
        let layers = layers.filter_map(|(l, _)| Some((Rank::Layer(*l, id), book.show.layers.get(*l)?.own)));
        out.push(layers.collect());
        at = found.parent;
    }
    out.push(vec![(Rank::Default, book.show.default)]);
    out
}

/// The column with this name.
pub fn column(cells: &Cells, name: &str) -> Option<ColumnId> {
    cells.list.position(|c| c.name == name)
}

//! Where a buffer helps, in words.

use super::doc::CAUTION;
use crate::Compiled;
use crate::print::doc::{Block, Cell, Doc, Item, List, Look, Mark, Table, para};
use crate::study::signal::Signal;
use crate::study::signal::buffers::Buffers;
use crate::study::signal::words;

/// The smallest set of places, then each place alone. `buffer` is its input and output as said.
pub fn doc(compiled: &Compiled, signal: &Signal<'_>, found: &Buffers, target: &str, buffer: (&str, &str)) -> Doc {
    let between = |edge: usize| {
        let edge = signal.route.edges.get(edge);
        edge.map_or(String::new(), |e| {
            format!(
                "between {} and {}",
                words::place(&compiled.book.board, e.from),
                words::place(&compiled.book.board, e.to)
            )
        })
    };
    let point = |hz: Option<f64>| hz.map_or("no fall".to_owned(), |hz| format!("{hz:.0} Hz"));
    let (lowest, misses) = found.before;
    let mut blocks = vec![
        para(format!("target: every scene keeps its -3 dB point at {target} or above")),
        para(format!("a buffer is taken to have an input of {} and an output of {}", buffer.0, buffer.1)),
        para(format!("as it stands: lowest -3 dB point {}, {misses} below the target", point(lowest))),
    ];
    if found.unknown > 0 {
        blocks.push(para(format!("{} not judged: a value is missing (`tipring signal` says which)", found.unknown)));
    }
    match &found.smallest {
        Some(set) if set.is_empty() => blocks.push(para("no buffer is needed")),
        Some(set) => {
            let proof = if found.proven { "no smaller set does" } else { "a smaller set may do: not all were tried" };
            blocks.push(para(format!("{} needed ({proof}):", set.len())));
            let place = |e: &usize| Item { depth: 0, mark: Mark::None, words: vec![(between(*e), Look::Plain)] };
            blocks.push(Block::List(List { columns: (2, 2), items: set.iter().map(place).collect() }));
        }
        None => blocks.push(para("no set of buffers meets the target")),
    }
    let alone = found.alone.iter();
    let rows = alone.map(|a| Cell::row([between(a.edge), point(a.lowest), a.misses.to_string()])).collect();
    let heads = ["each place alone", "lowest -3 dB", "below target"];
    blocks.push(Block::Table(Table::new("places for a buffer", &heads, 1, &[], rows)));
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "buffers", blocks)
}

//! Where a buffer helps, in words.

use serde_json::json;

use super::doc::CAUTION;
use crate::Compiled;
use crate::ids::DeviceId;
use crate::print::doc::{Block, Cell, Doc, Item, List, Look, Mark, Table, para};
use crate::study::signal::Signal;
use crate::study::signal::buffers::{Alone, Buffers};
use crate::study::signal::words;

/// The smallest set of places, then each place alone. `buffer` is its input and output as said.
pub fn doc(compiled: &Compiled, signal: &Signal<'_>, found: &Buffers, target: &str, buffer: (&str, &str)) -> Doc {
    let between = |edge: usize| between(compiled, signal, edge);
    let point = |hz: Option<f64>| hz.map_or("no fall".to_owned(), |hz| format!("{hz:.0} Hz"));
    let (lowest, misses) = found.before;
    let mut blocks = vec![
        para(format!("target: every scene keeps its -3 dB point at {target} or above")),
        para(format!("a buffer is taken to have an input of {} and an output of {}", buffer.0, buffer.1)),
        para(format!(
            "as it stands: lowest -3 dB point {}, {misses} below the target of {} ways through the boxes (each once for each \
             guitar)",
            point(lowest),
            found.judged
        )),
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
    let name = |device: DeviceId| compiled.book.board.devices.get(device).map_or("?", |d| d.name.as_str());
    let bars = |a: &Alone| a.bars.map_or(String::new(), |d| format!("no: `{}` must see the bare guitar", name(d)));
    // The last column only where it says something.
    let told = if found.alone.iter().any(|a| a.bars.is_some()) { 4 } else { 3 };
    let row = |a: &Alone| {
        let mut row = Cell::row([between(a.edge), point(a.lowest), a.misses.to_string(), bars(a)]);
        row.truncate(told);
        row
    };
    let heads = ["each place alone", "lowest -3 dB", "below target", "may stand there"];
    let heads = heads.get(..told).unwrap_or(&[]);
    let table = Table::new("places for a buffer", heads, 1, &[], alone.map(row).collect());
    blocks.push(Block::Table(table));
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "buffers", blocks)
}

/// "between loop 2 and output 1".
fn between(compiled: &Compiled, signal: &Signal<'_>, edge: usize) -> String {
    let board = &compiled.book.board;
    let edge = signal.route.edges.get(edge);
    edge.map_or(String::new(), |e| format!("between {} and {}", words::place(board, e.from), words::place(board, e.to)))
}

/// The same for programs.
pub fn json(compiled: &Compiled, signal: &Signal<'_>, found: &Buffers, target: f64) -> String {
    let place = |edge: usize| between(compiled, signal, edge);
    let name = |device: DeviceId| compiled.book.board.devices.get(device).map(|d| d.name.as_str());
    let alone = found.alone.iter().map(|a| {
        json!({
            "place": place(a.edge), "lowest_hz": a.lowest, "below": a.misses, "bare": a.bars.and_then(name),
        })
    });
    let all = json!({
        "target_hz": target,
        "lowest_hz": found.before.0,
        "below": found.before.1,
        "judged": found.judged,
        "not_judged": found.unknown,
        "buffers": found.smallest.as_ref().map(|set| set.iter().map(|e| place(*e)).collect::<Vec<_>>()),
        "fewest": found.proven,
        "alone": alone.collect::<Vec<_>>(),
    });
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(&all).unwrap_or_default() + "\n"
}

/// One row a place: what a buffer there alone gives, and whether it is one of the smallest set.
pub fn csv(compiled: &Compiled, signal: &Signal<'_>, found: &Buffers) -> String {
    let set = found.smallest.as_deref().unwrap_or(&[]);
    let rows = found.alone.iter().map(|a| {
        let needed = if set.contains(&a.edge) { "1" } else { "0" };
        let lowest = a.lowest.map_or(String::new(), |hz| hz.to_string());
        let bare = a.bars.and_then(|d| compiled.book.board.devices.get(d)).map_or(String::new(), |d| d.name.clone());
        [between(compiled, signal, a.edge), lowest, a.misses.to_string(), needed.to_owned(), bare]
    });
    crate::print::csv::records(&["place", "lowest_hz", "below", "needed", "bare"], rows)
}

//! Where a buffer helps, in words.

use std::fmt::Write;

use super::text::{CAUTION, aligned};
use crate::book::Book;
use crate::study::signal::Signal;
use crate::study::signal::buffers::Buffers;
use crate::study::signal::words;

/// The smallest set of places, then each place alone. `buffer` is its input and output as said.
pub fn text(book: &Book, signal: &Signal<'_>, found: &Buffers, target: &str, buffer: (&str, &str)) -> String {
    let between = |edge: usize| {
        let edge = signal.route.edges.get(edge);
        edge.map_or(String::new(), |e| {
            format!("between {} and {}", words::place(book, e.from), words::place(book, e.to))
        })
    };
    let point = |hz: Option<f64>| hz.map_or("no fall".to_owned(), |hz| format!("{hz:.0} Hz"));
    let mut out = format!("target: every scene keeps its -3 dB point at {target} or above\n");
    let _ = writeln!(out, "a buffer is taken to have an input of {} and an output of {}", buffer.0, buffer.1);
    let (lowest, misses) = found.before;
    let _ = writeln!(out, "as it stands: lowest -3 dB point {}, {misses} below the target", point(lowest));
    if found.unknown > 0 {
        let _ = writeln!(out, "{} not judged: a value is missing (`tipring signal` says which)", found.unknown);
    }
    match &found.smallest {
        Some(set) if set.is_empty() => out.push_str("no buffer is needed\n"),
        Some(set) => {
            let proof = if found.proven { "no smaller set does" } else { "a smaller set may do: not all were tried" };
            let _ = writeln!(out, "{} needed ({proof}):", set.len());
            for e in set {
                let _ = writeln!(out, "  {}", between(*e));
            }
        }
        None => out.push_str("no set of buffers meets the target\n"),
    }
    let mut lines: Vec<Vec<String>> =
        vec![["each place alone", "lowest -3 dB", "below target"].map(str::to_owned).to_vec()];
    for alone in &found.alone {
        lines.push(vec![between(alone.edge), point(alone.lowest), alone.misses.to_string()]);
    }
    out.push('\n');
    out + &aligned(&lines, 1) + "\n" + CAUTION
}

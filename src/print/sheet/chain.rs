//! The way of the signal, for drawing: what it passes, in order.

use crate::Compiled;
use crate::book::electric::{Chain, LinkWhat};
use crate::book::{Device, DeviceKind};

/// One place on the way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Stop {
    /// A loop, by number.
    Loop(u16),
    /// A device that no loop takes out of the way, by its label.
    Always(String),
    /// A device in no loop that a control of its own engages, an index of the board's.
    Switched(u16),
    /// An output, by number.
    Out(u16),
    /// A new chain begins, at what feeds it.
    Begin(String),
}

/// All chains one after the other, the guitar's first, then by name; what was met before is not met again. A chain that
/// only leads from there to another output adds that output. A board without chains has its loops in order.
pub(super) fn way(compiled: &Compiled) -> Vec<Stop> {
    let guitar = |chain: &Chain| matches!(chain.links.first().map(|l| &l.what), Some(LinkWhat::Guitar(_)));
    let mut chains: Vec<&Chain> = compiled.book.board.chains.iter().collect();
    chains.sort_by_key(|c| (!guitar(c), c.name.as_str()));
    let mut out: Vec<Stop> = Vec::new();
    for chain in chains {
        let mut stops: Vec<Stop> = Vec::new();
        for stop in chain.links.iter().flat_map(|l| stops_of(compiled, &l.what)) {
            if !out.contains(&stop) && !stops.contains(&stop) {
                stops.push(stop);
            }
        }
        let outputs_alone = stops.iter().all(|s| matches!(s, Stop::Out(_)));
        match out.iter().rposition(|s| matches!(s, Stop::Out(_))).filter(|_| outputs_alone) {
            Some(last) => drop(out.splice(last + 1..last + 1, stops)),
            None if stops.is_empty() => {}
            None => {
                let from = chain.links.first().map_or("", |l| compiled.files.text(l.at));
                out.push(Stop::Begin(from.to_owned()));
                out.append(&mut stops);
            }
        }
    }
    if out.is_empty() {
        let loops = compiled.book.board.switcher.as_ref().map_or(0, |s| s.loops);
        out.extend((1..=loops).map(Stop::Loop));
    }
    out
}

fn stops_of(compiled: &Compiled, link: &LinkWhat) -> Vec<Stop> {
    match link {
        LinkWhat::Loops(from, to) => (*from..=*to).map(Stop::Loop).collect(),
        LinkWhat::Output(number) => vec![Stop::Out(*number)],
        LinkWhat::Device { device, jack: None, .. } => {
            let found = compiled.book.board.devices.get(*device).filter(|d| d.kind != DeviceKind::Amp);
            let stop = |d: &Device| match d.engaged_by {
                Some(_) => Stop::Switched(*device as u16),
                None => Stop::Always(d.label()),
            };
            found.map(stop).into_iter().collect()
        }
        _ => Vec::new(),
    }
}

//! The way of the signal, for drawing: what it passes, in order.

use crate::Compiled;
use crate::ids::{DeviceId, SceneId};
use crate::settle::Value;
use crate::study::route::Place;

/// One place on the way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Stop {
    /// A loop, by number.
    Loop(u16),
    /// A device that no loop takes out of the way, by its label.
    Always(String),
    /// A device in no loop that a control of its own engages, an index of the board's.
    Switched(DeviceId),
    /// An output, by number.
    Out(u16),
    /// A new chain begins, at what feeds it.
    Begin(String),
}

/// All chains one after the other, as a preset has its loops: the guitar's first, then by name; what was met before is not
/// met again. A chain that only leads from there to another output adds that output. A board without chains has its loops
/// in order.
pub(super) fn way(compiled: &Compiled, scene: SceneId) -> Vec<Stop> {
    let (board, table) = (&compiled.book.board, &compiled.table);
    let order = match table.cells.order_cell().map(|cell| table.stored(scene, cell)) {
        Some(Value::Order(order)) => order,
        _ => Default::default(),
    };
    let route = compiled.route().ordered(board, order);
    let guitar = |along: &[(Place, usize)]| matches!(along.first(), Some((Place::Guitar(_), _)));
    let mut chains: Vec<_> = board.chains.iter().zip(&route.chains).collect();
    chains.sort_by_key(|(chain, along)| (!guitar(along), chain.name.as_str()));
    let mut out: Vec<Stop> = Vec::new();
    for (chain, along) in chains {
        let mut stops: Vec<Stop> = Vec::new();
        for stop in along.iter().filter_map(|(place, _)| stop(compiled, *place)) {
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
        let loops = board.switcher.as_ref().map_or(0, |s| s.loops);
        out.extend((1..=loops).map(Stop::Loop));
    }
    out
}

fn stop(compiled: &Compiled, place: Place) -> Option<Stop> {
    Some(match place {
        Place::Loop(number) => Stop::Loop(number),
        Place::Output(number) => Stop::Out(number),
        Place::Device(device) => match compiled.book.board.devices.get(device)? {
            d if d.engaged_by.is_some() => Stop::Switched(device),
            d => Stop::Always(d.label()),
        },
        _ => return None,
    })
}

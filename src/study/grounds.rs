//! Grounds: which things that have an earth of their own are joined by the shields of leads. Whatever joins them is a loop
//! that hum runs round; an isolated output joins nothing. Circuit theory: a loop is a second way between two nodes.

use super::route::{Place, Route};
use crate::book::Board;
use crate::ids::DeviceId;

/// The sets of earthed devices, by index, whose grounds the leads join: each of two or more.
pub fn loops(board: &Board, route: &Route) -> Vec<Vec<DeviceId>> {
    let isolated = board.switcher.as_ref().map_or(&[][..], |s| s.isolated.as_slice());
    // One node for each device that a chain leads to by its own jacks, and the last for the board.
    let ground = board.devices.len();
    let node = |place: Place| match place {
        Place::Amp(d) | Place::Send(d) | Place::Return(d) | Place::Device(d) => d.index(),
        Place::LegSend(d, _) | Place::LegReturn(d, _) | Place::Key(d) => d.index(),
        Place::Guitar(_) | Place::Loop(_) | Place::Output(_) => ground,
    };
    let mut of: Vec<usize> = (0..=ground).collect();
    let mut join = |a: usize, b: usize| {
        let (from, to) = (of.get(a).copied(), of.get(b).copied());
        if let Some((from, to)) = from.zip(to) {
            of.iter_mut().filter(|one| **one == from).for_each(|one| *one = to);
        }
    };
    for edge in &route.edges {
        if !matches!(edge.from, Place::Output(number) if isolated.contains(&number)) {
            join(node(edge.from), node(edge.to));
        }
    }
    // What stands in a loop is joined by the two leads to it.
    route.in_loop.values().for_each(|device| join(device.index(), ground));
    let mut sets: Vec<Vec<DeviceId>> = Vec::new();
    for (index, device) in board.devices.pairs().filter(|(_, d)| d.electric.earthed.is_some()) {
        let same =
            |set: &&mut Vec<DeviceId>| set.first().is_some_and(|first| of.get(first.index()) == of.get(index.index()));
        match sets.iter_mut().find(same) {
            Some(set) if !device.faulty => set.push(index),
            Some(_) => {}
            None => sets.push(vec![index]),
        }
    }
    sets.retain(|set| set.len() > 1 && !route.faulty);
    sets
}

//! Loose ends: chains that start where no lead arrives, or end where none goes on; and loops where two leads arrive.

use std::collections::BTreeMap;

use super::route::{Place, Route};
use crate::book::{Board, Book};
use crate::ids::DeviceId;

/// An end of a chain that hangs loose.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Loose {
    /// The chain, an index of `Book::chains`, and the link at its end.
    pub chain: usize,
    pub link: usize,
    /// What the end is at.
    pub place: Place,
    /// The chain starts there; else it ends.
    pub start: bool,
}

/// All loose ends, in the order of the chains; none where a chain could not be understood, which may go on from there.
pub fn ends(book: &Book, route: &Route) -> Vec<Loose> {
    let mut out = Vec::new();
    if book.broken || route.faulty {
        return out;
    }
    for (chain, along) in route.chains.iter().enumerate() {
        let (Some((first, from)), Some((last, to))) = (along.first(), along.last()) else { continue };
        if !starts(book, route, *first) {
            out.push(Loose { chain, link: *from, place: *first, start: true });
        }
        let branches = along.iter().any(|(place, _)| route.leaving(*place).len() > 1);
        let ends = match last {
            Place::Output(_) | Place::Amp(_) | Place::Return(_) | Place::LegReturn(..) | Place::Key(_) => true,
            // A tuner hangs on a branch, and nothing goes on from it.
            Place::Device(_) if branches => true,
            place => !route.leaving(*place).is_empty(),
        };
        if !ends {
            out.push(Loose { chain, link: *to, place: *last, start: false });
        }
    }
    out
}

/// Something arrives where a chain starts. Of an output that feeds an amp this is asked of the amp.
fn starts(book: &Book, route: &Route, place: Place) -> bool {
    match place {
        Place::Guitar(_) | Place::Send(_) | Place::LegSend(..) => true,
        Place::Key(_) => false,
        Place::Output(output) if book.board.devices.iter().any(|d| d.fed_by.is_some_and(|f| f.value == output)) => true,
        // A mixer may be fed by its legs alone, a pedal by its return.
        place => route.arrives(place) || route.device_at(place).is_some_and(|device| into_own(book, route, device)),
    }
}

/// Something arrives at a leg or at the return of a device.
fn into_own(book: &Book, route: &Route, device: DeviceId) -> bool {
    route.edges.iter().any(|e| route.goes_into(&book.board, e.to) == Some(device))
}

/// A loop at which two leads arrive, from two places.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Doubled {
    /// The loop.
    pub number: u16,
    /// The chain that comes second, an index of `Board::chains`; its link; and the place before it there.
    pub chain: usize,
    pub link: usize,
    pub from: Place,
    /// The chain that comes first, and the place before the loop there.
    pub first: usize,
    pub other: Place,
}

/// All such loops, the first one of each chain: what follows it is the same mistake.
pub fn doubled(board: &Board, route: &Route) -> Vec<Doubled> {
    let mut out = Vec::new();
    let mut before: BTreeMap<u16, (Place, usize)> = BTreeMap::new();
    for (chain, along) in route.chains.iter().enumerate().filter(|_| !route.faulty) {
        for ((from, _), (to, link)) in along.iter().zip(along.iter().skip(1)) {
            let Place::Loop(number) = *to else { continue };
            let (other, first) = *before.entry(number).or_insert((*from, chain));
            // A loop with two sides has two jacks; guitars are plugged one at a time.
            let two_jacks = board.in_loop(number).is_some_and(|d| d.stereo);
            let guitars = matches!((*from, other), (Place::Guitar(_), Place::Guitar(_)));
            if other != *from && !two_jacks && !guitars {
                out.push(Doubled { number, chain, link: *link, from: *from, first, other });
                break;
            }
        }
    }
    out
}

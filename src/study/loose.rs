//! Loose ends: chains that start where no lead arrives, or end where none goes on.

use super::route::{Place, Route};
use crate::book::Book;

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
            Place::Output(_) | Place::Amp(_) | Place::Return(_) => true,
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
        Place::Guitar(_) | Place::Send(_) => true,
        Place::Output(output) if book.board.devices.iter().any(|d| d.fed_by.is_some_and(|f| f.value == output)) => true,
        place => route.arrives(place),
    }
}

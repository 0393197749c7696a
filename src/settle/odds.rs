//! Two devices that sound in every scene and want different things of one contact: no row can be right, and the board is
//! at fault, not the scenes.

use super::{Cells, Fault, Through};
use crate::book::{Book, How, What};
use crate::ids::{ColumnId, ControlId, DeviceId, SayingId};

/// A device and one of its controls.
type Owner = (DeviceId, ControlId);

/// The pairs of controls that no pattern of their contacts satisfies both of, in board order.
fn pairs(book: &Book, cells: &Cells) -> Vec<[Owner; 2]> {
    let mut always: Vec<Owner> = Vec::new();
    for (d, device) in book.board.devices.pairs() {
        if cells.through(d) != Through::Always || device.faulty {
            continue;
        }
        let latching = device.controls.pairs().filter(|(_, control)| {
            matches!(control.how, How::Remote { momentary: false, .. }) && !control.states.is_empty()
        });
        always.extend(latching.map(|(c, _)| (d, c)));
    }
    let mut out = Vec::new();
    for (at, one) in always.iter().enumerate() {
        let others = always.iter().skip(at + 1);
        out.extend(others.filter(|other| !agree(book, cells, *one, **other)).map(|other| [*one, *other]));
    }
    out
}

/// True when some state of one control goes with some state of the other.
fn agree(book: &Book, cells: &Cells, one: Owner, other: Owner) -> bool {
    let states = |(d, c): Owner| {
        let found = book.board.devices.get(d).and_then(|d| d.controls.get(c));
        0..found.map_or(0, |c| c.states.len() as u16)
    };
    let holds = |(d, c): Owner, state: u16, column: ColumnId| {
        let at = cells.of_control(d, c).iter().position(|own| *own == column);
        at.and_then(|at| cells.of_state(d, c, state).get(at))
    };
    let shared: Vec<ColumnId> = {
        let theirs = cells.of_control(other.0, other.1);
        cells.of_control(one.0, one.1).iter().copied().filter(|column| theirs.contains(column)).collect()
    };
    shared.is_empty()
        || states(one).any(|a| states(other).any(|b| shared.iter().all(|c| holds(one, a, *c) == holds(other, b, *c))))
}

/// Puts one fault in place of all that follow from such a pair.
pub(super) fn tell(book: &Book, cells: &Cells, faults: &mut Vec<Fault>) {
    let pairs = pairs(book, cells);
    if pairs.is_empty() {
        return;
    }
    let torn = |owner: Owner| pairs.iter().any(|pair| pair.contains(&owner));
    let chooses = |saying: SayingId| match book.show.sayings.get(saying)?.what {
        What::Choice { device, control, .. } => Some((device, control)),
        _ => None,
    };
    faults.retain(|fault| match fault {
        Fault::Unsettled { device, control, .. } | Fault::PatternUnknown { device, control, .. } => {
            !torn((*device, *control))
        }
        Fault::StatementsDisagree { first, second, .. } | Fault::LayersDisagree { first, second, .. } => {
            let both = chooses(*first).zip(chooses(*second));
            !both.is_some_and(|(a, b)| pairs.iter().any(|pair| pair.contains(&a) && pair.contains(&b) && a != b))
        }
        _ => true,
    });
    faults.extend(pairs.into_iter().map(|[first, second]| Fault::AtOdds { first, second }));
}

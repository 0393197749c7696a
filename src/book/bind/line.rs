//! Lines of descent among things that each build on one other: their circles, their order, their length.

use super::scene::circles;
use crate::book::scene::parents_first;
use crate::ids::Id;

/// So many devices may be like each other in a line, and so many sets derive from each other: each hands all it has
/// down the line, so a longer one costs its square. Nobody writes a tenth of it.
pub const LONGEST_LINE: u32 = 50;

/// What is known of some links.
pub(super) struct Line<I> {
    /// The circles, each from its first member on; the link that closes each is cut.
    pub circles: Vec<Vec<I>>,
    /// For each thing: what it builds on.
    pub above: Vec<Option<I>>,
    /// All things, each behind what it builds on.
    pub order: Vec<I>,
    /// For each thing: how many it builds on in a line.
    depth: Vec<u32>,
    /// For each thing: it stands in a circle, or builds on one that does.
    circular: Vec<bool>,
}

/// How far a thing stands down its line.
#[derive(PartialEq, Eq)]
pub(super) enum End {
    /// No further than is followed.
    Near,
    /// The first that stands too far: the one to tell.
    Far,
    /// It builds on what stands too far.
    Beyond,
}

impl<I: Id> Line<I> {
    /// Follows the links.
    pub(super) fn of(mut above: Vec<Option<I>>) -> Line<I> {
        let mut circles = circles(&above);
        for circle in &mut circles {
            let first = circle.iter().enumerate().min_by_key(|(_, id)| id.index()).map_or(0, |(at, _)| at);
            circle.rotate_left(first);
            if let Some(link) = circle.last().and_then(|last| above.get_mut(last.index())) {
                *link = None;
            }
        }
        let mut circular = vec![false; above.len()];
        for id in circles.iter().flatten() {
            if let Some(slot) = circular.get_mut(id.index()) {
                *slot = true;
            }
        }
        let order = parents_first(above.len(), |id: I| above.get(id.index()).copied().flatten());
        let mut depth = vec![0u32; above.len()];
        for id in &order {
            let Some(at) = above.get(id.index()).copied().flatten() else { continue };
            let of = (depth.get(at.index()).copied(), circular.get(at.index()).copied());
            let (Some(deep), Some(round)) = of else { continue };
            if let (Some(slot), Some(mark)) = (depth.get_mut(id.index()), circular.get_mut(id.index())) {
                *slot = deep + 1;
                *mark |= round;
            }
        }
        Line { circles, above, order, depth, circular }
    }

    /// How a thing stands at the end of its line.
    pub(super) fn end(&self, id: I) -> End {
        let deep = self.depth.get(id.index()).copied().unwrap_or(0);
        match deep {
            ..=LONGEST_LINE => End::Near,
            // A circle is told already.
            _ if deep > LONGEST_LINE + 1 || self.circular.get(id.index()) == Some(&true) => End::Beyond,
            _ => End::Far,
        }
    }
}

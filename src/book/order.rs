//! The order in which the signal passes the loops of the unit, where each preset has its own.

use super::electric::LinkWhat;
use super::{Board, Device};
use crate::ids::DeviceId;

/// More loops than this have more orders than a cell holds.
pub const MOST_ORDERED: u16 = 12;

/// An order of the unit's loops, by its number among all orders: 0 is as the chains have it, and one that leaves the last
/// loops where they are has the number that it has without them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct LoopOrder([u8; 4]);

impl LoopOrder {
    /// The loop that stands in the place of loop 1, of loop 2, and so on; each loop once.
    pub fn of(stand: &[u16]) -> LoopOrder {
        let mut left = stand.to_vec();
        let mut number = 0u32;
        for last in (2..=left.len()).rev() {
            let at = left.iter().position(|l| usize::from(*l) == last).unwrap_or(last - 1);
            left.remove(at);
            number = number.wrapping_add((last - 1 - at) as u32 * factorial(last - 1));
        }
        LoopOrder::numbered(number)
    }

    /// Its number among all orders.
    pub fn number(self) -> u32 {
        u32::from_ne_bytes(self.0)
    }

    /// The order of a number.
    pub fn numbered(number: u32) -> LoopOrder {
        LoopOrder(number.to_ne_bytes())
    }

    /// True as the chains have it.
    pub fn wired(self) -> bool {
        self == LoopOrder::default()
    }

    /// The loop that stands in the place of each of so many loops.
    pub fn stand(self, loops: u16) -> Vec<u16> {
        let number = self.number();
        let mut out = Vec::with_capacity(usize::from(loops));
        for (before, l) in (1..=loops.min(MOST_ORDERED)).enumerate() {
            let back = number / factorial(before) % (before as u32 + 1);
            out.insert(before - back as usize, l);
        }
        out
    }

    /// The loops that stand in the place of another, in the order in which the signal passes them.
    pub fn moved(self, board: &Board) -> Vec<u16> {
        let loops = board.switcher.as_ref().map_or(0, |s| s.own_loops);
        let stand = self.stand(loops);
        let in_place = |place: u16| stand.get(usize::from(place).checked_sub(1)?).copied().filter(|l| *l != place);
        runs(board).into_iter().flatten().filter_map(in_place).collect()
    }

    /// The same as statements name them: pedals by their names.
    pub fn says(self, board: &Board) -> Vec<String> {
        let name = |l: u16| board.in_loop(l).map_or_else(|| board.loop_says(l), |device| device.name.clone());
        self.moved(board).into_iter().map(name).collect()
    }

    /// The loops that follow others inside the unit, in the order in which the signal passes them.
    pub fn passed(self, board: &Board) -> Vec<u16> {
        let stand = self.stand(board.switcher.as_ref().map_or(0, |s| s.own_loops));
        let stands = |place: u16| stand.get(usize::from(place).wrapping_sub(1)).copied().unwrap_or(place);
        runs(board).into_iter().flatten().map(stands).collect()
    }

    /// The order of the loops that are in alone: whatever else is said of where a loop stands that is out cannot be heard.
    pub fn heard(self, board: &Board, engaged: impl Fn(u16) -> bool) -> LoopOrder {
        let passed = self.passed(board).into_iter();
        LoopOrder::named(board, &passed.filter(|l| engaged(*l)).collect::<Vec<_>>())
    }

    /// The order in which the named loops take each other's places; all others stay in theirs.
    pub fn named(board: &Board, loops: &[u16]) -> LoopOrder {
        let own = board.switcher.as_ref().map_or(0, |s| s.own_loops);
        let mut stand: Vec<u16> = (1..=own).collect();
        for run in runs(board) {
            let places = run.iter().filter(|l| loops.contains(l));
            for (place, l) in places.zip(loops.iter().filter(|l| run.contains(l))) {
                if let Some(slot) = stand.get_mut(usize::from(*place).wrapping_sub(1)) {
                    *slot = *l;
                }
            }
        }
        LoopOrder::of(&stand)
    }
}

/// Of 12 at most: of more there is no order.
fn factorial(n: usize) -> u32 {
    (1..=n as u32).product()
}

/// The stretches in which the unit's own loops follow each other inside it, in the direction of the signal: nothing that
/// stands outside lies between two of them, and nothing leaves between them.
pub fn runs(board: &Board) -> Vec<Vec<u16>> {
    let own = board.switcher.as_ref().map_or(0, |s| s.own_loops);
    let in_loop = |device: DeviceId| board.devices.get(device).and_then(|d: &Device| d.loop_at).map(|l| l.value);
    let mut found: Vec<Vec<u16>> = Vec::new();
    // Where something else comes in, and where something else goes on.
    let (mut joined, mut left) = (Vec::new(), Vec::new());
    for chain in &board.chains {
        let mut run: Vec<u16> = Vec::new();
        for (at, link) in chain.links.iter().enumerate() {
            let loops: Vec<u16> = match &link.what {
                LinkWhat::Loops(from, to) if from <= to => (*from..=*to).collect(),
                LinkWhat::Loops(from, to) => (*to..=*from).rev().collect(),
                LinkWhat::Device { device, jack: None, .. } => in_loop(*device).into_iter().collect(),
                _ => Vec::new(),
            };
            for (nth, l) in loops.iter().enumerate() {
                let follows = run.last().is_some_and(|last| board.stretch(*last) == board.stretch(*l));
                if !follows || *l > own {
                    left.extend(run.last().copied());
                    found.push(std::mem::take(&mut run));
                    // What a chain begins with is where another one is left.
                    if (at, nth) == (0, 0) { left.push(*l) } else { joined.push(*l) }
                }
                run.extend((*l <= own).then_some(*l));
            }
            if loops.is_empty() {
                left.extend(run.last().copied());
                found.push(std::mem::take(&mut run));
            }
        }
        left.extend(run.last().copied());
        found.push(run);
    }
    let mut all: Vec<Vec<u16>> = Vec::new();
    for run in found {
        let apart = run.chunk_by(|before, behind| !left.contains(before) && !joined.contains(behind));
        for part in apart.filter(|part| part.len() > 1) {
            if !part.iter().any(|l| all.iter().any(|known| known.contains(l))) {
                all.push(part.to_vec());
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All orders of up to six loops have numbers of their own, below the count of orders, and come back.
    #[test]
    fn each_order_has_its_number() {
        fn all(left: &[u16], done: &mut Vec<u16>, out: &mut Vec<Vec<u16>>) {
            if left.is_empty() {
                out.push(done.clone());
            }
            for l in left {
                done.push(*l);
                all(&left.iter().copied().filter(|m| m != l).collect::<Vec<_>>(), done, out);
                done.pop();
            }
        }
        for loops in 1..=6u16 {
            let mut orders = Vec::new();
            all(&(1..=loops).collect::<Vec<_>>(), &mut Vec::new(), &mut orders);
            let numbers: std::collections::BTreeSet<LoopOrder> = orders.iter().map(|o| LoopOrder::of(o)).collect();
            assert_eq!(numbers.len(), orders.len());
            assert!(orders.iter().all(|o| LoopOrder::of(o).stand(loops) == *o));
            assert_eq!(orders.iter().filter(|o| LoopOrder::of(o).wired()).count(), 1);
        }
        let reversed: Vec<u16> = (1..=12).rev().collect();
        assert_eq!(LoopOrder::of(&reversed).stand(12), reversed);
        let same: Vec<u16> = [2, 1].into_iter().chain(3..=12).collect();
        assert_eq!(LoopOrder::of(&same), LoopOrder::of(&[2, 1]));
    }
}

//! What a set asks for in all, and its hardest changes.

use super::{Change, Walked};

/// The sum over some changes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, serde::Serialize)]
pub struct Totals {
    /// How many changes.
    pub changes: usize,
    /// Presses; None when one of them is not known.
    pub presses: Option<u32>,
    /// Loops that moved, and devices that a control of their own engaged or bypassed.
    pub loops: usize,
    /// Contacts that moved or pulsed.
    pub contacts: usize,
    /// Moves by hand or foot.
    pub manual: usize,
    /// Changes that want both feet at one moment.
    pub two_feet: usize,
    /// Levels that jumped.
    pub jumps: usize,
    /// Tails cut.
    pub tails: usize,
}

impl Walked {
    /// Its totals.
    pub fn totals(&self) -> Totals {
        let start = Totals { presses: Some(0), ..Totals::default() };
        self.changes.iter().fold(start, |sum, c| Totals {
            changes: sum.changes + 1,
            presses: match (sum.presses, c.presses, c.from) {
                // How the first preset is come to is nobody's change.
                (known, None, None) => known,
                (known, presses, _) => known.zip(presses).map(|(a, b)| a + b),
            },
            loops: sum.loops + c.loops.len() + c.switched.len(),
            contacts: sum.contacts + c.contacts.len(),
            manual: sum.manual + c.manual.len(),
            two_feet: sum.two_feet + usize::from(c.crowded() || c.inside && c.two_feet()),
            jumps: sum.jumps + c.jumps.len(),
            tails: sum.tails + c.tails.len(),
        })
    }

    /// The five changes inside songs that hurt most, worst first; places in `changes`.
    pub fn worst(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.changes.len()).collect();
        let pain = |i: &usize| self.changes.get(*i).filter(|c| c.inside).map_or(0, Change::pain);
        order.retain(|i| pain(i) > 0);
        order.sort_by_key(|i| (std::cmp::Reverse(pain(i)), *i));
        order.truncate(5);
        order
    }
}

//! The leads around what is out. A loop stays in its chain and is bypassed; what stood in the line itself is bridged: the
//! lead before it goes on to what stood behind it. A chain that began at it leads nothing, and is gone; one that ended at
//! it ends before it.

use super::Out;
use crate::book::Book;
use crate::book::electric::{LinkWhat, PanelWhat};
use crate::ids::DeviceId;

impl Out<'_> {
    pub(super) fn bridge(&self, after: &mut Book) {
        after.board.chains.retain_mut(|chain| {
            let begins = chain.links.iter().find(|l| !matches!(l.what, LinkWhat::Cable(_)));
            if begins.is_some_and(|link| self.bridged(&link.what)) {
                return false;
            }
            let mut links = Vec::with_capacity(chain.links.len());
            let mut behind = false;
            for mut link in std::mem::take(&mut chain.links) {
                if self.bridged(&link.what) {
                    behind = true;
                    continue;
                }
                // The lead behind it is unplugged; where none was said before it, that one goes on.
                let cable = matches!(link.what, LinkWhat::Cable(_));
                let two = cable
                    && links
                        .last()
                        .is_some_and(|l: &super::super::electric::Link| matches!(l.what, LinkWhat::Cable(_)));
                if behind && two {
                    continue;
                }
                behind &= cable;
                self.renumber(&mut link.what);
                links.push(link);
            }
            while links.last().is_some_and(|l| matches!(l.what, LinkWhat::Cable(_))) {
                links.pop();
            }
            chain.links = links;
            chain.links.len() > 1
        });
        if let Some(panel) = &mut after.board.panel {
            panel.jacks.retain_mut(|jack| match &mut jack.what {
                PanelWhat::Device { device, .. } => self.now(*device).map(|now| *device = now).is_some(),
                _ => true,
            });
        }
    }

    /// True for a device that is out and in no loop, and for a jack of its own.
    fn bridged(&self, what: &LinkWhat) -> bool {
        // The loops of a helper that is out are gone with it.
        if let LinkWhat::Loops(from, to) = what {
            return self.loop_now(*from).is_none() || self.loop_now(*to).is_none();
        }
        let LinkWhat::Device { device, jack, .. } = what else { return false };
        if self.loop_of(*device).is_some_and(|number| self.loop_now(number).is_none()) {
            return true;
        }
        self.now(*device).is_none() && (self.loop_of(*device).is_none() || jack.is_some())
    }

    fn loop_of(&self, device: DeviceId) -> Option<u16> {
        self.book.board.devices.get(device)?.loop_at.map(|l| l.value)
    }

    fn renumber(&self, what: &mut LinkWhat) {
        if let LinkWhat::Loops(from, to) = what {
            (*from, *to) = (self.loop_now(*from).unwrap_or(*from), self.loop_now(*to).unwrap_or(*to));
        }
        let LinkWhat::Device { device, .. } = what else { return };
        match (self.now(*device), self.loop_of(*device)) {
            (Some(now), _) => *device = now,
            (None, Some(number)) => {
                let number = self.loop_now(number).unwrap_or(number);
                *what = LinkWhat::Loops(number, number);
            }
            (None, None) => {}
        }
    }
}

//! What a treadle on an input moves: levels, each over a range of its own.

use std::sync::Arc;

use super::names::{Wanted, nfc};
use super::{Binder, said_twice};
use crate::book::board::Plugged;
use crate::book::device::{Control, How};
use crate::book::fault::OutOfReach;
use crate::book::{Amount, End, Fault, Travel, What};
use crate::ids::{ControlId, DeviceId};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// A level, by device and number, how its treadle stores it, and the amounts at both ends.
type Target = ((DeviceId, ControlId), Travel, (Amount, Amount));

impl<'t> Binder<'t> {
    /// `rocker moves throb.depth from 20 % to 70 %, gully.blend`. All that it says goes by the whole statement, so that a
    /// change takes it out or leaves it whole.
    pub(super) fn moves(&mut self, view: View<'t>) -> bool {
        let Some(input) = view.child(Kind::Name).and_then(|name| self.treadle_input(name)) else {
            // What it should move may be misspelt too: told at once, whichever input it will be.
            view.all(Kind::Moved).for_each(|target| {
                self.target(target, 1, None);
            });
            return false;
        };
        let at = view.span();
        if view.says("nothing") {
            return self.push(What::Treadle { input, moves: None }, at);
        }
        let start = match (view.says("heel"), view.says("toe")) {
            (true, _) => Some(End::Heel),
            (_, true) => Some(End::Toe),
            _ => None,
        };
        let mut seen: Vec<((DeviceId, ControlId), Span)> = Vec::new();
        let mut whole = true;
        for target in view.all(Kind::Moved) {
            let Some((level, travel, way)) = self.target(target, input, start) else {
                whole = false;
                continue;
            };
            if let Some((_, first)) = seen.iter().find(|(known, _)| *known == level) {
                said_twice(&mut self.faults, *first, target);
                whole = false;
                continue;
            }
            seen.push((level, target.span()));
            self.book.show.ways.push((self.book.show.sayings.next(), way));
            self.push(What::Moves { device: level.0, control: level.1, travel }, at);
        }
        whole
    }

    /// The input that a treadle sits on; told when it sits on none.
    fn treadle_input(&mut self, name: View<'t>) -> Option<u8> {
        self.find(name, Wanted::TREADLE)?;
        let wanted = nfc(name.text());
        let found = self.book.board.treadles.iter().find(|t| t.name == wanted)?;
        match found.plugged {
            Plugged::Input(input) => Some(input),
            Plugged::Port(port) => {
                let (device, there) = (found.name.clone(), found.at);
                let why = OutOfReach::Feeds(port);
                self.faults.push(Fault::FootCannotReach { at: name.span(), device, why, there });
                None
            }
        }
    }

    /// A level, and how far it is moved.
    fn target(&mut self, target: View<'t>, input: u8, start: Option<End>) -> Option<Target> {
        let (owner, name) = (target.nth(Kind::Name, 0)?, target.nth(Kind::Name, 1)?);
        let (index, number) = self.owned(owner, name, target.span())?;
        let devices = Arc::clone(&self.devices);
        let control = devices.get(index)?.controls.get(number)?;
        let range = match control.how {
            How::Unknown => return None,
            How::Port { from, to, .. } | How::Cc { from, to, .. } => (from, to),
            How::FootLevel { from, to } if self.is_absent(index) => (from, to),
            How::FootLevel { .. } => {
                self.out_of_reach(index, target.span(), OutOfReach::OnDevice);
                return None;
            }
            _ => {
                self.out_of_reach(index, target.span(), OutOfReach::NotByFoot);
                return None;
            }
        };
        let steps = control.how.steps(self.port_steps());
        let (heel, toe, way) = match (target.nth(Kind::Quantity, 0), target.nth(Kind::Quantity, 1)) {
            (Some(from), Some(to)) => {
                let (heel, toe) = (self.end(from, control, range, steps), self.end(to, control, range, steps));
                let ((heel, said_heel), (toe, said_toe)) = (heel?, toe?);
                if heel == toe {
                    self.faults.push(Fault::RangeEmpty { at: from.span().to(to.span()) });
                    return None;
                }
                (heel, toe, (said_heel, said_toe))
            }
            _ => (0, steps.saturating_sub(1), range),
        };
        Some(((index, number), Travel::new(input, start, heel, toe), way))
    }

    /// A device of the board before that is not there tonight: what is said of it goes with it.
    fn is_absent(&self, device: DeviceId) -> bool {
        let at = self.devices.get(device).map_or(Span::default(), |d| d.at);
        self.found.absent.iter().any(|v| v.file == at.file && v.start <= at.start && at.end <= v.end)
    }

    fn end(&mut self, said: View<'t>, control: &Control, range: (Amount, Amount), steps: u16) -> Option<(u16, Amount)> {
        self.step(said, || format!("`{}`", control.name), range, Some(control.at), steps)
    }
}

//! The board that another stands for tonight: what it had and the other has not is known by name, so that scenes may ask for
//! it, and is out.

use super::Binder;
use super::names::Names;
use crate::book::device::{Control, Device, DeviceKind, EngagedBy, How, State};
use crate::book::message::Cue;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Notes what the board before had: devices that are not there tonight, and guitars, which are the player's.
    pub(super) fn before(&mut self, before: Vec<View<'t>>, names: &mut Names<'t>) {
        let told = self.faults.len();
        for view in before {
            let unknown = view.child(Kind::Name).is_some_and(|name| names.get(name.text()).is_none());
            match view.kind() {
                Kind::Switcher => self.found.before = Some(view),
                Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Helper | Kind::Listener if unknown => {
                    self.found.absent.insert(view.span());
                    self.declare(view, names);
                }
                Kind::Guitar if unknown => self.declare(view, names),
                _ => {}
            }
        }
        self.faults.truncate(told);
    }

    /// Binds the switcher of the board before: what it had is known, and nothing of it holds.
    pub(super) fn switcher_before(&mut self) {
        if let Some(view) = self.found.before {
            let told = self.faults.len();
            self.switcher_before = Some(self.switcher(view));
            self.faults.truncate(told);
        }
    }

    /// A device that is not there: in no loop, on no contact; a foot could work it, if it were.
    pub(super) fn absent(device: &mut Device) {
        let looped = device.loop_at.take().is_some();
        (device.fed_by, device.place, device.code, device.engaged_by) = (None, None, None, None);
        (device.tempo, device.clock) = (None, false);
        (device.electric, device.faulty, device.helper) = (Default::default(), false, None);
        for control in &mut device.controls {
            control.starts = None;
            control.cue = Cue::default();
            control.how = match control.how.level() {
                Some((from, to)) => How::FootLevel { from, to },
                None => How::Foot,
            };
        }
        if device.kind == DeviceKind::Pedal && looped {
            let state = |name: &str| State {
                name: name.to_owned(),
                at: device.at,
                pattern: Vec::new(),
                program: None,
                bank: None,
                messages: Vec::new(),
            };
            let states = vec![state("in"), state("out")];
            let at = device.at;
            // No name can be this one.
            let name = "in its loop".to_owned();
            let control = device.controls.next();
            device.controls.push(Control { states, ..Control::new(name, at, How::Foot) });
            device.engaged_by = Some(EngagedBy { control, engaged: 0, bypassed: 1, at });
        }
    }

    /// True for a jack or a loop that the board before had, and the one of tonight has not: what is said of it cannot sound.
    pub(super) fn beyond(&self, number: Option<View<'t>>, what: &str) -> bool {
        let (Some(before), Some(now)) = (&self.switcher_before, &self.book.board.switcher) else { return false };
        let count = |switcher: &crate::book::Switcher| match what {
            "loop" => switcher.own_loops,
            "remote" => switcher.jacks,
            "expression" => switcher.ports,
            "guitar input" => switcher.guitar_inputs,
            _ => switcher.outputs,
        };
        let number = number.and_then(|n| n.text().parse::<u16>().ok());
        number.is_some_and(|n| n > count(now) && n <= count(before))
    }
}

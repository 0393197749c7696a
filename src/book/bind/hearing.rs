//! Which guitar reaches the chain: by an input of the switcher, or by a setting of a device.

use super::names::{Named, Wanted};
use super::{Binder, said_twice};
use crate::book::board::Lets;
use crate::book::device::How;
use crate::book::{Fault, Spanned, What};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Binds what guitars say of it, once the devices are known.
    pub(super) fn hearing(&mut self) {
        for view in std::mem::take(&mut self.found.heard) {
            // A guitar of the board before is plugged in where there is room tonight.
            let before = self.files.get(view.span().file).is_some_and(|f| f.replaced);
            let Some(name) = view.child(Kind::Name).filter(|_| !before) else { continue };
            let Some((Named::Guitar(index), _)) = self.names.get(name.text()) else { continue };
            let index = index as usize;
            let input = view.child(Kind::OnInput).and_then(|on| self.on_input(on));
            let mut when: Vec<Spanned<Lets>> = Vec::new();
            for said in view.all(Kind::HeardWhen) {
                let Some(value) = self.lets(said) else {
                    self.unheard(index);
                    continue;
                };
                match when.iter().find(|w| w.value == value) {
                    Some(first) => said_twice(&mut self.faults, first.at, said),
                    None => when.push(Spanned { value, at: said.span() }),
                }
            }
            if view.child(Kind::OnInput).is_some() && input.is_none() {
                self.unheard(index);
            }
            if let Some(guitar) = self.book.board.guitars.get_mut(index) {
                (guitar.input, guitar.when) = (input, when);
            }
        }
    }

    /// Whether a guitar is heard cannot be told.
    fn unheard(&mut self, guitar: usize) {
        if let Some(guitar) = self.book.board.guitars.get_mut(guitar) {
            guitar.faulty = true;
        }
    }

    fn on_input(&mut self, view: View<'t>) -> Option<Spanned<u16>> {
        let number = self.jack_number(view.child(Kind::Number)?, "guitar input")?;
        Some(Spanned { value: number, at: view.span() })
    }

    /// `heard when chooser.side left`.
    fn lets(&mut self, view: View<'t>) -> Option<Lets> {
        let mut names = view.all(Kind::Name);
        let (owner, name, state) = (names.next()?, names.next()?, names.next()?);
        let index = self.find(owner, Wanted::DEVICE)?;
        let devices = std::sync::Arc::clone(&self.devices);
        let device = devices.get(index)?;
        let Some(number) = self.control_named(index, name) else {
            if !device.faulty {
                let has = self.settings.controls(index);
                let near = self.near(name.text(), has.iter().map(String::as_str));
                let (owner, there) = (device.name.clone(), device.at);
                self.faults.push(Fault::ControlUnknown { at: name.span(), device: owner, near, has, there });
            }
            return None;
        };
        let control = device.controls.get(number).filter(|c| c.how != How::Unknown)?;
        let Some(found) = self.state_named(index, number, state) else {
            let has = self.settings.states(index, number);
            self.state_unknown(state.span(), Some(state), control, has);
            return None;
        };
        Some(Lets { device: index, control: number, state: found as u16 })
    }

    /// `hear slab`, or `hear input 2`: the input that is heard, or the setting that lets the guitar through. One
    /// statement settles one thing: a guitar that takes both is not called for by its name.
    pub(super) fn hear(&mut self, view: View<'t>) -> bool {
        let at = view.span();
        if let Some(number) = view.child(Kind::Number) {
            let beyond = self.beyond(Some(number), "guitar input");
            return beyond || self.jack_number(number, "guitar input").is_some_and(|n| self.hears(n, at));
        }
        let Some(name) = view.child(Kind::Name) else { return false };
        let Some(index) = self.find(name, Wanted::GUITAR) else { return false };
        let Some(guitar) = self.book.board.guitars.get(index) else { return false };
        let (input, faulty, there, title) = (guitar.input, guitar.faulty, guitar.at, guitar.name.clone());
        let lets: Vec<Lets> = guitar.when.iter().map(|w| w.value).collect();
        if faulty {
            return false;
        }
        match lets.as_slice() {
            // On the board of tonight another hand plugs it in.
            [] if input.is_none() && self.switcher_before.is_some() => true,
            [] if input.is_none() => {
                self.faults.push(Fault::GuitarUnclear { at, guitar: title, several: Vec::new(), there });
                false
            }
            [] => input.is_some_and(|i| self.hears(i.value, at)),
            [Lets { device, control, state }] if input.is_none_or(|_| !self.inputs_chosen()) => {
                let (device, control, state) = (*device, *control, *state);
                self.chosen_by_foot(lets.first().copied(), at) && self.push(What::Choice { device, control, state }, at)
            }
            several => {
                let on = input.filter(|_| self.inputs_chosen()).map(|i| format!("hear input {}", i.value));
                let several = on.into_iter().chain(several.iter().filter_map(|lets| self.says_lets(*lets))).collect();
                self.faults.push(Fault::GuitarUnclear { at, guitar: title, several, there });
                false
            }
        }
    }

    /// The switcher has inputs to choose from.
    fn inputs_chosen(&self) -> bool {
        self.book.board.switcher.as_ref().is_some_and(|s| s.guitar_inputs > 1)
    }

    fn says_lets(&self, lets: Lets) -> Option<String> {
        let device = self.book.board.devices.get(lets.device)?;
        let control = device.controls.get(lets.control)?;
        Some(format!("{}.{} {}", device.name, control.name, control.states.get(usize::from(lets.state))?.name))
    }

    /// What a foot must turn, a foot must reach.
    fn chosen_by_foot(&mut self, lets: Option<Lets>, at: Span) -> bool {
        let Some(lets) = lets else { return true };
        let device = lets.device;
        let control = self.devices.get(device).and_then(|d| d.controls.get(lets.control));
        control.is_none_or(|c| c.how != How::Foot) || self.not_under(device, at)
    }

    /// The input that a scene hears. With one input alone there is nothing to store.
    fn hears(&mut self, input: u16, at: Span) -> bool {
        !self.inputs_chosen() || self.push(What::Heard { input }, at)
    }
}

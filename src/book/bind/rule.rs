//! Rules, limits, and warnings met on purpose.

use std::sync::Arc;

use super::names::{Named, Wanted, nfc};
use super::{Binder, content, said_twice};
use crate::book::amount::{Amount, show};
use crate::book::device::{Contact, Control, How};
use crate::book::rule::{Allow, Atom, Bound, Clause, Form, Rule};
use crate::book::{Fault, scene};
use crate::ids::{ControlId, DeviceId};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

impl<'t> Binder<'t> {
    pub(super) fn rules(&mut self) {
        for view in std::mem::take(&mut self.found.rules) {
            if view.broken() {
                continue;
            }
            let form = view.children().find(|v| v.kind() != Kind::Text).and_then(|v| self.form(v));
            if let Some(form) = form {
                let title = view.child(Kind::Text).map(content);
                self.book.board.rules.push(Rule { title, at: view.span(), form });
            }
        }
        for view in std::mem::take(&mut self.found.limits) {
            if let Some(first) = &self.book.board.limit_step {
                said_twice(&mut self.faults, first.at, view);
                continue;
            }
            let limit = view.child(Kind::Quantity).and_then(|q| self.measure(q, Dimension::Decibel));
            self.book.board.limit_step = limit.map(|limit| scene::Spanned { value: limit.value, at: view.span() });
        }
        for view in std::mem::take(&mut self.found.allows) {
            self.allow(view);
        }
    }

    fn form(&mut self, view: View<'t>) -> Option<Form> {
        let parts: Vec<Option<Clause>> = view.all(Kind::Either).map(|v| self.joined(v)).collect();
        let mut parts = parts.into_iter().collect::<Option<Vec<Clause>>>()?;
        if matches!(view.kind(), Kind::AtMost | Kind::Exactly) {
            return Some(if view.kind() == Kind::AtMost { Form::AtMost(parts) } else { Form::Exactly(parts) });
        }
        let second = (parts.len() > 1).then(|| parts.pop()).flatten();
        let first = parts.pop()?;
        match (view.kind(), second) {
            (Kind::Never, second) => Some(Form::Never(first, second)),
            (Kind::Always, _) => Some(Form::Always(first)),
            (Kind::Needs, Some(second)) => Some(Form::Needs(first, second)),
            _ => None,
        }
    }

    /// `either`, `both`, `denied` or an atom; every part is bound, so that no mistake hides another.
    fn joined(&mut self, view: View<'t>) -> Option<Clause> {
        let list = |binder: &mut Self| {
            let parts: Vec<Option<Clause>> = view.children().map(|v| binder.joined(v)).collect();
            parts.into_iter().collect::<Option<Vec<Clause>>>()
        };
        match view.kind() {
            Kind::Atom => self.atom(view).map(|atom| Clause::Atom(atom, view.span())),
            Kind::Denied => list(self)?.pop().map(|inner| Clause::Not(Box::new(inner))),
            Kind::Either | Kind::Both => {
                let mut parts = list(self)?;
                match parts.len() {
                    1 => parts.pop(),
                    _ if view.kind() == Kind::Either => Some(Clause::Some(parts)),
                    _ => Some(Clause::All(parts)),
                }
            }
            _ => None,
        }
    }

    fn atom(&mut self, view: View<'t>) -> Option<Atom> {
        let jack = if view.says("loop") { "loop" } else { "output" };
        let remote = view.child(Kind::Contact).and_then(|c| c.child(Kind::Number));
        if self.beyond(remote, "remote")
            || (jack == "loop" && view.says("loop") && self.no_loop_here(view))
            || (jack == "output" && self.beyond(view.child(Kind::Number), jack))
        {
            return None;
        }
        if let Some(contact) = view.child(Kind::Contact) {
            let jack = contact.child(Kind::Number).and_then(|n| self.jack_number(n, "remote"))?;
            if self.takes_pulses(Some(jack), contact) {
                return None;
            }
            let at = contact.span();
            let contact = Contact { jack, ring: contact.says("ring") };
            if self.helper_contact(contact, at) {
                return None;
            }
            return Some(Atom::Contact { contact, closed: view.says("closed") });
        }
        if let Some(number) = view.child(Kind::Number) {
            if view.says("loop") {
                let found = match view.child(Kind::OfHelper) {
                    Some(of) => self.helper_loop(number, of),
                    None => self.jack_number(number, "loop"),
                };
                return found.map(|number| Atom::Loop { number });
            }
            let number = self.jack_number(number, "output")?;
            return Some(Atom::Output { number, on: view.says("on") });
        }
        let mut names = view.all(Kind::Name);
        let (first, second, third) = (names.next()?, names.next(), names.next());
        if view.says("any") {
            return self.find(first, Wanted::SCENE).map(Atom::Any);
        }
        match second {
            Some(control) => self.setting_atom(view, first, control, third),
            None => match self.find(first, Wanted::SCENE_OR_DEVICE)? {
                Named::Scene(id) => Some(Atom::Scene(id)),
                Named::Device(device) => Some(Atom::Engaged { device }),
                _ => None,
            },
        }
    }

    fn setting_atom(
        &mut self,
        view: View<'t>,
        owner: View<'t>,
        name: View<'t>,
        state: Option<View<'t>>,
    ) -> Option<Atom> {
        let index = self.find(owner, Wanted::DEVICE)?;
        let devices = Arc::clone(&self.devices);
        let number = self.control_of(index, name)?;
        let control = devices.get(index)?.controls.get(number).filter(|c| c.how != How::Unknown)?;
        let has: Arc<[String]> = match control.how.level() {
            Some((from, to)) => [show(from), show(to)].into(),
            None => self.settings.states(index, number),
        };
        let (device, number) = (index, number);
        let level = control.how.level();
        if view.says("foot") {
            if level.is_none() {
                let word = view.all(Kind::Word).find(|w| w.text() == "foot");
                return self.no_such_state(word.unwrap_or(view), control, has);
            }
            return Some(Atom::Foot { device, control: number });
        }
        match (level, view.child(Kind::Compared), state) {
            (Some(range), Some(compared), _) => self.compared(compared, control, range, device, number),
            (None, None, Some(word)) => {
                let state = self.state_named(index, number, word);
                match state {
                    Some(state) => Some(Atom::State { device, control: number, state: state as u16 }),
                    None if self.lacks(index, &control.name, Some(word), Arc::clone(&has), view) => None,
                    None => self.no_such_state(word, control, has),
                }
            }
            (_, compared, word) => self.no_such_state(word.or(compared).unwrap_or(view), control, has),
        }
    }

    /// A control's place by its name; told when the device has none such.
    fn control_of(&mut self, index: DeviceId, name: View<'t>) -> Option<ControlId> {
        let found = self.control_named(index, name);
        let device = self.book.board.devices.get(index)?;
        let (has, owner, there, faulty) =
            (self.settings.controls(index), device.name.clone(), device.at, device.faulty);
        let lacks = |b: &mut Self| b.lacks(index, &nfc(name.text()), None, Arc::clone(&has), name);
        if found.is_none() && !faulty && !lacks(self) {
            let near = self.near(name.text(), has.iter().map(String::as_str));
            self.faults.push(Fault::ControlUnknown { at: name.span(), device: owner, near, has, there });
        }
        found
    }

    fn no_such_state(&mut self, word: View<'t>, control: &Control, has: Arc<[String]>) -> Option<Atom> {
        self.state_unknown(word.span(), Some(word), control, has);
        None
    }

    fn compared(
        &mut self,
        view: View<'t>,
        control: &Control,
        (from, to): (Amount, Amount),
        device: DeviceId,
        number: ControlId,
    ) -> Option<Atom> {
        let said = view.child(Kind::Quantity).and_then(|q| self.measure(q, from.dimension))?;
        let steps = control.how.steps(self.port_steps());
        let Some(step) = said.value.step(from, to, steps) else {
            let range = format!("from {} to {}", show(from), show(to));
            let (what, there) = (format!("`{}`", control.name), Some(control.at));
            self.faults.push(Fault::OutOfRange { at: said.at, what, range, there });
            return None;
        };
        let bound = match view.child(Kind::Word).map(View::text) {
            Some("least") => Bound::Least,
            Some("most") => Bound::Most,
            Some("above") => Bound::Above,
            Some("below") => Bound::Below,
            _ => Bound::Exactly,
        };
        Some(Atom::Level { device, control: number, bound, step, falls: to.below(from) })
    }

    fn allow(&mut self, view: View<'t>) {
        let mut names = view.all(Kind::Name);
        let (Some(code), Some(reason)) = (names.next(), view.child(Kind::Text)) else { return };
        let mut allow = Allow {
            at: view.span(),
            code: code.text().to_owned(),
            code_at: code.span(),
            names: Vec::new(),
            reason: content(reason),
            faulty: view.broken(),
        };
        for name in names {
            allow.faulty |= !self.named(name);
            allow.names.push(nfc(name.text()).into_owned());
        }
        self.book.allows.push(allow);
    }

    /// True for the name of anything; told when nothing has it.
    fn named(&mut self, name: View<'t>) -> bool {
        match self.names.get(name.text()) {
            Some((thing, _)) => {
                self.used(name, thing);
                thing != Named::Broken
            }
            None => self.find(name, Wanted::SCENE_OR_DEVICE).is_some(),
        }
    }
}

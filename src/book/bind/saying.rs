//! What a scene, a layer or the default says.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Binder;
use super::names::{Wanted, nfc};
use crate::book::amount::{self, Amount};
use crate::book::device::{CC_STEPS, Contact, Control, How};
use crate::book::fault::{HelperUnclear, MessageUnclear, OutOfReach};
use crate::book::{ContactValue, Fault, LevelValue, Plugged, Saying, SayingRange, What};
use crate::ids::{ControlId, DeviceId};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Binds a body; also says whether all of it was understood.
    pub(super) fn sayings(&mut self, body: Option<View<'t>>) -> (SayingRange, bool) {
        let from = self.book.show.sayings.next();
        let mut whole = true;
        if let Some(body) = body {
            for view in body.children() {
                whole &= self.saying(view);
            }
        }
        let range = SayingRange { from, to: self.book.show.sayings.next() };
        (range, whole & self.pulsed_once(range))
    }

    /// A preset pulses a contact once, or not: a second pulse said of it is a mistake.
    fn pulsed_once(&mut self, range: SayingRange) -> bool {
        let mut pulsed: FxHashMap<(u16, bool), Span> = FxHashMap::default();
        let before = self.faults.len();
        for saying in self.book.show.said(range) {
            let What::Contact { jack, ring, value: ContactValue::Pulse } = saying.what else { continue };
            if let Some(first) = pulsed.insert((jack, ring), saying.at) {
                self.faults.push(Fault::PulsedTwice { at: saying.at, first });
            }
        }
        self.faults.len() == before
    }

    pub(super) fn push(&mut self, what: What, at: Span) -> bool {
        self.book.show.sayings.push(Saying { what, at });
        true
    }

    /// A level at a step; the amount said is kept beside it.
    fn push_level(&mut self, what: impl FnOnce(LevelValue) -> What, at: Span, (step, said): (u16, Amount)) -> bool {
        self.book.show.amounts.push((self.book.show.sayings.next(), said));
        self.push(what(LevelValue::Step(step)), at)
    }

    fn saying(&mut self, view: View<'t>) -> bool {
        let at = view.span();
        let broken = view.broken();
        self.broken = broken;
        let understood = match view.kind() {
            Kind::Engage => view.children().fold(true, |all, v| self.engage(v, true) & all),
            Kind::Bypass => view.children().fold(true, |all, v| self.engage(v, false) & all),
            Kind::Close => self.contacts(view, ContactValue::Closed),
            Kind::Open => self.contacts(view, ContactValue::Open),
            Kind::Pulse => self.contacts(view, ContactValue::Pulse),
            Kind::PortAt => self.port_at(view),
            Kind::OutputIs => {
                let beyond = self.beyond(view.child(Kind::Number), "output");
                let number = view.child(Kind::Number).filter(|_| !beyond).and_then(|n| self.jack_number(n, "output"));
                beyond || number.is_some_and(|number| self.push(What::Output { number, on: view.says("on") }, at))
            }
            Kind::Hear => self.hear(view),
            Kind::OrderIs => self.order(view),
            Kind::Mute => self.mute(at),
            Kind::Setting => self.setting(view),
            Kind::Moves => self.moves(view),
            // Bound once it is known whose they are.
            Kind::Press | Kind::Again => true,
            _ => false,
        };
        self.broken = false;
        understood && !broken
    }

    /// Every output off but those that only tuners hang on.
    fn mute(&mut self, at: Span) -> bool {
        let outputs = self.book.board.switcher.as_ref().map_or(0, |s| s.outputs);
        let heard: Vec<u16> = (1..=outputs).filter(|n| !self.book.board.watched(*n)).collect();
        let silenced = if heard.is_empty() { vec![0] } else { heard };
        silenced.into_iter().fold(true, |_, output| self.push(What::Mute { output }, at))
    }

    fn engage(&mut self, target: View<'t>, on: bool) -> bool {
        let at = target.span();
        match target.kind() {
            Kind::LoopRef if self.no_loop_here(target) => true,
            Kind::LoopRef => {
                let of = target.child(Kind::OfHelper);
                let Some(number) = target.child(Kind::Number).and_then(|n| self.loop_number(n, of, at)) else {
                    return false;
                };
                let empty = self.book.board.switcher.is_some() && self.book.board.in_loop(number).is_none();
                if on && empty && !self.devices_faulty() {
                    self.faults.push(Fault::LoopEmpty { at, number });
                }
                self.push(What::Loop { number, on }, at)
            }
            Kind::Name => self.engage_named(target, on),
            _ => false,
        }
    }

    /// A loop's number; told of the words `loop N` as a whole.
    pub(super) fn loop_number(&mut self, number: View<'t>, of: Option<View<'t>>, whole: Span) -> Option<u16> {
        if let Some(of) = of {
            return self.helper_loop(number, of);
        }
        let before = self.faults.len();
        let found = self.jack_number(number, "loop");
        if let Some(Fault::LoopMissing { at, .. } | Fault::SwitcherMissing { at }) = self.faults.get_mut(before) {
            *at = whole;
        }
        found
    }

    fn devices_faulty(&self) -> bool {
        self.book.broken || self.book.board.devices.iter().any(|d| d.faulty && d.loop_at.is_none())
    }

    pub(super) fn engage_named(&mut self, target: View<'t>, on: bool) -> bool {
        let at = target.span();
        let Some(index) = self.find(target, Wanted::DEVICE) else { return false };
        let Some(device) = self.book.board.devices.get(index) else { return false };
        if let Some(loop_at) = &device.loop_at {
            let number = loop_at.value;
            return self.push(What::Loop { number, on }, at);
        }
        if let Some(by) = device.engaged_by {
            let by_foot = device.controls.get(by.control).is_some_and(|c| c.how == How::Foot);
            let reached = !by_foot || self.not_under(index, at);
            return reached && self.push(What::Engaged { device: index, on }, at);
        }
        let (name, amp, there) = (device.name.clone(), device.kind == crate::book::DeviceKind::Amp, device.at);
        if device.always() {
            if on {
                return self.push(What::AlwaysOn { device: index }, at);
            }
            self.faults.push(Fault::CannotBypass { at, name, amp, there });
            // Wrong, but understood: it settles nothing.
            return true;
        } else if device.helper.is_some() {
            self.helper_said(at, &name, HelperUnclear::Engaged, there);
        } else if device.listens() {
            let why = MessageUnclear::Engaged;
            self.faults.push(Fault::MessageUnclear { at, name, why, there });
        } else if !device.faulty {
            self.faults.push(Fault::NoLoop { at, name, there });
        }
        false
    }

    fn contacts(&mut self, view: View<'t>, value: ContactValue) -> bool {
        view.all(Kind::Contact).fold(true, |all, contact| {
            if self.beyond(contact.child(Kind::Number), "remote") {
                return all;
            }
            let jack = contact.child(Kind::Number).and_then(|n| self.jack_number(n, "remote"));
            if self.takes_pulses(jack, contact) {
                return false;
            }
            let ring = contact.says("ring");
            if jack.is_some_and(|jack| self.helper_contact(Contact { jack, ring }, contact.span())) {
                return false;
            }
            let what = jack.map(|jack| What::Contact { jack, ring: contact.says("ring"), value });
            what.is_some_and(|what| self.push(what, contact.span())) && all
        })
    }

    fn port_at(&mut self, view: View<'t>) -> bool {
        if self.beyond(view.child(Kind::Number), "expression") {
            return true;
        }
        let Some(port) = view.child(Kind::Number).and_then(|n| self.jack_number(n, "expression")) else { return false };
        let value = if let Some(quantity) = view.child(Kind::Quantity) {
            let travel = (Amount::percent(0), Amount::percent(100));
            let steps = self.port_steps();
            let read = self.step(quantity, || "an expression port".to_owned(), travel, None, steps);
            return read.is_some_and(|read| self.push_level(|value| What::Port { port, value }, view.span(), read));
        } else if view.says("stays") {
            Some(LevelValue::Stays)
        } else {
            view.child(Kind::Foot).map(foot)
        };
        match value {
            Some(value) if is_foot(value) && !self.treadle_feeds(port) => {
                let device = format!("expression {port}");
                let why = OutOfReach::NoTreadle(port);
                self.faults.push(Fault::FootCannotReach { at: view.span(), device, why, there: view.span() });
                false
            }
            Some(value) => self.push(What::Port { port, value }, view.span()),
            None => false,
        }
    }

    fn treadle_feeds(&self, port: u16) -> bool {
        let feeding = || self.book.board.treadles.iter().filter(|t| matches!(t.plugged, Plugged::Port(_)));
        // Where two are said to feed one port, one of them may feed this one.
        let twice = || feeding().enumerate().any(|(at, t)| feeding().take(at).any(|u| u.plugged == t.plugged));
        self.book.broken || self.book.board.treadle_of(port).is_some() || twice()
    }

    /// A quantity as a step of a range; told when its unit or its size is wrong.
    pub(super) fn step(
        &mut self,
        quantity: View<'t>,
        what: impl FnOnce() -> String,
        range: (Amount, Amount),
        there: Option<Span>,
        steps: u16,
    ) -> Option<(u16, Amount)> {
        let said = self.measure(quantity, range.0.dimension)?;
        let step = said.value.step(range.0, range.1, steps);
        if step.is_none() {
            let range = format!("from {} to {}", amount::show(range.0), amount::show(range.1));
            self.faults.push(Fault::OutOfRange { at: said.at, what: what(), range, there });
        }
        step.map(|step| (step, said.value))
    }

    fn setting(&mut self, view: View<'t>) -> bool {
        let mut names = view.all(Kind::Name);
        let (Some(owner), Some(name), value) = (names.next(), names.next(), names.next()) else { return false };
        let Some((index, number)) = self.owned(owner, name, view.span()) else { return false };
        let devices = Arc::clone(&self.devices);
        let Some(device) = devices.get(index) else { return false };
        let wanted = nfc(name.text());
        let Some(control) = device.controls.get(number) else { return false };
        if control.how == How::Unknown {
            return false;
        }
        let switch = device.switches(number);
        let (device, number) = (index, number);
        if view.says("stays") && (switch || matches!(control.how, How::Trim { .. })) {
            // Whether it sounds is never left open, and a trim is always stored.
            let has = match control.how.level() {
                Some((from, to)) => [amount::show(from), amount::show(to)].into(),
                None => self.settings.states(index, number),
            };
            let word = view.all(Kind::Word).last().map_or(view.span(), |w| w.span());
            return self.state_unknown(word, None, control, has);
        }
        if view.says("stays") {
            return self.push(What::Stays { device, control: number }, view.span());
        }
        if let Some(asked) = view.child(Kind::Foot) {
            let value = foot(asked);
            let fits = self.foot_reaches(control, index, view.span());
            return fits && self.push(What::Level { device, control: number, value }, view.span());
        }
        if control.how.level().is_some() {
            return self.level_value(view, control, device, number, value);
        }
        let at = value.map_or_else(|| view.child(Kind::Quantity).map_or(view.span(), View::span), View::span);
        let state = value.and_then(|v| self.state_named(index, number, v));
        match state {
            Some(state) => {
                let reached = control.how != How::Foot || self.not_under(index, view.span());
                reached && self.push(What::Choice { device, control: number, state: state as u16 }, view.span())
            }
            None => {
                let has = self.settings.states(index, number);
                if value.is_some() && self.lacks(index, &wanted, value, Arc::clone(&has), view) {
                    return false;
                }
                self.state_unknown(at, value, control, has)
            }
        }
    }

    /// A device and one of its controls, by their names; told when there is none.
    pub(super) fn owned(&mut self, owner: View<'t>, name: View<'t>, whole: Span) -> Option<(DeviceId, ControlId)> {
        let index = self.find(owner, Wanted::DEVICE)?;
        let devices = Arc::clone(&self.devices);
        let device = devices.get(index)?;
        if device.helper.is_some() {
            self.helper_said(whole, &device.name, HelperUnclear::Set, device.at);
            return None;
        }
        let wanted = nfc(name.text());
        if let Some(number) = self.control_named(index, name) {
            return Some((index, number));
        }
        let has = self.settings.controls(index);
        if !device.faulty && !self.lacks(index, &wanted, None, Arc::clone(&has), name) {
            let (owner, there) = (device.name.clone(), device.at);
            let near = self.near(name.text(), has.iter().map(String::as_str));
            self.faults.push(Fault::ControlUnknown { at: name.span(), device: owner, near, has, there });
        }
        None
    }

    /// Tells that a control has no such state, or that a level takes none; `has` is what it has instead. Always false.
    pub(super) fn state_unknown(
        &mut self,
        at: Span,
        word: Option<View<'t>>,
        control: &Control,
        has: Arc<[String]>,
    ) -> bool {
        if control.lost {
            return false;
        }
        let level = control.how.level().is_some();
        let word = word.filter(|_| !level);
        let near = word.and_then(|w| self.near(w.text(), has.iter().map(String::as_str)));
        let (control, there) = (control.name.clone(), control.at);
        self.faults.push(Fault::StateUnknown { at, control, level, near, has, there });
        false
    }

    fn level_value(
        &mut self,
        view: View<'t>,
        control: &Control,
        device: DeviceId,
        number: ControlId,
        word: Option<View<'t>>,
    ) -> bool {
        let Some(range) = control.how.level() else { return false };
        let Some(quantity) = view.child(Kind::Quantity) else {
            let at = word.map_or(view.span(), View::span);
            let has = [amount::show(range.0), amount::show(range.1)].into();
            return self.state_unknown(at, None, control, has);
        };
        let steps = control.how.steps(self.port_steps());
        let what = || format!("`{}`", control.name);
        let read = self.step(quantity, what, range, Some(control.at), steps);
        if let (Some((_, said)), Some((from, to))) = (read, control.how.takes().filter(|taken| *taken != range))
            && !said.within(from, to)
        {
            let (at, there) = (quantity.span(), Some(control.at));
            let range = format!("from {} to {}", amount::show(from), amount::show(to));
            self.faults.push(Fault::OutOfRange { at, what: what(), range, there });
            return false;
        }
        let reached = !matches!(control.how, How::FootLevel { .. }) || self.not_under(device, view.span());
        let what = |value| What::Level { device, control: number, value };
        read.is_some_and(|read| reached && self.push_level(what, view.span(), read))
    }

    /// Steps of the expression ports.
    pub(super) fn port_steps(&self) -> u16 {
        self.book.board.switcher.as_ref().map_or(CC_STEPS, |s| s.steps)
    }

    fn foot_reaches(&mut self, control: &Control, device: DeviceId, at: Span) -> bool {
        let why = match control.how {
            How::Port { port, .. } if self.treadle_feeds(port) => return true,
            How::Port { port, .. } => OutOfReach::NoTreadle(port),
            How::FootLevel { .. } => return self.not_under(device, at),
            _ => OutOfReach::NotByFoot,
        };
        self.out_of_reach(device, at, why)
    }

    pub(super) fn not_under(&mut self, device: DeviceId, at: Span) -> bool {
        !self.devices.get(device).is_some_and(|d| d.under()) || self.out_of_reach(device, at, OutOfReach::Under)
    }

    /// Tells that a foot cannot do it; always false.
    pub(super) fn out_of_reach(&mut self, device: DeviceId, at: Span, why: OutOfReach) -> bool {
        if let Some(d) = self.devices.get(device) {
            let there = d.place.filter(|_| why == OutOfReach::Under).map_or(d.at, |p| p.at);
            self.faults.push(Fault::FootCannotReach { at, device: d.name.clone(), why, there });
        }
        false
    }
}

fn foot(view: View<'_>) -> LevelValue {
    match view.child(Kind::Word).map(View::text) {
        Some("heel") => LevelValue::FromHeel,
        Some(_) => LevelValue::FromToe,
        None => LevelValue::Foot,
    }
}

fn is_foot(value: LevelValue) -> bool {
    matches!(value, LevelValue::Foot | LevelValue::FromHeel | LevelValue::FromToe)
}

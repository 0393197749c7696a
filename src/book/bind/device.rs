//! Devices: facts of their own, and those of the description they are `like`.

use super::names::{Thing, nfc};
use super::{Binder, content, said_twice};
use crate::book::device::{Device, DeviceKind, Place};
use crate::book::electric::Electric;
use crate::book::{Fault, Said};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// A fact, and whether it comes from the description that the device is like.
#[derive(Clone, Copy)]
pub(super) struct Fact<'t> {
    pub view: View<'t>,
    pub inherited: bool,
}

impl<'t> Binder<'t> {
    pub(super) fn devices(&mut self) {
        for (id, view) in self.found.devices.clone().into_iter().enumerate() {
            let mut device = self.device(view);
            // A second one of a name is read for its mistakes alone: it takes no place on the board.
            if !matches!(self.names.get(&device.name), Some((Thing::Device(n), _)) if n as usize == id) {
                device.controls.clear();
                (device.loop_at, device.fed_by, device.faulty) = (None, None, true);
            }
            self.book.devices.push(device);
        }
        self.claims();
    }

    fn device(&mut self, view: View<'t>) -> Device {
        let (facts, whole) = self.facts(view);
        let name = view.child(Kind::Name);
        let mut device = Device {
            kind: kind_of(view),
            name: name.map_or(String::new(), |n| nfc(n.text()).into_owned()),
            title: view.child(Kind::Text).map(content),
            at: name.map_or(view.span(), View::span),
            code: None,
            loop_at: None,
            stereo: false,
            always_on: false,
            place: None,
            tap: false,
            clock: false,
            tail: None,
            fed_by: None,
            own_switch: None,
            knobs: Vec::new(),
            electric: Electric::default(),
            controls: Vec::new(),
            faulty: view.broken() || !whole,
        };
        self.once_each(&facts);
        for fact in &facts {
            self.fact(&mut device, *fact);
        }
        self.controls(&mut device, &facts);
        device
    }

    /// The facts of a device: those of what it is like first, so that its own come later and win.
    fn facts(&mut self, view: View<'t>) -> (Vec<Fact<'t>>, bool) {
        let mut line = vec![view];
        let mut circle: Vec<(String, Span)> = Vec::new();
        let mut whole = true;
        let mut at = view;
        while let Some(like) = at.child(Kind::Like).and_then(|l| l.child(Kind::Name)) {
            let name = at.child(Kind::Name).map_or(String::new(), |n| n.text().to_owned());
            circle.push((name, like.span()));
            let Some(next) = self.described(like) else {
                whole = false;
                break;
            };
            if let Some(from) = line.iter().position(|v| v.span() == next.span()) {
                // Told once for the whole circle: at its first member in the book.
                if from == 0 && line.iter().all(|v| v.span() >= view.span()) {
                    let at = circle.first().map_or(like.span(), |(_, at)| *at);
                    self.faults.push(Fault::CircularLike { at, circle });
                }
                whole = false;
                break;
            }
            whole &= !next.broken();
            line.push(next);
            at = next;
        }
        let mut facts = Vec::new();
        for (depth, view) in line.iter().enumerate().rev() {
            let inherited = depth > 0;
            // Where a device sits is its own: a second one like it sits elsewhere.
            let own = |k: Kind| matches!(k, Kind::Loop | Kind::Code | Kind::Power | Kind::FedBy);
            let taken = view.children().filter(|f| !inherited || !own(f.kind()));
            facts.extend(taken.map(|view| Fact { view, inherited }));
        }
        (facts, whole)
    }

    /// The description that `like` names: a device of the book, or one that ships with the tool.
    fn described(&mut self, like: View<'t>) -> Option<View<'t>> {
        match self.names.get(like.text()) {
            Some((Thing::Device(n), _)) => return self.found.devices.get(n as usize).copied(),
            Some((Thing::Broken, _)) => return None,
            _ => {}
        }
        let named = |v: &View<'t>| v.child(Kind::Name).map(View::text);
        let shipped = self.found.shipped.iter().find(|v| named(v) == Some(like.text())).copied();
        if shipped.is_none() {
            let own: Vec<String> = self.book_devices();
            let shipped: Vec<&str> = crate::source::shipped::devices().collect();
            let near = self.near(like.text(), own.iter().map(String::as_str).chain(shipped));
            self.unknown(Fault::UnknownName { at: like.span(), wanted: "pedal or shipped description", near });
        }
        shipped
    }

    fn book_devices(&self) -> Vec<String> {
        self.names.all().filter(|(_, t)| matches!(t, Thing::Device(_))).map(|(n, _)| n.to_owned()).collect()
    }

    /// A device says each fact once in its own block.
    fn once_each(&mut self, facts: &[Fact<'t>]) {
        let own: Vec<View<'t>> = facts.iter().filter(|f| !f.inherited).map(|f| f.view).collect();
        for (i, view) in own.iter().enumerate() {
            let repeats = matches!(
                view.kind(),
                Kind::Control | Kind::Level | Kind::Knob | Kind::Broken | Kind::Name | Kind::Text | Kind::Like
            );
            let first = own.iter().take(i).find(|v| v.kind() == view.kind());
            if let (false, Some(first)) = (repeats, first) {
                said_twice(&mut self.faults, first.span(), *view);
            }
        }
    }

    fn fact(&mut self, device: &mut Device, fact: Fact<'t>) {
        let view = fact.view;
        let at = view.span();
        match view.kind() {
            Kind::Code => {
                let Some(code) = view.child(Kind::Name) else { return };
                if code.text().chars().count() > 3 {
                    self.faults.push(Fault::CodeLength { at: code.span() });
                }
                device.code = Some(Said { value: nfc(code.text()).to_uppercase(), at: code.span() });
            }
            Kind::Loop => {
                let Some(number) = view.child(Kind::Number) else { return };
                // `loop 5` is the place, not what may follow it.
                let at = Span { end: number.span().end, ..at };
                match self.loop_number(number, at) {
                    Some(value) => device.loop_at = Some(Said { value, at }),
                    None => device.faulty = true,
                }
                device.stereo = view.says("stereo");
            }
            Kind::AlwaysOn => device.always_on = true,
            Kind::Place => {
                let value = if view.says("top") { Place::Top } else { Place::Under };
                device.place = Some(Said { value, at });
            }
            Kind::Tap => device.tap = true,
            Kind::Beat => device.clock = true,
            Kind::Tail => self.tail(device, view, at),
            Kind::OwnSwitch => device.own_switch = Some(view.says("on")),
            Kind::FedBy => {
                let Some(number) = view.child(Kind::Number) else { return };
                match self.jack_number(number, "output") {
                    Some(value) => device.fed_by = Some(Said { value, at }),
                    None => device.faulty = true,
                }
            }
            Kind::Knob => {
                let mut words = view.children();
                if let (Some(name), Some(setting)) = (words.next(), words.next()) {
                    let setting =
                        if setting.kind() == Kind::Text { content(setting) } else { setting.text().to_owned() };
                    device.knobs.retain(|(n, _)| n != name.text());
                    device.knobs.push((name.text().to_owned(), setting));
                }
            }
            Kind::Broken => device.faulty = true,
            _ => self.electric(device, view),
        }
    }
}

fn kind_of(view: View<'_>) -> DeviceKind {
    match view.kind() {
        Kind::Buffer => DeviceKind::Buffer,
        Kind::Amp => DeviceKind::Amp,
        _ => DeviceKind::Pedal,
    }
}

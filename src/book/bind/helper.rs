//! Helpers: their loops, how they are called, and the presets that the book numbers.

use super::Binder;
use super::names::{Named, nfc};
use crate::book::device::{Contact, Control, Device, How, State};
use crate::book::fault::HelperUnclear;
use crate::book::helper::{Called, Helper, Kept, MOST_LOOPS};
use crate::book::{DeviceKind, Fault};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// Programs of a channel (MIDI 1.0 Detailed Specification, table I).
const PROGRAMS: u32 = 128;
/// Controllers 0 to 119; those above are channel modes (table III).
const LAST_CONTROLLER: u32 = 119;
/// What a controller that switches sends (table III: 0 to 63 off, 64 to 127 on).
const OUT: u16 = 0;
const IN: u16 = 127;
/// So many contacts choose a preset at most.
const MOST_CONTACTS: usize = 8;
/// The number of the first loop of a helper that is not there tonight: behind all that may be.
const NOWHERE: u16 = 60_000;
/// So many loops has a board at most, those of its helpers counted in.
const MOST_IN_ALL: u16 = 9_999;

impl<'t> Binder<'t> {
    /// Counts the loops of the helpers behind those of the switcher, helper by helper in the order of their names.
    pub(super) fn helpers(&mut self) {
        let helpers = self.found.devices.iter().filter(|v| v.kind() == Kind::Helper);
        let named = helpers.filter_map(|v| Some((nfc(v.child(Kind::Name)?.text()).into_owned(), *v)));
        let mut named: Vec<(String, View<'t>)> = named.collect();
        named.sort_by(|a, b| (&a.0, a.1.span()).cmp(&(&b.0, b.1.span())));
        named.dedup_by(|b, a| a.0 == b.0);
        for (name, view) in named {
            let absent = self.found.absent.contains(&view.span());
            let count = view.child(Kind::OwnLoops).and_then(|l| l.child(Kind::Number));
            let most = u32::from(MOST_LOOPS);
            let loops = count.and_then(|n| self.count(n, 1, most, "the number of its loops")).unwrap_or(0) as u16;
            let mut first = NOWHERE;
            if !absent {
                match &mut self.book.board.switcher {
                    Some(switcher) if switcher.loops > MOST_IN_ALL - loops => {
                        let at = view.child(Kind::Name).map_or(view.span(), View::span);
                        let most = usize::from(MOST_IN_ALL);
                        self.faults.push(Fault::TooMany {
                            at,
                            what: "loops, those of helpers counted in",
                            of: None,
                            most,
                        });
                    }
                    Some(switcher) => {
                        first = switcher.loops + 1;
                        switcher.loops += loops;
                    }
                    None => self.need_switcher(view.child(Kind::Name).map_or(view.span(), View::span)),
                }
            }
            self.helpers.insert(name.into(), (first, loops));
        }
    }

    /// A loop of a helper, as the book counts it; told when there is none.
    pub(super) fn helper_loop(&mut self, number: View<'t>, of: View<'t>) -> Option<u16> {
        let name = of.child(Kind::Name)?;
        let wanted = "helper";
        let Some((first, loops)) = self.helpers.get(nfc(name.text()).as_ref()).copied() else {
            match self.names.get(name.text()) {
                Some((Named::Broken, _)) => {}
                Some((thing, there)) => {
                    self.faults.push(Fault::OtherKind { at: name.span(), wanted, is: thing.word(), there });
                }
                None => {
                    let near = self.near(name.text(), self.helpers.keys().map(smol_str::SmolStr::as_str));
                    self.unknown(Fault::UnknownName { at: name.span(), wanted, near });
                }
            }
            return None;
        };
        self.used_as_known(name);
        // It says no loops, and that is told.
        if loops == 0 {
            return None;
        }
        let own = self.count(number, 1, u32::from(loops), &format!("a loop of `{}`", name.text()))?;
        Some(first + own as u16 - 1)
    }

    /// True for a loop that the board before had, and the one of tonight has not.
    pub(super) fn no_loop_here(&mut self, view: View<'t>) -> bool {
        match view.child(Kind::OfHelper).and_then(|of| of.child(Kind::Name)) {
            Some(name) => {
                let nowhere = self.helpers.get(nfc(name.text()).as_ref()).is_some_and(|(first, _)| *first == NOWHERE);
                // Else whoever asks for the loop finds it.
                if nowhere {
                    self.used_as_known(name);
                }
                nowhere
            }
            None => self.beyond(view.child(Kind::Number), "loop"),
        }
    }

    pub(super) fn helper_said(&mut self, at: Span, name: &str, why: HelperUnclear, there: Span) {
        self.faults.push(Fault::HelperUnclear { at, name: name.to_owned(), why, there });
    }

    /// Tells that a scene moves a contact that calls a helper.
    pub(super) fn helper_contact(&mut self, contact: Contact, at: Span) -> bool {
        let devices = &self.book.board.devices;
        let calls = |c: &Control| matches!(&c.how, How::Remote { contacts, .. } if contacts.contains(&contact));
        let mut helpers = devices.iter().filter(|d| d.kind == DeviceKind::Helper);
        let Some((name, there)) = helpers.find(|d| d.controls.iter().any(calls)).map(|d| (d.name.clone(), d.at)) else {
            return false;
        };
        self.helper_said(at, &name, HelperUnclear::Contact(contact.says()), there);
        true
    }

    /// Binds what a helper says of itself.
    pub(super) fn helper(&mut self, device: &mut Device, view: View<'t>) {
        let Some((first, loops)) = self.helpers.get(device.name.as_str()).copied() else { return };
        let told = self.faults.len();
        if loops == 0 {
            if view.child(Kind::OwnLoops).is_none() && !device.faulty {
                self.helper_said(device.at, &device.name, HelperUnclear::NoLoops, device.at);
            }
            device.faulty = true;
        }
        let ways: Vec<View<'t>> =
            view.children().filter(|v| matches!(v.kind(), Kind::OnRemote | Kind::OnMidi | Kind::OnCc)).collect();
        let end = Span { start: view.span().end.saturating_sub(1), ..view.span() };
        let mut helper = Helper { first, loops, called: None, presets: (0, 0), end, kept: Vec::new() };
        match ways.as_slice() {
            [] if !device.faulty => self.helper_said(device.at, &device.name, HelperUnclear::NoWay, device.at),
            [_, second, ..] if second.kind() != ways.first().map_or(Kind::Broken, |v| v.kind()) => {
                self.helper_said(second.span(), &device.name, HelperUnclear::NoWay, device.at);
            }
            [way, ..] if loops > 0 => self.called(device, &mut helper, *way),
            _ => {}
        }
        if self.faults.len() == told && !device.faulty {
            self.room(device, &mut helper, view);
        }
        device.faulty |= self.faults.len() > told;
        device.helper = Some(Box::new(helper));
    }

    fn called(&mut self, device: &mut Device, helper: &mut Helper, way: View<'t>) {
        let numbers: Vec<View<'t>> = way.all(Kind::Number).collect();
        let shared = way.says("shared");
        let at = way.span();
        match (way.kind(), numbers.as_slice()) {
            (Kind::OnRemote, _) => {
                let mut control = Control::new("preset".to_owned(), at, How::Unknown);
                self.choice(device, &mut control, way);
                let How::Remote { contacts, momentary, shared, normally_closed } = control.how.clone() else { return };
                if momentary || shared {
                    return self.helper_said(at, &device.name, HelperUnclear::NotHeld, device.at);
                }
                let count = contacts.len();
                if count > usize::from(helper.loops) || count > MOST_CONTACTS && count != usize::from(helper.loops) {
                    return self.helper_said(at, &device.name, HelperUnclear::Contacts(count, helper.loops), device.at);
                }
                if count == usize::from(helper.loops) {
                    for (own, contact) in (1u16..).zip(contacts) {
                        let how = How::Remote { contacts: vec![contact], momentary, shared, normally_closed };
                        device.controls.push(each(own, at, how));
                    }
                    helper.called = Some(Called::Loops);
                    return;
                }
                helper.presets = (1, 1 << count);
                helper.called = Some(Called::Preset);
                let pattern = |number: u16| (0..count).map(|bit| (number - 1) >> bit & 1 == 1).collect();
                control.states = helper.all().map(|n| state(n.to_string(), at, pattern(n), None)).collect();
                device.controls.push(control);
            }
            (Kind::OnMidi, [channel, from]) => {
                let channel = self.count(*channel, 1, 16, "a MIDI channel");
                let from = self.count(*from, 0, 1, "the first program");
                let (Some(channel), Some(from)) = (channel, from) else { return };
                let how = How::Programs { channel: channel as u16, from: from as u16, shared };
                let mut control = Control::new("preset".to_owned(), at, how);
                helper.presets = (from as u16, PROGRAMS as u16);
                helper.called = Some(Called::Preset);
                control.states = helper.all().map(|n| state(n.to_string(), at, Vec::new(), Some(n))).collect();
                device.controls.push(control);
            }
            (Kind::OnCc, [channel, cc]) => {
                let last = LAST_CONTROLLER + 1 - u32::from(helper.loops);
                let channel = self.count(*channel, 1, 16, "a MIDI channel");
                let cc = self.count(*cc, 0, last, "the first of the MIDI controllers, one a loop");
                let (Some(channel), Some(cc)) = (channel, cc) else { return };
                for own in 1..=helper.loops {
                    let how = How::CcStates { channel: channel as u16, cc: cc as u16 + own - 1, shared };
                    device.controls.push(each(own, at, how));
                }
                helper.called = Some(Called::Loops);
            }
            _ => self.faults.push(Fault::JackUnsaid {
                at,
                device: device.name.clone(),
                control: "preset".to_owned(),
                jack: "midi",
            }),
        }
    }

    /// How many presets it has. The pedals of those that are numbered are known once all devices are.
    fn room(&mut self, device: &mut Device, helper: &mut Helper, view: View<'t>) {
        let stated = view.child(Kind::Presets);
        let numbered = stated.or_else(|| view.child(Kind::Kept));
        if let (Some(view), Some(Called::Loops)) = (numbered, helper.called) {
            return self.helper_said(view.span(), &device.name, HelperUnclear::NoPresets, device.at);
        }
        if let Some(number) = stated.and_then(|s| s.child(Kind::Number))
            && let Some(count) = self.count(number, 1, u32::from(helper.presets.1), "the number of its presets")
        {
            helper.presets.1 = count as u16;
            if let Some(control) = device.controls.first_mut() {
                control.states.truncate(count as usize);
            }
        }
    }

    /// Binds the presets with a number, once all devices are known.
    pub(super) fn kept(&mut self) {
        let helpers = self.found.devices.iter().filter(|v| v.kind() == Kind::Helper).copied();
        for view in helpers.collect::<Vec<_>>() {
            let Some(name) = view.child(Kind::Name).map(|n| nfc(n.text()).into_owned()) else { continue };
            let devices = &self.book.board.devices;
            let Some(at) = devices.position(|d| d.name == name && d.helper.is_some()) else { continue };
            let Some(device) = devices.get(at).filter(|d| !d.faulty) else { continue };
            let (there, Some(mut helper)) = (device.at, device.helper.clone()) else { continue };
            for line in view.all(Kind::Kept).filter(|line| !line.broken()) {
                let range = helper.all();
                let (from, to) = (u32::from(range.start), u32::from(range.end).saturating_sub(1));
                let number = line.child(Kind::Number);
                let preset = number.and_then(|n| self.count(n, from, to, &format!("a preset of `{name}`")));
                let loops = self.kept_loops(&name, &helper, line, there);
                let (Some(preset), Some(loops)) = (preset, loops) else { continue };
                let preset = preset as u16;
                match helper.kept.iter().find(|k| k.preset == preset || k.loops == loops) {
                    Some(first) => self.helper_said(line.span(), &name, HelperUnclear::Again, first.at),
                    None => helper.kept.push(Kept { preset, loops, at: line.span() }),
                }
            }
            helper.kept.sort_by_key(|k| k.preset);
            if let Some(device) = self.book.board.devices.get_mut(at) {
                device.helper = Some(helper);
            }
        }
    }

    /// The loops that a numbered preset engages, a bit each.
    fn kept_loops(&mut self, name: &str, helper: &Helper, line: View<'t>, there: Span) -> Option<u32> {
        let mut loops = Some(0);
        for target in line.children().filter(|v| matches!(v.kind(), Kind::LoopRef | Kind::Name)) {
            let at = target.span();
            let own = if target.kind() == Kind::Name {
                let found = self.find(target, super::names::Wanted::DEVICE);
                let device = found.and_then(|d| self.book.board.devices.get(d));
                let sits = device.and_then(|d| d.loop_at).and_then(|l| helper.own(l.value));
                if let (Some(device), None) = (device, sits)
                    && !device.faulty
                {
                    let there = device.at;
                    self.helper_said(at, name, HelperUnclear::NotInIt(target.text().to_owned()), there);
                }
                sits
            } else {
                let whole = target.child(Kind::OfHelper).and_then(|of| of.child(Kind::Name));
                whole.into_iter().for_each(|of| self.used_as_known(of));
                if let Some(other) = whole.filter(|other| nfc(other.text()) != name) {
                    self.helper_said(at, name, HelperUnclear::NotInIt(target.text().to_owned()), there);
                    let _ = other;
                    None
                } else {
                    let what = format!("a loop of `{name}`");
                    let number = target.child(Kind::Number);
                    number.and_then(|n| self.count(n, 1, u32::from(helper.loops), &what)).map(|n| n as u16)
                }
            };
            loops = loops.zip(own).map(|(loops, own)| loops | 1u32 << (own - 1));
        }
        loops
    }
}

fn state(name: String, at: Span, pattern: Vec<bool>, program: Option<u16>) -> State {
    State { name, at, pattern, program, bank: None, messages: Vec::new() }
}

/// The control of one loop.
fn each(own: u16, at: Span, how: How) -> Control {
    let mut control = Control::new(format!("loop-{own}"), at, how);
    control.states =
        vec![state("out".to_owned(), at, vec![false], Some(OUT)), state("in".to_owned(), at, vec![true], Some(IN))];
    control
}

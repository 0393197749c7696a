//! Controls and levels: how they are moved, and their states.

use indexmap::IndexMap;
use rustc_hash::{FxBuildHasher, FxHashMap};

use super::Binder;
use super::device::Fact;
use super::names::nfc;
use crate::book::amount::Amount;
use crate::book::device::{Contact, Control, Device, How, MOST, MOST_PULSED, State};
use crate::book::fault::{NoTrim, Unclear};
use crate::book::{Fault, Spanned};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

pub(super) const CHANNELS: u32 = 16;
const LAST_DATA: u32 = 127;
/// Banks, counted from 1: two data bytes choose one (MIDI 1.0 Detailed Specification, p. 14).
const BANKS: u32 = 16_384;

impl<'t> Binder<'t> {
    /// Binds the controls of a device. One stated again replaces the one of the description; what the new one
    /// leaves out (states, a range) is kept.
    pub(super) fn controls(&mut self, device: &mut Device, facts: &[Fact<'t>]) {
        let mut order: IndexMap<String, Vec<Fact<'t>>, FxBuildHasher> = IndexMap::default();
        for fact in facts.iter().filter(|f| matches!(f.view.kind(), Kind::Control | Kind::Level)) {
            let Some(name) = fact.view.child(Kind::Name) else { continue };
            let list = order.entry(nfc(name.text()).into_owned()).or_default();
            let own = list.iter().find(|f| !f.inherited && !fact.inherited);
            if let Some(first) = own {
                let first = first.view.child(Kind::Name).map_or(first.view.span(), View::span);
                self.faults.push(Fault::DuplicateName { at: name.span(), first, kind: "control" });
                continue;
            }
            list.push(*fact);
        }
        for (name, list) in order {
            for name in list.iter().filter_map(|fact| fact.view.child(Kind::Name)) {
                self.note_control(name, device.controls.next(), true);
            }
            let before = self.faults.len();
            let control = self.control(device, name, &list);
            device.faulty |= self.faults.len() > before;
            if device.controls.len() == MOST {
                self.too_many(control.at, "controls and levels", &device.name, MOST);
                device.faulty = true;
                break;
            }
            device.controls.push(control);
        }
    }

    fn control(&mut self, device: &Device, name: String, list: &[Fact<'t>]) -> Control {
        let part = |kind: Kind| list.iter().rev().find_map(|f| f.view.child(kind));
        let last = list.last();
        let at = last.and_then(|f| f.view.child(Kind::Name)).map_or(device.at, View::span);
        let at = if last.is_some_and(|f| f.inherited) { device.at } else { at };
        let mut control = Control::new(name, at, How::Unknown);
        if list.iter().any(|f| f.view.broken()) {
            return control;
        }
        control.starts = part(Kind::Starts).map(|s| s.child(Kind::Name).map(|n| nfc(n.text()).into_owned()));
        let how = last.and_then(|f| {
            f.view.children().find(|c| {
                matches!(
                    c.kind(),
                    Kind::ByFoot
                        | Kind::OnRemote
                        | Kind::OnMidi
                        | Kind::OnPort
                        | Kind::OnTrim
                        | Kind::OnCc
                        | Kind::OnMessages
                )
            })
        });
        let Some(how) = how else { return control };
        let level = last.is_some_and(|f| f.view.kind() == Kind::Level);
        if level {
            let range = list.iter().rev().find_map(|f| {
                let mut two = f.view.all(Kind::Quantity);
                Some((two.next()?, two.next()?))
            });
            self.level(device, &mut control, how, range);
        } else {
            self.choice(device, &mut control, how);
            if let Some(fact) = last.filter(|_| device.listens()) {
                self.cue(&mut control, fact.view);
            }
            if let Some(states) = part(Kind::States) {
                self.states(device, &mut control, states);
            }
            self.start_known(device, &control, part(Kind::Starts));
        }
        control
    }

    fn unsaid(&mut self, device: &Device, control: &Control, jack: &'static str) {
        // A line of it that could not be read may have said it.
        if device.faulty {
            return;
        }
        let fault =
            Fault::JackUnsaid { at: control.at, device: device.name.clone(), control: control.name.clone(), jack };
        self.faults.push(fault);
    }

    fn level(&mut self, device: &Device, control: &mut Control, how: View<'t>, range: Option<(View<'t>, View<'t>)>) {
        let (from, to) = match range {
            Some((a, b)) => match (Amount::read(a.text()), Amount::read(b.text())) {
                (Some(from), Some(to)) if from.dimension != to.dimension => {
                    self.faults.push(Fault::UnitWrong { at: b.span(), wanted: from.dimension });
                    return;
                }
                (Some(from), Some(to)) if from.step(from, to, 2).is_some() => (from, to),
                (Some(_), Some(_)) => {
                    self.faults.push(Fault::RangeEmpty { at: a.span().to(b.span()) });
                    return;
                }
                _ => return,
            },
            None => (Amount::percent(0), Amount::percent(100)),
        };
        let numbers: Vec<View<'t>> = how.all(Kind::Number).collect();
        match how.kind() {
            Kind::ByFoot => control.how = How::FootLevel { from, to },
            Kind::OnPort => match numbers.first() {
                Some(number) => {
                    if let Some(port) = self.jack_number(*number, "expression") {
                        control.how = How::Port { port, from, to, shared: how.says("shared") };
                    }
                }
                None => self.unsaid(device, control, "expression"),
            },
            Kind::OnTrim => self.trim(device, control, &numbers, (from, to), range),
            _ => {
                if let Some((channel, cc)) = self.controller(device, control, &numbers) {
                    control.how = How::Cc { channel, cc, from, to, shared: how.says("shared") };
                }
            }
        }
    }

    /// The trim of the output that feeds the device.
    fn trim(
        &mut self,
        device: &Device,
        control: &mut Control,
        numbers: &[View<'t>],
        (from, to): (Amount, Amount),
        range: Option<(View<'t>, View<'t>)>,
    ) {
        let Some(number) = numbers.first() else { return };
        let Some(output) = self.jack_number(*number, "output") else { return };
        if from.dimension != Dimension::Decibel {
            let at = range.map_or(control.at, |(from, _)| from.span());
            return self.faults.push(Fault::UnitWrong { at, wanted: Dimension::Decibel });
        }
        let fed = device.fed_by.is_some_and(|fed| fed.value == output);
        let switcher = self.book.board.switcher.as_ref();
        let (steps, there) = switcher.map_or((0, None), |s| (s.trims, Some(s.at).filter(|_| !s.faulty)));
        if fed && steps > 0 {
            control.how = How::Trim { output, from, to, steps };
        } else if let Some(there) = there.filter(|_| !device.faulty) {
            let (at, device) = (control.at, device.name.clone());
            let why = if steps == 0 { NoTrim::Nowhere(there) } else { NoTrim::NotFed };
            self.faults.push(Fault::TrimMisplaced { at, device, output, why });
        }
    }

    /// A channel and a controller on it.
    pub(super) fn controller(
        &mut self,
        device: &Device,
        control: &Control,
        numbers: &[View<'t>],
    ) -> Option<(u16, u16)> {
        let [channel, cc] = numbers else {
            self.unsaid(device, control, "midi");
            return None;
        };
        let channel = self.count(*channel, 1, CHANNELS, "a MIDI channel");
        let cc = self.count(*cc, 0, LAST_DATA, "a MIDI controller");
        Some((channel? as u16, cc? as u16))
    }

    pub(super) fn choice(&mut self, device: &Device, control: &mut Control, how: View<'t>) {
        let numbers: Vec<View<'t>> = how.all(Kind::Number).collect();
        match how.kind() {
            Kind::ByFoot => control.how = How::Foot,
            Kind::OnRemote => self.remote(device, control, how),
            Kind::OnCc => {
                if let Some((channel, cc)) = self.controller(device, control, &numbers) {
                    control.how = How::CcStates { channel, cc, shared: how.says("shared") };
                }
            }
            Kind::OnMessages => {
                let channel = numbers.first().and_then(|n| self.count(*n, 1, CHANNELS, "a MIDI channel"));
                if let Some(channel) = channel {
                    control.how = How::Messages { channel: channel as u16, shared: how.says("shared") };
                }
            }
            _ => match numbers.as_slice() {
                [channel, from] => {
                    let channel = self.count(*channel, 1, CHANNELS, "a MIDI channel");
                    let from = self.count(*from, 0, 1, "the first program");
                    if let (Some(channel), Some(from)) = (channel, from) {
                        control.how =
                            How::Programs { channel: channel as u16, from: from as u16, shared: how.says("shared") };
                    }
                }
                _ => self.unsaid(device, control, "midi"),
            },
        }
    }

    fn remote(&mut self, device: &Device, control: &mut Control, how: View<'t>) {
        let mut contacts = Vec::new();
        for jack in how.all(Kind::Jack) {
            let Some(number) = jack.child(Kind::Number) else {
                return self.unsaid(device, control, "remote");
            };
            let Some(number) = self.jack_number(number, "remote") else { return };
            let side = jack.child(Kind::Word).map(View::text);
            contacts.extend(
                [("tip", false), ("ring", true)]
                    .into_iter()
                    .filter(|(word, _)| side.is_none_or(|s| s == *word))
                    .map(|(_, ring)| Contact { jack: number, ring }),
            );
        }
        let mut seen = Vec::new();
        contacts.retain(|c| {
            !seen.contains(c) && {
                seen.push(*c);
                true
            }
        });
        control.how = How::Remote {
            contacts,
            momentary: how.says("momentary"),
            shared: how.says("shared"),
            normally_closed: how.says("normally"),
        };
    }

    fn states(&mut self, device: &Device, control: &mut Control, states: View<'t>) {
        // Only a state that was understood takes its name.
        let mut taken: FxHashMap<String, Span> = FxHashMap::default();
        // Told of the first state that says it: the others say it in the same belief.
        let mut pulsed = false;
        for view in states.all(Kind::State) {
            let Some(name) = view.child(Kind::Name) else { continue };
            let text = nfc(name.text()).into_owned();
            if let Some(first) = taken.get(&text) {
                self.faults.push(Fault::DuplicateName { at: name.span(), first: *first, kind: "state" });
                control.lost = true;
                continue;
            }
            if matches!(&*text, "foot" | "stays") {
                self.faults.push(Fault::NameReserved { at: name.span() });
            }
            let most = if control.momentary() { MOST_PULSED } else { MOST };
            if control.states.len() == most {
                self.too_many(name.span(), "settings", &control.name, most);
                control.how = How::Unknown;
                break;
            }
            let said: Vec<View<'t>> = view.all(Kind::ContactIs).collect();
            let bank = view.child(Kind::Program).and_then(|p| p.nth(Kind::Number, 1));
            let bank = bank.and_then(|n| self.count(n, 1, BANKS, "the bank")).map(|b| b as u16);
            let mut unclear = |at: Span, why: Unclear, contacts: &[Contact]| {
                let has = contacts.iter().map(|c| c.says()).collect();
                self.faults.push(Fault::ContactUnclear { at, control: control.name.clone(), why, has });
            };
            let mut state =
                State { name: text, at: name.span(), pattern: Vec::new(), program: None, bank, messages: Vec::new() };
            match &control.how {
                How::Remote { contacts, momentary, normally_closed, .. } => {
                    if said.is_empty() && !*momentary {
                        unclear(name.span(), Unclear::NothingSaid, contacts);
                        control.lost = true;
                        continue;
                    }
                    if let (Some(first), true) = (said.first(), *momentary && contacts.len() > 1 && !pulsed) {
                        unclear(first.span(), Unclear::Pulsed, contacts);
                        pulsed = true;
                    }
                    let said = if pulsed { &[] } else { said.as_slice() };
                    match pattern(contacts, *normally_closed, said) {
                        Ok(found) => state.pattern = found,
                        Err((at, why)) => {
                            unclear(at, why, contacts);
                            control.lost = true;
                            continue;
                        }
                    }
                }
                How::Programs { from, .. } => {
                    let from = u32::from(*from);
                    let program = view.child(Kind::Program);
                    match program.and_then(|p| p.child(Kind::Number)) {
                        Some(number) => {
                            let range = "the program";
                            let found = self.count(number, from, LAST_DATA + from, range);
                            let Some(found) = found else {
                                control.lost = true;
                                continue;
                            };
                            state.program = Some(found as u16);
                        }
                        None => {
                            unclear(name.span(), Unclear::NoProgram, &[]);
                            control.lost = true;
                            continue;
                        }
                    }
                }
                How::CcStates { .. } => {
                    let Some(number) = view.child(Kind::Value).and_then(|v| v.child(Kind::Number)) else {
                        unclear(name.span(), Unclear::NoValue, &[]);
                        control.lost = true;
                        continue;
                    };
                    let Some(value) = self.count(number, 0, LAST_DATA, "the value") else {
                        control.lost = true;
                        continue;
                    };
                    state.program = Some(value as u16);
                }
                How::Messages { .. } => {
                    let Some(sent) = self.messages(view) else {
                        control.lost = true;
                        continue;
                    };
                    if sent.is_empty() {
                        let (at, why) = (name.span(), Unclear::NoMessage);
                        let (control, has) = (control.name.clone(), Vec::new());
                        self.faults.push(Fault::ContactUnclear { at, control, why, has });
                    }
                    state.messages = sent;
                }
                How::Foot => {
                    let moved =
                        [Kind::ContactIs, Kind::Program, Kind::Value, Kind::CcMessage, Kind::NoteMessage, Kind::Sysex];
                    let said = |v: &View<'t>| moved.contains(&v.kind());
                    if let Some(what) = view.children().find(said) {
                        unclear(what.span(), Unclear::NotMoved, &[]);
                    }
                }
                _ => {}
            }
            self.note_state(name, device.controls.next(), control.states.len(), true);
            taken.insert(state.name.clone(), state.at);
            control.states.push(state);
        }
        if pulsed {
            control.how = How::Unknown;
        }
    }

    fn too_many(&mut self, at: Span, what: &'static str, of: &str, most: usize) {
        self.faults.push(Fault::TooMany { at, what, of: Some(of.to_owned()), most });
    }

    fn start_known(&mut self, device: &Device, control: &Control, starts: Option<View<'t>>) {
        let Some(name) = starts.and_then(|s| s.child(Kind::Name)) else { return };
        match control.states.iter().position(|s| s.name == nfc(name.text())) {
            Some(state) => self.note_state(name, device.controls.next(), state, false),
            None => {
                let has = control.states.iter().map(|s| s.name.clone()).collect();
                self.state_unknown(name.span(), Some(name), control, has);
            }
        }
    }

    /// Reads a quantity that must measure `wanted`.
    pub(super) fn measure(&mut self, quantity: View<'t>, wanted: Dimension) -> Option<Spanned<Amount>> {
        let at = quantity.span();
        let amount = Amount::read(quantity.text())?;
        if amount.dimension == wanted {
            return Some(Spanned { value: amount, at });
        }
        self.faults.push(Fault::UnitWrong { at, wanted });
        None
    }
}

/// The contacts of a state: those not mentioned rest.
fn pattern(contacts: &[Contact], rest: bool, said: &[View<'_>]) -> Result<Vec<bool>, (Span, Unclear)> {
    let mut out: Vec<Option<bool>> = vec![None; contacts.len()];
    for view in said {
        let number = view.child(Kind::Number).map(|n| n.text().parse::<u16>().ok());
        let side = ["tip", "ring"].into_iter().find(|s| view.says(s));
        let mut matching = contacts
            .iter()
            .enumerate()
            .filter(|(_, c)| number.is_none_or(|n| n == Some(c.jack)) && side.is_none_or(|s| (s == "ring") == c.ring));
        let unclear = |why: Unclear| (view.span(), why);
        let (index, _) = matching.next().ok_or(unclear(Unclear::NotItsOwn))?;
        if matching.next().is_some() {
            return Err(unclear(Unclear::Several));
        }
        let slot = out.get_mut(index).ok_or(unclear(Unclear::NotItsOwn))?;
        if slot.is_some() {
            return Err(unclear(Unclear::Twice));
        }
        *slot = Some(view.says("closed"));
    }
    Ok(out.into_iter().map(|c| c.unwrap_or(rest)).collect())
}

//! What a control sends, when it does, and whether the switcher can.

use super::Binder;
use crate::book::amount::Amount;
use crate::book::device::Control;
use crate::book::fault::{MessageUnclear, WrongBytes};
use crate::book::message::{Abilities, BEGINS, ENDS, Message, When};
use crate::book::{Fault, Spanned, Switcher};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::lexer::unquoted;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

/// Later than this, in milliseconds, is a slip of the finger.
const LATEST: u32 = 600_000;
/// More messages in a preset, and more bytes in a text, are surely one too.
const MOST: u32 = 9_999;

const LAST_DATA: u32 = 127;

impl<'t> Binder<'t> {
    /// What the switcher says of messages; false where a number cannot be right.
    pub(super) fn abilities(&mut self, switcher: &mut Switcher, fact: View<'t>) -> bool {
        let mut seen: Vec<View<'t>> = Vec::new();
        let mut right = true;
        for part in fact.children() {
            if let Some(first) = seen.iter().find(|s| s.kind() == part.kind()) {
                super::said_twice(&mut self.faults, first.span(), part);
                continue;
            }
            seen.push(part);
            let able: &mut Abilities = &mut switcher.messages;
            let at = part.span();
            match part.kind() {
                Kind::OnLeaving => able.leaving = true,
                Kind::OnlyChanged => able.changed = true,
                Kind::UpToTime => {
                    let time = part.child(Kind::Quantity).and_then(|q| self.milliseconds(q));
                    able.after = time.map(|value| Spanned { value, at });
                    right &= time.is_some();
                }
                Kind::InPreset | Kind::UpToBytes => {
                    let number = part.child(Kind::Number);
                    let what = if part.kind() == Kind::InPreset { "the messages of a preset" } else { "the bytes" };
                    let count = number.and_then(|n| self.count(n, 1, MOST, what));
                    let said = count.map(|value| Spanned { value: value as u16, at });
                    *(if part.kind() == Kind::InPreset { &mut able.most } else { &mut able.bytes }) = said;
                    right &= count.is_some();
                }
                _ => {}
            }
        }
        right
    }

    fn milliseconds(&mut self, quantity: View<'t>) -> Option<u32> {
        let said = self.measure(quantity, Dimension::Time)?;
        let one = Amount { mantissa: 1, ten: -3, ..said.value };
        let last = Amount { mantissa: i64::from(LATEST), ten: -3, ..said.value };
        let ms = said.value.value() * 1000.0;
        let whole = (ms - ms.round()).abs() < 1e-6;
        if !said.value.within(one, last) || !whole {
            let (at, what) = (said.at, "the time".to_owned());
            let range = "from 1 ms to 600 s, in whole milliseconds".to_owned();
            self.faults.push(Fault::OutOfRange { at, what, range, there: None });
            return None;
        }
        Some(ms.round() as u32)
    }

    /// When a control sends: refused where the switcher cannot.
    pub(super) fn cue(&mut self, control: &mut Control, fact: View<'t>) {
        let switcher = self.book.board.switcher.as_ref();
        let told = switcher.is_none_or(|s| s.faulty);
        let (able, there) = switcher.map_or_else(Default::default, |s| (s.messages, s.at));
        let mut refuse = |at: Span, why: MessageUnclear| {
            if !told {
                self.faults.push(Fault::MessageUnclear { at, name: control.name.clone(), why, there });
            }
        };
        if let Some(part) = fact.child(Kind::OnLeaving) {
            control.cue.when = When::Leaving;
            if !able.leaving {
                refuse(part.span(), MessageUnclear::NotOnLeaving);
            }
        }
        if let Some(part) = fact.child(Kind::OnlyChanged) {
            control.cue.changed = true;
            if !able.changed {
                refuse(part.span(), MessageUnclear::NotOnlyChanged);
            }
        }
        if let Some(part) = fact.child(Kind::AfterTime) {
            if able.after.is_none() {
                refuse(part.span(), MessageUnclear::NotLater);
            }
            let Some(ms) = part.child(Kind::Quantity).and_then(|q| self.milliseconds(q)) else { return };
            control.cue.when = When::After(ms);
            if let Some(up_to) = able.after.filter(|up_to| up_to.value < ms) {
                let (at, name, there) = (part.span(), control.name.clone(), up_to.at);
                let why = MessageUnclear::TooLate(up_to.value);
                self.faults.push(Fault::MessageUnclear { at, name, why, there });
            }
        }
    }

    /// The messages of a state; None where one of them is wrong.
    pub(super) fn messages(&mut self, state: View<'t>) -> Option<Vec<Message>> {
        let mut out = Some(Vec::new());
        for part in state.children() {
            let numbers: Vec<View<'t>> = part.all(Kind::Number).collect();
            let mut data = |n: usize, least: u32, what: &str| {
                numbers.get(n).and_then(|v| self.count(*v, least, LAST_DATA, what)).map(|v| v as u8)
            };
            let one = match part.kind() {
                Kind::CcMessage => {
                    let (cc, value) = (data(0, 0, "a MIDI controller"), data(1, 0, "the value"));
                    cc.zip(value).map(|(cc, value)| Message::Control(cc, value))
                }
                Kind::NoteMessage if part.says("off") => data(0, 0, "a note").map(Message::NoteOff),
                // A note on at 0 is a note off.
                Kind::NoteMessage => {
                    let (key, at) = (data(0, 0, "a note"), data(1, 1, "the strength of a note"));
                    key.zip(at).map(|(key, at)| Message::NoteOn(key, at))
                }
                Kind::Sysex => part.child(Kind::Text).and_then(|text| self.exclusive(text)).map(Message::Exclusive),
                _ => continue,
            };
            out = out.zip(one).map(|(mut all, one)| {
                all.push(one);
                all
            });
        }
        out
    }

    /// A system exclusive text, byte by byte; the first that is wrong is told.
    fn exclusive(&mut self, text: View<'t>) -> Option<Box<[u8]>> {
        let (whole, at) = (unquoted(text.text()), text.span());
        let mut bytes: Vec<(u8, Span)> = Vec::new();
        let mut wrong = |at: Span, why: WrongBytes, there: Span| {
            let (name, why) = (String::new(), MessageUnclear::Bytes(why));
            self.faults.push(Fault::MessageUnclear { at, name, why, there });
        };
        let mut from = 0;
        for word in whole.split([' ', '\t', ',']) {
            // Behind the opening quote.
            let start = at.start + 1 + from;
            from += word.len() as u32 + 1;
            let here = Span { start, end: start + word.len() as u32, ..at };
            if word.is_empty() {
                continue;
            }
            let hex = word.len() == 2 && word.bytes().all(|b| b.is_ascii_hexdigit());
            let Some(byte) = u8::from_str_radix(word, 16).ok().filter(|_| hex) else {
                wrong(here, WrongBytes::NoByte(bytes.len() + 1), at);
                return None;
            };
            bytes.push((byte, here));
        }
        let (Some(first), Some(last)) = (bytes.first().copied(), bytes.last().copied()) else {
            wrong(at, WrongBytes::NoBeginning, at);
            return None;
        };
        if first.0 != BEGINS {
            wrong(first.1, WrongBytes::NoBeginning, at);
            return None;
        }
        let inner = bytes.get(1..).unwrap_or(&[]);
        let inner = if last.0 == ENDS { inner.split_last().map_or(inner, |(_, rest)| rest) } else { inner };
        if let Some((place, (_, here))) = (2..).zip(inner).find(|(_, (byte, _))| *byte > LAST_DATA as u8) {
            wrong(*here, WrongBytes::NoData(place), at);
            return None;
        }
        if last.0 != ENDS {
            wrong(last.1, WrongBytes::NoEnd, at);
            return None;
        }
        // A maker's number is one byte, or 00 and two more.
        let maker = if inner.first().is_some_and(|(byte, _)| *byte == 0) { 3 } else { 1 };
        if inner.len() < maker {
            wrong(at, WrongBytes::NoMaker, at);
            return None;
        }
        let most = self.book.board.switcher.as_ref().and_then(|s| s.messages.bytes);
        if let Some(most) = most.filter(|most| bytes.len() > usize::from(most.value)) {
            let why = MessageUnclear::TooLong(bytes.len(), most.value);
            self.faults.push(Fault::MessageUnclear { at, name: String::new(), why, there: most.at });
            return None;
        }
        Some(bytes.into_iter().map(|(byte, _)| byte).collect())
    }
}

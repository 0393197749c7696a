//! Why a pedal is in or out and how it is set, in sentences.

use super::speaker::{asked, line, speaker};
use super::{FEW, and, place, switch};
use crate::Compiled;
use crate::ask::{Spot, Thing, device};
use crate::book::message::Cue;
use crate::book::{Called, Device, DeviceKind, Helper, How, What, amount, words};
use crate::fill::helpers;
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::mend::wish::{Lack, Wish, wish};
use crate::print::inside;
use crate::settle::why::{Reason, reasons};
use crate::settle::{Answer, CellKind, Row, Setting, Through, Value};

/// A question: where, and after what; and whether a way out is looked for, which compiles the book again.
pub struct Asked<'c> {
    /// The book.
    pub compiled: &'c Compiled,
    /// Where.
    pub spot: Spot,
    /// A way out is looked for.
    pub advise: bool,
}

/// The answer, a sentence a line: about one thing, or about all that bears on the sound.
pub fn says(asked: &Asked<'_>, thing: Option<&Thing>) -> String {
    let mut out = Vec::new();
    let place = place(asked.compiled, &asked.spot);
    match thing {
        Some(thing) => asked.thing(thing, &mut out),
        None => asked.all(&mut out),
    }
    let mut lines = String::new();
    for (n, sentence) in out.iter().enumerate() {
        lines += &if n == 0 { format!("{place} {sentence}.\n") } else { format!("  {}.\n", capital(sentence)) };
    }
    lines
}

/// A sentence may begin with a name, which keeps its letters.
fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

impl Asked<'_> {
    pub(super) fn row(&self) -> Row<'_> {
        Row::of(&self.compiled.book, &self.compiled.table, self.spot.scene)
    }

    fn thing(&self, thing: &Thing, out: &mut Vec<String>) {
        let controls = |d: DeviceId| self.found(d).into_iter().flat_map(|d| d.controls.ids());
        let cut = |d: DeviceId| self.cut_off(d);
        let listens = |d: DeviceId| self.found(d).is_some_and(Device::listens);
        let heard = |d: DeviceId| self.row().sounds(d) == Answer::Yes && self.row().fed(d) != Answer::No && !cut(d);
        match thing {
            Thing::Control(d, _) | Thing::State(d, ..) if self.found(*d).is_some_and(|d| d.helper.is_some()) => {
                out.push(self.device(*d));
            }
            Thing::Device(d) => {
                out.push(self.device(*d));
                out.extend(self.unheard(*d));
                if heard(*d) || listens(*d) {
                    // What engages it is told already.
                    let other = |c: &ControlId| !matches!(self.compiled.table.cells.through(*d), Through::Control { control, .. } if control == *c);
                    out.extend(controls(*d).filter(other).filter_map(|c| self.control(*d, c, "its")));
                }
                out.extend(self.muted(*d));
                // With switches pressed it is told who did it.
                if !self.compiled.book.show.is_pressed(self.spot.scene) {
                    out.extend(inside::moved(self.compiled, self.spot.scene, *d));
                }
            }
            Thing::Control(d, c)
            | Thing::State(d, c, _)
            | Thing::Foot(d, c)
            | Thing::Level { device: d, control: c, .. } => {
                if !heard(*d) && !listens(*d) {
                    // What is silent may be set as it likes.
                    let quiet = Asked { advise: false, ..*self };
                    out.push(quiet.device(*d));
                    out.extend(self.unheard(*d));
                    out.push("so it is no matter how it is set".to_owned());
                    return;
                }
                let name = self.found(*d).map_or("?", |d| d.name.as_str());
                out.extend(self.control(*d, *c, &format!("`{name}`")));
                out.extend(self.muted(*d));
            }
            Thing::Loop(n) => out.extend(self.compiled.table.cells.loop_cell(*n).map(|c| self.bare(c))),
            Thing::Contact(contact, _) => {
                out.extend(self.compiled.table.cells.contact_cell(contact.jack, contact.ring).map(|c| self.bare(c)));
            }
            Thing::Output(n, _) => out.extend(self.compiled.table.cells.output_cell(*n).map(|c| self.bare(c))),
            Thing::Port(n) => {
                let cells = self.compiled.table.cells.list.numbered();
                out.extend(cells.filter(|(c, _)| c.kind == CellKind::Port(*n)).map(|(_, c)| self.bare(c)));
            }
            Thing::Guitar(_) => out.extend(self.compiled.table.cells.guitar_cell().map(|c| self.bare(c))),
            Thing::Switch(n) => out.push(switch::says(self.compiled, &self.spot, *n)),
            Thing::Treadle(t) => self.treadle(*t, out),
            Thing::Order => out.extend(self.compiled.table.cells.order_cell().map(|c| self.bare(c))),
            Thing::Message { .. } | Thing::Tuning(_) | Thing::Scene(_) => {}
        }
    }

    fn cut_off(&self, d: DeviceId) -> bool {
        self.compiled.cut_off(self.spot.scene).is_some_and(|cut| cut.contains(&d))
    }

    /// Of a device that is in, in an insert or a leg that nobody hears.
    fn unheard(&self, d: DeviceId) -> Option<String> {
        let cut = self.row().sounds(d) == Answer::Yes && self.cut_off(d);
        let board = &self.compiled.book.board;
        let hosts = self.compiled.inside().map_or(Vec::new(), |inside| inside.hosts(board, d));
        let off = hosts.into_iter().filter(|h| self.row().sounds(*h) == Answer::No);
        let names: Vec<String> = off.filter_map(|h| board.devices.get(h)).map(|h| format!("`{}`", h.name)).collect();
        cut.then(|| match names.as_slice() {
            [] => "but nobody hears it: no lead brings it to an amplifier there".to_owned(),
            names => format!("but nobody hears it: it is heard through {} alone, and that is bypassed", and(names)),
        })
    }

    /// All that is in, all that somebody takes out, and in one breath what nobody asks for.
    fn all(&self, out: &mut Vec<String>) {
        let mut idle = Vec::new();
        let devices = self.compiled.book.board.devices.numbered();
        for (device, d) in devices.filter(|(d, _)| d.kind != DeviceKind::Buffer) {
            // What it is called to follows from what is told of the rest.
            if device.helper.is_some() {
                continue;
            }
            let column = self.compiled.table.cells.engages(d).map(|(column, _)| column);
            let said = |c: ColumnId| {
                reasons(&self.compiled.book, &self.compiled.table, self.spot.scene, c).iter().any(|r| r.live)
            };
            let controls = device.controls.ids().filter(|_| device.listens());
            let mut sent = controls.flat_map(|c| self.compiled.table.cells.of_control(d, c));
            let pressed = self.compiled.book.show.is_pressed(self.spot.scene);
            let moved = !pressed && inside::moved(self.compiled, self.spot.scene, d).is_some();
            let idles = self.row().sounds(d) == Answer::No && !moved;
            if idles && !column.is_some_and(said) && !sent.any(|c| said(*c)) {
                idle.push(format!("`{}`", device.name));
                continue;
            }
            let from = out.len();
            self.thing(&Thing::Device(d), out);
            // One sentence a pedal: how it is set stands behind it.
            let sentences: Vec<String> = out.drain(from..).collect();
            out.push(sentences.join("; "));
        }
        for (cell, c) in self.compiled.table.cells.list.numbered() {
            let bare = matches!(cell.kind, CellKind::Loop(n) if self.compiled.book.board.in_loop(n).is_none())
                || matches!(cell.kind, CellKind::Contact(_) | CellKind::Port(_) | CellKind::Guitar | CellKind::Order);
            if bare && cell.users.is_empty() && self.row().value(c) != cell.unsaid {
                out.push(self.bare(c));
            }
        }
        if !idle.is_empty() {
            out.push(format!("nothing asks for {}", and(&idle)));
        }
        if out.is_empty() {
            out.push("nothing is in".to_owned());
        }
        out.extend(inside::again(self.compiled, self.spot.scene));
    }

    fn found(&self, d: DeviceId) -> Option<&Device> {
        self.compiled.book.board.devices.get(d)
    }

    fn reasons(&self, cell: ColumnId) -> Vec<Reason> {
        let found = reasons(&self.compiled.book, &self.compiled.table, self.spot.scene, cell).into_iter();
        found.map(|reason| asked(self.compiled, &self.spot, reason)).collect()
    }

    /// A pedal in or out, an amp that sounds or not; and the way out.
    fn device(&self, d: DeviceId) -> String {
        let Some(found) = self.found(d) else { return String::new() };
        let name = device::called(found);
        if let Some(helper) = &found.helper {
            return self.helper(d, &name, helper);
        }
        if let Some(output) = found.fed_by {
            let cell = self.compiled.table.cells.output_cell(output.value);
            let reasons = cell.map_or(Vec::new(), |cell| self.reasons(cell));
            let wants = |r: &Reason| if r.value == Value::Off { "turns its output off" } else { "turns its output on" };
            return match self.row().fed(d) {
                Answer::Yes if reasons.iter().any(|r| r.live) => {
                    format!("{name} sounds because {}", self.because(&reasons, &wants))
                }
                Answer::Yes if found.watched() => format!("{name} shows what reaches it, and is not heard"),
                Answer::Yes => format!("{name} sounds: nobody turns its output off"),
                Answer::No if reasons.iter().any(|r| r.live) => {
                    format!(
                        "{name} is silent because {}{}",
                        self.because(&reasons, &wants),
                        self.advice(Lack::On(output.value))
                    )
                }
                Answer::No => format!("{name} is silent"),
                Answer::Maybe => format!("nobody knows whether {name} sounds: `check` says why"),
            };
        }
        let Some((cell, engaged)) = self.compiled.table.cells.engages(d) else {
            return match self.row().sounds(d) {
                Answer::Yes => format!("{name} is in: it is always on"),
                Answer::No if found.listens() => format!("{name} makes no sound: messages alone reach it"),
                Answer::No => format!("{name} is out: it sits in no loop, so no scene can engage it"),
                Answer::Maybe => format!("nobody knows whether {name} is in: `check` says why"),
            };
        };
        let reasons = self.reasons(cell);
        let said = reasons.iter().any(|r| r.live);
        let wants = |r: &Reason| if r.value == engaged { "engages it" } else { "bypasses it" };
        match self.row().sounds(d) {
            Answer::Yes if said => format!("{name} is in because {}", self.because(&reasons, &wants)),
            Answer::Yes => format!("{name} is in: it is always on ({})", self.compiled.files.at(found.at)),
            Answer::No => {
                let because = if said { self.because(&reasons, &wants) } else { self.never("engages it") };
                format!("{name} is out because {because}{}", self.advice(Lack::Engaged(d)))
            }
            Answer::Maybe => format!("nobody knows whether {name} is in: `check` says why"),
        }
    }

    /// What a helper stands on in a scene, and what engages it there.
    fn helper(&self, d: DeviceId, name: &str, helper: &Helper) -> String {
        let (book, table) = (&self.compiled.book, &self.compiled.table);
        let Some(loops) = helpers::loops(book, table, helper, self.spot.scene) else {
            return format!("nobody knows which loops of {name} are in: `check` says why");
        };
        let holds: Vec<String> = helpers::holds(book, helper, loops).iter().map(|h| format!("`{h}`")).collect();
        let holds = if holds.is_empty() { "nothing".to_owned() } else { and(&holds) };
        let engages = format!("the scene engages {holds} in it");
        let calls = self.compiled.helpers.of_device(d).and_then(|c| c.number(loops));
        match (helper.called, calls) {
            (Some(Called::Preset), Some(number)) => {
                format!("{name} is called to its preset {number} because {engages}")
            }
            (Some(Called::Preset), None) => {
                format!("{name} is called to no preset: {engages}, and no slot stores the scene")
            }
            _ => format!("{name} is called loop by loop: {engages}"),
        }
    }

    /// `drift` never engages it; neither `moss` nor what it comes from (`drift`, `plain`) engages it.
    fn never(&self, does: &str) -> String {
        match line(self.compiled, self.spot.scene).as_slice() {
            [] => format!("nobody {does}"),
            [own] => format!("`{own}` never {does}"),
            [own, above @ ..] => format!("neither `{own}` nor what it comes from (`{}`) {does}", above.join("`, `")),
        }
    }

    /// Who decides, and who is not heard, the nearest of them; each with the place.
    fn because(&self, reasons: &[Reason], does: &dyn Fn(&Reason) -> &'static str) -> String {
        let says = |r: &Reason| {
            format!("{} {} ({})", speaker(self.compiled, &self.spot, r), does(r), self.compiled.files.at(r.at))
        };
        let live: Vec<String> = reasons.iter().filter(|r| r.live).map(says).collect();
        let value = reasons.iter().find(|r| r.live).map(|r| r.value);
        let against: Vec<String> =
            reasons.iter().filter(|r| !r.live && Some(r.value) != value).take(1).map(says).collect();
        let but = if against.is_empty() { String::new() } else { format!(", although {}", and(&against)) };
        format!("{}{but}", and(&live))
    }

    /// `; say … in …`, tried on the whole book; nothing where no such statement helps.
    fn advice(&self, lack: Lack) -> String {
        let advise = self.advise && !self.compiled.book.show.is_pressed(self.spot.scene);
        let Some(wish) = advise.then(|| wish(self.compiled, self.spot.scene, lack)).flatten() else {
            return String::new();
        };
        let Wish { say, instead, also } = wish;
        let name = self.compiled.book.show.scene(self.spot.scene).map_or("?", |s| &s.name);
        let instead = instead.map_or(String::new(), |was| format!(" instead of `{was}`"));
        let also = match also.len() {
            0 => String::new(),
            n if n <= FEW => {
                let names: Vec<String> = also.iter().map(|name| format!("`{name}`")).collect();
                format!(" (that changes {} too)", and(&names))
            }
            n => format!(" (that changes {n} scenes more, which come from it)"),
        };
        format!("; say `{say}`{instead} in `{name}`{also}")
    }

    /// How a control stands, and who wants it so.
    pub(super) fn control(&self, d: DeviceId, c: ControlId, owner: &str) -> Option<String> {
        let control = self.found(d)?.controls.get(c)?;
        let stands = self.stands(d, c)?;
        let mut found: Vec<Reason> = Vec::new();
        for cell in self.compiled.table.cells.of_control(d, c) {
            for reason in self.reasons(*cell) {
                match found.iter_mut().find(|r| r.saying == reason.saying) {
                    Some(known) => known.live |= reason.live,
                    None => found.push(reason),
                }
            }
        }
        let who = |r: &Reason| speaker(self.compiled, &self.spot, r);
        let says = |r: &Reason| match self.compiled.book.show.sayings.get(r.saying).map(|s| s.what) {
            // Said to the hardware: the sentence names that.
            Some(What::Contact { .. } | What::Port { .. }) => {
                format!(
                    "{} wants {} ({})",
                    who(r),
                    words::saying(&self.compiled.book, r.saying),
                    self.compiled.files.at(r.at)
                )
            }
            _ => format!("{} says so ({})", who(r), self.compiled.files.at(r.at)),
        };
        let over = |r: &Reason| {
            let wants = words::wanted(&self.compiled.book, r.saying);
            format!("{} wants it {wants} ({})", who(r), self.compiled.files.at(r.at))
        };
        let live: Vec<String> = found.iter().filter(|r| r.live).map(says).collect();
        let wanted = |r: &Reason| words::wanted(&self.compiled.book, r.saying);
        let same = |r: &Reason| found.iter().any(|l| l.live && wanted(l) == wanted(r));
        let against: Vec<String> = found.iter().filter(|r| !r.live && !same(r)).take(1).map(over).collect();
        let because = if live.is_empty() { "nobody says otherwise".to_owned() } else { and(&live) };
        let but = if against.is_empty() { String::new() } else { format!(", although {}", and(&against)) };
        let by = if matches!(control.how, How::Foot | How::FootLevel { .. }) { ", set by foot," } else { "" };
        let when = if control.cue == Cue::default() { String::new() } else { format!(" ({})", control.cue.says()) };
        Some(format!("{owner} {}{when} is {stands}{by} because {because}{but}", control.name))
    }

    /// on `lead`; at 35 %; under the foot, from the heel.
    fn stands(&self, d: DeviceId, c: ControlId) -> Option<String> {
        let row = self.row();
        Some(match row.setting(d, c)? {
            Setting::State(s) => {
                let state = self.found(d)?.controls.get(c)?.states.get(s as usize)?;
                format!("on `{}`", state.name)
            }
            Setting::Step(_) => format!("at {}", row.amount(d, c).map_or("?".to_owned(), amount::show)),
            Setting::Foot(Value::Moved(_)) => {
                let (travel, heel, toe) = row.way(d, c)?;
                let treadle = self.compiled.book.board.treadle_name(travel.input());
                format!("moved by `{treadle}` from {} to {}", amount::show(heel), amount::show(toe))
            }
            Setting::Foot(Value::FromHeel) => "under the foot, from the heel,".to_owned(),
            Setting::Foot(Value::FromToe) => "under the foot, from the toe,".to_owned(),
            Setting::Foot(_) => "under the foot".to_owned(),
            Setting::Stays if self.found(d).is_some_and(Device::listens) => "not sent".to_owned(),
            Setting::Stays => "left as it was".to_owned(),
            Setting::Unlisted => "on nothing that it lists".to_owned(),
            Setting::Unknown => "not known".to_owned(),
        })
    }

    /// What goes out to a jack: remote 2 tip is closed because …
    pub(super) fn bare(&self, at: ColumnId) -> String {
        let Some(cell) = self.compiled.table.cells.list.get(at) else { return String::new() };
        let pedal = matches!(cell.kind, CellKind::Loop(_));
        let stands = match self.compiled.table.stored(self.spot.scene, at) {
            Value::On if pedal => "engaged",
            Value::Off if pedal => "bypassed",
            Value::On if matches!(cell.kind, CellKind::Contact(_)) => "closed",
            Value::Off if matches!(cell.kind, CellKind::Contact(_)) => "open",
            Value::On => "on",
            Value::Off => "off",
            Value::Pulse => "pulsing",
            Value::Stays => "left as it was",
            Value::Step(_) if cell.kind.paced() => "pulsed",
            Value::Step(_) if matches!(cell.kind, CellKind::Trim(_)) => {
                let value = self.compiled.table.stored(self.spot.scene, at);
                let trim = crate::written::cell::shown(&self.compiled.book.board, cell, value);
                return self.jack(at, &format!("at {trim} dB"));
            }
            Value::Step(step) => {
                let tenths = crate::written::cell::tenths(step, cell.steps);
                return self.jack(at, &format!("at {}.{} % of its way", tenths / 10, tenths % 10));
            }
            Value::Input(input) => return self.jack(at, &input.to_string()),
            Value::Order(order) if order.wired() => "as wired",
            Value::Order(order) => return self.jack(at, &order.says(&self.compiled.book.board).join(", ")),
            held if held.foot() => "under the foot",
            _ => "not known",
        };
        self.jack(at, stands)
    }

    fn jack(&self, at: ColumnId, stands: &str) -> String {
        let name = self.compiled.table.cells.list.get(at).map_or(String::new(), |c| c.name.replace('-', " "));
        if self.compiled.table.idle(self.spot.scene, at) {
            return format!("{name} is {stands}, and it does not matter: nothing that sounds hangs on it");
        }
        let cell = self.compiled.table.cells.list.get(at);
        if let Some((helper, _)) = cell.filter(|c| c.calls).and_then(|c| c.users.first()) {
            return format!("{name} is {stands}: {}", self.device(*helper));
        }
        let reasons = self.reasons(at);
        let wants = |r: &Reason| {
            let says = words::saying(&self.compiled.book, r.saying);
            format!("{} wants {says} ({})", speaker(self.compiled, &self.spot, r), self.compiled.files.at(r.at))
        };
        let live: Vec<String> = reasons.iter().filter(|r| r.live).map(wants).collect();
        let because = if live.is_empty() { "nobody says otherwise".to_owned() } else { and(&live) };
        format!("{name} is {stands} because {because}")
    }

    /// Nothing is heard of a pedal where every output that feeds an amp is off.
    fn muted(&self, d: DeviceId) -> Option<String> {
        let board = &self.compiled.book.board;
        let mut fed = board.devices.iter().filter_map(|d| d.fed_by).peekable();
        fed.peek()?;
        let silent = fed.all(|output| self.row().lets_out(output.value) == Answer::No);
        let pedal = self.found(d).is_some_and(|d| d.kind == DeviceKind::Pedal) && self.row().sounds(d) == Answer::Yes;
        (silent && pedal).then(|| "nobody hears it: every output is off".to_owned())
    }
}

//! How rules speak of statements, cells and what set them: sounds first, the cell second.

use std::fmt::Write;

use super::Facts;
use crate::book::{self, Control, Device, Saying, SayingRange, Scene, What, words};
use crate::ids::{ColumnId, ControlId, DeviceId, LayerId, SayingId, SceneId};
use crate::settle::{CellKind, Speaker, Value};
use crate::source::Span;
use crate::written::cell;

/// So many scenes up a line of descent are asked which of them set a cell: enough for any book that people write,
/// and a bound for one that nobody did.
const FAR: usize = 64;

impl<'f> Facts<'f> {
    /// Two statements are about two controls or levels.
    pub fn controls_differ(&self, first: SayingId, second: SayingId) -> bool {
        let of = |saying: SayingId| match self.saying(saying)?.what {
            What::Choice { device, control, .. }
            | What::Level { device, control, .. }
            | What::Moves { device, control, .. } => Some((device, control)),
            _ => None,
        };
        of(first).zip(of(second)).is_some_and(|(a, b)| a != b)
    }

    /// A saying.
    pub fn saying(&self, number: SayingId) -> Option<&'f Saying> {
        self.book.show.sayings.get(number)
    }

    /// Two sayings that clash, in sounds.
    pub fn clash(&self, first: SayingId, second: SayingId) -> (String, String) {
        words::pair(self.book, first, second)
    }

    /// The statement as it would stand alone: `engage sift` for the `sift` of a list.
    pub fn statement(&self, number: SayingId) -> String {
        let Some(saying) = self.saying(number) else { return String::new() };
        let word = match saying.what {
            What::Loop { on: true, .. } | What::Engaged { on: true, .. } | What::AlwaysOn { .. } => "engage ",
            What::Loop { on: false, .. } | What::Engaged { on: false, .. } => "bypass ",
            What::Contact { value: book::ContactValue::Open, .. } => "open ",
            What::Contact { value: book::ContactValue::Closed, .. } => "close ",
            What::Contact { value: book::ContactValue::Pulse, .. } => "pulse ",
            _ => "",
        };
        let text = self.text(saying.at).split_whitespace().collect::<Vec<_>>().join(" ");
        format!("{word}{text}")
    }

    /// Who speaks: "`solo`", "layer `wide`", "the default".
    pub fn speaker(&self, who: Speaker) -> String {
        match who {
            Speaker::Default => "the default".to_owned(),
            Speaker::Layer(layer) => format!("layer `{}`", self.layer(layer)),
            Speaker::Scene(scene) => format!("`{}`", self.scene(scene)),
        }
    }

    /// A layer's name.
    pub fn layer(&self, id: LayerId) -> &'f str {
        self.book.show.layers.get(id).map_or("", |l| &l.name)
    }

    /// What a saying puts in a cell, in the hardware's words: "remote 2 tip closed".
    pub fn puts(&self, saying: SayingId, cell: ColumnId) -> String {
        let mut found = None;
        if let Some(saying) = self.saying(saying) {
            self.table.cells.settles(saying.what, |c, value| found = if c == cell { Some(value) } else { found });
        }
        found.map_or(String::new(), |value| self.holds(cell, value))
    }

    /// A cell and what it holds: "loop 5 engaged", "remote 2 tip closed", "expression 1 at 33.1 %".
    pub fn holds(&self, number: ColumnId, value: Value) -> String {
        let Some(found) = self.table.cells.list.get(number) else {
            let treadle = self.table.cells.input_of(number).map(|input| self.book.board.treadle_name(input));
            let moves = match (value, value.start()) {
                (_, Some(end)) => format!("starts at the {}", end.word()),
                (Value::Off, _) => "moves nothing".to_owned(),
                _ => "starts where it stands".to_owned(),
            };
            return treadle.map_or(String::new(), |treadle| format!("`{treadle}` {moves}"));
        };
        let mut out = match found.kind {
            CellKind::Loop(n) => format!("{} ", self.book.board.loop_says(n)),
            CellKind::Contact(contact) => format!("{} ", contact.says()),
            CellKind::Taps { contact, .. } => format!("{}, pulses ", contact.says()),
            CellKind::Clock => "the clock ".to_owned(),
            CellKind::Port(n) => format!("expression {n} "),
            CellKind::Output(n) => format!("output {n} "),
            CellKind::Trim(n) => format!("trim of output {n} "),
            CellKind::Guitar => "guitar input ".to_owned(),
            CellKind::Order => "loop order ".to_owned(),
            CellKind::Message { channel, .. } => format!("midi {channel} "),
            CellKind::ByFoot { .. } => "by foot ".to_owned(),
        };
        let word = match (found.kind, value) {
            (_, Value::Stays) => "left as it is",
            (_, Value::Pulse) => "pulsed",
            (_, Value::Moved(_)) => "moved by ",
            (_, value) if value.foot() => "held by the foot",
            (CellKind::Loop(_), Value::On) => "engaged",
            (CellKind::Loop(_), Value::Off) => "bypassed",
            (CellKind::Contact(_), Value::On) => "closed",
            (CellKind::Contact(_), Value::Off) => "open",
            (CellKind::Output(_), Value::On) => "on",
            (CellKind::Output(_), Value::Off) => "off",
            (CellKind::Message { device, control, .. }, Value::Program(_)) => match self.control(device, control) {
                Some(Control { how: book::How::CcStates { .. }, .. }) => "value ",
                _ => "program ",
            },
            (_, Value::Step(_)) => "at ",
            _ => "",
        };
        out.push_str(word);
        let written = |value| {
            matches!(
                value,
                Value::Program(_)
                    | Value::Step(_)
                    | Value::State(_)
                    | Value::Input(_)
                    | Value::Order(_)
                    | Value::Moved(_)
            )
        };
        if written(value) {
            cell::write(&mut out, &self.book.board, found, value);
        }
        if matches!(value, Value::Step(_) | Value::Moved(_)) {
            let _ = write!(out, " {}", cell::unit(found));
        }
        out
    }

    /// A device with one of its controls.
    pub fn part(&self, device: DeviceId, control: ControlId) -> Option<(&'f Device, &'f Control)> {
        let device = self.book.board.devices.get(device)?;
        Some((device, device.controls.get(control)?))
    }

    /// The device whose description holds a place: the last one named before it.
    pub fn device_at(&self, at: Span) -> Option<&'f Device> {
        let named = |d: &&Device| (d.at.file, d.at.start) <= (at.file, at.start);
        self.book.board.devices.iter().filter(named).max_by_key(|d| (d.at.file, d.at.start))
    }

    /// The control named at a place that is moved as `moved` wants: "`sift.voice`". A control of a shipped description
    /// stands where its pedal does.
    pub fn control_at(&self, at: Span, moved: impl Fn(&book::How) -> bool) -> String {
        let found =
            self.device_at(at).and_then(|d| Some((d, d.controls.iter().find(|c| c.at == at && moved(&c.how))?)));
        found.map_or(String::new(), |(d, c)| format!("`{}.{}`", d.name, c.name))
    }

    /// The nearest statement up a scene's line of descent that speaks of a cell.
    pub fn spoken(&self, scene: SceneId, cell: ColumnId) -> Option<SayingId> {
        let mut at = self.book.show.scene(scene);
        for _ in 0..FAR {
            let Some(scene) = at else { return self.first_on(std::iter::once(self.book.show.default), cell) };
            if let Some(found) = self.spoken_in(scene, cell) {
                return Some(found);
            }
            at = scene.parent.and_then(|p| self.book.show.scene(p));
        }
        None
    }

    fn spoken_in(&self, scene: &Scene, cell: ColumnId) -> Option<SayingId> {
        let layers = self.book.show.layers_of(scene).iter().filter_map(|(l, _)| self.book.show.layers.get(*l));
        self.first_on(std::iter::once(scene.own).chain(layers.map(|l| l.own)), cell)
    }

    fn first_on(&self, mixes: impl Iterator<Item = SayingRange>, cell: ColumnId) -> Option<SayingId> {
        mixes.flat_map(|mix| mix.ids()).find(|number| {
            let mut hit = false;
            if let Some(saying) = self.saying(*number) {
                self.table.cells.settles(saying.what, |c, _| hit |= c == cell);
            }
            hit
        })
    }

    /// The statement that engages a device in a scene, if one does.
    pub fn engaged_by(&self, scene: SceneId, device: &Device) -> Option<SayingId> {
        let index = self.book.board.devices.position(|d| d.name == device.name)?;
        let cell = *self.table.cells.engaging(index).first()?;
        self.spoken(scene, cell)
    }

    /// `sift.voice round` or `sift.voice sharp`: what settles a control, as choices to type.
    pub fn choices(&self, device: &Device, control: &Control) -> String {
        const SHOWN: usize = 3;
        let say = |state: &str| format!("`{}.{} {state}`", device.name, control.name);
        let mut all: Vec<String> = control.states.iter().take(SHOWN).map(|s| say(&s.name)).collect();
        let more = control.states.len() > SHOWN;
        match all.pop() {
            None => say("stays"),
            Some(last) if all.is_empty() => last,
            Some(last) => format!("{}{} or {last}", all.join(", "), if more { "," } else { "" }),
        }
    }
}

/// "8 loops", "1 loop", "no loops".
pub(super) fn count(number: u16, one: &str) -> String {
    match number {
        0 => format!("no {one}s"),
        1 => format!("1 {one}"),
        n => format!("{n} {one}s"),
    }
}

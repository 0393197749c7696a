//! What a preset lets a foot do while it sounds: switches that toggle or hold one thing, and a second row of the slot.

use super::Show;
use super::song::SwitchName;
use crate::ids::{ControlId, DeviceId, LayerId, SceneId};
use crate::source::Span;

/// So many switches may work inside a preset: every combination of them is looked at.
pub const MOST_SWITCHES: u32 = 8;

/// What the unit can do inside a preset.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Inside {
    /// Where it is said.
    pub at: Span,
    /// The first of its switches, and how many there are.
    pub switches: Option<(SwitchName, u32)>,
    /// How many of them may toggle, in one preset.
    pub toggles: u32,
    /// How many may hold.
    pub holds: u32,
    /// Rows of a slot.
    pub rows: u32,
}

/// Who says what a switch does; a later one hides what an earlier one says of the same switch. Statements stand in this order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Owner {
    Default,
    Layer(LayerId),
    Scene(SceneId),
}

/// The one thing that a switch moves; devices, controls and states are indexes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Moved {
    /// A loop.
    Loop(u16),
    /// A pedal in no loop, by what engages it.
    Device(DeviceId),
    /// A contact: jack, and whether its ring.
    Contact(u16, bool),
    /// An output.
    Output(u16),
    /// A control, and the state that the switch brings; of two states the other one.
    Control(DeviceId, ControlId, Option<u16>),
}

/// What a switch does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Does {
    /// Each press moves it, there and back.
    Toggles(Moved),
    /// It is moved as long as the foot stays.
    Holds(Moved),
    /// Nothing, whatever a lower rank says.
    Nothing,
}

impl Does {
    /// What it moves, and whether for as long as the foot stays.
    pub fn moved(self) -> Option<(Moved, bool)> {
        match self {
            Does::Toggles(moved) => Some((moved, false)),
            Does::Holds(moved) => Some((moved, true)),
            Does::Nothing => None,
        }
    }
}

/// A switch, as somebody says it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Press {
    /// Who.
    pub owner: Owner,
    /// The switch, by its place among those of the inside.
    pub switch: u8,
    /// What it does.
    pub does: Does,
    /// Where that is said.
    pub at: Span,
}

/// A scene that stands in the second row of another's slot.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Again {
    /// The scene whose switch is pressed again.
    pub scene: SceneId,
    /// What is called then.
    pub second: SceneId,
    /// Where it is said.
    pub at: Span,
}

impl Show {
    /// The scene that is stored for this one: itself, or that of which it is a combination.
    pub fn base(&self, scene: SceneId) -> SceneId {
        self.scene(scene).filter(|s| s.pressed != 0).and_then(|s| s.parent).unwrap_or(scene)
    }

    /// The switches that are pressed in a scene, a bit each.
    pub fn pressed(&self, scene: SceneId) -> u8 {
        self.scene(scene).map_or(0, |s| s.pressed)
    }

    /// True for a scene with switches pressed.
    pub fn is_pressed(&self, scene: SceneId) -> bool {
        self.pressed(scene) != 0
    }

    /// True for a scene in which a foot has to stay on a switch.
    pub fn is_held(&self, scene: SceneId) -> bool {
        let (pressed, base) = (self.pressed(scene), self.base(scene));
        let down = |p: &Press| pressed & (1 << p.switch) != 0;
        pressed != 0 && self.switches(base).iter().any(|p| down(p) && matches!(p.does, Does::Holds(_)))
    }

    /// The scenes that are this one with switches pressed.
    pub fn combinations(&self, scene: SceneId) -> &[SceneId] {
        self.combinations.get(&scene).map_or(&[], Vec::as_slice)
    }

    /// The scene that is this one with one switch pressed, and no other.
    pub fn pressing(&self, scene: SceneId, switch: u8) -> Option<SceneId> {
        self.combinations(scene).iter().copied().find(|id| self.pressed(*id) == 1 << switch)
    }

    /// What somebody says of switches.
    pub fn presses_of(&self, owner: Owner) -> &[Press] {
        let from = self.presses.partition_point(|p| p.owner < owner);
        let to = self.presses.partition_point(|p| p.owner <= owner);
        self.presses.get(from..to).unwrap_or(&[])
    }

    /// Everything that is said of the switches of a scene, the highest rank first; each with the scene, it or one that it
    /// comes from, that says it or mixes in what does.
    pub fn said_of_switches(&self, scene: SceneId) -> Vec<(SceneId, Press)> {
        let mut out: Vec<(SceneId, Press)> = Vec::new();
        if self.presses.is_empty() {
            return out;
        }
        let mut says = |id: SceneId, owner: Owner| out.extend(self.presses_of(owner).iter().map(|press| (id, *press)));
        let mut at = Some(scene);
        let mut left = self.scenes.len();
        while let Some((id, found)) = at.and_then(|id| Some((id, self.scene(id)?))) {
            says(id, Owner::Scene(id));
            self.layers_of(found).iter().for_each(|(layer, _)| says(id, Owner::Layer(*layer)));
            left = left.saturating_sub(1);
            at = found.parent.filter(|_| left > 0);
        }
        says(scene, Owner::Default);
        out
    }

    /// What the switches do in a scene, by switch: the highest rank that speaks of each.
    pub fn switches(&self, scene: SceneId) -> Vec<Press> {
        let mut out: Vec<Press> = Vec::new();
        for (_, press) in self.said_of_switches(scene) {
            if !out.iter().any(|known| known.switch == press.switch) {
                out.push(press);
            }
        }
        out.sort_by_key(|p| p.switch);
        out.retain(|p| p.does != Does::Nothing);
        out
    }

    /// The scene through whose switch this one is come to: it stands in the second row alone.
    pub fn through(&self, scene: SceneId) -> Option<SceneId> {
        if self.first_of.is_empty() { None } else { self.first_of.get(&self.base(scene)).copied() }
    }

    /// Puts second rows in the order of their scenes, and finds whose each is.
    pub fn sort_rows(&mut self) {
        self.again.sort_by_key(|again| again.scene);
        self.first_of = self.again.iter().map(|again| (again.second, again.scene)).collect();
    }

    /// The scene whose slot this one is found in.
    pub fn anchor(&self, scene: SceneId) -> SceneId {
        self.through(scene).unwrap_or_else(|| self.base(scene))
    }

    /// What sounds on the way to a scene, and then itself: the presets that a foot calls. Who stands in its slot already
    /// calls fewer.
    pub fn on_the_way(&self, scene: SceneId) -> impl Iterator<Item = SceneId> {
        self.through(scene).into_iter().chain([self.base(scene)])
    }

    /// True for a scene whose slot has two rows: its switch pressed again calls the other.
    pub fn has_rows(&self, scene: SceneId) -> bool {
        let scene = self.base(scene);
        self.first_of.contains_key(&scene) || self.again.binary_search_by_key(&scene, |again| again.scene).is_ok()
    }
}

/// The words of some switches: `6`, `6 and 7`.
pub fn named(first: Option<SwitchName>, switches: u8) -> String {
    let first = first.unwrap_or(SwitchName::Number(1));
    let names: Vec<String> = (0..8).filter(|n| switches & (1 << n) != 0).map(|n| first.plus(n)).collect();
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

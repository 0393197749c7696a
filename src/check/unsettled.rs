//! Controls and levels that nobody settled: one report for each, however many scenes it is about.

use indexmap::IndexMap;

use super::mend::Edits;
use super::{Diagnostic, Facts};
use crate::book::{Control, Device, How};
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::Fault;

/// A control or level, and the scenes that engage its device and say nothing of it.
pub(super) struct Unsettled<'f> {
    /// Its number among the devices, and its own.
    pub(super) of: (DeviceId, ControlId),
    /// Its device, and itself.
    pub(super) pedal: &'f Device,
    pub(super) own: &'f Control,
    /// The first scene, in the order of the text.
    pub(super) scene: SceneId,
    /// Where it may be said: "`bed`" or "each of them".
    pub(super) places: String,
    /// All of them.
    scenes: Vec<SceneId>,
    /// The report, without its help.
    pub(super) told: Diagnostic,
}

/// So many scenes are changed in one offer, and so many settings are offered.
const MOST_CHANGED: usize = 40;
const MOST_SETTINGS: usize = 3;

impl Unsettled<'_> {
    /// The report with these values as ways out, in the scenes and in the defaults.
    pub(super) fn offering(mut self, facts: &Facts<'_>, values: &[String]) -> Diagnostic {
        let cells = facts.table.cells.of_control(self.of.0, self.of.1);
        let place = format!("in {}", self.places);
        let says: Vec<String> =
            values.iter().take(MOST_SETTINGS).map(|v| format!("{}.{} {v}", self.pedal.name, self.own.name)).collect();
        for say in &says {
            let few = self.scenes.len() <= MOST_CHANGED;
            let edits = self
                .scenes
                .iter()
                .filter(|_| few)
                .map(|s| facts.in_scene(*s, say, cells))
                .collect::<Option<Vec<Edits>>>();
            self.told =
                self.told.way(&place, format!("say `{say}`"), edits.map(|e| e.concat()).filter(|e| !e.is_empty()));
        }
        for say in &says {
            self.told = self.told.way("in `default`", format!("say `{say}`"), facts.in_default(say));
        }
        self.told
    }
}

impl<'f> Facts<'f> {
    /// All of them, by the first scene.
    pub(super) fn unsettled(&self) -> Vec<Unsettled<'f>> {
        let mut found: IndexMap<(DeviceId, ControlId), Vec<SceneId>> = IndexMap::new();
        for fault in self.settling {
            let Fault::Unsettled { scene, device, control } = fault else { continue };
            found.entry((*device, *control)).or_default().push(*scene);
        }
        found.into_iter().filter_map(|(of, scenes)| self.one_unsettled(of, scenes)).collect()
    }

    fn one_unsettled(&self, of: (DeviceId, ControlId), mut scenes: Vec<SceneId>) -> Option<Unsettled<'f>> {
        scenes.sort_by_key(|s| self.scene_at(*s));
        let scene = scenes.first().copied()?;
        let (pedal, own) = self.part(of.0, of.1)?;
        // What songs say of its tempo may be among what was not read.
        if pedal.faulty && matches!(own.how, How::Pulses { .. }) {
            return None;
        }
        let names = self.few_scenes(&scenes);
        let engages = match (pedal.always(), scenes.len()) {
            (true, 1) => "always sounds through",
            (true, _) => "always sound through",
            (false, 1) => "engages",
            (false, _) => "engage",
        };
        let does = if own.how.level().is_some() { "set" } else { "chose" };
        let message = format!("{names} {engages} `{}`, but nobody {does} its {}", pedal.name, own.name);
        let mut told = Diagnostic::new(self.scene_at(scene), message)
            .label(format!("`{}.{}` is not chosen here", pedal.name, own.name));
        if let Some(by) = self.engaged_by(scene, pedal) {
            told = told.other(self.said_at(by), "engaged here");
        }
        let places = if scenes.len() == 1 { names } else { "each of them".to_owned() };
        Some(Unsettled { of, pedal, own, scene, scenes, places, told })
    }

    /// Some scenes by name: "`bed`", "`bed` and `lift`", "`bed`, `lift` and 3 more".
    pub fn few_scenes(&self, scenes: &[SceneId]) -> String {
        let name = |scene: &SceneId| format!("`{}`", self.scene(*scene));
        match scenes {
            [] => String::new(),
            [one] => name(one),
            [one, two] => format!("{} and {}", name(one), name(two)),
            [one, two, more @ ..] => format!("{}, {} and {} more", name(one), name(two), more.len()),
        }
    }
}

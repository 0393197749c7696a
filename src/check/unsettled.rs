//! Controls and levels that nobody settled: one report for each, however many scenes it is about.

use indexmap::IndexMap;

use super::{Diagnostic, Facts};
use crate::book::{Control, Device};
use crate::settle::Fault;

/// A control or level, and the scenes that engage its device and say nothing of it.
pub(super) struct Unsettled<'f> {
    /// Its number among the devices, and its own.
    pub(super) of: (u16, u16),
    /// Its device, and itself.
    pub(super) pedal: &'f Device,
    pub(super) own: &'f Control,
    /// The first scene, in the order of the text.
    pub(super) scene: u32,
    /// Where it may be said: "`bed`" or "each of them".
    pub(super) places: String,
    /// The report, without its help.
    pub(super) told: Diagnostic,
}

impl<'f> Facts<'f> {
    /// All of them, by the first scene.
    pub(super) fn unsettled(&self) -> Vec<Unsettled<'f>> {
        let mut found: IndexMap<(u16, u16), Vec<u32>> = IndexMap::new();
        for fault in self.settling {
            let Fault::Unsettled { scene, device, control } = fault else { continue };
            found.entry((*device, *control)).or_default().push(*scene);
        }
        found.into_iter().filter_map(|(of, scenes)| self.one_unsettled(of, scenes)).collect()
    }

    fn one_unsettled(&self, of: (u16, u16), mut scenes: Vec<u32>) -> Option<Unsettled<'f>> {
        scenes.sort_by_key(|s| self.scene_at(*s));
        let scene = scenes.first().copied()?;
        let (pedal, own) = self.part(of.0, of.1)?;
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
        Some(Unsettled { of, pedal, own, scene, places, told })
    }

    /// Some scenes by name: "`bed`", "`bed` and `lift`", "`bed`, `lift` and 3 more".
    pub fn few_scenes(&self, scenes: &[u32]) -> String {
        let name = |scene: &u32| format!("`{}`", self.scene(*scene));
        match scenes {
            [] => String::new(),
            [one] => name(one),
            [one, two] => format!("{} and {}", name(one), name(two)),
            [one, two, more @ ..] => format!("{}, {} and {} more", name(one), name(two), more.len()),
        }
    }
}

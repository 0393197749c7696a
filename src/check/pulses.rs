//! How the rules about pulses speak of controls and ways.

use super::{Diagnostic, Facts};
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Answer, Row};
use crate::source::Span;
use crate::study::momentary::reach::POWER;

impl Facts<'_> {
    /// A device sounds in a scene.
    pub(super) fn sounds(&self, scene: SceneId, device: DeviceId) -> bool {
        Row::of(self.book, self.table, scene).sounds(device) == Answer::Yes
    }

    /// The controls of a button: "`larch` channel".
    pub(super) fn momentary_controls(&self, button: usize) -> String {
        let buttons = &self.momentary.buttons;
        let controls = buttons.list.get(button).map_or(&[][..], |b| &b.controls);
        let says = controls.iter().filter_map(|c| {
            let turned = buttons.controls.get(*c)?;
            Some(format!("`{}` {}", self.device(turned.device), self.control(turned.device, turned.control)?.name))
        });
        super::say::joined(&says.collect::<Vec<_>>(), "and")
    }

    /// A warning about the devices of a button: each is allowed for itself, by its name; by the scene's
    /// where nothing else is wrong there.
    pub(super) fn about_device(&self, mut told: Diagnostic, scene: SceneId, button: usize) -> Diagnostic {
        let buttons = &self.momentary.buttons;
        let controls = buttons.list.get(button).map_or(&[][..], |b| &b.controls);
        for turned in controls.iter().filter_map(|c| buttons.controls.get(*c)) {
            told = told.about(self.device(turned.device));
        }
        let alone = self.momentary.findings.iter().all(|f| f.scene() != scene || f.button() == button);
        if alone { told.about(self.scene(scene)) } else { told }
    }

    /// The way to an arrival, in words, and the part where it ends.
    pub(super) fn path(&self, arrival: usize, button: usize) -> (Span, String) {
        let path = self.momentary.path(arrival, button);
        let mut says = Vec::new();
        if path.first().is_some_and(|a| a.before == POWER) && path.len() < 9 {
            says.push("power-up".to_owned());
        }
        let mut song = "";
        for step in &path {
            let (_, title) = self.played(step.part);
            let place = if title.is_empty() || title == song { String::new() } else { format!(" in \"{title}\"") };
            says.push(format!("`{}`{place}", self.scene(step.scene)));
            song = title;
        }
        let last = path.last();
        let part = last.and_then(|a| a.part).map(|p| self.played(Some(p)).0);
        let at = part.unwrap_or_else(|| last.map_or(Span::default(), |a| self.scene_at(a.scene)));
        (at, format!("from {}", says.join(" to ")))
    }
}

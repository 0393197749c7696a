//! What is played when a part has failed: the scenes that the book names for that, in place of those that need the part.

use std::collections::BTreeMap;

use crate::book::Book;
use crate::ids::{DeviceId, SceneId};

/// A night as the songs say, or one on which a part has failed.
#[derive(Default)]
pub(super) struct Failed {
    /// The device that has failed.
    pub(super) device: Option<DeviceId>,
    instead: BTreeMap<SceneId, SceneId>,
}

impl Failed {
    /// The night as the songs say, then one for each device for which the book says what to do; in board order.
    pub(super) fn nights(book: &Book) -> Vec<Failed> {
        let mut failed: BTreeMap<DeviceId, BTreeMap<SceneId, SceneId>> = BTreeMap::new();
        for way in &book.show.fallbacks {
            let (Some(device), Some(scene), Some(becomes)) = (way.device, way.scene, way.becomes) else { continue };
            failed.entry(device).or_default().entry(scene).or_insert(becomes);
        }
        let failed = failed.into_iter().map(|(device, instead)| Failed { device: Some(device), instead });
        std::iter::once(Failed::default()).chain(failed).collect()
    }

    /// What is played for a scene.
    pub(super) fn plays(&self, scene: SceneId) -> SceneId {
        self.instead.get(&scene).copied().unwrap_or(scene)
    }
}

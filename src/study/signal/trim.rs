//! The trim that a preset stores for an output: so many dB more or less behind all that the output is fed with.

use crate::book::{Book, How};
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Row, Setting, Table};

/// The trim of an amp's output in a scene, in dB; nothing where the amp has none, None where it is not known.
pub fn trim(book: &Book, table: &Table, scene: SceneId, amp: DeviceId) -> Option<f64> {
    let mut controls = book.board.devices.get(amp).into_iter().flat_map(|device| device.controls.pairs());
    let trimmed = controls.find_map(|(number, control)| match control.how {
        How::Trim { from, to, steps, .. } => Some((number, from, to, steps)),
        _ => None,
    });
    let Some((control, from, to, steps)) = trimmed else { return Some(0.0) };
    match Row::of(book, table, scene).setting(amp, control) {
        // What the step is, not the round amount that is shown for it.
        Some(Setting::Step(step)) => {
            let share = f64::from(step) / f64::from(steps.max(2) - 1);
            Some(from.value() + share * (to.value() - from.value()))
        }
        _ => None,
    }
}

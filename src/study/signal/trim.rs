//! The trim that a preset stores for an output: so many dB more or less behind all that the output is fed with.

use crate::book::{Book, How};
use crate::settle::{Row, Setting, Table};

/// The trim of an amp's output in a scene, in dB; nothing where the amp has none, None where it is not known.
pub fn trim(book: &Book, table: &Table, scene: u32, amp: u16) -> Option<f64> {
    let controls = book.board.devices.get(usize::from(amp)).map_or(&[][..], |device| &device.controls);
    let trimmed = (0u16..).zip(controls).find_map(|(number, control)| match control.how {
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

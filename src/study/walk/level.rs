//! How much louder a change makes things, as far as the gains of switched pedals tell.

use super::Change;
use crate::book::{Book, Device, DeviceKind};
use crate::settle::{Answer, Row, Table};
use crate::study::signal::trim::trim;

/// A step in level.
#[derive(Clone, PartialEq, Debug, Default)]
pub enum LevelStep {
    /// Nothing was said about what came before.
    #[default]
    Start,
    /// By so many dB: the gains that come in, less those that go out, and the trim of the output of whichever amp that is
    /// heard before and after steps most by it. Controls and volumes are not in it.
    Db(f64),
    /// Not known: these devices state no gain.
    Missing(Vec<u16>),
}

/// A device's gain in dB, when stated or measured.
pub fn gain_of(device: &Device) -> Option<f64> {
    device.electric.gain.map(|g| g.level.value.value())
}

pub(super) fn step(book: &Book, table: &Table, change: &mut Change) {
    let (mut sum, mut missing) = (0.0, Vec::new());
    for (index, on) in change.moved(&book.board) {
        match book.board.devices.get(usize::from(index)).and_then(gain_of) {
            Some(gain) => sum += if on { gain } else { -gain },
            None => missing.push(index),
        }
    }
    let Some(from) = change.from else { return };
    let (was, now) = (Row::of(book, table, from.scene), Row::of(book, table, change.to.scene));
    let amps = (0u16..).zip(&book.board.devices).filter(|(_, device)| device.kind == DeviceKind::Amp);
    let heard = amps.map(|(n, _)| n).filter(|n| was.fed(*n) == Answer::Yes && now.fed(*n) == Answer::Yes);
    let mut most: Option<f64> = None;
    for amp in heard {
        match trim(book, table, now.scene(), amp).zip(trim(book, table, was.scene(), amp)) {
            Some((now, was)) => {
                let step = sum + now - was;
                most = Some(most.filter(|most| most.abs() >= step.abs()).unwrap_or(step));
            }
            None => missing.push(amp),
        }
    }
    let sum = most.unwrap_or(sum);
    change.level = if missing.is_empty() { LevelStep::Db(sum) } else { LevelStep::Missing(missing) };
}

//! How much louder a change makes things, as far as the gains of switched pedals tell.

use super::Change;
use crate::book::{Book, Device, DeviceKind};
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Answer, Row, Table};
use crate::study::inside::Inside;
use crate::study::signal::leg_levels;
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
    Missing(Vec<DeviceId>),
    /// Not counted: it goes through the legs of these devices, which add up (`signal` does that).
    Legs(Vec<DeviceId>),
}

/// A device's gain in dB, when stated or measured.
pub fn gain_of(device: &Device) -> Option<f64> {
    device.electric.gain.map(|g| g.level.value.value())
}

/// Marks a step that goes through legs: what moves in them, or how loud they come.
pub(super) fn legs(book: &Book, table: &Table, inside: Option<&Inside>, change: &mut Change) {
    let (Some(inside), Some(from)) = (inside, change.from) else { return };
    let mixers = book.board.devices.pairs().filter(|(_, d)| !d.electric.legs.is_empty());
    let stands = |scene: SceneId, device: DeviceId| {
        let row = Row::of(book, table, scene);
        let cut = inside.cut_off_in(book, table, scene);
        row.sounds(device) == Answer::Yes && !cut.contains(&device)
    };
    let levels = |scene: SceneId| leg_levels(book, table, scene);
    let turned = |mixer: DeviceId| {
        let of = |scene: SceneId| levels(scene).into_iter().filter(|(d, _, _)| *d == mixer).collect::<Vec<_>>();
        let (was, now) = (stands(from.scene, mixer), stands(change.to.scene, mixer));
        let inner = |d: &DeviceId| *d != mixer && inside.hosts(&book.board, *d).contains(&mixer);
        let moved = |d: DeviceId| stands(from.scene, d) != stands(change.to.scene, d);
        was != now
            || was
                && now
                && (of(from.scene) != of(change.to.scene) || inside.devices.iter().copied().filter(inner).any(moved))
    };
    let legs: Vec<DeviceId> = mixers.map(|(d, _)| d).filter(|d| turned(*d)).collect();
    if !legs.is_empty() {
        change.level = LevelStep::Legs(legs);
    }
}

pub(super) fn step(book: &Book, table: &Table, moved: &[(DeviceId, bool)], change: &mut Change) {
    let (mut sum, mut missing) = (0.0, Vec::new());
    for (index, on) in moved.iter().copied() {
        match book.board.devices.get(index).and_then(gain_of) {
            Some(gain) => sum += if on { gain } else { -gain },
            None => missing.push(index),
        }
    }
    let Some(from) = change.from else { return };
    let (was, now) = (Row::of(book, table, from.scene), Row::of(book, table, change.to.scene));
    let amps = book.board.devices.pairs().filter(|(_, device)| device.kind == DeviceKind::Amp);
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

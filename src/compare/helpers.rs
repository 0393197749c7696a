//! What to store in the helpers: presets by their numbers, which the switcher's own worksheet knows nothing of.

use crate::Compiled;
use crate::book::Called;
use crate::fill::helpers::Wanted;
use crate::ids::DeviceId;

/// A helper, and the presets to store in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HelperWork {
    /// The helper, an index of the new book's devices.
    pub device: DeviceId,
    /// Its presets that hold something else than before, by number.
    pub presets: Vec<HelperEdit>,
}

/// A preset to store.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct HelperEdit {
    /// Its number.
    pub number: u16,
    /// The loops that it engaged, a bit each; None where the old book called no such preset.
    pub was: Option<u32>,
    /// The loops that it engages now.
    pub now: u32,
}

/// Helper by helper, in board order. A helper is the one of its name; what the old book did not call may hold anything.
pub(super) fn work(old: &Compiled, new: &Compiled) -> Vec<HelperWork> {
    let work = new.book.board.helpers().filter(|(_, _, h)| h.called == Some(Called::Preset)).map(|(at, device, _)| {
        let before =
            old.book.board.helpers().find(|(_, d, h)| d.name == device.name && h.called == Some(Called::Preset));
        let stored = |compiled: &Compiled, at: DeviceId| -> Vec<Wanted> {
            compiled.helpers.of_device(at).map_or(Vec::new(), |c| c.presets.clone())
        };
        let held = before.map_or(Vec::new(), |(at, ..)| stored(old, at));
        let edit = |one: Wanted| {
            let number = one.number?;
            let was = held.iter().find(|h| h.number == Some(number)).map(|h| h.loops);
            (was != Some(one.loops)).then_some(HelperEdit { number, was, now: one.loops })
        };
        HelperWork { device: at, presets: stored(new, at).into_iter().filter_map(edit).collect() }
    });
    work.filter(|work| !work.presets.is_empty()).collect()
}

//! The numbers of leads: those of the chains first, in their order, then ten for the switcher itself, ten for each of its
//! loops, ten for each device in no loop. So a pedal that comes or goes turns no number but its own.

use std::collections::BTreeSet;

use super::{Jack, Lead, Purpose};
use crate::book::Board;
use crate::ids::DeviceId;

/// So many numbers belong to a loop or a device. Common practice for looms, no source.
const EACH: usize = 10;
/// So many numbers stay free behind the chains at least, for leads that they may get.
const SPARE: usize = 5;
/// In a ten, where power stands, and the first of all that is neither power nor sound.
const POWER: usize = 5;
const MOVED: usize = 6;

/// Gives each lead its number and puts them in order.
pub(super) fn number(board: &Board, leads: &mut [Lead]) {
    let chained = |lead: &Lead| matches!(lead.purpose, Purpose::Chain(_));
    let chains = leads.iter().filter(|l| chained(l)).count();
    let base = (chains + SPARE).div_ceil(EACH) * EACH;
    leads.iter_mut().filter(|l| chained(l)).zip(1..).for_each(|(lead, number)| lead.number = number);
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let mut late: Vec<usize> = Vec::new();
    for (at, lead) in leads.iter_mut().enumerate().filter(|(_, l)| !chained(l)) {
        let ten = base + EACH * tens(board, lead.device);
        let wanted = match place(lead) {
            Some(place) => ten + place..ten + place + 1,
            None => ten + MOVED..ten + EACH,
        };
        match wanted.into_iter().find(|number| !taken.contains(number)) {
            Some(number) => {
                taken.insert(number);
                lead.number = number;
            }
            None => late.push(at),
        }
    }
    // What its ten has no room for comes last.
    let first = taken.last().copied().unwrap_or(base).div_ceil(EACH) * EACH + 1;
    for (at, number) in late.into_iter().zip(first..) {
        leads.get_mut(at).into_iter().for_each(|lead| lead.number = number);
    }
    leads.sort_by_key(|lead| lead.number);
}

/// Which ten: the switcher's own, then those of the loops, then those of the devices in none, in board order.
fn tens(board: &Board, device: Option<DeviceId>) -> usize {
    let Some(device) = device else { return 0 };
    let in_loop = |at: DeviceId| board.devices.get(at).and_then(|d| d.loop_at).map(|l| usize::from(l.value));
    in_loop(device).unwrap_or_else(|| {
        let loops = board.switcher.as_ref().map_or(0, |s| usize::from(s.loops));
        1 + loops + board.devices.ids().take_while(|at| *at < device).filter(|at| in_loop(*at).is_none()).count()
    })
}

/// The place in its ten of what each loop and device has one of: sound out and back, left and right, and power.
fn place(lead: &Lead) -> Option<usize> {
    let right =
        |jack: Option<&Jack>| matches!(jack, Some(Jack::Input(_, Some(true)) | Jack::LoopReturn(_, Some(true))));
    match lead.purpose {
        Purpose::Send(_) => Some(if right(lead.to.first()) { 3 } else { 1 }),
        Purpose::Return(_) => Some(if right(lead.to.first()) { 4 } else { 2 }),
        Purpose::Power => Some(POWER),
        _ => None,
    }
}

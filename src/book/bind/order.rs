//! Board order: what the outputs go by, in whatever order the statements stand. Supplies, guitars and chains go by what
//! they are and by name, devices by their loops.

use super::names::Named;
use super::{Binder, Names};
use crate::book::electric::{Chain, LinkWhat, PanelWhat};
use crate::book::{Device, DeviceKind, Guitar};
use crate::ids::{DeviceId, Id, Numbered};

/// Where a device stands: amps last; then the loop, whether behind it in a chain, and how far.
type Stand = (bool, u16, bool, usize);

impl Binder<'_> {
    /// Puts what was bound of the board in its order. Mistakes were told in the order of the text by then.
    pub(super) fn in_board_order(&mut self) {
        let book = &mut self.book;
        book.board.treadles.sort_by(|a, b| (a.plugged, &a.name).cmp(&(b.plugged, &b.name)));
        book.board.chains.sort_by_cached_key(|chain| (start(&book.board.devices, chain), chain.name.clone()));
        if let Some(panel) = &mut book.board.panel {
            panel.jacks.sort_by_key(|jack| (jack.out, jack.number));
        }
        let stands = stands(&book.board.devices, &book.board.chains);
        let devices = sorted(&mut book.board.devices, |at, device| {
            let amp = device.kind == DeviceKind::Amp;
            let fed = device.fed_by.map_or(u16::MAX, |f| f.value);
            let free = (amp, if amp { fed } else { u16::MAX }, true, usize::MAX);
            (stands.get(at).copied().flatten().unwrap_or(free), device.name.clone())
        });
        let mut all: Numbered<usize, Guitar> = std::mem::take(&mut book.board.guitars).into();
        let guitars = sorted(&mut all, |_, guitar| guitar.name.clone());
        book.board.guitars = all.into_iter().collect();
        let device_now = |old: &mut DeviceId| *old = devices.get(*old).copied().unwrap_or(*old);
        let guitar_now = |old: &mut usize| *old = guitars.get(*old).copied().unwrap_or(*old);
        for link in book.board.chains.iter_mut().flat_map(|c| &mut c.links) {
            match &mut link.what {
                LinkWhat::Device { device, .. } => device_now(device),
                LinkWhat::Guitar(Some(guitar)) => guitar_now(guitar),
                _ => {}
            }
        }
        for jack in book.board.panel.iter_mut().flat_map(|p| &mut p.jacks) {
            match &mut jack.what {
                PanelWhat::Device { device, .. } => device_now(device),
                PanelWhat::Guitar(Some(guitar)) => guitar_now(guitar),
                _ => {}
            }
        }
        if let Some(notes) = &mut self.notes {
            notes.renumber(&devices, &guitars);
        }
        if let Some(names) = std::sync::Arc::get_mut(&mut self.names) {
            renumber(names, &devices, &guitars);
        }
    }
}

fn renumber(names: &mut Names<'_>, devices: &Numbered<DeviceId, DeviceId>, guitars: &Numbered<usize, usize>) {
    names.renumber(|thing| match thing {
        Named::Device(id) => Named::Device(devices.get(id).copied().unwrap_or(id)),
        Named::Guitar(n) => Named::Guitar(guitars.get(n as usize).map_or(n, |now| *now as u32)),
        other => other,
    });
}

/// Sorts a list; gives for each old place the new one.
fn sorted<I: Id, T, K: Ord>(list: &mut Numbered<I, T>, key: impl Fn(I, &T) -> K) -> Numbered<I, I> {
    let all = std::mem::take(list).into_iter().enumerate().map(|(at, one)| (I::nth(at), one));
    let mut keyed: Vec<(K, I, T)> = all.map(|(at, one)| (key(at, &one), at, one)).collect();
    keyed.sort_by(|a, b| (&a.0, a.1).cmp(&(&b.0, b.1)));
    let mut now: Numbered<I, I> = keyed.iter().map(|(_, old, _)| *old).collect();
    for (new, (_, old, one)) in keyed.into_iter().enumerate() {
        if let Some(now) = now.get_mut(old) {
            *now = I::nth(new);
        }
        list.push(one);
    }
    now
}

/// Where a chain starts: with a guitar before all others, then by its first loop and its first output.
fn start(devices: &Numbered<DeviceId, Device>, chain: &Chain) -> (bool, u16, u16) {
    let guitar = matches!(chain.links.first().map(|l| &l.what), Some(LinkWhat::Guitar(_)));
    let first_loop = chain.links.iter().find_map(|link| loops(devices, &link.what)).map(|(from, _)| from);
    let output = chain.links.iter().find_map(|link| match link.what {
        LinkWhat::Output(number) => Some(number),
        _ => None,
    });
    (!guitar, first_loop.unwrap_or(u16::MAX), output.unwrap_or(u16::MAX))
}

/// The loops that a link passes, the first and the last.
fn loops(devices: &Numbered<DeviceId, Device>, what: &LinkWhat) -> Option<(u16, u16)> {
    match what {
        LinkWhat::Loops(from, to) => Some((*from, *to)),
        LinkWhat::Device { device, .. } => devices.get(*device)?.loop_at.map(|l| (l.value, l.value)),
        _ => None,
    }
}

/// Where each device stands: in its loop, or in a chain behind the loop before it, else before the one behind it.
fn stands(devices: &Numbered<DeviceId, Device>, chains: &[Chain]) -> Numbered<DeviceId, Option<Stand>> {
    let in_loop = |d: &Device| Some((false, d.loop_at?.value, false, 0)).filter(|_| d.kind != DeviceKind::Amp);
    let mut out: Numbered<DeviceId, Option<Stand>> = devices.iter().map(in_loop).collect();
    let links = chains.iter().flat_map(|chain| {
        let next = |at: usize| chain.links.iter().skip(at).find_map(|l| loops(devices, &l.what)).map(|(from, _)| from);
        chain.links.iter().enumerate().scan(None, move |last, (at, link)| {
            *last = loops(devices, &link.what).map(|(_, to)| to).or(*last);
            Some((link, last.or_else(|| Some(next(at)?.saturating_sub(1)))))
        })
    });
    for (far, (link, behind)) in links.enumerate() {
        let LinkWhat::Device { device, .. } = link.what else { continue };
        let chained = devices.get(device).is_some_and(|d| d.kind != DeviceKind::Amp);
        if let Some(stand) = out.get_mut(device).filter(|stand| stand.is_none() && chained) {
            *stand = Some((false, behind.unwrap_or(u16::MAX), true, far));
        }
    }
    out
}

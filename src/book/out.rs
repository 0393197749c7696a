//! A book with devices out: dead, or left at home. One place takes them out, whoever asks.
//!
//! What a device said of itself is gone with it: its loop is in no preset, its controls are set by nobody, no foot taps
//! on it. Where it stood in the line of leads its place is bridged. A scene that needs it gives way to the scene that the
//! player named for that (`if … fails`), wherever it stands: in songs and in slots. The others sound without it.

mod bridge;
mod quiet;

use rustc_hash::FxHashSet;

use super::inside::{Does, Moved};
use super::{Book, Device, Note, Part, SayingRange, Show, Spanned, What};
use crate::ids::{DeviceId, Numbered, SayingId, SceneId, SongId};
use crate::source::Span;

/// What went with the devices that are out.
#[derive(Clone, Debug, Default)]
pub struct Gone {
    /// The devices as they were, in board order.
    pub devices: Vec<Device>,
    /// Scenes that gave way, by number: the scene, what stands for it, and where the player said so.
    pub stands: Vec<(SceneId, SceneId, Span)>,
    /// Parts of songs that lose something, in the order of the book.
    pub losses: Vec<Loss>,
    /// Rules that ask for what is out, and are quiet.
    pub rules: Vec<Span>,
    /// Exceptions about what is out.
    pub allows: Vec<Span>,
}

/// A part that loses something.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Loss {
    /// The song, and the part among its parts.
    pub song: SongId,
    pub part: usize,
    /// The scene that it plays.
    pub scene: SceneId,
    /// What stands for it; None when it sounds without what is out.
    pub stands: Option<SceneId>,
    /// What it loses, as indexes of `Gone::devices`.
    pub devices: Vec<usize>,
}

/// Devices by their old numbers.
struct Out<'b> {
    book: &'b Book,
    /// For each device: its new number; None for one that is out.
    now: Numbered<DeviceId, Option<DeviceId>>,
    /// The loops of those that are out.
    loops: Vec<u16>,
    /// The loops of helpers that are out: the first of each, and one past its last.
    units: Vec<(u16, u16)>,
}

/// The book without some devices, indexes of `Board::devices`. `sounds` says whether a scene needs a device, as the book
/// stands; scenes keep their numbers.
pub fn without(book: &Book, devices: &[DeviceId], sounds: &dyn Fn(SceneId, DeviceId) -> bool) -> (Book, Gone) {
    let mut next = 0..;
    let list = &book.board.devices;
    let devices = &with_inside(book, devices);
    let now = list.ids().map(|at| if devices.contains(&at) { None } else { next.next().map(DeviceId::nth) }).collect();
    let is_out = |at: &DeviceId| devices.contains(at);
    let gone: Vec<DeviceId> = list.ids().filter(is_out).collect();
    let loops = gone.iter().filter_map(|at| list.get(*at)?.loop_at).map(|l: Spanned<u16>| l.value).collect();
    let out = Out { book, now, loops, units: units(book, devices) };
    let stands: Numbered<SceneId, Option<(SceneId, Span)>> =
        book.show.scenes.ids().map(|scene| stands(book, scene, &gone, sounds)).collect();
    let mut after = book.clone();
    super::beat::forget(&mut after);
    out.board(&mut after);
    out.sayings(&mut after);
    let lost = losses(book, &gone, &stands, sounds);
    let rules = out.rules(&mut after);
    let left: Vec<&Device> = gone.iter().filter_map(|at| list.get(*at)).collect();
    let allows = out.show(&mut after, &stands, &left);
    super::beat::play(&mut after);
    let gone = Gone {
        devices: left.into_iter().cloned().collect(),
        stands: stands.pairs().filter_map(|(from, s)| s.map(|(to, at)| (from, to, at))).collect(),
        losses: lost,
        rules,
        allows,
    };
    (after, gone)
}

/// A helper takes with it all that sits in it.
pub fn with_inside(book: &Book, devices: &[DeviceId]) -> Vec<DeviceId> {
    let list = &book.board.devices;
    let helpers = || devices.iter().filter_map(|at| list.get(*at)?.helper.as_deref());
    let inside = |d: &Device| d.loop_at.is_some_and(|l| helpers().any(|h| h.own(l.value).is_some()));
    let mut out = devices.to_vec();
    out.extend(list.pairs().filter(|(at, d)| inside(d) && !devices.contains(at)).map(|(at, _)| at));
    out
}

fn units(book: &Book, devices: &[DeviceId]) -> Vec<(u16, u16)> {
    let helpers = devices.iter().filter_map(|at| book.board.devices.get(*at)?.helper.as_deref());
    helpers.map(|h| (h.numbers().start, h.numbers().end)).collect()
}

/// What stands for a scene: the player's own way out that needs nothing of what is out; of several the first, ways out being
/// followed from one to the next. Where each of them needs something that is out too, nothing stands for it.
fn stands(
    book: &Book,
    scene: SceneId,
    gone: &[DeviceId],
    sounds: &dyn Fn(SceneId, DeviceId) -> bool,
) -> Option<(SceneId, Span)> {
    let needs = |scene: SceneId| gone.iter().any(|device| sounds(scene, *device));
    if !needs(scene) {
        return None;
    }
    let ways = |from: SceneId| {
        let ways = book.show.fallbacks.iter().filter(move |f| f.scene == Some(from));
        let fit = ways.filter(move |f| f.device.is_some_and(|d| gone.contains(&d) && sounds(from, d)));
        fit.filter_map(|f| Some((f.becomes?, f.at)))
    };
    let mut seen = vec![scene];
    let mut queue: std::collections::VecDeque<(SceneId, Span)> = ways(scene).collect();
    while let Some((to, at)) = queue.pop_front() {
        if seen.contains(&to) {
            continue;
        }
        seen.push(to);
        if !needs(to) {
            return Some((to, at));
        }
        queue.extend(ways(to).map(|(next, _)| (next, at)));
    }
    None
}

fn losses(
    book: &Book,
    gone: &[DeviceId],
    stands: &Numbered<SceneId, Option<(SceneId, Span)>>,
    sounds: &dyn Fn(SceneId, DeviceId) -> bool,
) -> Vec<Loss> {
    let mut out = Vec::new();
    for (song, of) in book.show.songs.pairs() {
        for (part, played) in of.parts.iter().enumerate() {
            let Some(scene) = played.scene else { continue };
            let taps = |device: DeviceId| {
                played.besides().notes.iter().any(|n| matches!(n, Note::Tap { device: Some(d), .. } if *d == device))
            };
            let lost = gone.iter().enumerate().filter(|(_, device)| sounds(scene, **device) || taps(**device));
            let devices: Vec<usize> = lost.map(|(at, _)| at).collect();
            if !devices.is_empty() {
                let stands = stands.get(scene).copied().flatten().map(|(to, _)| to);
                out.push(Loss { song, part, scene, stands, devices });
            }
        }
    }
    out
}

impl Out<'_> {
    fn now(&self, device: DeviceId) -> Option<DeviceId> {
        self.now.get(device).copied().flatten()
    }

    fn board(&self, after: &mut Book) {
        let mut at = 0;
        after.board.devices.retain(|_| {
            at += 1;
            self.now(DeviceId::nth(at - 1)).is_some()
        });
        for guitar in &mut after.board.guitars {
            guitar.when.retain_mut(|w| self.now(w.value.device).map(|now| w.value.device = now).is_some());
        }
        self.bridge(after);
        for device in &mut after.board.devices {
            if let Some(at) = &mut device.loop_at {
                at.value = self.loop_now(at.value).unwrap_or(at.value);
            }
            if let Some(helper) = &mut device.helper {
                // A preset that is numbered goes on without what is out.
                let gone = self.loops.iter().filter_map(|n| helper.own(*n));
                let gone = gone.fold(0, |bits, own| bits | 1u32 << (own - 1));
                helper.kept.iter_mut().for_each(|kept| kept.loops &= !gone);
                helper.first = self.loop_now(helper.first).unwrap_or(helper.first);
            }
        }
        if let Some(switcher) = &mut after.board.switcher {
            switcher.loops -= self.units.iter().map(|(from, to)| to - from).sum::<u16>().min(switcher.loops);
        }
    }

    /// The number of a loop once helpers are out; None for a loop of one.
    fn loop_now(&self, number: u16) -> Option<u16> {
        let out = |(from, to): &(u16, u16)| number >= *from && number < *to;
        let before = self.units.iter().filter(|(from, _)| *from <= number).map(|(from, to)| to - from).sum::<u16>();
        (!self.units.iter().any(out)).then(|| number - before)
    }

    /// What is said without what is out; None when nothing is left.
    fn left(&self, what: What) -> Option<What> {
        Some(match what {
            What::Loop { number, .. } if self.loops.contains(&number) => return None,
            What::Loop { number, on } => What::Loop { number: self.loop_now(number)?, on },
            What::AlwaysOn { device } => What::AlwaysOn { device: self.now(device)? },
            What::Engaged { device, on } => What::Engaged { device: self.now(device)?, on },
            What::Choice { device, control, state } => What::Choice { device: self.now(device)?, control, state },
            What::Level { device, control, value } => What::Level { device: self.now(device)?, control, value },
            What::Stays { device, control } => What::Stays { device: self.now(device)?, control },
            What::Moves { device, control, travel } => match self.now(device) {
                Some(device) => What::Moves { device, control, travel },
                // The treadle gives up what it moved before, all the same.
                None => What::Treadle { input: travel.input(), moves: Some(travel) },
            },
            other => other,
        })
    }

    /// What a switch moves, without what is out.
    fn left_to_move(&self, moved: Moved) -> Option<Moved> {
        Some(match moved {
            Moved::Loop(number) if self.loops.contains(&number) => return None,
            Moved::Device(device) => Moved::Device(self.now(device)?),
            Moved::Control(device, control, state) => Moved::Control(self.now(device)?, control, state),
            other => other,
        })
    }

    fn sayings(&self, after: &mut Book) {
        let show = &mut after.show;
        // For each saying: how many were kept before it.
        let mut before = Vec::with_capacity(show.sayings.len() + 1);
        let mut kept = Numbered::default();
        for saying in &show.sayings {
            before.push(kept.next());
            if let Some(what) = self.left(saying.what) {
                kept.push(super::Saying { what, at: saying.at });
            }
        }
        before.push(kept.next());
        let moved = |at: SayingId| before.get(at.index()).copied().unwrap_or(at);
        let range = |range: &mut SayingRange| *range = SayingRange { from: moved(range.from), to: moved(range.to) };
        let stays = |at: SayingId| before.get(at.index()) != before.get(at.index() + 1);
        show.amounts.retain(|(saying, _)| stays(*saying));
        show.amounts.iter_mut().for_each(|(saying, _)| *saying = moved(*saying));
        show.ways.retain(|(saying, _)| stays(*saying));
        show.ways.iter_mut().for_each(|(saying, _)| *saying = moved(*saying));
        range(&mut show.default);
        show.layers.iter_mut().for_each(|layer| range(&mut layer.own));
        show.scenes.iter_mut().for_each(|scene| range(&mut scene.own));
        show.sayings = kept;
    }

    /// Songs, slots and ways out; gives the exceptions that are about what is out.
    fn show(
        &self,
        after: &mut Book,
        stands: &Numbered<SceneId, Option<(SceneId, Span)>>,
        left: &[&Device],
    ) -> Vec<Span> {
        let stand = |scene: SceneId| stands.get(scene).copied().flatten().map_or(scene, |(to, _)| to);
        let gave_way = |scene: SceneId| stands.get(scene).is_some_and(Option::is_some);
        let show = &mut after.show;
        for part in show.songs.iter_mut().flat_map(|song| &mut song.parts) {
            part.scene = part.scene.map(stand);
            if let Some(besides) = &mut part.besides {
                besides.notes.retain_mut(|note| match note {
                    Note::Tap { device: Some(device), .. } | Note::Beat { device: Some(device), .. } => {
                        self.now(*device).map(|now| *device = now).is_some()
                    }
                    _ => true,
                });
            }
        }
        // A switch that moves what is out does nothing, and no part presses it.
        for press in &mut show.presses {
            let moved = press.does.moved().map(|(moved, holds)| (self.left_to_move(moved), holds));
            press.does = match moved {
                Some((Some(moved), true)) => Does::Holds(moved),
                Some((Some(moved), false)) => Does::Toggles(moved),
                _ => Does::Nothing,
            };
        }
        for (song, part) in show.songs.ids().flat_map(|s| parts_of(show, s).map(move |p| (s, p))).collect::<Vec<_>>() {
            let does = |part: &Part| part.scene.map_or(0, |scene| toggles(show, scene));
            let left = show.songs.get(song).and_then(|s| s.parts.get(part)).map_or(0, does);
            if let Some(part) = show.songs.get_mut(song).and_then(|s| s.parts.get_mut(part)) {
                part.pressed &= left;
            }
        }
        for again in &mut show.again {
            (again.scene, again.second) = (stand(again.scene), stand(again.second));
        }
        let mut rows: FxHashSet<SceneId> = FxHashSet::default();
        let pinned: FxHashSet<SceneId> = show.pins.iter().map(|(_, scene, _)| stand(*scene)).collect();
        show.again.retain(|again| {
            let apart = [again.scene, again.second].iter().all(|s| !rows.contains(s)) && again.scene != again.second;
            rows.extend([again.scene, again.second].iter().filter(|_| apart));
            apart && !pinned.contains(&again.second)
        });
        show.sort_rows();
        show.pins.iter_mut().for_each(|(_, scene, _)| *scene = stand(*scene));
        show.mentioned.iter_mut().for_each(|scene| *scene = stand(*scene));
        show.fallbacks.retain_mut(|way| {
            way.becomes = way.becomes.map(stand);
            let held = way.scene.is_none_or(|scene| !gave_way(scene)) && way.scene != way.becomes;
            match way.device {
                None => held,
                Some(device) => {
                    way.device = self.now(device);
                    held && way.device.is_some()
                }
            }
        });
        for (scene, gave) in show.scenes.iter_mut().zip(stands) {
            // Others may derive from it; it is played and stored no more.
            scene.repeated |= gave.is_some();
        }
        let names: Vec<&str> = left.iter().map(|d| d.name.as_str()).collect();
        let scenes = &show.scenes;
        let about = |name: &str| {
            names.contains(&name) || scenes.iter().zip(stands).any(|(s, gave)| gave.is_some() && *s.name == *name)
        };
        let mut quiet = Vec::new();
        after.allows.retain(|allow| {
            let held = !allow.names.iter().any(|name| about(name));
            quiet.extend(Some(allow.at).filter(|_| !held));
            held
        });
        quiet
    }
}

/// The places of a song's parts that press something.
fn parts_of(show: &Show, song: SongId) -> impl Iterator<Item = usize> + use<> {
    let parts = show.songs.get(song).map_or(&[][..], |song| &song.parts);
    let pressing: Vec<usize> = (0..parts.len()).filter(|p| parts.get(*p).is_some_and(|p| p.pressed != 0)).collect();
    pressing.into_iter()
}

/// The switches that toggle something in a scene, a bit each.
fn toggles(show: &Show, scene: SceneId) -> u8 {
    let toggles = show.switches(scene).into_iter().filter(|p| matches!(p.does, Does::Toggles(_)));
    toggles.fold(0, |all, press| all | 1 << press.switch)
}

impl Gone {
    /// The names of what is out.
    pub fn names(&self) -> Vec<&str> {
        self.devices.iter().map(|d| d.name.as_str()).collect()
    }

    /// What stands for a scene.
    pub fn stands_for(&self, scene: SceneId) -> Option<SceneId> {
        self.stands.iter().find(|(from, ..)| *from == scene).map(|(_, to, _)| *to)
    }
}

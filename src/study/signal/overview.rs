//! What the rules ask of the signal: a quick look at every scene, linear in the number of scenes.

use std::collections::BTreeMap;

use super::circuit::{Circuit, Segment, Source};
use super::figures;
use super::path::{From, Missing, Path, PathFinder, To, Tried};
use super::polarity::Ways;
use super::trim::trim;
use super::{Groups, leg_levels, shapes, switched};
use crate::book::electric::Electric;
use crate::book::{Board, Book};
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Answer, Row, Table};
use crate::study::route::{Place, Route};

/// A load of less than this many times its source is heavy. Common practice, no source.
pub const LIGHT: f64 = 10.0;
/// A plain source whose treble falls off below this, in Hz, drives too much lead: the top of a guitar speaker's
/// range. Common practice, no source.
pub const SPEAKER_TOP: f64 = 5000.0;
/// Treble is lost when the -3 dB point lies below this share of what the guitar and its own lead give: half an
/// octave. Common practice, no source.
pub const TREBLE_KEPT: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// A source that is loaded too heavily, and by what.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Heavy {
    /// What drives.
    pub from: From,
    /// What loads it.
    pub to: Vec<To>,
}

/// How heavy it is, and where it was met.
#[derive(Clone, PartialEq, Debug)]
pub struct HowHeavy {
    /// The source, in ohm.
    pub source: f64,
    /// All loads together, in ohm.
    pub load: f64,
    /// The loss at low frequency, in dB.
    pub loss: f64,
    /// The frequency at which its leads take 3 dB, in Hz, if that is what is wrong.
    pub corner: Option<f64>,
    /// Groups of scenes in which it happens.
    pub groups: Vec<u32>,
}

/// What makes one of two sides.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum OneSided {
    /// A device behind the stereo one.
    Device(DeviceId),
    /// The end of the path.
    End(To),
}

/// A look at all scenes of a book.
#[derive(Clone, Debug, Default)]
pub struct SignalOverview {
    /// Which scenes share a circuit.
    pub groups: Groups,
    /// Guitars by group: bit n for guitar n, of those that play a scene of it.
    guitars: Vec<u64>,
    /// By group and guitar: the level at 1 kHz in dB.
    levels: BTreeMap<(u32, usize), (f64, Option<DeviceId>)>,
    /// By group and guitar: the treble is lost; the limit in Hz.
    lost: BTreeMap<(u32, usize), f64>,
    /// Heavy loadings.
    pub heavy: BTreeMap<Heavy, HowHeavy>,
    /// Stereo devices whose two sides become one, by what, and in which groups.
    pub collapses: BTreeMap<(DeviceId, OneSided), Vec<u32>>,
    /// Devices that must see the bare guitar, each with what drives them instead, and in which groups.
    pub buffered: BTreeMap<(DeviceId, From), Vec<u32>>,
    /// Amplifiers that sound together in opposite polarity, and in which groups.
    pub opposed: BTreeMap<(DeviceId, DeviceId), Vec<u32>>,
    /// Devices of instrument level only in the effects loop of an amplifier at line level, and in which groups.
    pub too_hot: BTreeMap<(DeviceId, DeviceId), Vec<u32>>,
    /// Values that are missing.
    pub missing: Vec<Missing>,
    /// True when the book says how its guitars sound: then what is missing is worth telling.
    pub wanted: bool,
}

impl SignalOverview {
    /// Looks.
    pub fn of(book: &Book, table: &Table) -> SignalOverview {
        let route = Route::of(&book.board);
        if route.faulty || !route.from_guitar {
            return SignalOverview::default();
        }
        let mut glance = SignalOverview { groups: Groups::of(book, table), ..SignalOverview::default() };
        glance.wanted = book.board.guitars.iter().any(|g| g.pickup.is_some());
        let played = played(book, table);
        glance.guitars = vec![0; glance.groups.first.len()];
        for (group, guitars) in glance.groups.of_scene.iter().zip(&played) {
            if let Some(all) = glance.guitars.get_mut(*group as usize) {
                *all |= guitars;
            }
        }
        let limits: Vec<Option<f64>> = (0..book.board.guitars.len()).map(|g| limit(book, g)).collect();
        let told = |told: fn(&Electric) -> bool| book.board.devices.iter().any(|d| told(&d.electric));
        let told = (told(|e| e.inverts), told(|e| e.line.is_some()));
        for (group, scene) in glance.groups.first.clone().into_iter().enumerate() {
            let route = &*glance.groups.route(book, table, scene, &route);
            let guitars = glance.guitars.get(group).copied().unwrap_or(0);
            for guitar in (0..u64::BITS as usize).filter(|g| guitars >> g & 1 == 1) {
                let loops = glance.groups.loops(table, scene);
                let outputs = glance.groups.outputs(table, scene);
                let switched = &switched(book, table, scene);
                let levels = &leg_levels(book, table, scene);
                let tried = Tried::NONE;
                let walk = PathFinder { book, route, loops, outputs, switched, levels, tried, guitar };
                let ways = Ways { board: &book.board, route, loops, outputs, switched };
                glance.stands(group as u32, guitar, &ways, told);
                if let Some(path) = walk.path() {
                    glance.bare(&book.board, group as u32, &path);
                    glance.stereo(book, route, group as u32, &path);
                    glance.note(group as u32, guitar, &path, limits.get(guitar).copied().flatten());
                }
            }
        }
        glance.missing.sort();
        glance.missing.dedup();
        glance
    }

    /// What arrives upside down, and what is at line level; asked only where the board says a word of it.
    fn stands(&mut self, group: u32, guitar: usize, ways: &Ways<'_>, (inverts, line): (bool, bool)) {
        if let Some(amps) = inverts.then(|| ways.amps(guitar)).flatten() {
            let one_way = |wanted: bool| amps.iter().find(|(_, upside)| **upside == wanted).map(|(amp, _)| *amp);
            if let Some((a, b)) = one_way(false).zip(one_way(true)) {
                met(self.opposed.entry((a.min(b), a.max(b))).or_default(), group);
            }
        }
        if let Some(found) = line.then(|| ways.too_hot()).flatten() {
            found.into_iter().for_each(|of| met(self.too_hot.entry(of).or_default(), group));
        }
    }

    /// What drives each device that must see the bare guitar.
    fn bare(&mut self, board: &Board, group: u32, path: &Path) {
        for stretch in path.stretches.iter().filter(|s| !matches!(s.from, From::Guitar(_))) {
            for to in &stretch.to {
                let (To::Device(device) | To::Amp(device) | To::Tuner(device)) = *to else { continue };
                if board.devices.get(device).is_some_and(|d| d.electric.bare.is_some()) {
                    met(self.buffered.entry((device, stretch.from)).or_default(), group);
                }
            }
        }
    }

    fn note(&mut self, group: u32, guitar: usize, path: &Path, limit: Option<f64>) {
        self.missing.extend_from_slice(&path.missing);
        // Kept short, as every group adds the same few.
        if self.missing.len() > 1000 {
            self.missing.sort();
            self.missing.dedup();
        }
        if path.silent {
            return;
        }
        self.heavy_loading(group, path);
        if path.missing.iter().any(|m| shapes(*m)) {
            return;
        }
        if path.missing.is_empty() {
            let level = path.circuit.level(1000.0);
            if level.is_finite() {
                let amp = |to: &To| if let To::Amp(amp) = to { Some(*amp) } else { None };
                let end = path.stretches.iter().rev().find_map(|stretch| stretch.to.iter().find_map(amp));
                self.levels.insert((group, guitar), (level, end));
            }
        }
        if let Some(limit) = limit.filter(|hz| !figures::holds_to(&path.circuit, *hz)) {
            self.lost.insert((group, guitar), limit);
        }
    }

    /// Follows two sides along the path from each stereo device, to what makes one of them. Where the path forks, each
    /// side has a way of its own.
    fn stereo(&mut self, book: &Book, route: &Route, group: u32, path: &Path) {
        let stereo = |device: DeviceId| book.board.devices.get(device).is_some_and(|d| d.stereo);
        // A tuner on a branch takes no side away.
        let goes_on = |to: &&To| match to {
            To::Open | To::Tuner(_) | To::Key(_) => false,
            To::Device(device) => {
                let loop_at = book.board.devices.get(*device).and_then(|d| d.loop_at);
                !route.leaving(loop_at.map_or(Place::Device(*device), |l| Place::Loop(l.value))).is_empty()
            }
            _ => true,
        };
        let mut wide: Option<DeviceId> = None;
        for stretch in &path.stretches {
            match stretch.from {
                From::Device(device) if stereo(device) => wide = Some(device),
                From::Device(device) => self.collapse(wide.take(), OneSided::Device(device), group),
                // What goes into an insert has one side; a leg begins anew.
                From::Send(device) if route.goes_into(&book.board, Place::Return(device)).is_some() => {
                    self.collapse(wide.take(), OneSided::Device(device), group);
                }
                From::Guitar(_) | From::Send(_) | From::LegSend(..) => wide = None,
                From::Buffer(_) => {}
            }
            let mut ends = stretch.to.iter().filter(goes_on);
            match (ends.next(), ends.next()) {
                (Some(to @ To::Amp(_)), None) => self.collapse(wide.take(), OneSided::End(*to), group),
                (Some(to @ To::Return(amp)), None) if !route.wide.contains(amp) => {
                    self.collapse(wide.take(), OneSided::End(*to), group);
                }
                (Some(To::Return(_)), None) | (Some(_), Some(_)) => wide = None,
                _ => {}
            }
        }
    }

    fn collapse(&mut self, stereo: Option<DeviceId>, by: OneSided, group: u32) {
        let Some(device) = stereo else { return };
        met(self.collapses.entry((device, by)).or_default(), group);
    }

    fn heavy_loading(&mut self, group: u32, path: &Path) {
        let unsure = |m: &Missing| {
            !matches!(m, Missing::Gain(_) | Missing::Leg(..) | Missing::Moved(..) | Missing::Patch | Missing::Cable(_))
        };
        let lacking: Vec<&Missing> = path.missing.iter().filter(|m| unsure(m)).collect();
        let patched = !path.missing.contains(&Missing::Patch);
        for (segment, stretch) in path.circuit.segments.iter().zip(&path.stretches) {
            if lacking.iter().any(|m| concerns(**m, stretch)) {
                continue;
            }
            let (source, load) = (segment.source_ohm(), segment.load());
            let corner = segment.corner().filter(|hz| patched && *hz < SPEAKER_TOP);
            // A hair is left for sums of inverses.
            if load >= source * LIGHT * (1.0 - 1e-9) && corner.is_none() {
                continue;
            }
            let mut to = stretch.to.clone();
            to.sort();
            to.dedup();
            let found = HowHeavy { source, load, loss: segment.loading(), corner, groups: Vec::new() };
            let how = self.heavy.entry(Heavy { from: stretch.from, to }).or_insert(found);
            met(&mut how.groups, group);
        }
    }

    /// The first scene by name of some groups, and how many scenes they hold in all.
    pub fn scenes(&self, book: &Book, groups: &[u32]) -> (SceneId, usize) {
        let all =
            || self.groups.of_scene.pairs().filter(|(_, g)| groups.binary_search(g).is_ok()).map(|(scene, _)| scene);
        let first = all().min_by_key(|s| book.show.scene(*s).map(|s| &s.name));
        (first.unwrap_or_default(), all().count())
    }

    /// The level of a scene at 1 kHz, in dB re the pickup, with the trim of the output that feeds the amp at its end.
    pub fn level(&self, book: &Book, table: &Table, scene: SceneId, guitar: usize) -> Option<f64> {
        let group = *self.groups.of_scene.get(scene)?;
        let (level, amp) = *self.levels.get(&(group, guitar))?;
        Some(level + amp.map_or(Some(0.0), |amp| trim(book, table, scene, amp))?)
    }

    /// The limit in Hz below which the treble of a scene has fallen; None when it has not.
    pub fn treble_lost(&self, scene: SceneId, guitar: usize) -> Option<f64> {
        let group = *self.groups.of_scene.get(scene)?;
        self.lost.get(&(group, guitar)).copied()
    }
}

/// Notes a group once: they come in order, each for one guitar after the other.
fn met(groups: &mut Vec<u32>, group: u32) {
    if groups.last() != Some(&group) {
        groups.push(group);
    }
}

/// For each scene the guitars that play it, bit n for guitar n: those of the songs, or all when no song says; of these the
/// ones that the scene hears. A scene whose songs are played on none of them is looked at on those that it hears.
pub fn played(book: &Book, table: &Table) -> Vec<u64> {
    let all = match book.board.guitars.len() {
        n if n >= 64 => u64::MAX,
        n => (1u64 << n.max(1)) - 1,
    };
    let mut played = vec![0u64; book.show.scenes.len()];
    for song in &book.show.songs {
        for (part, scene) in song.parts.iter().filter_map(|p| Some((p, p.scene?))) {
            let guitars = song.guitar_of(part).filter(|g| *g < 64).map_or(all, |g| 1 << g);
            if let Some(slot) = played.get_mut(scene.index()) {
                *slot |= guitars;
            }
        }
    }
    for (base, combinations) in &book.show.combinations {
        let of = |scene: SceneId, played: &[u64]| played.get(scene.index()).copied().unwrap_or(0);
        let all = combinations.iter().chain([base]).fold(0, |all, scene| all | of(*scene, &played));
        for scene in combinations.iter().chain([base]) {
            if let Some(slot) = played.get_mut(scene.index()) {
                *slot = all;
            }
        }
    }
    played.iter_mut().filter(|g| **g == 0).for_each(|g| *g = all);
    if book.board.chooses_guitars() {
        for (slot, scene) in played.iter_mut().zip(book.show.scenes.ids()) {
            let heard = heard(book, table, scene) & all;
            *slot = if *slot & heard == 0 { heard } else { *slot & heard };
        }
    }
    played
}

/// The guitars that a scene hears for certain, bit n for guitar n: of others no figure is given.
fn heard(book: &Book, table: &Table, scene: SceneId) -> u64 {
    let row = Row::of(book, table, scene);
    let guitars = 0..book.board.guitars.len().min(64);
    guitars.filter(|guitar| row.hears(*guitar) == Answer::Yes).fold(0, |all, guitar| all | 1 << guitar)
}

/// True when a missing value is one of this stretch: what drives it, or what loads it.
fn concerns(missing: Missing, stretch: &super::path::Stretch) -> bool {
    match missing {
        Missing::Pickup(_) | Missing::Volume(_) => matches!(stretch.from, From::Guitar(_)),
        Missing::Output(d) => stretch.from == From::Device(d),
        Missing::Send(d) => matches!(stretch.from, From::Send(of) | From::LegSend(of, _) if of == d),
        Missing::Input(d) => [To::Device(d), To::Amp(d), To::Tuner(d)].iter().any(|to| stretch.to.contains(to)),
        Missing::Return(d) => stretch.to.iter().any(|to| matches!(to, To::Return(of) | To::Leg(of, _) if *of == d)),
        Missing::Key(d) => stretch.to.contains(&To::Key(d)),
        Missing::Loop(_) | Missing::Engaged(_) | Missing::Switched(_) | Missing::Circle => true,
        Missing::Gain(_) | Missing::Leg(..) | Missing::Moved(..) | Missing::Patch | Missing::Cable(_) => false,
    }
}

/// What is left of a guitar's treble at least, in Hz: a share of the -3 dB point of the guitar on its own lead.
fn limit(book: &Book, guitar: usize) -> Option<f64> {
    let guitar = book.board.guitars.get(guitar)?;
    let (pickup, volume, cable) = (guitar.pickup?, guitar.volume?, guitar.cable?);
    let source = Source {
        ohm: pickup.resistance.value(),
        henry: pickup.inductance.value(),
        farad: pickup.capacitance.value(),
        siemens: pickup.loss.map_or(0.0, |ohm| 1.0 / ohm.value()),
        volume: Some((volume.track.value(), volume.position.value() / 100.0)),
    };
    let alone = Segment { source, farad: cable.farads(), loads: Vec::new(), gain: 0.0 };
    figures::figures(&Circuit { segments: vec![alone], ..Circuit::default() }).minus_3db.map(|hz| hz * TREBLE_KEPT)
}

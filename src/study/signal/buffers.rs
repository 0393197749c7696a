//! Where a buffer would help most: the smallest set of places so that every scene keeps a stated treble point.

use super::figures;
use super::overview::played;
use super::path::{From, Path, To, Tried};
use super::{Signal, shapes};
use crate::book::Book;
use crate::ids::{DeviceId, SceneId};

/// Sets of places are tried one by one as long as there are no more places than this; beyond, one after another.
const EXHAUSTIVE: usize = 16;

/// A place and what a buffer there alone gives.
#[derive(Clone, PartialEq, Debug)]
pub struct Alone {
    /// The edge of the route that it stands at the head of.
    pub edge: usize,
    /// The lowest -3 dB point of all scenes and guitars, in Hz; None when nothing falls.
    pub lowest: Option<f64>,
    /// How many pairs of scene circuit and guitar still miss the target.
    pub misses: usize,
    /// A device that must see the bare guitar, an index of the board's: a buffer here would stand before it.
    pub bars: Option<DeviceId>,
}

/// The answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Buffers {
    /// The lowest -3 dB point as the board stands, in Hz, and how many pairs miss the target.
    pub before: (Option<f64>, usize),
    /// Each place alone.
    pub alone: Vec<Alone>,
    /// The smallest set of edges that meets the target; empty when nothing is needed, None when none does.
    pub smallest: Option<Vec<usize>>,
    /// True when no smaller set can do: all were tried.
    pub proven: bool,
    /// Pairs that were judged.
    pub judged: usize,
    /// Pairs that cannot be judged, as a value is missing.
    pub unknown: usize,
}

/// Searches; `target` is the -3 dB point to keep in Hz, `input` and `output` the buffer's impedances in ohm.
pub fn search(signal: &Signal<'_>, book: &Book, target: f64, input: f64, output: f64) -> Buffers {
    let mut guitars = vec![0u64; signal.groups.first.len()];
    for (group, mask) in signal.groups.of_scene.iter().zip(played(book, signal.table())) {
        if let Some(all) = guitars.get_mut(*group as usize) {
            *all |= mask;
        }
    }
    let mut pairs = Vec::new();
    let (mut unknown, mut bars) = (0, vec![None; signal.route.edges.len()]);
    for (scene, mask) in signal.groups.first.iter().zip(guitars) {
        for guitar in (0..book.board.guitars.len().min(64)).filter(|g| mask >> g & 1 == 1) {
            for (edge, bars) in bars.iter_mut().enumerate().filter(|(_, bars)| bars.is_none()) {
                let tried = Tried { edges: &[edge], input, output };
                *bars = signal.path(*scene, guitar, tried).and_then(|path| before_bare(book, &path));
            }
            match signal.path(*scene, guitar, Tried::NONE) {
                Some(path) if path.silent => {}
                Some(path) if !path.missing.iter().any(|m| shapes(*m)) => pairs.push((*scene, guitar)),
                _ => unknown += 1,
            }
        }
    }
    let circuit = |edges: &[usize], (scene, guitar): (SceneId, usize)| {
        signal.path(scene, guitar, Tried { edges, input, output }).map(|p| p.circuit)
    };
    let misses = |edges: &[usize], pair| circuit(edges, pair).is_some_and(|c| !figures::holds_to(&c, target));
    let measure = |edges: &[usize]| {
        let points = pairs.iter().filter_map(|p| figures::figures(&circuit(edges, *p)?).minus_3db);
        (points.min_by(f64::total_cmp), pairs.iter().filter(|p| misses(edges, **p)).count())
    };
    let all = |edges: &[usize]| pairs.iter().all(|p| !misses(edges, *p));
    let before = measure(&[]);
    let places = signal.route.edges.len();
    let alone: Vec<Alone> = (0..places)
        .map(|edge| {
            let (lowest, misses) = measure(&[edge]);
            Alone { edge, lowest, misses, bars: bars.get(edge).copied().flatten() }
        })
        .collect();
    let open: Vec<usize> = alone.iter().filter(|a| a.bars.is_none()).map(|a| a.edge).collect();
    let exact = open.len() <= EXHAUSTIVE;
    let smallest = if exact { smallest(&open, all) } else { one_after_another(&open, &pairs, misses) };
    // A set of one or none cannot be undercut, however it was found.
    let proven = exact || smallest.as_ref().is_some_and(|s| s.len() <= 1);
    Buffers { before, alone, smallest, proven, judged: pairs.len(), unknown }
}

/// A device that must see the bare guitar, and that a buffer which is tried drives in this path.
fn before_bare(book: &Book, path: &Path) -> Option<DeviceId> {
    let behind = path.stretches.iter().skip_while(|s| !matches!(s.from, From::Buffer(_)));
    let reached = behind.flat_map(|s| &s.to).filter_map(|to| match to {
        To::Device(device) | To::Amp(device) | To::Tuner(device) => Some(*device),
        _ => None,
    });
    reached.into_iter().find(|d| book.board.devices.get(*d).is_some_and(|d| d.electric.bare.is_some()))
}

/// The first set, by size and then in order, that does.
fn smallest(places: &[usize], does: impl Fn(&[usize]) -> bool) -> Option<Vec<usize>> {
    let chosen = |bits: u32| places.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1).map(|(_, p)| *p).collect();
    let mut sets: Vec<Vec<usize>> = (0..1u32 << places.len()).map(chosen).collect();
    sets.sort_by(|a: &Vec<usize>, b| (a.len(), a).cmp(&(b.len(), b)));
    sets.into_iter().find(|set| does(set))
}

/// Adds the place that helps most, until nothing misses the target.
fn one_after_another<P: Copy>(
    places: &[usize],
    pairs: &[P],
    misses: impl Fn(&[usize], P) -> bool,
) -> Option<Vec<usize>> {
    let mut set: Vec<usize> = Vec::new();
    let count = |set: &[usize]| pairs.iter().filter(|p| misses(set, **p)).count();
    let mut left = count(&set);
    while left > 0 {
        let tried = places.iter().copied().filter(|p| !set.contains(p)).map(|p| {
            let with: Vec<usize> = set.iter().copied().chain([p]).collect();
            (count(&with), p)
        });
        let (after, place) = tried.min()?;
        if after >= left {
            return None;
        }
        set.push(place);
        left = after;
    }
    set.sort_unstable();
    Some(set)
}

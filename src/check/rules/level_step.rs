//! Two parts of one song whose levels lie further apart than the book's limit: any part may follow any, as songs are
//! not always played as listed (`ways as listed` says that they are).
//!
//! # On stage
//! The player steps on a switch and the sound jumps, or drops away, in the middle of a song.
//!
//! # Way out
//! Set the gains closer, or say that it should jump: `allow level-step FROM to TO "why"`. The levels are those at 1 kHz
//! on the song's guitar, before what the amplifier itself does. Without a line such as `limit level step 6 dB` no step
//! is too much.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 9 dB measured }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! allow level-step dirt to bed "the drop is meant"
//! limit level step 6 dB
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain -5 dB stated }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! allow level-step dirt to bed "the rise is meant"
//! limit level step 3 dB
//! ```
//!
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 9 dB measured }
//! amp larch { fed by output 1; input 1 Mohm; control channel on remote 1 tip { clean: open; lead: closed } }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! default { larch.channel clean }
//! scene bed { }
//! scene dirt { engage ember; larch.channel lead }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! limit level step 6 dB
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 9 dB measured }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! limit level step 12 dB
//! ```

use indexmap::IndexMap;
use rustc_hash::FxHashSet;

use crate::ids::SceneId;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::{Book, DeviceKind, Part, Song, Ways, amount};
use crate::settle::{Answer, Row, Setting};
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let Some(limit) = book.board.limit_step else { return };
    let most = limit.value.value();
    let level = |scene, guitar| facts.signal().level(book, facts.table, scene, guitar);
    let listed = book.board.ways.is_some_and(|w| w.value == Ways::Listed);
    let mut told: IndexMap<(SceneId, SceneId, usize), (Span, f64)> = IndexMap::new();
    for song in &book.show.songs {
        for ((a, b, at), guitar) in ways(song, listed, book) {
            let guitars = match guitar {
                Some(guitar) => guitar..guitar + 1,
                None => 0..book.board.guitars.len(),
            };
            for guitar in guitars {
                let levels = level(a, guitar).zip(level(b, guitar));
                let Some((before, after)) = levels else { continue };
                let step = after - before;
                // Only a step that is told rounds to more than the limit.
                if step.abs() > most + 0.005 {
                    told.entry((a, b, guitar)).or_insert((at, step));
                }
            }
        }
    }
    // Both directions of a pair are one report, unless the book allows one of them.
    let allowed = |one: &str, two: &str| book.allows.iter().any(|a| a.names == [one, two]);
    let mut done = FxHashSet::default();
    for (&(a, b, guitar), (at, step)) in &told {
        let (from, to) = (facts.scene(a), facts.scene(b));
        // Of a scene with switches pressed the book speaks by its name alone.
        let [one, two] = [a, b].map(|scene| facts.scene(book.show.base(scene)));
        let back = told.contains_key(&(b, a, guitar)) && !allowed(one, two) && !allowed(two, one);
        if back && done.contains(&(b, a, guitar)) {
            continue;
        }
        done.insert((a, b, guitar));
        let played = book.board.guitars.get(guitar).map_or("", |g| g.name.as_str());
        let way = if *step > 0.0 { ("jumps up", "drops") } else { ("drops", "jumps up") };
        let message = format!("from `{from}` to `{to}` the level {} by {:.1} dB on `{played}`", way.0, step.abs());
        let again = if back { format!(", and {} by as much on the way back", way.1) } else { String::new() };
        let reverse = if back { format!(" and `allow level-step {two} to {one} \"why\"`") } else { String::new() };
        let mut found = Diagnostic::new(*at, message + &again)
            .about(one)
            .about(two)
            .other(limit.at, format!("no more than {} is wanted", amount::show(limit.value)))
            .help(format!("set the gains closer, or say `allow level-step {one} to {two} \"why\"`{reverse}"));
        if let Some(turned) = turned(facts, a, b) {
            found = found.label(turned);
        }
        out.push(found);
    }
}

/// What an amplifier that is heard before and after is switched to: no figure knows what that does to the level.
fn turned(facts: &Facts<'_>, from: SceneId, to: SceneId) -> Option<String> {
    let (was, now) = (Row::of(facts.book, facts.table, from), Row::of(facts.book, facts.table, to));
    let amps = facts.book.board.devices.pairs().filter(|(_, d)| d.kind == DeviceKind::Amp);
    let heard = amps.filter(|(d, _)| was.fed(*d) == Answer::Yes && now.fed(*d) == Answer::Yes);
    let controls = heard.flat_map(|(d, amp)| amp.controls.pairs().map(move |(c, control)| (d, amp, c, control)));
    let says = controls.filter_map(|(d, amp, c, control)| match (was.setting(d, c), now.setting(d, c)) {
        (Some(Setting::State(before)), Some(Setting::State(after))) if before != after => {
            let state = |s: u16| control.states.get(usize::from(s)).map_or("", |s| s.name.as_str());
            Some(format!("`{}` goes from {} {} to {} too", amp.name, control.name, state(before), state(after)))
        }
        _ => None,
    });
    let says: Vec<String> = says.collect();
    (!says.is_empty()).then(|| format!("{}: what that does to the level is not counted", say::joined(&says, "and")))
}

/// Songs of more scenes than this are played as listed: the ways from each to each are too many to tell.
const MOST: usize = 64;

/// From which scene to which, and the part that is arrived at.
type Way = (SceneId, SceneId, Span);

/// The ways that a song may go, each with its guitar. From one guitar to another no step is told: what their pickups give
/// is not stated, so their levels do not compare.
fn ways(song: &Song, listed: bool, book: &Book) -> Vec<(Way, Option<usize>)> {
    let on = |guitar: &Option<usize>| {
        let parts: Vec<&Part> = song.parts.iter().filter(|p| song.guitar_of(p) == *guitar).collect();
        let listed = listed && song.guitars().len() == 1;
        ways_on(&parts, listed, book).into_iter().map(|way| (way, *guitar)).collect::<Vec<_>>()
    };
    if listed && song.guitars().len() > 1 {
        let next = song.parts.iter().zip(song.parts.iter().skip(1));
        let same = next.filter(|(a, b)| song.guitar_of(a) == song.guitar_of(b));
        let next = same.filter_map(|(a, b)| Some(((a.scene?, b.scene?, b.at), song.guitar_of(b))));
        let inside = song.parts.iter().filter_map(|part| {
            let one = [(part.scene?, part.at)];
            Some(pressed(&one, true, book).into_iter().map(move |way| (way, song.guitar_of(part))))
        });
        return next.chain(inside.flatten()).collect();
    }
    song.guitars().iter().flat_map(on).collect()
}

fn ways_on(parts: &[&Part], listed: bool, book: &Book) -> Vec<Way> {
    let parts: Vec<(SceneId, Span)> = parts.iter().filter_map(|p| Some((p.scene?, p.at))).collect();
    let inside = pressed(&parts, listed, book);
    let mut scenes: Vec<(SceneId, Span)> = Vec::new();
    for part in &parts {
        if scenes.len() <= MOST && !scenes.iter().any(|(scene, _)| *scene == part.0) {
            scenes.push(*part);
        }
    }
    if listed || scenes.len() > MOST {
        let listed = parts.iter().zip(parts.iter().skip(1)).map(|(a, b)| (a.0, b.0, b.1));
        return listed.chain(inside).collect();
    }
    let pairs = scenes.iter().flat_map(|(to, at)| scenes.iter().map(move |(from, _)| (*from, *to, *at)));
    pairs.filter(|(from, to, _)| from != to).chain(inside).collect()
}

/// What switches inside the presets do: each press from each combination, and the way on to the next part from each.
fn pressed(parts: &[(SceneId, Span)], listed: bool, book: &Book) -> Vec<(SceneId, SceneId, Span)> {
    let mut out = Vec::new();
    let show = &book.show;
    let bits = |scene: SceneId| show.pressed(scene);
    for (at, (scene, here)) in parts.iter().enumerate() {
        let base = show.base(*scene);
        let all = || show.combinations(base).iter().copied().chain([base]);
        if show.combinations(base).is_empty() || parts.iter().take(at).any(|(s, _)| show.base(*s) == base) && !listed {
            continue;
        }
        let one = |(from, to): &(SceneId, SceneId)| (bits(*from) ^ bits(*to)).count_ones() == 1;
        out.extend(all().flat_map(|from| all().map(move |to| (from, to))).filter(one).map(|(a, b)| (a, b, *here)));
        let next = parts.get(at + 1).filter(|_| listed).into_iter();
        let others = parts.iter().filter(|_| !listed).chain(next);
        let others = others.map(|(to, there)| (show.base(*to), *there)).filter(|(to, _)| *to != base);
        out.extend(others.flat_map(|(to, there)| show.combinations(base).iter().map(move |from| (*from, to, there))));
    }
    out
}

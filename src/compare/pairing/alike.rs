//! How alike two things are whose names do not match, from 0 to 1000.
//!
//! Common practice, no source: what both have, over what either has (the Jaccard index), each thing counted once.

use smol_str::SmolStr;

use super::pairs::Pairs;
use crate::Compiled;
use crate::book::amount::size;
use crate::book::night::statements;
use crate::book::{Device, How, Set, SetItem, Song, nfc};
use crate::compare::sound::Fact;
use crate::ids::{SceneId, SongId};
use crate::syntax::kind::Kind;
use crate::syntax::one_line::one_line;

/// Two things less alike than this are two things, not one renamed.
pub const THRESHOLD: u32 = 700;

/// Shared over all, in thousandths; 0 below the threshold.
fn ratio(shared: usize, all: usize) -> u32 {
    let likeness = (1000 * shared).checked_div(all).unwrap_or(0) as u32;
    if likeness < THRESHOLD { 0 } else { likeness }
}

/// Two rows by what is heard in them. Two rows in which nothing stands out are not alike: they say too little.
pub(super) fn scenes(old: &[Fact], new: &[Fact]) -> u32 {
    let (mut a, mut b, mut shared) = (0, 0, 0);
    while let (Some(x), Some(y)) = (old.get(a), new.get(b)) {
        match x.key.cmp(&y.key) {
            std::cmp::Ordering::Less => a += 1,
            std::cmp::Ordering::Greater => b += 1,
            std::cmp::Ordering::Equal => {
                shared += usize::from(x.value.same(y.value));
                (a, b) = (a + 1, b + 1);
            }
        }
    }
    ratio(shared, (old.len() + new.len()).saturating_sub(shared))
}

/// Two songs by their parts with what these play, their tempo, guitar and tuning.
pub(super) fn songs(old: &Song, new: &Song, scenes: &Pairs<SceneId>) -> u32 {
    let mut left: Vec<(SmolStr, Option<SceneId>)> =
        old.parts.iter().map(|p| (p.label.clone(), p.scene.and_then(|s| scenes.new_of(s)))).collect();
    let mut shared = 0;
    for part in &new.parts {
        let key = (part.label.clone(), part.scene);
        if let Some(at) = left.iter().position(|l| *l == key && l.1.is_some()) {
            left.swap_remove(at);
            shared += 1;
        }
    }
    let parts = old.parts.len() + new.parts.len() - shared;
    let tempo = |s: &Song| s.tempo.map(|t| t.value.to_bits());
    let facts = [tempo(old) == tempo(new), old.guitar == new.guitar, old.tuning == new.tuning];
    ratio(shared + facts.iter().filter(|same| **same).count(), parts + facts.len())
}

/// Two sets by the songs that they play.
pub(super) fn sets(old: &Set, new: &Set, songs: &Pairs<SongId>) -> u32 {
    let mut left: Vec<Option<SongId>> = old.items.iter().filter_map(SetItem::song).map(|s| songs.new_of(s)).collect();
    let (was, mut now, mut shared) = (left.len(), 0, 0);
    for song in new.items.iter().filter_map(SetItem::song) {
        now += 1;
        if let Some(at) = left.iter().position(|l| *l == Some(song)) {
            left.swap_remove(at);
            shared += 1;
        }
    }
    ratio(shared, was + now - shared)
}

/// Two devices by what is stated of them.
pub(super) fn devices(old: &Compiled, a: &Device, new: &Compiled, b: &Device) -> u32 {
    if a.kind != b.kind {
        return 0;
    }
    let (left, right) = (facts(old, a), facts(new, b));
    let shared = left.iter().filter(|f| right.contains(f)).count();
    ratio(shared, left.len() + right.len() - shared)
}

/// What the files say of a device, without its name.
fn facts(compiled: &Compiled, device: &Device) -> Vec<String> {
    let mut out: Vec<String> = device.knobs.iter().map(|(name, value)| format!("knob {name} {value}")).collect();
    let mut add = |text: String| out.push(text);
    if let Some(title) = &device.title {
        add(format!("title {title}"));
    }
    if let Some(code) = &device.code {
        add(format!("code {}", code.value));
    }
    if let Some(at) = device.loop_at {
        add(compiled.book.board.loop_says(at.value));
    }
    if let Some(output) = device.fed_by {
        add(format!("output {}", output.value));
    }
    let words = [
        (device.stereo, "stereo"),
        (device.always_on, "always on"),
        (device.tap, "tap"),
        (device.under(), "under"),
        (device.tuner.is_some(), "tuner"),
    ];
    for (is, word) in words {
        if is {
            add(word.to_owned());
        }
    }
    for control in &device.controls {
        let how = match &control.how {
            How::Remote { contacts, .. } => contacts.iter().map(|c| c.says()).collect::<Vec<_>>().join(", "),
            How::Pulses { contact, count, .. } => format!("{} {count} pulses", contact.says()),
            How::Clock => "clock".to_owned(),
            How::Port { port, from, to, .. } => format!("port {port} {} {}", size(*from), size(*to)),
            How::Trim { output, from, to, .. } => format!("trim {output} {} {}", size(*from), size(*to)),
            How::Programs { channel, .. } => format!("programs {channel}"),
            How::Messages { channel, .. } => format!("messages {channel}"),
            How::Cc { channel, cc, .. } | How::CcStates { channel, cc, .. } => format!("cc {channel} {cc}"),
            _ => "foot".to_owned(),
        };
        let states: Vec<&str> = control.states.iter().map(|s| s.name.as_str()).collect();
        add(format!("control {} {how} {} {}", control.name, control.cue.says(), states.join(" ")));
    }
    if let Some(by) = device.engaged_by.and_then(|by| device.controls.get(by.control)) {
        add(format!("engaged by {}", by.name));
    }
    // Jacks, gain and power, which only the text holds.
    let text = stated_of(compiled, &device.name);
    out.extend(text);
    out
}

/// Electrical facts of a device, as the files say them.
fn stated_of(compiled: &Compiled, device: &str) -> Vec<String> {
    let mut out = Vec::new();
    let all = statements(&compiled.book, &compiled.files, &compiled.trees)
        .flat_map(|(view, old)| old.into_iter().chain([view]));
    let devices = all.filter(|v| matches!(v.kind(), Kind::Pedal | Kind::Buffer | Kind::Amp | Kind::Listener));
    for view in devices.filter(|v| v.child(Kind::Name).is_some_and(|n| nfc(n.text()) == device)) {
        let kinds =
            [Kind::Like, Kind::Input, Kind::Output, Kind::Send, Kind::Return, Kind::Gain, Kind::Power, Kind::Battery];
        let facts = view.children().filter(|v| kinds.contains(&v.kind()));
        out.extend(facts.map(|v| one_line(v.text())));
    }
    out
}

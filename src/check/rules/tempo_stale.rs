//! A pedal that has the tempo of one song, tapped or sent by a preset, and is heard at it in another.
//!
//! # On stage
//! The repeats of the last song run through this one, beside the beat, until somebody bends down to tap. A preset that sends the
//! pedal a program brings whatever tempo that program has: then nothing is known, and nothing told.
//!
//! # Way out
//! Tap it in the first part of the song in which it is heard, or in one before, or say that it is meant:
//! `allow tempo-stale DEVICE "a wash, no beat"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { bed }
//! set "night" { "Quay"; "Mole" }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! scene dry { mute }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { dry }
//! song "Weir" at 120 bpm { dry; bed; lift: bed, tap tide eighth }
//! set "night" { "Quay"; "Mole"; "Weir" }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide }
//! scene lift from bed { tide.tempo stays }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" at 140 bpm { lift }
//! set "night" { "Quay"; "Mole" }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! scene slap { engage tide; tide.tempo 200 bpm }
//! song "Quay" at 92 bpm { slap }
//! set "night" { "Quay" }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal tide { loop 1; tap by foot }
//! pedal ember { loop 2 }
//! scene bed { engage tide }
//! scene dirt { engage ember }
//! scene bare { engage tide }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { dirt }
//! set "night" { "Quay"; "Mole" }
//! if ember fails, dirt becomes bare
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! pedal ember { loop 2 }
//! scene bed { engage tide, ember }
//! scene bare { engage tide; tide.tempo 120 bpm }
//! song "Quay" at 92 bpm { bed }
//! set "night" { "Quay" }
//! if ember fails, bed becomes bare
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; banks 1..1, switches 1..4; inside: rows 2 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide; again lift }
//! scene lift { engage tide; tide.tempo stays }
//! scene dry { }
//! song "Mole" at 140 bpm { dry; lift }
//! song "Quay" at 92 bpm { bed }
//! set "night" { "Mole"; "Quay" }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! scene dry { mute }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { dry }
//! song "Weir" at 92 bpm { bed }
//! song "Lock" at 120 bpm { dry, tap tide eighth; bed }
//! set "night" { "Quay"; "Mole"; "Weir"; "Lock" }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot; control memory on midi 2 programs from 1 { slap: program 1; long: program 2 } }
//! scene bed { engage tide; tide.memory slap }
//! scene wide { engage tide; tide.memory long }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { wide }
//! set "night" { "Quay"; "Mole" }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide }
//! scene lift from bed { tide.tempo stays }
//! song "Quay" at 92 bpm { bed; lift }
//! set "night" { "Quay" }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! pedal ember { loop 2 }
//! scene bed { engage tide, ember }
//! scene bare { engage tide }
//! song "Quay" at 92 bpm { bed }
//! set "night" { "Quay" }
//! if ember fails, bed becomes bare
//! ```

use crate::ids::DeviceId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::amount;
use crate::study::tempo;
use crate::study::tempo::given::From;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for found in tempo::stale(facts.book, facts.table) {
        let show = &facts.book.show;
        let (Some((song, part)), Some((before, tapped))) = (show.part(found.heard), show.part(found.tapped)) else { continue };
        let device = facts.device(found.device);
        let says = format!(
            "{}\"{}\" is at {} bpm, and `{device}` still repeats at the {} bpm of \"{}\"",
            failed(facts, found.failed), song.title, song.tempo_text, before.tempo_text, before.title
        );
        out.push(
            Diagnostic::new(part.at, says)
                .label(format!("`{device}` is heard here{}", facts.standing_in(part, found.scene)))
                .other(tapped.at, "tapped here")
                .about(device)
                .help(format!("say `tap {device} {}` in this part, or in one before it, with the note value that is wanted", found.value)),
        );
    }
    given(facts, out);
}

/// `if `ember` fails, `, where it is so on such a night alone.
fn failed(facts: &Facts<'_>, device: Option<DeviceId>) -> String {
    device.map_or(String::new(), |device| format!("if `{}` fails, ", facts.device(device)))
}

/// The same of pedals that presets give their tempo.
fn given(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let part = |at| facts.book.show.part(at);
    for found in tempo::given::astray(facts.book, facts.table) {
        let (From::Preset(at, _) | From::Foot(at) | From::Way(at, _)) = found.from;
        let (Some((song, here)), Some((before, there))) = (part(found.heard), part(at)) else { continue };
        let device = facts.device(found.device);
        let (wants, has) = (amount::show(found.wants), amount::show(found.has));
        let scene = if let From::Preset(_, scene) = found.from { facts.scene(scene) } else { "" };
        let (says, label) = match found.from {
            From::Preset(at, _) if at == found.heard => (
                format!("\"{}\" wants `{device}` at {wants} here, and `{scene}` gives it {has}", song.title),
                format!("`{scene}` gives it {has}"),
            ),
            From::Way(at, first) => {
                let (first, second) = (facts.scene(first), facts.scene(facts.book.show.base(there.scene.unwrap_or_default())));
                let whose = if at.0 == found.heard.0 { String::new() } else { format!(" in \"{}\"", before.title) };
                (
                    format!(
                        "\"{}\" wants `{device}` at {wants} here, and it has the {has} that `{first}` gave it on the way to `{second}`{whose}",
                        song.title
                    ),
                    "it got its tempo on the way to this".to_owned(),
                )
            }
            From::Preset(..) => (
                format!("\"{}\" wants `{device}` at {wants} here, and it still has the {has} that `{scene}` gave it in \"{}\"", song.title, before.title),
                "it got its tempo here".to_owned(),
            ),
            From::Foot(_) => (
                format!("\"{}\" wants `{device}` at {wants} here, and it still has the {has} that was tapped in \"{}\"", song.title, before.title),
                "tapped here".to_owned(),
            ),
        };
        let now = facts.scene(found.scene);
        let says = failed(facts, found.failed) + &says;
        let hears = format!("`{device}` is heard here{}", facts.standing_in(here, found.scene));
        let told = Diagnostic::new(here.at, says).label(hears);
        let told = if there.at == here.at { told } else { told.other(there.at, label) };
        out.push(told.about(device).help(format!("let the song decide, and not what `{now}` says of `{device}.tempo`; or let a part before this one set it")));
    }
}

//! A scene that songs of several tempi play, while its preset gives a pedal the tempo: a preset stores one.
//!
//! # On stage
//! The repeats of one of the songs run beside its beat, every time it is played.
//!
//! # Way out
//! Give each tempo a preset of its own, by a scene that derives from this one. Or let the preset send no tempo
//! (`NAME.tempo stays`), and let a foot tap it, or a preset before it send it.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" at 140 bpm { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { verse: bed; refrain: bed, beat tide dotted-eighth }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! pedal ember { loop 2 }
//! scene bed { engage tide, ember }
//! scene lift from bed
//! scene bare { engage tide }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" at 140 bpm { lift }
//! if ember fails, bed becomes bare
//! if ember fails, lift becomes bare
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; inside: switches 6..7, toggles 1 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! scene bed { switch 6 toggles tide }
//! song "Quay" at 92 bpm { bed, press 6 }
//! song "Mole" at 140 bpm { loud: bed, press 6; end: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; inside: switches 6..7, toggles 1 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! scene bed { switch 6 toggles tide }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" at 140 bpm { bed, press 6 }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide }
//! scene fast from bed
//! song "Quay" at 92 bpm { bed }
//! song "Weir" at 92 bpm { bed }
//! song "Mole" at 140 bpm { fast }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! pedal ember { loop 2 }
//! scene bed { engage ember }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" at 140 bpm { bed }
//! ```

use crate::book::amount;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::source::Span;
use crate::study::momentary::offer;
use crate::study::tempo::given::{Clash, Want, clashes};

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many presets more are written as one change.
const MOST: usize = 9;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for clash in clashes(facts.book, facts.table) {
        let Some((first, rest)) = clash.wants.split_first() else { continue };
        let scene = facts.scene(clash.scene);
        // The pedal that two of the tempi are told of: the first that they differ in.
        let differs = |want: &Want| first.tempi.iter().zip(&want.tempi).position(|(a, b)| amount::size(*a) != amount::size(*b));
        let Some((other, at)) = rest.iter().find_map(|want| Some((want, differs(want)?))) else { continue };
        let device = clash.devices.get(at).map_or("", |d| facts.device(*d));
        let tempo = |want: &Want| want.tempi.get(at).map_or(String::new(), |tempo| amount::show(*tempo));
        let whose = |want: &Want| want.parts.first().map_or("", |(song, _)| facts.book.show.songs.get(*song).map_or("", |s| &s.title));
        let message = if whose(first) == whose(other) {
            format!("\"{}\" wants `{device}` at {} and at {} in `{scene}`, and a preset stores one tempo", whose(first), tempo(first), tempo(other))
        } else {
            format!(
                "\"{}\" wants `{device}` at {} in `{scene}`, \"{}\" wants it at {}, and a preset stores one tempo",
                whose(first),
                tempo(first),
                whose(other),
                tempo(other)
            )
        };
        let more = rest.len();
        let count = if more == 1 { "one preset more".to_owned() } else { format!("{more} presets more") };
        let mut told = Diagnostic::new(facts.scene_at(clash.scene), message)
            .label(format!("it takes {count}, and no fewer while each sends its own tempo"))
            .about(scene)
            .besides(format!("send no tempo in `{scene}`: then what was sent before stands, and nobody knows which"))
            .help(format!("give each tempo a scene that derives from `{scene}`, or send none in it"));
        if let Some((names, made)) = split(facts, &clash) {
            let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
            let says = format!("add {} from `{scene}`, and play one tempo with each", say::joined(&names, "and"));
            told = told.way("", says, Some(made));
        }
        for want in [first, other] {
            let part = want.parts.first().and_then(|at| facts.book.show.part(*at)).map(|(_, part)| part);
            let tempi = clash.devices.iter().zip(&want.tempi);
            let tempi: Vec<String> =
                tempi.map(|(device, tempo)| format!("`{}` at {}", facts.device(*device), amount::show(*tempo))).collect();
            if let Some(part) = part {
                let here = format!("{} here{}", say::joined(&tempi, "and"), facts.standing_in(part, clash.scene));
                told = told.other(part.at, here);
            }
        }
        out.push(told);
    }
}

/// Edits, by the place.
type Edits = Vec<(Span, String)>;

/// A scene of its own for each further tempo, and the parts that play it; nothing where it only stands in for theirs.
fn split(facts: &Facts<'_>, clash: &Clash) -> Option<(Vec<String>, Edits)> {
    let scene = facts.book.show.scene(clash.scene)?;
    let more = clash.wants.get(1..).filter(|more| more.len() <= MOST)?;
    let (mut names, mut made) = (Vec::new(), Vec::new());
    for want in more {
        let name = offer::name(facts.book, &scene.name, &names);
        for at in &want.parts {
            let (_, part) = facts.book.show.part(*at)?;
            if part.scene != Some(clash.scene) {
                return None;
            }
            made.push(offer::played(facts.mentions(), part.at, &name)?);
        }
        names.push(name);
    }
    let text = names.iter().fold(String::new(), |out, name| out + &format!("scene {name} from {}\n", scene.name));
    made.push((offer::before(facts.files, scene.at)?, text));
    made.sort();
    Some((names, made))
}

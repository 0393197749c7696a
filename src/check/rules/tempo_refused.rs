//! A tempo asked for in a way that the pedal does not take: a note value where only a foot or a clock gives the tempo, a song
//! that is too fast or too slow for it, or a contact treated as a switch that takes the pulses of a tempo.
//!
//! # On stage
//! The pedal would stay at the tempo it had; a contact that is closed now and then would be taken for a tap.
//!
//! # Way out
//! Tap by foot where a foot gives the tempo, set the note value on the pedal where the clock does, and say a tempo that it
//! takes.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal lag { loop 1; tempo by clock }
//! scene bed { engage lag }
//! song "Quay" at 92 bpm { bed, beat lag dotted-eighth }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide; close remote 1 tip }
//! song "Quay" at 92 bpm { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tempo on midi 5 cc 21 from 40 bpm to 240 bpm }
//! scene bed { engage tide }
//! song "Quay" at 132 bpm { bed, beat tide eighth }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip from 40 bpm to 300 bpm }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { bed, beat tide dotted-eighth }
//! ```

use crate::book::fault::Refused;
use crate::book::amount::Amount;
use crate::book::beat::{Wish, at};
use crate::book::{Control, Fault, Song, amount};
use crate::check::{Diagnostic, Facts, Severity};
use crate::study::tempo::given::beyond;
use crate::syntax::grammar::song::NOTE_VALUES;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::TempoRefused { at, device, why, there } = fault else { continue };
        let (message, help) = match why {
            Refused::Clock => (
                format!("`{device}` follows the clock, and the clock gives it beats alone"),
                format!("set the note value on `{device}` itself, and take this out"),
            ),
            Refused::Foot => (
                format!("only a foot gives `{device}` its tempo"),
                format!("`tap {device}` in place of `beat {device}` leaves it to the foot; or describe what else gives it its tempo"),
            ),
            Refused::Nothing => (
                format!("nothing gives `{device}` a tempo"),
                format!(
                    "describe what does, as `tempo by 3 pulses on remote 1 tip` or `tempo on midi 5 cc 21 from 40 bpm to 240 bpm` in `{device}`"
                ),
            ),
            Refused::SongUntimed => (
                format!("the song says no tempo, so `{device}` has none to be given"),
                "say its tempo behind its title, in bpm".to_owned(),
            ),
            Refused::Contact(contact) => (
                format!("the pulses of {} give `{device}` its tempo: it is no switch", contact.says()),
                format!("say `{device}.tempo` with a tempo in bpm, or `{device}.tempo stays`; or use another contact here"),
            ),
        };
        let told = Diagnostic::new(*at, message).other(*there, format!("`{device}` is described here")).help(help);
        out.push(match why {
            Refused::Contact(_) => told.way("", "take it out", facts.take_out(*at)),
            _ => told,
        });
    }
    for wish in beyond(facts.book, facts.table) {
        let Some((song, part)) = facts.book.show.part((wish.song, wish.part)) else { continue };
        let Some((device, control)) = facts.part(wish.device, wish.control) else { continue };
        let Some((from, to)) = control.how.takes() else { continue };
        let (name, tempo) = (&device.name, amount::show(wish.tempo));
        let wants = if wish.value == crate::book::beat::BEAT {
            format!("\"{}\" is at {tempo}", song.title)
        } else {
            format!("\"{}\" is at {} bpm, which in this note value comes to {tempo}", song.title, song.tempo_text)
        };
        out.push(
            Diagnostic::new(part.at, format!("{wants}, and `{name}` takes {} to {}", amount::show(from), amount::show(to)))
                .label(format!("`{name}` is heard here{}", facts.standing_in(part, wish.scene)))
                .other(control.at, "what it takes is said here")
                .about(name)
                .help(help(name, &taken(&wish, song, control))),
        );
    }
}

/// The note values at which the pedal takes the song's tempo, each with what it comes to.
fn taken(wish: &Wish<'_>, song: &Song, control: &Control) -> Vec<(&'static str, Amount)> {
    let Some(beat) = Amount::read(&format!("{} bpm", song.tempo_text)) else { return Vec::new() };
    let of = |value: &'static str| {
        let tempo = at(beat, value)?;
        Wish { value, tempo, ..*wish }.step(&control.how).map(|_| (value, tempo))
    };
    NOTE_VALUES.into_iter().filter_map(of).collect()
}

fn help(name: &str, taken: &[(&str, Amount)]) -> String {
    let stays = format!("say `{name}.tempo stays` in the scene");
    let says = |(value, tempo): &(&str, Amount)| format!("`{value}` ({})", amount::show(*tempo));
    match taken {
        [] => format!("no note value brings the song into what it takes: {stays}, or give the song another tempo"),
        [(value, _), rest @ ..] => {
            let more = if rest.is_empty() { "" } else { " or another of these" };
            let all = taken.iter().map(says).collect::<Vec<_>>().join(", ");
            format!("name a note value that it takes, `beat {name} {value}`{more}: {all}; or {stays}")
        }
    }
}

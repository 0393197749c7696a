//! Two devices on one MIDI channel, or two controls of one device that are the same message.
//!
//! # On stage
//! A device hears all that is sent on its channel: the program that was meant for one changes the other too, and which
//! sound is left depends on which message came last.
//!
//! # Way out
//! Give each device a channel of its own. If both are meant to follow the same messages, let both say `shared`, as
//! `control room on midi 2 programs from 0 shared { … }`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; control memory on midi 1 programs from 1 { slap: program 1; long: program 2 } }
//! pedal attic { loop 2; control room on midi 1 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage gully, attic; gully.memory slap; attic.room hall }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal attic {
//!   loop 1
//!   level size on midi 6 cc 20 from 0 % to 100 %
//!   level air on midi 6 cc 20 from 0 % to 100 %
//! }
//! scene bed { engage attic; attic.size 20 %; attic.air 30 % }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal gully {
//!   loop 1
//!   control memory on midi 1 programs from 1 { slap: program 1; long: program 2 }
//!   level blend on midi 1 cc 20 from 0 % to 100 %
//! }
//! pedal attic { loop 2; control room on midi 2 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage gully, attic; gully.memory slap; gully.blend 20 %; attic.room hall }
//! song "Quay" { bed }
//! ```

use crate::book::Fault;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::ChannelClaimed { at, first, channel, one_device } = fault else { continue };
        let name = |at| facts.device_at(at).map_or("", |d| d.name.as_str());
        let (one, two) = (name(*first), name(*at));
        let told = if *one_device {
            Diagnostic::new(*at, format!("`{two}` takes this message of channel {channel} for two things"))
                .other(*first, "it takes it for this already")
                .help("only the one that is sent last would hold: let them be two messages")
        } else {
            Diagnostic::new(*at, format!("`{two}` hears what `{one}` is sent: both listen on MIDI channel {channel}"))
                .other(*first, format!("`{one}` listens there"))
                .help("give each a channel of its own; if both are meant to follow the same messages, let both say `shared`")
        };
        out.push(told);
    }
}

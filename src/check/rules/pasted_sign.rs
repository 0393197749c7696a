//! A curly quote, a long dash or an arrow sign, as phones and word processors put them in.
//!
//! # On stage
//! It looks right on paper, and a search for the song or the pedal does not find it.
//!
//! # Way out
//! Type the plain sign: `"`, `-` or `->`. Inside a text with straight quotes every sign is welcome.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song “Quay” { bed }
//! ```
//! ```scene
//! guitar plank
//! amp line–out
//! chain front: guitar → line–out
//! ```
//! ```scene
//! scene bed { mute }
//! song «Quay» { bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay – by “night” → dawn" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Fix, How, Severity};
use crate::syntax::fault::{Fault, Pasted};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::Pasted { at, what, closing } = fault else { continue };
        let sign = facts.text(*at);
        let (name, plain) = match what {
            Pasted::Quote => ("a curly quote", "\""),
            Pasted::Dash => ("a long dash", "-"),
            Pasted::Arrow => ("an arrow sign", "->"),
        };
        let mut told = Diagnostic::new(*at, format!("`{sign}` is {name}, as a phone or a word processor puts it"))
            .help(format!("type the plain sign `{plain}`"));
        let mut edits = vec![(*at, plain.to_owned())];
        if let Some(closing) = closing {
            edits.push((*closing, plain.to_owned()));
            told = told.other(*closing, "its partner");
        }
        told.fix = Some(Fix { says: format!("put `{plain}`"), how: How::Sign, edits });
        out.push(told);
    }
}

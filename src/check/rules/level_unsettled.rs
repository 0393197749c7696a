//! A scene sounds through a pedal or an amp, and no statement sets one of its levels: not the scene, not what it
//! builds on, not the default.
//!
//! # On stage
//! The pedal comes on as deep or as loud as the last song left it.
//!
//! # Way out
//! Set it in the scene, or once for all scenes in `default`; or hand it to a foot with `foot`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on midi 3 cc 14 from 0 % to 100 % }
//! scene bed { engage throb, haze; expression 1 at 50 % }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! default { throb.depth 0 % }
//! scene bed { engage throb }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{How, amount};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for found in facts.unsettled() {
        let Some((from, to)) = found.own.how.level() else { continue };
        let fed = |port: u16| facts.book.board.treadle_of(port).is_some();
        let (from, to) = (amount::show(from), amount::show(to));
        let mut values = vec![from.clone()];
        if let How::Port { port, .. } = found.own.how
            && fed(port)
        {
            values.push("foot".to_owned());
        }
        let help = format!("decide on a value from {from} to {to}, and say it in {}, or in `default`", found.places);
        let own = found.own;
        let told = found.offering(facts, &values).besides(format!("another value up to {to}"));
        out.push(told.other(own.at, "its range is stated here").help(help));
    }
}

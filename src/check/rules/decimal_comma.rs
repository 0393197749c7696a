//! A decimal comma, where the language parts a list with commas.
//!
//! # On stage
//! Read as a list, `20,5` would be two settings; the one that was meant would be lost without a sound.
//!
//! # Way out
//! Write a decimal point: `20.5`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 20,5 % }
//! song "Quay" { bed }
//! ```
//! ```scene
//! guitar plank { pickup 2,5 H, 7.5 kohm, 110 pF }
//! ```
//!
//! # Silent
//! ```scene
//! guitar plank { pickup 2.5 H, 7.5 kohm,110 pF }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::source::Span;
use crate::syntax::fault::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let commas = facts.reading.iter().filter_map(|f| if let Fault::DecimalComma { at } = f { Some(*at) } else { None });
    let commas: Vec<Span> = commas.collect();
    // Whoever writes one on a line writes all of that line so.
    for all in commas.chunk_by(|a, b| facts.line(*a) == facts.line(*b)) {
        if let [at, more @ ..] = all {
            let point = facts.text(*at).replace(',', ".");
            let mut told = Diagnostic::new(*at, format!("`{}` has a decimal comma", facts.text(*at)))
                .help(format!("say `{point}`: commas part the items of a list"))
                .fix(How::Figure, format!("say `{point}`"), *at, &point);
            for next in more {
                let point = facts.text(*next).replace(',', ".");
                told = told.other(*next, format!("say `{point}` here"));
                if let Some(fix) = &mut told.fix {
                    fix.edits.push((*next, point));
                }
            }
            out.push(told);
        }
    }
}

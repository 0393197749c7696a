//! A pedal that wants a ground of its own and does not have it, or two outlets of one ground wired the opposite way round.
//!
//! # On stage
//! Hum from one pedal is heard through the other. With opposite plugs on one ground the supply is shorted by the
//! audio leads.
//!
//! # Way out
//! Give it an outlet that is `isolated`, alone.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, shared }
//! pedal ember { loop 1; power brick.A, 4 mA, isolated }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA, isolated }
//! pedal prism { loop 2; power brick.A, 9 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, shared; outlet B 9 V, 100 mA, centre-positive, shared }
//! pedal ember { loop 1; power brick.A, 4 mA }
//! pedal prism { loop 2; power brick.B, 9 mA, centre-positive }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//!
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA at 9 V, centre-negative }
//! pedal prism { loop 2; power brick.A, 9 mA at 9 V, centre-positive, reversing lead }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA, isolated }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA }
//! pedal prism { loop 2; power brick.A, 9 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::electric::Taker;
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for load in &facts.supply().loads {
        for problem in &load.problems {
            let name = |taker| book.board.taker(taker);
            let (device, message) = match *problem {
                Problem::Shared { device } => {
                    (device, format!("`{}` wants a ground of its own, and this outlet shares its ground", name(device)))
                }
                Problem::Together { device, with } => {
                    (device, format!("`{}` wants a ground of its own, and `{}` hangs on its outlet", name(device), name(with)))
                }
                Problem::Opposite { other } => {
                    let Some(device) = load.takers.first() else { continue };
                    let outlets = book.board.supplies.get(load.of.0).map(|s| s.outlets.as_slice()).unwrap_or_default();
                    if other == load.of.1 {
                        let message = "of what hangs on this outlet one has a reversing lead and one has not: the audio leads short it";
                        let reversed = |taker: &&Taker| book.board.power(**taker).is_some_and(|p| p.reversed);
                        let device = load.takers.iter().find(reversed).unwrap_or(device);
                        let Some(power) = book.board.power(*device) else { continue };
                        out.push(
                            Diagnostic::new(power.at, message)
                                .about(name(*device))
                                .help("give each an outlet of its own"),
                        );
                        continue;
                    }
                    let other = outlets.get(other).map_or("", |o| o.name.as_str());
                    let message = format!("this outlet shares its ground with `{other}`, which is wired the other way round");
                    (*device, message)
                }
                _ => continue,
            };
            let Some(power) = book.board.power(device) else { continue };
            out.push(
                Diagnostic::new(power.at, message)
                    .about(name(device))
                    .help("give it an isolated outlet that feeds nothing else"),
            );
        }
    }
}

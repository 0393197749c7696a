//! An amplifier to which a chain leads from an output that it does not say feeds it.
//!
//! # On stage
//! An output that feeds nothing stays off: the amplifier is silent all night. Or the scene that turns one amplifier off turns
//! off the other.
//!
//! # Way out
//! Say in the amplifier which output feeds it, the one that the chain comes from: `fed by output 2`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! chain side: loop 1 -> output 2 -> cable 6 m at 100 pF/m -> alder
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! chain side: loop 1 -> output 2 -> cable 6 m at 100 pF/m -> alder
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for (chain, along) in board.chains.iter().zip(&facts.route().chains).filter(|(c, _)| !c.faulty) {
        let mut last = None;
        for (place, link) in along {
            match (last, *place) {
                (_, Place::Output(output)) => last = Some(output),
                (Some(output), Place::Amp(number)) => {
                    let Some(amp) = board.devices.get(number).filter(|d| !d.faulty) else { continue };
                    let at = chain.links.get(*link).map_or(chain.at, |l| l.at);
                    let (name, chain) = (&amp.name, &chain.name);
                    out.extend(match amp.fed_by {
                        Some(fed) if fed.value == output => None,
                        Some(fed) => Some(
                            Diagnostic::new(at, format!("`{chain}` leads to `{name}` from output {output}, and output {} feeds it", fed.value))
                                .other(fed.at, "says its description"),
                        ),
                        None => Some(
                            Diagnostic::new(at, format!("`{chain}` leads to `{name}` from output {output}, which stays off"))
                                .other(amp.at, "nothing says that the output feeds it"),
                        ),
                    }.map(|told| {
                        let say = format!("fed by output {output}");
                        let lead = "lead the chain from the output that feeds it";
                        told.way("", format!("say `{say}` in `{name}`"), facts.in_block_as(amp.at, Kind::FedBy, &say)).besides(lead).help(lead)
                    }));
                }
                // What stands between them does not part them.
                (_, Place::Device(_)) => {}
                _ => last = None,
            }
        }
    }
}

//! One mistake, one report: what only follows from a mistake that is told is left out.

use super::{Diagnostic, Facts, Severity};
use crate::source::Span;

/// Leaves out what a line says that could not be read to its end, and joins what is said in the same words.
pub(super) fn left_out(facts: &Facts<'_>, found: &mut Vec<Diagnostic>) {
    let mut broken: Vec<(u32, u32)> = found.iter().filter(|d| d.code == "syntax").map(|d| facts.line(d.at)).collect();
    broken.sort_unstable();
    if !broken.is_empty() {
        // What is told of the reading stays: it is the mistake itself.
        let mut read: Vec<Span> = super::read(facts).collect();
        read.sort_unstable();
        let stays = |d: &Diagnostic| d.code == "syntax" || read.binary_search(&d.at).is_ok();
        let parted = |d: &Diagnostic| broken.binary_search(&facts.line(d.at)).is_ok();
        found.retain(|d| d.severity != Severity::Error || stays(d) || !parted(d));
    }
    joined(found);
}

/// Where the cause may be one number that is too low, or one line that is not there: said once for all places.
const JOINED: [&str; 3] = ["foot-cannot-reach", "jack-missing", "loop-missing"];

/// Errors that say the same, and have one cause, are one: it names how many more places it is about.
fn joined(found: &mut Vec<Diagnostic>) {
    found.sort_by(|a, b| (a.code, &a.message, a.at).cmp(&(b.code, &b.message, b.at)));
    let mut out: Vec<(Diagnostic, usize)> = Vec::with_capacity(found.len());
    for next in found.drain(..) {
        match out.last_mut() {
            Some((kept, more)) if same(kept, &next) => {
                *more += 1;
                if kept.others.len() < MOST_PLACES {
                    kept.others.push((next.at, "here too".to_owned()));
                }
            }
            _ => out.push((next, 0)),
        }
    }
    found.extend(out.into_iter().map(|(mut kept, more)| {
        if more > 0 {
            let lines = if more == 1 { "one more place".to_owned() } else { format!("{more} more places") };
            kept.message = format!("{} (and in {lines})", kept.message);
        }
        kept
    }));
}

/// Other places that a joined report points at.
const MOST_PLACES: usize = 3;

fn same(a: &Diagnostic, b: &Diagnostic) -> bool {
    let alone = |d: &Diagnostic| JOINED.contains(&d.code) && d.fix.is_none();
    let ways = |d: &Diagnostic| d.ways.iter().map(|way| way.says.clone()).collect::<Vec<_>>();
    alone(a) && alone(b) && (a.code, &a.message, &a.help) == (b.code, &b.message, &b.help) && ways(a) == ways(b)
}

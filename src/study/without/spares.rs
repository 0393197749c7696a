//! Which spares are worth taking along. A spare is worth what is lost without it: over all parts that are played, how far the
//! best that is left lies from what was meant. If one thing dies, and each is as likely to, the first of the list save more
//! than any others of their number: what they are worth adds up.

use std::collections::BTreeMap;

use super::blow::Struck;
use super::moves::Move;
use super::{Dead, Hit, Part, Told};
use crate::study::wiring::LeadKind;

/// A thing to take along.
#[derive(Clone, PartialEq, Debug)]
pub struct Spare {
    /// The parts that it stands in for: one, or all leads of a kind and length.
    pub parts: Vec<Part>,
    /// What is lost without it, in hundredths, and in how many parts that are played.
    pub worth: u64,
    pub plays: usize,
}

/// All that loses something, the most first.
pub(super) fn order(told: &Told<'_>, dead: &[Dead]) -> Vec<Spare> {
    let mut leads: BTreeMap<(LeadKind, u64), Spare> = BTreeMap::new();
    let mut out: Vec<Spare> = Vec::new();
    for dead in dead.iter().filter(|d| matches!(d.struck, Struck::Presets(_))) {
        let (worth, plays) = lost(dead);
        match dead.part {
            Part::Device(_) | Part::Treadle(_) | Part::Supply(_) => {
                out.push(Spare { parts: vec![dead.part], worth, plays })
            }
            Part::Lead(at) => {
                let Some(lead) = told.wiring.leads.get(at) else { continue };
                // Lengths in millimetres; those that nobody states are one kind.
                let length = lead.length.map_or(u64::MAX, |metres| (metres * 1000.0).round() as u64);
                let spare = leads.entry((lead.kind, length)).or_insert(Spare { parts: Vec::new(), worth: 0, plays: 0 });
                spare.parts.push(dead.part);
                (spare.worth, spare.plays) = (spare.worth + worth, spare.plays + plays);
            }
            _ => {}
        }
    }
    out.extend(leads.into_values());
    out.retain(|spare| spare.worth > 0);
    out.sort_by(|a, b| (b.worth, &a.parts).cmp(&(a.worth, &b.parts)));
    out
}

/// What is lost in all plays, by the best that is left, and in how many.
fn lost(dead: &Dead) -> (u64, usize) {
    if matches!(dead.first, Move::Outlets(_)) {
        return (0, 0);
    }
    let best = |hit: &Hit| hit.near.map_or(hit.loss, |way| way.off.min(hit.loss));
    dead.hits.iter().fold((0, 0), |(worth, plays), hit| {
        let many = hit.plays.len();
        (worth + best(hit) * many as u64, plays + if best(hit) > 0 { many } else { 0 })
    })
}

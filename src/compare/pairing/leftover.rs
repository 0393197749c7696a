//! What neither `was` nor a name pairs.

use super::assign;
use super::matched::{Matched, Paired, Renamed};
use super::pairs::Pairs;
use crate::ids::Id;

/// Pairs what is left over by likeness: the best pairing while few are left, else the most alike first.
pub(super) fn leftover<I: Id>(
    pairs: &mut Pairs<I>,
    kind: Paired,
    old_name: &dyn Fn(I) -> String,
    new_name: &dyn Fn(I) -> String,
    likeness: &dyn Fn(I, I) -> u32,
    out: &mut Matched,
) {
    // By name, so that the order of the files does not decide between pairings that are equally good.
    let sorted = |ids: &mut dyn Iterator<Item = I>, name: &dyn Fn(I) -> String| {
        let mut ids: Vec<(String, I)> = ids.map(|id| (name(id), id)).collect();
        ids.sort();
        ids
    };
    let was = sorted(&mut pairs.lone_old(), old_name);
    let now = sorted(&mut pairs.lone_new(), new_name);
    if was.is_empty() || now.is_empty() {
        return;
    }
    let table: Vec<Vec<u32>> = was.iter().map(|(_, x)| now.iter().map(|(_, y)| likeness(*x, *y)).collect()).collect();
    let chosen = if was.len().max(now.len()) <= assign::MOST {
        assign::best(&table)
    } else {
        out.greedy.push(kind);
        assign::greedy(&table)
    };
    for (x, y) in chosen {
        let worth = table.get(x).and_then(|row| row.get(y)).copied().unwrap_or(0);
        if let (Some((was, x)), Some((now, y))) = (was.get(x), now.get(y))
            && pairs.join(*x, *y)
        {
            out.renamed.push(Renamed { kind, was: was.clone(), now: now.clone(), likeness: worth });
        }
    }
}

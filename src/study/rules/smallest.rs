//! The smallest of the sets that clash.

use rustc_hash::FxHashSet;

use super::meter::NotProved;
use crate::study::budget;

/// What is left for making sets smaller, in a whole study; beyond, a set from which nothing can be left out is good
/// enough.
pub(super) struct Purse {
    questions: usize,
    places: u64,
    /// A set was shown that may not be the smallest.
    pub rough: bool,
}

impl Default for Purse {
    fn default() -> Purse {
        Purse { questions: budget::SMALLER, places: budget::MEETINGS, rough: false }
    }
}

impl Purse {
    fn question(&mut self) -> bool {
        let some = self.questions > 0;
        self.questions = self.questions.saturating_sub(1);
        some
    }
}

/// The answers that the search needs.
pub(super) trait Clashes {
    /// None when these can all hold together; else some of them that cannot.
    fn clash(&mut self, items: &[usize]) -> Result<Option<Vec<usize>>, NotProved>;
    /// When these can all hold: all of `among` that do in one such case.
    fn kept(&mut self, items: &[usize], among: &[usize]) -> Result<Option<Vec<usize>>, NotProved>;
}

/// A set of `items` that cannot all hold, from which nothing can be left out as far as that was proved; None when
/// they can. Also says whether all of it was proved.
pub(super) fn irreducible(
    items: &[usize],
    encoding: &mut dyn Clashes,
) -> Result<Option<(Vec<usize>, bool)>, NotProved> {
    let Some(mut core) = encoding.clash(items)? else { return Ok(None) };
    let (mut at, mut proved) = (core.len(), true);
    while at > 0 {
        at -= 1;
        if at >= core.len() {
            continue;
        }
        let item = core.remove(at);
        match encoding.clash(&core) {
            // What the solver did not need need not be tried.
            Ok(Some(smaller)) => core = smaller,
            answer => {
                proved &= answer.is_ok();
                core.insert(at, item);
            }
        }
    }
    Ok(Some((core, proved)))
}

/// A smallest set of `items` that cannot all hold, in the order given; None when they can.
///
/// Whatever keeps the others possible must be left out of each clashing set in turn: so a clashing set meets every
/// such remainder, and a smallest one is a smallest set that meets all those found, once it clashes.
pub(super) fn smallest(
    items: &[usize],
    encoding: &mut dyn Clashes,
    purse: &mut Purse,
) -> Result<Option<Vec<usize>>, NotProved> {
    let Some((best, proved)) = irreducible(items, encoding)? else { return Ok(None) };
    let mut remainders: Vec<Vec<usize>> = Vec::new();
    let mut rough = !proved;
    while best.len() > 1 {
        if purse.questions == 0 {
            rough = true;
            break;
        }
        let candidate = match meeting(items, &remainders, best.len(), purse) {
            Ok(Some(candidate)) => candidate,
            Ok(None) => {
                rough = false;
                break;
            }
            Err(NotProved) => {
                rough = true;
                break;
            }
        };
        purse.question();
        match encoding.kept(&candidate, items) {
            Err(NotProved) => {
                rough = true;
                break;
            }
            Ok(None) => return Ok(Some(candidate)),
            Ok(Some(mut kept)) => {
                // Grown as far as it goes, the remainder is small and tells most.
                let mut holds: FxHashSet<usize> = kept.iter().copied().collect();
                for item in items {
                    if !holds.contains(item) && purse.question() {
                        let mut more = kept.clone();
                        more.push(*item);
                        if let Ok(Some(grown)) = encoding.kept(&more, items) {
                            holds = grown.iter().copied().collect();
                            kept = grown;
                        }
                    }
                }
                remainders.push(items.iter().copied().filter(|i| !holds.contains(i)).collect());
            }
        }
    }
    purse.rough |= rough;
    Ok(Some(best))
}

/// A smallest set with an item in each of the remainders, if one smaller than `below` exists.
fn meeting(
    items: &[usize],
    remainders: &[Vec<usize>],
    below: usize,
    purse: &mut Purse,
) -> Result<Option<Vec<usize>>, NotProved> {
    for size in 0..below.min(budget::LARGEST_SMALLER) {
        let mut chosen = Vec::new();
        let mut tries = 0;
        if choose(remainders, size, &mut chosen, &mut tries, purse)? {
            return Ok(Some(items.iter().copied().filter(|i| chosen.contains(i)).collect()));
        }
    }
    if below > budget::LARGEST_SMALLER { Err(NotProved) } else { Ok(None) }
}

fn choose(
    remainders: &[Vec<usize>],
    left: usize,
    chosen: &mut Vec<usize>,
    tries: &mut usize,
    purse: &mut Purse,
) -> Result<bool, NotProved> {
    *tries += 1;
    let open = remainders.iter().position(|r| !r.iter().any(|i| chosen.contains(i)));
    purse.places = purse.places.saturating_sub(open.unwrap_or(remainders.len()) as u64 + 1);
    let Some(open) = open.and_then(|at| remainders.get(at)) else { return Ok(true) };
    if *tries > budget::MEETING || purse.places == 0 {
        return Err(NotProved);
    }
    if left == 0 {
        return Ok(false);
    }
    for item in open {
        chosen.push(*item);
        if choose(remainders, left - 1, chosen, tries, purse)? {
            return Ok(true);
        }
        chosen.pop();
    }
    Ok(false)
}

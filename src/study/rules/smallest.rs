//! The smallest of the sets that clash.

/// Questions to the solver that a whole study may spend on making sets smaller; beyond, a set from which nothing
/// can be left out is good enough.
pub(super) const MOST_QUESTIONS: usize = 3_000;

/// The answers that the search needs.
pub(super) trait Clashes {
    /// None when these can all hold together; else some of them that cannot.
    fn clash(&mut self, items: &[usize]) -> Option<Vec<usize>>;
    /// When these can all hold: all of `among` that do in one such case.
    fn kept(&mut self, items: &[usize], among: &[usize]) -> Option<Vec<usize>>;
}

/// A set of `items` that cannot all hold, from which nothing can be left out; None when they can.
pub(super) fn irreducible(items: &[usize], world: &mut dyn Clashes) -> Option<Vec<usize>> {
    let mut core = world.clash(items)?;
    let mut at = core.len();
    while at > 0 {
        at -= 1;
        if at >= core.len() {
            continue;
        }
        let item = core.remove(at);
        match world.clash(&core) {
            // What the solver did not need need not be tried.
            Some(smaller) => core = smaller,
            None => core.insert(at, item),
        }
    }
    Some(core)
}

/// A smallest set of `items` that cannot all hold, in the order given; None when they can.
///
/// Whatever keeps the others possible must be left out of each clashing set in turn: so a clashing set meets every
/// such remainder, and a smallest one is a smallest set that meets all those found, once it clashes.
pub(super) fn smallest(items: &[usize], world: &mut dyn Clashes, questions: &mut usize) -> Option<Vec<usize>> {
    let best = irreducible(items, world)?;
    let mut remainders: Vec<Vec<usize>> = Vec::new();
    while best.len() > 1 && *questions > 0 {
        let Some(candidate) = meeting(items, &remainders, best.len()) else { break };
        *questions = questions.saturating_sub(1);
        match world.kept(&candidate, items) {
            None => return Some(candidate),
            Some(mut kept) => {
                // Grown as far as it goes, the remainder is small and tells most.
                for item in items {
                    if !kept.contains(item) && *questions > 0 {
                        let mut more = kept.clone();
                        more.push(*item);
                        *questions -= 1;
                        if let Some(grown) = world.kept(&more, items) {
                            kept = grown;
                        }
                    }
                }
                remainders.push(items.iter().copied().filter(|i| !kept.contains(i)).collect());
            }
        }
    }
    Some(best)
}

/// A smallest set with an item in each of the remainders, if one smaller than `below` exists.
fn meeting(items: &[usize], remainders: &[Vec<usize>], below: usize) -> Option<Vec<usize>> {
    (0..below).find_map(|size| {
        let mut chosen = Vec::new();
        let mut tries = 0;
        let found = choose(remainders, size, &mut chosen, &mut tries);
        found.then(|| items.iter().copied().filter(|i| chosen.contains(i)).collect())
    })
}

/// So many places are looked at for one set.
const MOST_TRIES: usize = 20_000;

fn choose(remainders: &[Vec<usize>], left: usize, chosen: &mut Vec<usize>, tries: &mut usize) -> bool {
    *tries += 1;
    let Some(open) = remainders.iter().find(|r| !r.iter().any(|i| chosen.contains(i))) else { return true };
    if left == 0 || *tries > MOST_TRIES {
        return false;
    }
    open.iter().any(|item| {
        chosen.push(*item);
        let found = choose(remainders, left - 1, chosen, tries);
        if !found {
            chosen.pop();
        }
        found
    })
}

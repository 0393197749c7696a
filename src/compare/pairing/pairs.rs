//! Two lists, and which of the one is which of the other.
use crate::ids::{Id, Numbered};

/// Two lists of things, paired.
#[derive(Clone, Debug)]
pub struct Pairs<I> {
    /// For each of the old: its partner.
    pub to_new: Numbered<I, Option<I>>,
    /// For each of the new: its partner.
    pub to_old: Numbered<I, Option<I>>,
}

impl<I> Default for Pairs<I> {
    fn default() -> Pairs<I> {
        Pairs { to_new: Numbered::default(), to_old: Numbered::default() }
    }
}

impl<I: Id> Pairs<I> {
    /// Nothing paired yet.
    pub fn empty(old: usize, new: usize) -> Pairs<I> {
        Pairs { to_new: vec![None; old].into(), to_old: vec![None; new].into() }
    }

    /// Pairs two, unless one of them is taken.
    pub fn join(&mut self, old: I, new: I) -> bool {
        match (self.to_new.get_mut(old), self.to_old.get_mut(new)) {
            (Some(a), Some(b)) if a.is_none() && b.is_none() => {
                (*a, *b) = (Some(new), Some(old));
                true
            }
            _ => false,
        }
    }

    /// The partner of an old one.
    pub fn new_of(&self, old: I) -> Option<I> {
        self.to_new.get(old).copied().flatten()
    }

    /// The partner of a new one.
    pub fn old_of(&self, new: I) -> Option<I> {
        self.to_old.get(new).copied().flatten()
    }

    /// The old ones without a partner.
    pub fn lone_old(&self) -> impl Iterator<Item = I> {
        lone(&self.to_new)
    }

    /// The new ones without a partner.
    pub fn lone_new(&self) -> impl Iterator<Item = I> {
        lone(&self.to_old)
    }
}

fn lone<I: Id>(list: &Numbered<I, Option<I>>) -> impl Iterator<Item = I> {
    list.pairs().filter(|(_, to)| to.is_none()).map(|(id, _)| id)
}

//! Two lists, and which of the one is which of the other.

/// Two lists of things, paired.
#[derive(Clone, Debug, Default)]
pub struct Pairs {
    /// For each of the old: its partner.
    pub to_new: Vec<Option<u32>>,
    /// For each of the new: its partner.
    pub to_old: Vec<Option<u32>>,
}

impl Pairs {
    /// Nothing paired yet.
    pub fn empty(old: usize, new: usize) -> Pairs {
        Pairs { to_new: vec![None; old], to_old: vec![None; new] }
    }

    /// Pairs two, unless one of them is taken.
    pub fn join(&mut self, old: u32, new: u32) -> bool {
        match (self.to_new.get_mut(old as usize), self.to_old.get_mut(new as usize)) {
            (Some(a), Some(b)) if a.is_none() && b.is_none() => {
                (*a, *b) = (Some(new), Some(old));
                true
            }
            _ => false,
        }
    }

    /// The partner of an old one.
    pub fn new_of(&self, old: u32) -> Option<u32> {
        self.to_new.get(old as usize).copied().flatten()
    }

    /// The partner of a new one.
    pub fn old_of(&self, new: u32) -> Option<u32> {
        self.to_old.get(new as usize).copied().flatten()
    }

    /// The old ones without a partner.
    pub fn lone_old(&self) -> impl Iterator<Item = u32> {
        lone(&self.to_new)
    }

    /// The new ones without a partner.
    pub fn lone_new(&self) -> impl Iterator<Item = u32> {
        lone(&self.to_old)
    }
}

fn lone(list: &[Option<u32>]) -> impl Iterator<Item = u32> {
    list.iter().enumerate().filter(|(_, to)| to.is_none()).map(|(id, _)| id as u32)
}

//! Numbers of things, each kind a type of its own: a scene's number is never taken for a pedal's or a column's. Who holds one
//! got it from the list that it counts in.

use std::marker::PhantomData;

/// The place of a thing in the list of its kind.
pub trait Id: Copy + Eq + Ord {
    /// The place, from 0.
    fn index(self) -> usize;
    /// The thing at a place; binding refuses a book with more things than a number can count.
    fn nth(index: usize) -> Self;
}

impl Id for usize {
    fn index(self) -> usize {
        self
    }

    fn nth(index: usize) -> usize {
        index
    }
}

macro_rules! ids {
    ($($(#[$about:meta])* $name:ident($number:ty),)*) => {$(
        $(#[$about])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
        pub struct $name($number);

        impl $name {
            /// The place in its list, from 0.
            pub const fn index(self) -> usize {
                self.0 as usize
            }

            /// The thing at a place.
            pub const fn nth(index: usize) -> $name {
                $name(index as $number)
            }
        }

        impl Id for $name {
            fn index(self) -> usize {
                self.index()
            }

            fn nth(index: usize) -> $name {
                $name::nth(index)
            }
        }
    )*};
}

ids! {
    /// A scene, or its row of the table.
    SceneId(u32),
    /// A statement of a scene, a layer or the default.
    SayingId(u32),
    /// A layer.
    LayerId(u32),
    /// A song.
    SongId(u32),
    /// A pedal, buffer or amplifier.
    DeviceId(u16),
    /// A control or level, of its device.
    ControlId(u16),
    /// A column of the table.
    ColumnId(u16),
}

/// Things of one kind, found by their numbers.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Numbered<I, T> {
    all: Vec<T>,
    by: PhantomData<fn(I) -> I>,
}

impl<I, T> Default for Numbered<I, T> {
    fn default() -> Numbered<I, T> {
        Numbered { all: Vec::new(), by: PhantomData }
    }
}

impl<I: Id, T> Numbered<I, T> {
    /// The thing with a number.
    pub fn get(&self, id: I) -> Option<&T> {
        self.all.get(id.index())
    }

    /// The thing with a number, to change it.
    pub fn get_mut(&mut self, id: I) -> Option<&mut T> {
        self.all.get_mut(id.index())
    }

    /// Puts a thing at the end, and gives its number.
    pub fn push(&mut self, thing: T) -> I {
        self.all.push(thing);
        I::nth(self.all.len() - 1)
    }

    /// All numbers, in order.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = I> + ExactSizeIterator + use<I, T> {
        (0..self.all.len()).map(I::nth)
    }

    /// All things with their numbers, in order.
    pub fn pairs(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.all.iter().enumerate().map(|(at, thing)| (I::nth(at), thing))
    }

    /// All things with their numbers, in order, to change them.
    pub fn pairs_mut(&mut self) -> impl DoubleEndedIterator<Item = (I, &mut T)> + ExactSizeIterator {
        self.all.iter_mut().enumerate().map(|(at, thing)| (I::nth(at), thing))
    }

    /// The number that the next thing gets.
    pub fn next(&self) -> I {
        I::nth(self.all.len())
    }

    /// The things from a number up to another.
    pub fn stretch(&self, from: I, to: I) -> &[T] {
        self.all.get(from.index()..to.index()).unwrap_or(&[])
    }

    /// Takes away all from a number on.
    pub fn truncate(&mut self, from: I) {
        self.all.truncate(from.index());
    }

    /// All things, each before its number, in order.
    pub fn numbered(&self) -> impl DoubleEndedIterator<Item = (&T, I)> + ExactSizeIterator {
        self.all.iter().enumerate().map(|(at, thing)| (thing, I::nth(at)))
    }

    /// Keeps what fits; the numbers of what stays change.
    pub fn retain(&mut self, fits: impl FnMut(&T) -> bool) {
        self.all.retain(fits);
    }

    /// Takes all away.
    pub fn clear(&mut self) {
        self.all.clear();
    }

    /// The first thing, to change it.
    pub fn first_mut(&mut self) -> Option<&mut T> {
        self.all.first_mut()
    }

    /// The things, in order, as they lie.
    pub fn as_slice(&self) -> &[T] {
        &self.all
    }

    /// The first thing that fits.
    pub fn position(&self, fits: impl FnMut(&T) -> bool) -> Option<I> {
        self.all.iter().position(fits).map(I::nth)
    }

    /// Makes room for so many more.
    pub fn reserve(&mut self, more: usize) {
        self.all.reserve(more);
    }

    /// Makes room for just so many more.
    pub fn reserve_exact(&mut self, more: usize) {
        self.all.reserve_exact(more);
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// There are none.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The things, in order.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.all.iter()
    }

    /// The things, in order, to change them.
    pub fn iter_mut(&mut self) -> std::slice::IterMut<'_, T> {
        self.all.iter_mut()
    }

    /// The first thing.
    pub fn first(&self) -> Option<&T> {
        self.all.first()
    }

    /// The last thing.
    pub fn last(&self) -> Option<&T> {
        self.all.last()
    }
}

impl<I, T> From<Vec<T>> for Numbered<I, T> {
    fn from(all: Vec<T>) -> Numbered<I, T> {
        Numbered { all, by: PhantomData }
    }
}

impl<I, T> FromIterator<T> for Numbered<I, T> {
    fn from_iter<A: IntoIterator<Item = T>>(all: A) -> Numbered<I, T> {
        Numbered { all: all.into_iter().collect(), by: PhantomData }
    }
}

impl<I, T> Extend<T> for Numbered<I, T> {
    fn extend<A: IntoIterator<Item = T>>(&mut self, all: A) {
        self.all.extend(all);
    }
}

impl<'l, I, T> IntoIterator for &'l mut Numbered<I, T> {
    type Item = &'l mut T;
    type IntoIter = std::slice::IterMut<'l, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.iter_mut()
    }
}

impl<I, T> IntoIterator for Numbered<I, T> {
    type Item = T;
    type IntoIter = std::vec::IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.into_iter()
    }
}

impl<'l, I, T> IntoIterator for &'l Numbered<I, T> {
    type Item = &'l T;
    type IntoIter = std::slice::Iter<'l, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.iter()
    }
}

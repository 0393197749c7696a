//! The one space of names, and what each name is.

use std::borrow::Cow;
use std::collections::hash_map;

use indexmap::IndexMap;
use indexmap::map::Entry;
use rustc_hash::{FxBuildHasher, FxHashMap};
use unicode_normalization::{UnicodeNormalization, is_nfc_quick};

use super::Binder;
use crate::book::Fault;
use crate::ids::{DeviceId, LayerId, SceneId};
use crate::source::Span;
use crate::syntax::hidden::is_hidden;
use crate::syntax::tree::View;
use crate::syntax::{lexer, registry};

/// What a name stands for; the number counts among its kind, in the order read until
/// the board has its order.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Named {
    Scene(SceneId),
    Device(DeviceId),
    Guitar(u32),
    Treadle(u32),
    Layer(LayerId),
    Supply,
    Chain,
    /// Named by a statement that could not be read.
    Broken,
}

impl Named {
    /// What a name of it is wanted as.
    fn wanted(self) -> &'static str {
        match self {
            Named::Scene(_) => "scene",
            Named::Device(_) => "pedal",
            Named::Guitar(_) => "guitar",
            Named::Treadle(_) => "treadle",
            Named::Layer(_) => "layer",
            Named::Supply => "supply",
            Named::Chain | Named::Broken => "chain",
        }
    }

    pub(super) fn word(self) -> &'static str {
        match self {
            Named::Scene(_) => "a scene",
            Named::Device(_) => "a pedal or amp",
            Named::Guitar(_) => "a guitar",
            Named::Treadle(_) => "a treadle",
            Named::Layer(_) => "a layer",
            Named::Supply => "a supply",
            Named::Chain => "a chain",
            Named::Broken => "unknown",
        }
    }
}

/// All names of a book.
#[derive(Default)]
pub(super) struct Names<'t> {
    /// In the order of the text: what a scene names mostly stands near it, so the look-ups stay near too.
    things: IndexMap<Cow<'t, str>, (Named, Span), FxBuildHasher>,
    /// Names as they look, without case and with look-alike letters made one: places among `things`.
    looks: FxHashMap<u64, u32>,
}

/// A name in NFC. A hidden character or a long dash in it is told by the lexer; here the name is the one meant.
pub fn nfc(name: &str) -> Cow<'_, str> {
    if name.bytes().all(|b| matches!(b, b' '..=b'~')) {
        return Cow::Borrowed(name);
    }
    let strange = |c: char| is_hidden(c) || lexer::is_long_dash(c);
    if name.contains(strange) {
        let plain = name.chars().filter(|c| !is_hidden(*c));
        return Cow::Owned(plain.map(|c| if lexer::is_long_dash(c) { '-' } else { c }).nfc().collect());
    }
    if is_nfc_quick(name.chars()) == unicode_normalization::IsNormalized::Yes {
        Cow::Borrowed(name)
    } else {
        Cow::Owned(name.nfc().collect())
    }
}

/// A hash of a name's looks: without case, and with letters that look alike made one. A capital `I` looks like
/// both `i` and `l`, so a name with one has a second hash.
///
/// Beyond ASCII the look is the skeleton of Unicode Technical Standard 39.
fn looks(name: &str) -> (u64, Option<u64>) {
    if !name.is_ascii() {
        let skeleton: String = unicode_security::skeleton(name).flat_map(char::to_lowercase).collect();
        return (ascii_looks(&skeleton, b'i'), Some(ascii_looks(&name.to_lowercase(), b'i')));
    }
    let second = name.contains('I').then(|| ascii_looks(name, b'l'));
    (ascii_looks(name, b'i'), second)
}

fn ascii_looks(name: &str, capital_i: u8) -> u64 {
    use std::hash::Hasher;
    let mut hasher = rustc_hash::FxHasher::default();
    let mut word = [0u8; 8];
    for chunk in name.as_bytes().chunks(8) {
        word.fill(0);
        for (out, byte) in word.iter_mut().zip(chunk) {
            *out = match byte {
                b'1' => b'l',
                b'0' => b'o',
                b'I' => capital_i,
                other => other.to_ascii_lowercase(),
            };
        }
        hasher.write_u64(u64::from_le_bytes(word));
    }
    hasher.finish()
}

impl<'t> Names<'t> {
    /// Notes a name; told when it is taken, looks like one that is, or is a word of the language.
    pub(super) fn declare(&mut self, name: View<'t>, thing: Named, faults: &mut Vec<Fault>) -> bool {
        let (text, at) = (nfc(name.text()), name.span());
        if registry::reserved(&text) {
            faults.push(Fault::NameReserved { at });
        }
        let entry = match self.things.entry(text) {
            Entry::Occupied(mut taken) => {
                let (other, first) = *taken.get();
                if other == Named::Broken {
                    taken.insert((thing, at));
                    return true;
                }
                faults.push(Fault::DuplicateName { at, first, kind: thing.wanted() });
                return false;
            }
            Entry::Vacant(entry) => entry,
        };
        let (look, second) = looks(entry.key());
        let mine = entry.index() as u32;
        entry.insert((thing, at));
        let alike = [Some(look), second].into_iter().flatten().filter_map(|look| match self.looks.entry(look) {
            hash_map::Entry::Occupied(taken) => Some(*taken.get()).filter(|first| *first != mine),
            hash_map::Entry::Vacant(entry) => {
                entry.insert(mine);
                None
            }
        });
        if let Some(first) = alike.reduce(|first, _| first)
            && let Some((_, (_, first))) = self.things.get_index(first as usize)
        {
            faults.push(Fault::NamesAlike { at, first: *first });
        }
        true
    }

    /// Makes room for so many names.
    pub(super) fn reserve(&mut self, names: usize) {
        self.things.reserve(names);
        self.looks.reserve(names);
    }

    /// Notes a name whose statement could not be read.
    pub(super) fn known_to_be_broken(&mut self, name: &'t str) {
        self.things.entry(nfc(name)).or_insert((Named::Broken, Span::default()));
    }

    /// Gives things other numbers.
    pub(super) fn renumber(&mut self, now: impl Fn(Named) -> Named) {
        self.things.values_mut().for_each(|(thing, _)| *thing = now(*thing));
    }

    pub(super) fn get(&self, name: &str) -> Option<(Named, Span)> {
        self.things.get(nfc(name).as_ref()).copied()
    }

    /// What has a name, and where that is given.
    pub(super) fn given(&self) -> impl Iterator<Item = (Named, Span)> {
        self.things.values().copied()
    }

    pub(super) fn all(&self) -> impl Iterator<Item = (&str, Named)> {
        self.things.iter().map(|(name, (thing, _))| (name.as_ref(), *thing))
    }
}

/// What is wanted where a name stands: how that is called, and what it gives of what has the name.
pub(super) struct Wanted<T> {
    word: &'static str,
    takes: fn(Named) -> Option<T>,
}

impl Wanted<SceneId> {
    pub(super) const SCENE: Self =
        Wanted { word: "scene", takes: |thing| if let Named::Scene(id) = thing { Some(id) } else { None } };
}

impl Wanted<LayerId> {
    pub(super) const LAYER: Self =
        Wanted { word: "layer", takes: |thing| if let Named::Layer(id) = thing { Some(id) } else { None } };
}

impl Wanted<DeviceId> {
    pub(super) const DEVICE: Self =
        Wanted { word: "pedal or amp", takes: |thing| if let Named::Device(id) = thing { Some(id) } else { None } };
}

impl Wanted<usize> {
    pub(super) const GUITAR: Self =
        Wanted { word: "guitar", takes: |thing| if let Named::Guitar(n) = thing { Some(n as usize) } else { None } };
    pub(super) const TREADLE: Self =
        Wanted { word: "treadle", takes: |thing| if let Named::Treadle(n) = thing { Some(n as usize) } else { None } };
}

impl Wanted<Named> {
    /// What a rule may speak of by its name alone.
    pub(super) const SCENE_OR_DEVICE: Self = Wanted {
        word: "scene, pedal or amp",
        takes: |thing| Some(thing).filter(|thing| matches!(thing, Named::Scene(_) | Named::Device(_))),
    };
}

impl<'t> Binder<'t> {
    /// What a name stands for; told when it is not what is wanted. Quiet for a name that a broken statement gave.
    pub(super) fn find<T>(&mut self, name: View<'t>, wanted: Wanted<T>) -> Option<T> {
        let at = name.span();
        match self.names.get(name.text()) {
            Some((Named::Broken, _)) => None,
            Some((thing, there)) => {
                let found = (wanted.takes)(thing);
                match found {
                    Some(_) => self.used(name, thing),
                    None => {
                        self.faults.push(Fault::OtherKind { at, wanted: wanted.word, is: thing.word(), there });
                    }
                }
                found
            }
            // `engage a, bypass b`: the word that stopped the reading is no name.
            None if self.broken && registry::reserved(name.text()) => None,
            None => {
                let near = self.near_name(name.text(), &wanted);
                self.unknown(Fault::UnknownName { at, wanted: wanted.word, near });
                None
            }
        }
    }

    fn near_name<T>(&self, word: &str, wanted: &Wanted<T>) -> Option<String> {
        self.near(word, self.names.all().filter(|(_, thing)| (wanted.takes)(*thing).is_some()).map(|(name, _)| name))
    }
}

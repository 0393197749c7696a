//! The one space of names, and what each name is.

use std::borrow::Cow;

use rustc_hash::FxHashMap;
use unicode_normalization::{UnicodeNormalization, is_nfc_quick};

use super::Binder;
use crate::book::Fault;
use crate::source::Span;
use crate::syntax::registry;
use crate::syntax::tree::View;

/// What a name stands for; the number counts among its kind, in the order read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Thing {
    Scene(u32),
    Device(u32),
    Guitar(u32),
    Treadle(u32),
    Layer(u32),
    Supply,
    Chain,
    /// Named by a statement that could not be read.
    Broken,
}

impl Thing {
    pub fn word(self) -> &'static str {
        match self {
            Thing::Scene(_) => "a scene",
            Thing::Device(_) => "a pedal or amp",
            Thing::Guitar(_) => "a guitar",
            Thing::Treadle(_) => "a treadle",
            Thing::Layer(_) => "a layer",
            Thing::Supply => "a supply",
            Thing::Chain => "a chain",
            Thing::Broken => "unknown",
        }
    }
}

/// All names of a book.
#[derive(Default)]
pub struct Names<'t> {
    things: FxHashMap<Cow<'t, str>, (Thing, Span)>,
    /// Names as they look, without case and with look-alike letters made one.
    looks: FxHashMap<u64, Span>,
}

/// A name in NFC.
pub fn nfc(name: &str) -> Cow<'_, str> {
    if name.is_ascii() || is_nfc_quick(name.chars()) == unicode_normalization::IsNormalized::Yes {
        Cow::Borrowed(name)
    } else {
        Cow::Owned(name.nfc().collect())
    }
}

/// Two hashes of a name's looks: without case, and with letters that look alike made one (Unicode TS 39 skeleton).
fn looks(name: &str) -> [u64; 2] {
    use std::hash::Hasher;
    let mut hashers = [rustc_hash::FxHasher::default(), rustc_hash::FxHasher::default()];
    let [case, shape] = &mut hashers;
    if name.is_ascii() {
        for byte in name.bytes() {
            case.write_u32(u32::from(byte.to_ascii_lowercase()));
            let like = match byte {
                b'I' | b'1' | b'|' => b'l',
                b'0' => b'o',
                other => other.to_ascii_lowercase(),
            };
            shape.write_u32(u32::from(like));
        }
    } else {
        name.chars().flat_map(char::to_lowercase).for_each(|c| case.write_u32(c as u32));
        unicode_security::skeleton(name).flat_map(char::to_lowercase).for_each(|c| shape.write_u32(c as u32));
    }
    [case.finish() | 1, shape.finish() & !1]
}

impl<'t> Names<'t> {
    /// Notes a name; told when it is taken, looks like one that is, or is a word of the language.
    pub fn declare(&mut self, name: View<'t>, thing: Thing, faults: &mut Vec<Fault>) -> bool {
        let (text, at) = (nfc(name.text()), name.span());
        if registry::reserved(&text) {
            faults.push(Fault::NameReserved { at });
        }
        if let Some((other, first)) = self.things.get(&text) {
            if *other != Thing::Broken {
                faults.push(Fault::DuplicateName { at, first: *first });
            }
            return false;
        }
        for look in looks(&text) {
            if let Some(first) = self.looks.insert(look, at)
                && first != at
            {
                if faults.last() != Some(&Fault::NamesAlike { at, first }) {
                    faults.push(Fault::NamesAlike { at, first });
                }
            }
        }
        self.things.insert(text, (thing, at));
        true
    }

    /// Notes a name whose statement could not be read.
    pub fn known_to_be_broken(&mut self, name: &'t str) {
        self.things.entry(nfc(name)).or_insert((Thing::Broken, Span::default()));
    }

    pub fn get(&self, name: &str) -> Option<(Thing, Span)> {
        self.things.get(&nfc(name)).copied()
    }

    pub fn all(&self) -> impl Iterator<Item = (&str, Thing)> {
        self.things.iter().map(|(name, (thing, _))| (name.as_ref(), *thing))
    }
}

/// What is wanted where a name stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    Scene,
    Layer,
    Device,
    Guitar,
}

impl Wanted {
    fn word(self) -> &'static str {
        match self {
            Wanted::Scene => "scene",
            Wanted::Layer => "layer",
            Wanted::Device => "pedal or amp",
            Wanted::Guitar => "guitar",
        }
    }

    fn takes(self, thing: Thing) -> Option<u32> {
        match (self, thing) {
            (Wanted::Scene, Thing::Scene(n))
            | (Wanted::Layer, Thing::Layer(n))
            | (Wanted::Device, Thing::Device(n))
            | (Wanted::Guitar, Thing::Guitar(n)) => Some(n),
            _ => None,
        }
    }
}

impl<'t> Binder<'t> {
    /// What a name stands for; told when it is not what is wanted. Quiet for a name that a broken statement gave.
    pub fn find(&mut self, name: View<'t>, wanted: Wanted) -> Option<u32> {
        let at = name.span();
        match self.names.get(name.text()) {
            Some((Thing::Broken, _)) => None,
            Some((thing, there)) => {
                let found = wanted.takes(thing);
                if found.is_none() {
                    self.faults.push(Fault::OtherKind { at, wanted: wanted.word(), is: thing.word(), there });
                }
                found
            }
            None => {
                let near = self.near_name(name.text(), wanted);
                self.faults.push(Fault::UnknownName { at, wanted: wanted.word(), near });
                None
            }
        }
    }

    fn near_name(&mut self, word: &str, wanted: Wanted) -> Option<String> {
        self.suggestions += 1;
        if self.suggestions > super::MOST_SUGGESTIONS {
            return None;
        }
        let among = self.names.all().filter(|(_, thing)| wanted.takes(*thing).is_some()).map(|(name, _)| name);
        crate::near::nearest(word, among).map(str::to_owned)
    }
}

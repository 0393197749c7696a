//! The source's fingerprint: the same for the same statements, whatever their order, layout, comments and files.

use std::borrow::Cow;

use siphasher::sip128::SipHasher13;

use super::kind::Kind;
use super::tree::{Tree, View};
use crate::source::Files;

/// Twelve hex digits over the user's own files.
///
/// Each top-level statement is hashed by its tree (SipHash-1-3, 128 bits), and the hashes are added up, as their order
/// does not matter. It tells one state of a book from another, and guards against no forger. `use` says where
/// statements stand, not what they are, and is left out. Several `default` blocks are one, and so are several `slots`
/// blocks: their lines count one by one.
pub fn fingerprint(files: &Files, trees: &[Tree]) -> String {
    let mut sum = Sum::default();
    for (tree, (_, file)) in trees.iter().zip(files.iter()).filter(|(_, (_, f))| !f.shipped) {
        for view in tree.statements(&file.text) {
            match view.kind() {
                Kind::Use => {}
                Kind::Default => {
                    let lines = view.all(Kind::SceneBody).flat_map(View::children);
                    lines.chain(view.all(Kind::Broken)).for_each(|line| sum.add(Some(Kind::Default), line));
                }
                Kind::Slots => {
                    sum.slots = true;
                    view.children().for_each(|line| sum.add(Some(Kind::Slots), line));
                }
                _ => sum.add(None, view),
            }
        }
    }
    sum.shown()
}

/// Beside the kind of a node that holds others.
const HOLDS: u8 = 0x80;
/// Stands before the number of a kind that came when one byte was no longer enough: no earlier fingerprint changes.
const LATER: u8 = 0x7f;
const _: () = assert!(Kind::COUNT <= 0x100);

/// Hashes of statements, added up.
#[derive(Default)]
struct Sum {
    total: u128,
    /// An empty `slots` block says that nothing has a slot; a second one says nothing more.
    slots: bool,
    /// Room for the bytes of a statement.
    bytes: Vec<u8>,
}

impl Sum {
    /// Adds a statement, or a line of a block. Of each node its kind and how many stand inside it, of a leaf its
    /// letters and their count, so that no two statements run into one. What could not be read counts to the
    /// letter, blanks and comments too.
    fn add(&mut self, block: Option<Kind>, view: View<'_>) {
        let bytes = &mut self.bytes;
        bytes.clear();
        bytes.push(block.map_or(u8::MAX, |kind| kind as u8));
        let mut skip = 0;
        for (view, inside) in view.all_inside() {
            if skip > 0 {
                skip -= 1;
            } else if inside == 0 || view.kind() == Kind::Broken {
                letters(view, bytes);
                skip = inside;
            } else {
                counted(view.kind(), HOLDS, inside, bytes);
            }
        }
        self.total = self.total.wrapping_add(SipHasher13::new().hash(&self.bytes).as_u128());
    }

    fn shown(&self) -> String {
        let mut all = self.total.to_le_bytes().to_vec();
        all.push(u8::from(self.slots));
        format!("{:012x}", SipHasher13::new().hash(&all).as_u128() >> 80)
    }
}

/// A leaf's kind and letters. Most are one word; of the others, neither blanks nor a comment in an empty block count.
fn letters(view: View<'_>, bytes: &mut Vec<u8>) {
    let text = view.text();
    let word = |text: &str| text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    let text = if matches!(view.kind(), Kind::Text | Kind::Broken) || word(text) {
        Cow::Borrowed(text)
    } else {
        let mut comment = false;
        let counts = |c: &char| {
            comment = *c != '\n' && (comment || *c == '#');
            !(comment || c.is_whitespace() || *c == ';')
        };
        Cow::Owned(text.chars().filter(counts).collect::<String>())
    };
    counted(view.kind(), 0, text.len(), bytes);
    bytes.extend_from_slice(text.as_bytes());
}

/// A kind and a number, each one byte where that is enough.
fn counted(kind: Kind, holds: u8, n: usize, bytes: &mut Vec<u8>) {
    match kind as u8 {
        kind if kind < LATER => bytes.push(kind | holds),
        kind => bytes.extend_from_slice(&[LATER | holds, kind]),
    }
    match u8::try_from(n) {
        Ok(n) if n < u8::MAX => bytes.push(n),
        _ => {
            bytes.push(u8::MAX);
            bytes.extend_from_slice(&(n as u64).to_le_bytes());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::fingerprint;
    use crate::source::Files;
    use crate::syntax::lexer::{Lexer, Tok};
    use crate::syntax::registry::{self, Place};

    fn of(texts: &[&str]) -> String {
        let mut files = Files::default();
        for text in texts {
            files.add("a.scene", *text);
        }
        let trees: Vec<_> = files.iter().map(|(number, file)| crate::syntax::parse(number, &file.text).0).collect();
        fingerprint(&files, &trees)
    }

    #[test]
    fn layout_order_and_files_do_not_matter() {
        let one = of(&["scene a { engage loop 1; mute }\nscene b from a\n"]);
        assert_eq!(one, of(&["scene b from a # then\n\nscene a {\n  engage   loop 1\n  mute;\n}"]));
        assert_eq!(one, of(&["use \"b.scene\"\nscene b from a", "scene a { engage loop 1; mute }"]));
        assert_eq!(one.len(), 12);
    }

    #[test]
    fn every_word_matters() {
        let one = of(&["scene a { engage loop 1; mute }"]);
        for other in ["scene a { engage loop 2; mute }", "scene a { engage loop 1 mute }", "scene a { engage loop 1 }"]
        {
            assert_ne!(one, of(&[other]), "{other}");
        }
        assert_ne!(of(&["set \"a b\" { }"]), of(&["set \"ab\" { }"]));
    }

    /// The tree keeps few words of the language itself: whatever is left out or said otherwise, and still a
    /// statement, must show in its kinds and leaves.
    #[test]
    fn every_token_of_every_statement_counts() {
        let mut tried = 0;
        for row in registry::rows().filter(|r| r.name != "use") {
            let Some(stands) = row.stands else { continue };
            let (before, after) = match stands.place {
                Place::Top => ("", ""),
                Place::Switcher => ("switcher {", "}"),
                Place::Guitar => ("guitar a {", "}"),
                Place::Supply => ("supply a {", "}"),
                Place::Device => ("pedal a {", "}"),
                Place::Helper => ("helper a {", "}"),
                Place::Listener => ("listener a {", "}"),
                Place::Panel => ("panel {", "}"),
                Place::Scene => ("scene a {", "}"),
                Place::Song => ("song \"a\" {", "}"),
                Place::Set => ("set \"a\" {", "}"),
                Place::Slots => ("slots {", "}"),
                Place::Control => ("pedal a { control b by foot {", "} }"),
            };
            let within = before.len()..;
            for text in row.good.iter().map(|good| format!("{before}{good}{after}")) {
                let whole = of(&[&text]);
                let mut tokens = Vec::new();
                Lexer::new(0, &text, registry::begins).statement(&mut tokens, &mut Vec::new());
                let own = tokens.iter().filter(|t| t.kind != Tok::End && within.contains(&(t.start as usize)));
                for token in own {
                    for instead in ["", "zebra", "77", "\"zebra\"", "{ }", "tip", "off"] {
                        let mut other = text.clone();
                        other.replace_range(token.start as usize..token.end as usize, instead);
                        if other != text && crate::syntax::parse(0, &other).1.is_empty() {
                            assert_ne!(whole, of(&[&other]), "{text}\n{other}");
                            tried += 1;
                        }
                    }
                }
            }
        }
        assert!(tried > 500, "{tried}");
    }

    #[test]
    fn blocks_that_are_one_count_as_one() {
        assert_eq!(of(&["default { x.y a; x.z b }"]), of(&["default { x.z b }\ndefault { x.y a }"]));
        assert_eq!(of(&["slots { 1.1 a; 1.2 b }"]), of(&["slots { 1.2 b }", "slots { 1.1 a }"]));
        assert_ne!(of(&["slots { }"]), of(&[""]));
        assert_ne!(of(&["default { mute }"]), of(&["layer default { mute }"]));
    }
}

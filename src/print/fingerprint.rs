//! The source's fingerprint: the same for the same statements, whatever their order, layout, comments and files.

use sha2::{Digest, Sha256};

use crate::source::Files;
use crate::syntax::lexer::{Lexer, Tok, Token};
use crate::syntax::registry;

/// Twelve hex digits over the user's own files.
///
/// Each top-level statement is hashed by its tokens, and the sorted hashes are hashed again. `use` says where
/// statements stand, not what they are, and is left out. Several `default` blocks are one, and so are several
/// `slots` blocks: their lines count one by one.
pub fn fingerprint(files: &Files) -> String {
    let mut hashes = Vec::new();
    let mut tokens = Vec::new();
    let mut faults = Vec::new();
    let mut bytes = Vec::new();
    for (number, file) in files.iter().filter(|(_, f)| !f.shipped) {
        let mut lexer = Lexer::new(number, &file.text, registry::opens_top);
        while lexer.statement(&mut tokens, &mut faults) {
            statement(&file.text, &tokens, &mut bytes, &mut hashes);
            faults.clear();
        }
    }
    hashes.sort_unstable();
    // An empty `slots` block says that nothing has a slot; a second one says nothing more.
    let slots = hash("", "slots", &[], &mut bytes);
    let mut told = false;
    hashes.retain(|h| *h != slots || !std::mem::replace(&mut told, true));
    let mut all = Sha256::new();
    hashes.iter().for_each(|h| all.update(h));
    all.finalize().iter().take(6).map(|byte| format!("{byte:02x}")).collect()
}

type Hash = [u8; 32];

fn statement(text: &str, tokens: &[Token], bytes: &mut Vec<u8>, hashes: &mut Vec<Hash>) {
    let word = |t: &Token| text.get(t.start as usize..t.end as usize).unwrap_or("");
    let opens = tokens.first().map_or("", word);
    match (opens, tokens) {
        ("use", _) | (_, []) => {}
        ("default" | "slots", [_, open, inner @ .., close]) if open.kind == Tok::Open && close.kind == Tok::Close => {
            if opens == "slots" {
                hashes.push(hash("", "slots", &[], bytes));
            }
            let lines = inner.split(|t| t.kind == Tok::End).filter(|line| !line.is_empty());
            hashes.extend(lines.map(|line| hash(text, opens, line, bytes)));
        }
        _ => hashes.push(hash(text, "", tokens, bytes)),
    }
}

/// Kind, length and bytes of each token, so that no two statements run into one; an end only where it parts two
/// statements, and a line break as a `;`. `bytes` is room for them.
fn hash(text: &str, block: &str, tokens: &[Token], bytes: &mut Vec<u8>) -> Hash {
    bytes.clear();
    let mut add = |kind: u8, says: &str| {
        bytes.push(kind);
        bytes.extend((says.len() as u32).to_le_bytes());
        bytes.extend(says.as_bytes());
    };
    add(u8::MAX, block);
    let next = tokens.iter().skip(1).map(|t| Some(t.kind)).chain([None]);
    for (token, next) in tokens.iter().zip(next) {
        match token.kind {
            Tok::End if matches!(next, None | Some(Tok::Close)) => {}
            Tok::End => add(Tok::End as u8, ""),
            kind => add(kind as u8, text.get(token.start as usize..token.end as usize).unwrap_or("")),
        }
    }
    Sha256::digest(bytes).into()
}

#[cfg(test)]
mod tests {
    use super::fingerprint;
    use crate::source::Files;

    fn of(texts: &[&str]) -> String {
        let mut files = Files::default();
        for text in texts {
            files.add("a.scene", *text);
        }
        fingerprint(&files)
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

    #[test]
    fn blocks_that_are_one_count_as_one() {
        assert_eq!(of(&["default { x.y a; x.z b }"]), of(&["default { x.z b }\ndefault { x.y a }"]));
        assert_eq!(of(&["slots { 1.1 a; 1.2 b }"]), of(&["slots { 1.2 b }", "slots { 1.1 a }"]));
        assert_ne!(of(&["slots { }"]), of(&[""]));
        assert_ne!(of(&["default { mute }"]), of(&["layer default { mute }"]));
    }
}

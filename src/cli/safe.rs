//! Text for the eye: what would drive a terminal, or turn the direction of writing, is shown as its number.

use std::borrow::Cow;

use crate::source::ends;
use crate::syntax::hidden::strays;

/// A text as people may see it: `<U+001B>` for an escape.
pub(super) fn safe(text: &str) -> Cow<'_, str> {
    if plain(text) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    let mut from = 0;
    for (at, c) in unsafe_ones(text) {
        out.push_str(text.get(from..at).unwrap_or(""));
        out.push_str(&number(c));
        from = at + c.len_utf8();
    }
    out.push_str(text.get(from..).unwrap_or(""));
    Cow::Owned(out)
}

/// True when nothing of a text has to be shown otherwise.
pub(super) fn plain(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'\n' | b'\t' | b' '..=b'~')) || unsafe_ones(text).is_empty()
}

/// What must not be seen as it is, each with its place. The carriage return that belongs to a line feed does nothing.
fn unsafe_ones(text: &str) -> Vec<(usize, char)> {
    let odd = text.char_indices().filter(|(at, c)| ends::is_odd(*c) && ends::length(text.as_bytes(), *at) > 0);
    let mut found: Vec<(usize, char)> = strays(text).chain(odd).collect();
    found.sort_unstable();
    found
}

fn number(c: char) -> String {
    format!("<U+{:04X}>", c as u32)
}

/// A text for the eye that knows where each place of the text as it is written has gone.
pub(super) struct Eye {
    /// What is seen.
    pub(super) text: String,
    /// Behind each character that is shown otherwise: the place as written, and as seen.
    moved: Vec<(u32, u32)>,
}

impl Eye {
    /// None when the text is seen as it is written. Behind an unclear line's end a line begins here too.
    pub(super) fn of(written: &str) -> Option<Eye> {
        if plain(written) {
            return None;
        }
        let (mut text, mut moved, mut from) = (String::new(), Vec::new(), 0);
        for (at, c) in unsafe_ones(written) {
            text.push_str(written.get(from..at)?);
            text.push_str(&number(c));
            if ends::is_odd(c) {
                text.push('\n');
            }
            from = at + c.len_utf8();
            moved.push((from as u32, text.len() as u32));
        }
        text.push_str(written.get(from..)?);
        Some(Eye { text, moved })
    }

    /// Where a place is seen.
    pub(super) fn seen(&self, written: u32) -> u32 {
        let behind = self.moved.partition_point(|(was, _)| *was <= written);
        let (was, is) = behind.checked_sub(1).and_then(|i| self.moved.get(i)).copied().unwrap_or_default();
        is + (written - was)
    }

    /// Where a place that is seen was written.
    pub(super) fn written(&self, seen: u32) -> u32 {
        let behind = self.moved.partition_point(|(_, is)| *is <= seen);
        let (was, is) = behind.checked_sub(1).and_then(|i| self.moved.get(i)).copied().unwrap_or_default();
        was + (seen - is)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_otherwise_is_found_again() {
        let text = "a\u{1b}[8m é\u{202e}b\r\nc\rd \u{2600}\u{fe0f}\u{9b}";
        assert_eq!(safe(text), "a<U+001B>[8m é<U+202E>b\r\nc<U+000D>d \u{2600}\u{fe0f}<U+009B>");
        assert!(safe(&safe(text)) == safe(text) && plain("a\tb\r\nc é \u{2600}\u{fe0f}"));
        let eye = Eye::of(text).unwrap();
        for (at, _) in text.char_indices() {
            assert_eq!(eye.written(eye.seen(at as u32)) as usize, at);
            let ahead =
                |text: &str, at: usize| text[at..].chars().next().filter(|c| !c.is_control() && *c != '\u{202e}');
            let (written, seen) = (ahead(text, at), ahead(&eye.text, eye.seen(at as u32) as usize));
            assert!(written.is_none() || written == seen, "{at}");
        }
    }
}

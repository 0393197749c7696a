//! Where a line ends: as it is written, and as some editors show it.

/// A line's end that only some editors show: a carriage return alone, a vertical tab, a form feed, a next-line sign, the
/// line separator and the paragraph separator. What such an editor shows on a line of its own is read so.
pub fn is_odd(c: char) -> bool {
    matches!(c, '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

/// How many bytes the line's end at `at` takes; 0 where none stands. The carriage return before a line feed is a blank.
pub fn length(bytes: &[u8], at: usize) -> usize {
    match bytes.get(at..).unwrap_or(&[]) {
        [b'\r', b'\n', ..] => 0,
        [b'\n'..=b'\r', ..] => 1,
        [0xC2, 0x85, ..] => 2,
        [0xE2, 0x80, 0xA8 | 0xA9, ..] => 3,
        _ => 0,
    }
}

/// The first line's end at or after `from`, else where the text ends.
pub fn next(bytes: &[u8], from: usize) -> usize {
    let mut at = from;
    while let Some(step) =
        bytes.get(at..).and_then(|rest| rest.iter().position(|b| matches!(b, b'\n'..=b'\r' | 0xC2 | 0xE2)))
    {
        at += step;
        if length(bytes, at) > 0 {
            return at;
        }
        at += 1;
    }
    bytes.len()
}

/// The lines of a text, without their ends.
pub fn lines(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text).filter(|t| !t.is_empty());
    std::iter::from_fn(move || {
        let from = rest?;
        let end = next(from.as_bytes(), 0);
        rest = from.get(end + length(from.as_bytes(), end)..).filter(|t| !t.is_empty());
        from.get(..end)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_found_and_measured() {
        let text = "a\nb\r\nc\rd\u{b}e\u{c}f\u{85}g\u{2028}h\u{2029}é “i”\r\r\n";
        let (mut at, mut found) = (0, Vec::new());
        while next(text.as_bytes(), at) < text.len() {
            at = next(text.as_bytes(), at);
            let end = at + length(text.as_bytes(), at);
            found.push(text[at..end].to_owned());
            at = end;
        }
        let odd = ["\r", "\u{b}", "\u{c}", "\u{85}", "\u{2028}", "\u{2029}"];
        let wanted: Vec<&str> = ["\n", "\n"].into_iter().chain(odd).chain(["\r", "\n"]).collect();
        assert_eq!(found, wanted);
        assert!(odd.iter().all(|o| o.chars().all(is_odd)) && !is_odd('\n'));
    }
}

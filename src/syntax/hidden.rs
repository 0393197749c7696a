//! Characters that cannot be seen, and where a text may hold one.
//!
//! The set is Unicode's `Default_Ignorable_Code_Point` with the controls and the signs that annotate between lines. What
//! writing needs follows Unicode Standard Annex 31 (joiners, section 2.3) and Technical Standards 39 and 51 (emoji).

use unicode_properties::UnicodeEmoji;
use unicode_script::{Script, UnicodeScript};

/// A character of no width, a control, or a sign that turns the direction of writing: with it two names look like one,
/// and a line reads otherwise than it is printed.
pub fn is_hidden(c: char) -> bool {
    match c {
        '\t'..='\r' | '\u{85}' => false,
        _ if c.is_control() => true,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' => true,
        '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' => true,
        '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' => true,
        '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}' => true,
        _ => false,
    }
}

/// True when all of it is plainly seen, or when nobody can tell without looking closer.
pub(super) fn looks_plain(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'\t' | b' '..=b'~'))
}

/// The hidden characters of a text or a comment that no writing needs, each with its place.
pub fn strays(text: &str) -> impl Iterator<Item = (usize, char)> {
    let hidden = text.char_indices().filter(|(_, c)| is_hidden(*c));
    hidden.filter(|(at, c)| {
        let before = text.get(..*at).unwrap_or("");
        let after = text.get(at + c.len_utf8()..).unwrap_or("");
        !needed(*c, before, after)
    })
}

/// True for a form of the sign before it, and for a joiner between signs that are written differently without it.
fn needed(c: char, before: &str, after: &str) -> bool {
    let Some(last) = before.chars().next_back() else { return false };
    match c {
        '\u{fe0e}' | '\u{fe0f}' => last.is_emoji_char(),
        '\u{e0100}'..='\u{e01ef}' => last.script() == Script::Han,
        '\u{180b}'..='\u{180f}' => last.script() == Script::Mongolian,
        '\u{200d}' if joins(last) => true,
        '\u{200d}' => pictures(before) && after.chars().next().is_some_and(pictured),
        '\u{200c}' => joins(last) && after.chars().next().is_some_and(joins),
        _ => false,
    }
}

/// A letter or mark of a script whose letters change their form beside each other.
fn joins(c: char) -> bool {
    use Script::*;
    let script = c.script();
    let alone = matches!(script, Common | Inherited | Unknown);
    let cursive = matches!(script, Arabic | Syriac | Nko | Mandaic | Mongolian | Phags_Pa | Adlam | Hanifi_Rohingya);
    let indic = matches!(
        script,
        Devanagari | Bengali | Gurmukhi | Gujarati | Oriya | Tamil | Telugu | Kannada | Malayalam | Sinhala
    );
    let eastern = matches!(script, Khmer | Myanmar | Tibetan | Balinese | Javanese | Sundanese | Tai_Tham | Chakma);
    // Marks that several scripts share, as the dots above an Arabic letter.
    let shared = alone && c.script_extension().iter().any(|s| matches!(s, Arabic | Syriac | Devanagari | Bengali));
    (cursive || indic || eastern || shared) && !c.is_numeric()
}

/// True when a text ends with a picture, its form and tone of skin included.
fn pictures(text: &str) -> bool {
    let tone = |c: char| matches!(c, '\u{1f3fb}'..='\u{1f3ff}' | '\u{fe0f}');
    text.trim_end_matches(tone).chars().next_back().is_some_and(pictured)
}

/// An emoji that is no digit.
fn pictured(c: char) -> bool {
    c.is_emoji_char() && !c.is_ascii()
}

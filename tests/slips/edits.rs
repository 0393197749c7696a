//! Slips of the hand: letters, signs, words, quotes, braces, lines. Made on the text alone.

use crate::support::dice::Dice;

/// A slip: what kind it is, and the text after it.
pub(crate) struct Slip {
    pub(crate) kind: &'static str,
    pub(crate) text: String,
}

/// Each letter with its place, and whether it stands in a comment and in quotes, a quote or `#` that opens one too.
fn places(text: &str) -> impl Iterator<Item = (usize, char, bool, bool)> + '_ {
    text.char_indices().scan((false, false), |(comment, quoted), (at, c)| {
        match c {
            '\n' => (*comment, *quoted) = (false, false),
            '"' if !*comment => *quoted = !*quoted,
            '#' if !*quoted => *comment = true,
            _ => {}
        }
        Some((at, c, *comment, *quoted))
    })
}

/// Where words stand, in bytes: letters, digits and single hyphens, outside comments; with `texts`, inside quotes too.
fn words(text: &str, texts: bool) -> Vec<(usize, usize)> {
    let (mut out, mut from) = (Vec::new(), None);
    for (at, c, comment, quoted) in places(text) {
        let inside = (c.is_alphanumeric() || c == '-') && !comment && (texts || !quoted);
        match (inside, from) {
            (true, None) => from = Some(at),
            (false, Some(start)) => {
                out.push((start, at));
                from = None;
            }
            _ => {}
        }
    }
    out.retain(|(a, b)| text[*a..*b].starts_with(|c: char| c.is_ascii_alphabetic()));
    out
}

/// Where any of some signs stand outside comments.
fn signs(text: &str, which: &[char]) -> Vec<usize> {
    let mut out = Vec::new();
    for (at, c, comment, quoted) in places(text) {
        if which.contains(&c) && !comment && (!quoted || c == '"') {
            out.push(at);
        }
    }
    out
}

/// The lines that say something, in bytes, each without its break.
fn lines(text: &str) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut at = 0;
    for line in text.split('\n') {
        let said = line.trim();
        if !said.is_empty() && !said.starts_with('#') {
            out.push((at, at + line.len()));
        }
        at += line.len() + 1;
    }
    out
}

fn put(text: &str, from: usize, to: usize, new: &str) -> String {
    format!("{}{new}{}", &text[..from], &text[to..])
}

/// One of a list; None of an empty one.
fn pick<T: Copy>(dice: &mut Dice, list: &[T]) -> Option<T> {
    (!list.is_empty()).then(|| list[dice.roll(list.len())])
}

/// A letter left out, doubled, changed or swapped with the next, in a word or a text.
pub(crate) fn typo(dice: &mut Dice, text: &str) -> Option<Slip> {
    let (from, to) = pick(dice, &words(text, true))?;
    letter(dice, text, from, to)
}

fn letter(dice: &mut Dice, text: &str, from: usize, to: usize) -> Option<Slip> {
    let at = from + dice.roll(to - from);
    let other = char::from(b'a' + dice.roll(26) as u8);
    let (kind, text) = match dice.roll(4) {
        0 => ("a letter left out", put(text, at, at + 1, "")),
        1 => ("a letter too many", put(text, at, at, &other.to_string())),
        2 => ("a letter changed", put(text, at, at + 1, &other.to_string())),
        _ if at + 1 < to => {
            let pair: String = text[at..at + 2].chars().rev().collect();
            ("letters swapped", put(text, at, at + 2, &pair))
        }
        _ => return None,
    };
    Some(Slip { kind, text })
}

/// Words that a hand leaves out, and what is left.
const LEFT_OUT: [&str; 14] = [
    "from ", "scene ", "with ", "song ", "engage ", "pedal ", "at ", "on ", "tap ", "note ", "set ", "layer ",
    "layer ", "pause ",
];

/// What people write for a unit, a sign or a word.
const INSTEAD: [(&str, &str); 26] = [
    (" %", " percent"),
    (" %", " per cent"),
    (" %", ""),
    (" %", "%"),
    (" kohm", "k"),
    (" kohm", " kOhm"),
    (" mA", " ma"),
    (" pF", "p"),
    (" after ", " before "),
    (" from ", " = "),
    (" from ", " as "),
    (" with ", " and "),
    (", ", " and "),
    (", ", " "),
    (", ", "; "),
    (": ", " "),
    (": ", " = "),
    (": ", ", "),
    (" -> ", " "),
    (" -> ", " -- "),
    (" -> ", ", "),
    ("..", " to "),
    (".", ","),
    (".", " "),
    ("\"drop D\"", "drop#D"),
    ("engage ", "turn on "),
];

/// Any slip.
pub(crate) fn slip(dice: &mut Dice, text: &str) -> Option<Slip> {
    let said = |kind, text| Some(Slip { kind, text });
    match dice.roll(20) {
        0..3 => typo(dice, text),
        3 => {
            let (from, to) = pick(dice, &words(text, false))?;
            letter(dice, text, from, to)
        }
        4 => {
            let (from, to) = pick(dice, &words(text, false))?;
            let gap = text[to..].len() - text[to..].trim_start_matches(' ').len();
            said("a word left out", put(text, from, to + gap, ""))
        }
        5 | 6 => {
            let word = pick(dice, &LEFT_OUT)?;
            let places: Vec<usize> = text.match_indices(word).map(|(at, _)| at).collect();
            let at = pick(dice, &places)?;
            said("a word forgotten", put(text, at, at + word.len(), ""))
        }
        7 => {
            let all = words(text, false);
            let (from, to) = pick(dice, &all)?;
            let (other, end) = pick(dice, &all)?;
            // The old name of a scene says which scene is meant: it is read as what it names.
            if text[..other].ends_with("was ") {
                return None;
            }
            said("another word", put(text, from, to, &text[other..end]))
        }
        8 => {
            let all = words(text, false);
            let (at, _) = pick(dice, &all)?;
            let (other, end) = pick(dice, &all)?;
            said("a word too many", put(text, at, at, &format!("{} ", &text[other..end])))
        }
        9 | 10 => {
            let (from, to) = pick(dice, &lines(text))?;
            said("a line left out", put(text, from, (to + 1).min(text.len()), ""))
        }
        11 => {
            let scenes: Vec<(usize, usize)> = lines(text)
                .into_iter()
                .filter(|(a, _)| ["scene ", "layer "].iter().any(|w| text[*a..].starts_with(w)))
                .collect();
            let (from, to) = pick(dice, &scenes)?;
            let end = if text[from..to].ends_with('{') { from + text[from..].find("\n}")? + 2 } else { to };
            said("a scene left out", put(text, from, end, ""))
        }
        12 => {
            let at = pick(dice, &signs(text, &['"', '{', '}', ',', ':', '.', ';', '%']))?;
            said("a sign left out", put(text, at, at + 1, ""))
        }
        13 => {
            let quotes = signs(text, &['"']);
            let nth = dice.roll((quotes.len() / 2).max(1)) * 2;
            let (open, close) = (*quotes.get(nth)?, *quotes.get(nth + 1)?);
            said("quotes left out", format!("{}{}{}", &text[..open], &text[open + 1..close], &text[close + 1..]))
        }
        14 => {
            let at = pick(dice, &signs(text, &['{']))?;
            let head = text[..at].trim_end().len();
            said("a brace on the next line", put(text, head, at, "\n"))
        }
        15..18 => {
            let (what, other) = pick(dice, &INSTEAD)?;
            let places: Vec<usize> = text.match_indices(what).map(|(at, _)| at).collect();
            let at = pick(dice, &places)?;
            said("said otherwise", put(text, at, at + what.len(), other))
        }
        18 => {
            let breaks: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
            let at = pick(dice, &breaks)?;
            said("two lines run together", put(text, at, at + 1, " "))
        }
        _ => {
            let sign = pick(dice, &[",", ".", ":", ";", "{", "}", "\"", "#", "-", "(", "1", "\n", "“"])?;
            let (from, to) = pick(dice, &words(text, true))?;
            let at = from + dice.roll(to - from + 1);
            said("a sign too many", put(text, at, at, sign))
        }
    }
}

//! What belongs to the file, not to its look: how lines end, whether the last one does, and the mark at the start.

/// The mark that some editors put at the start of a file.
const MARK: char = '\u{feff}';

/// What a gap is to hold, with the line ends that it had; of new ones each is like the one before it.
///
/// `at` is the gap's place in the `text`.
pub(super) fn kept(had: &str, has: &str, at: (u32, u32), text: &str) -> String {
    let last = at.1 as usize == text.len() && !text.ends_with('\n');
    let has = if last { has.trim_end_matches('\n') } else { has };
    let mut out = String::with_capacity(had.len());
    if at.0 == 0 && had.starts_with(MARK) {
        out.push(MARK);
    }
    let mut ends = had.split_inclusive('\n').filter(|line| line.ends_with('\n')).map(|line| line.ends_with("\r\n"));
    let mut wide = None;
    for letter in has.chars() {
        if letter == '\n' {
            wide = ends.next().or(wide).or_else(|| Some(super::super::edit::end_near(text, at.0 as usize) == "\r\n"));
            out.push_str(if wide == Some(true) { "\r\n" } else { "\n" });
        } else {
            out.push(letter);
        }
    }
    out
}

//! Line ends: a merge reads all three files alike, and writes as mine is written.

use similar::{Algorithm, DiffTag, capture_diff_slices};

const MARK: char = '\u{feff}';

/// A text without the mark at its start, with plain line ends.
pub(super) fn plain(text: &str) -> String {
    text.strip_prefix(MARK).unwrap_or(text).replace("\r\n", "\n")
}

/// The merged text with the mark, the line ends and the last line's end of mine.
pub(super) fn as_mine(mine: &str, merged: &str) -> String {
    let own = mine.strip_prefix(MARK).unwrap_or(mine);
    let mut text = merged.to_owned();
    if !own.is_empty() && !own.ends_with('\n') {
        text.truncate(text.trim_end_matches('\n').len());
    } else if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    let (all, returns) = (own.matches('\n').count(), own.matches("\r\n").count());
    let text = match returns {
        0 => text,
        _ if returns == all => text.replace('\n', "\r\n"),
        _ => mixed(own, &text, returns * 2 > all),
    };
    if mine.starts_with(MARK) { format!("{MARK}{text}") } else { text }
}

/// Lines that mine has keep their ends; others get the end that most of mine have.
fn mixed(mine: &str, merged: &str, mostly: bool) -> String {
    let old: Vec<&str> = mine.split_inclusive('\n').collect();
    let bare: Vec<&str> = old.iter().map(|l| l.trim_end_matches(['\r', '\n'])).collect();
    let new: Vec<&str> = merged.split_inclusive('\n').map(|l| l.trim_end_matches('\n')).collect();
    let mut returns = vec![mostly; new.len()];
    for op in capture_diff_slices(Algorithm::Myers, &bare, &new) {
        let (DiffTag::Equal, from, to) = op.as_tag_tuple() else { continue };
        for (a, b) in from.zip(to) {
            if let (Some(end), Some(line)) = (returns.get_mut(b), old.get(a)) {
                *end = line.ends_with("\r\n");
            }
        }
    }
    let ends = merged.split_inclusive('\n').zip(returns);
    let line = |(line, returns): (&str, bool)| if returns { line.replace('\n', "\r\n") } else { line.to_owned() };
    ends.map(line).collect()
}

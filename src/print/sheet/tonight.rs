//! Tonight's order, from a list of titles.

use unicode_normalization::UnicodeNormalization;

use crate::book::Book;
use crate::book::song::title_key;
use crate::source::ends;

/// The songs of a list, one title a line, matched without case or blanks; `#` starts a remark.
/// The error names every title that is unknown, each with its line and the nearest one.
pub fn songs(book: &Book, text: &str) -> Result<Vec<usize>, String> {
    let mut songs = Vec::new();
    let mut wrong = Vec::new();
    for (number, line) in ends::lines(text.trim_start_matches('\u{feff}')).enumerate() {
        let title = line.trim().trim_matches('"');
        if title.is_empty() {
            continue;
        }
        match find(book, title) {
            Some(song) => songs.push(song),
            None if title.starts_with('#') => {}
            None => wrong.push(unknown(book, number + 1, title)),
        }
    }
    if songs.is_empty() && wrong.is_empty() {
        return Err("the list of songs is empty".to_owned());
    }
    if wrong.is_empty() { Ok(songs) } else { Err(wrong.join("\n")) }
}

fn find(book: &Book, title: &str) -> Option<usize> {
    let key = title_key(&title.nfc().collect::<String>());
    book.show.songs.iter().position(|s| title_key(&s.title) == key)
}

fn unknown(book: &Book, line: usize, title: &str) -> String {
    let near = crate::near::nearest(title, book.show.songs.iter().map(|s| s.title.as_str()));
    let offer = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
    format!("line {line} of the list: no song is called `{title}`{offer}")
}

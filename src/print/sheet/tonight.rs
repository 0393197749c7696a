//! Tonight's order as people write it: a title a line.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::book::song::title_key;
use crate::book::{Book, SetItem};
use crate::ids::SongId;
use crate::source::ends;

/// The songs, pauses and encore of a list. A title is matched without case, blanks, accents and signs if it is then one
/// song alone; a number or a dash may stand before it, quotes around it; `#` starts a remark.
///
/// The error names every line that is not understood, each with the nearest title.
pub fn read(book: &Book, text: &str) -> Result<Vec<SetItem>, String> {
    let titles = Titles::of(book);
    let (mut items, mut wrong) = (Vec::new(), Vec::new());
    for (number, line) in ends::lines(text.trim_start_matches('\u{feff}')).enumerate() {
        match titles.item(line.trim()) {
            Ok(item) => items.extend(item),
            Err(why) => wrong.push(format!("line {} of the list: {why}", number + 1)),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong.join("\n"));
    }
    if items.iter().all(|item| item.song().is_none()) {
        return Err("the list of songs is empty".to_owned());
    }
    Ok(items)
}

/// A list that is read as these very items.
pub fn write(book: &Book, items: &[SetItem]) -> String {
    let mut out = String::new();
    let mut number = 0;
    for item in items {
        match item {
            SetItem::Song(song) => {
                number += 1;
                let title = book.show.songs.get(*song).map_or("", |s| s.title.as_str());
                out += &format!("{number}. \"{title}\"\n");
            }
            SetItem::Pause(says) => {
                out += &format!("pause: {}\n", says.split_whitespace().collect::<Vec<_>>().join(" "))
            }
            SetItem::Encore => out += "encore:\n",
        }
    }
    out
}

/// The book's titles, as they are and as they may be written.
struct Titles<'b> {
    book: &'b Book,
    exact: Vec<smol_str::SmolStr>,
    loose: Vec<String>,
}

const DASHES: [char; 9] = ['-', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{2022}', '*', '='];
const QUOTES: [char; 11] =
    ['"', '\'', '`', '\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{201a}', '\u{ab}', '\u{bb}'];

impl<'b> Titles<'b> {
    fn of(book: &'b Book) -> Titles<'b> {
        let titles = || book.show.songs.iter().map(|s| s.title.as_str());
        Titles { book, exact: titles().map(title_key).collect(), loose: titles().map(loose).collect() }
    }

    /// What a line asks for; nothing for an empty one or a remark.
    fn item(&self, line: &str) -> Result<Option<SetItem>, String> {
        let mark = marked(line);
        // A title that is only like the mark's word is not meant.
        let songs = self.found(line, mark.is_none());
        if line.is_empty() || (songs.is_empty() && line.starts_with('#')) {
            return Ok(None);
        }
        match (&songs[..], mark) {
            ([song], None) => Ok(Some(SetItem::Song(*song))),
            ([], Some(item)) => Ok(Some(item)),
            ([], None) => Err(self.unknown(line)),
            ([_], Some(_)) => {
                Err(format!("`{line}` is a song too: write `1. {line}` for the song, `{line}:` for the other"))
            }
            _ => {
                let titles = songs.iter().filter_map(|s| self.book.show.songs.get(*s)).map(|s| s.title.as_str());
                Err(format!(
                    "`{line}` may be \"{}\": write the one you mean in quotes",
                    titles.collect::<Vec<_>>().join("\" or \"")
                ))
            }
        }
    }

    /// The songs that a line may mean; with `loosely`, by their letters alone if by nothing else.
    fn found(&self, line: &str, loosely: bool) -> Vec<SongId> {
        let bare = unnumbered(line);
        if let Some(title) = quoted(bare) {
            let exact = by(&self.exact, &key(title));
            return if exact.is_empty() { by(&self.loose, &loose(title)) } else { exact };
        }
        let mut found: Vec<SongId> = [line, bare].iter().flat_map(|title| by(&self.exact, &key(title))).collect();
        if found.is_empty() && loosely {
            found = [line, bare].iter().flat_map(|title| by(&self.loose, &loose(title))).collect();
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    fn unknown(&self, line: &str) -> String {
        let bare = unnumbered(line);
        let title = quoted(bare).unwrap_or(bare);
        let near = crate::near::nearest(title, self.book.show.songs.iter().map(|s| s.title.as_str()));
        let offer = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        format!("no song is called `{title}`{offer}")
    }
}

fn by<T: PartialEq>(list: &[T], wanted: &T) -> Vec<SongId> {
    list.iter().enumerate().filter(|(_, one)| *one == wanted).map(|(n, _)| SongId::nth(n)).collect()
}

fn key(title: &str) -> smol_str::SmolStr {
    title_key(&title.nfc().collect::<String>())
}

/// Letters and digits alone, small and without accents; the title without blanks when it has neither.
fn loose(title: &str) -> String {
    let letters = title.nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_lowercase);
    let letters: String = letters.filter(|c| c.is_alphanumeric()).collect();
    if letters.is_empty() { key(title).to_string() } else { letters }
}

/// A line without the number or the dash before it.
fn unnumbered(line: &str) -> &str {
    let digits = line.trim_start_matches(|c: char| c.is_ascii_digit());
    let numbered = digits.len() < line.len();
    let rest = digits.strip_prefix(['.', ')', ':']).unwrap_or(digits);
    let dashes = rest.trim_start().trim_start_matches(DASHES);
    let blank = dashes.trim_start();
    let parted = blank.len() < dashes.len() || rest.len() < digits.len() || dashes.len() < digits.trim_start().len();
    if blank.is_empty() || !(parted || numbered && blank.len() < digits.len()) { line } else { blank }
}

fn quoted(title: &str) -> Option<&str> {
    let inner = title.strip_prefix(QUOTES)?.strip_suffix(QUOTES)?;
    (!inner.is_empty()).then_some(inner)
}

/// `encore`, `pause`, `pause: change guitar`, with dashes around or not.
fn marked(line: &str) -> Option<SetItem> {
    let words = line.trim_matches(|c: char| DASHES.contains(&c) || c.is_whitespace() || c == ':');
    if words.eq_ignore_ascii_case("encore") {
        return Some(SetItem::Encore);
    }
    let (first, rest) = (words.get(.."pause".len())?, words.get("pause".len()..)?);
    if !first.eq_ignore_ascii_case("pause") || rest.starts_with(char::is_alphanumeric) {
        return None;
    }
    let rest = rest.trim_start_matches(|c: char| DASHES.contains(&c) || c.is_whitespace() || c == ':');
    // A word of its own tells it from a title that begins so.
    let told =
        rest.is_empty() || words.get("pause".len()..)?.trim_start().starts_with(|c| c == ':' || DASHES.contains(&c));
    told.then(|| SetItem::Pause(if rest.is_empty() { "a break".to_owned() } else { rest.to_owned() }))
}

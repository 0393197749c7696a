//! A name put in the place of another wherever binding noted it: the book is the same. One place missed, or one too many,
//! and it breaks.

use std::collections::{BTreeMap, BTreeSet};

use tipring::Compiled;
use tipring::book::{Meaning, Mention};
use tipring::check::Severity;
use unicode_normalization::UnicodeNormalization;

use super::books::{self, Book};
use crate::support::dice::{self, Dice};

/// Put behind a name, this makes one that no book has; it stays where it was among the others by name.
const MARK: &str = "-0qzx";

/// How a name counts: in one spelling, a title without case, blanks and quotes.
fn spelt(compiled: &Compiled, mention: &Mention) -> String {
    let text = compiled.files.text(mention.at);
    let title = matches!(mention.means, Meaning::Song(_) | Meaning::Set(_));
    let plain: String = text.nfc().filter(|c| !title || !(c.is_whitespace() || *c == '"')).collect();
    if title { plain.to_lowercase() } else { plain }
}

/// Every place of a name, with those of what else goes by it because a description is handed on, or is another's tonight.
fn places(compiled: &Compiled, one: &Mention) -> BTreeSet<tipring::source::Span> {
    let mentions = compiled.mentions();
    let name = spelt(compiled, one);
    let (mut seen, mut waiting) = (BTreeSet::new(), vec![one.means]);
    let mut places = BTreeSet::new();
    while let Some(means) = waiting.pop() {
        if !seen.insert(means) {
            continue;
        }
        for place in mentions.of_one(means).filter(|m| spelt(compiled, m) == name) {
            places.insert(place.at);
            waiting.extend(mentions.around(place.at.file, place.at.start).iter().map(|m| m.means));
        }
    }
    places
}

/// What is stored where, by the names of the book, and what is told: without the mark.
fn says(compiled: &Compiled) -> BTreeMap<String, String> {
    let plain = |text: &str| text.replace(MARK, "");
    let show = &compiled.book.show;
    let mut cells = BTreeMap::new();
    for (scene, id) in show.scenes.numbered() {
        let name = plain(&scene.name);
        for (cell, column) in compiled.table.cells.list.numbered() {
            let value = compiled.table.value(id, column);
            // Which order is meant goes by its number among those that are said.
            cells.insert(format!("{name} {} {}", id.index(), plain(&cell.name)), format!("{value:?}"));
        }
    }
    for preset in &compiled.presets {
        let scene = show.scenes.get(preset.scene).map_or(String::new(), |s| plain(&s.name));
        cells.insert(format!("slot {:?}", preset.slot), scene);
    }
    // What is told of the letters themselves: a name that grows does not fit a display, `F#` is a note no more, and what is
    // written down for a pause, in free words, keeps the old one.
    let letters = ["label-too-long", "code-clash", "hash-glued", "pause-stale"];
    let told = compiled.diagnostics().iter().filter(|d| !letters.contains(&d.code));
    cells.extend(told.map(|d| (format!("told {} {}", d.code, plain(&d.message)), String::new())));
    cells
}

/// What ships with the tool keeps its names, and so does what is like it; `tempo` names its level itself.
fn shipped(compiled: &Compiled, means: Meaning) -> bool {
    let (Meaning::Control(d, _) | Meaning::State(d, ..) | Meaning::Leg(d, _)) = means else { return false };
    let like = compiled.book.board.devices.get(d).map_or(&[][..], |d| &d.like);
    tipring::source::shipped::devices().any(|name| like.iter().any(|l| l == name))
}

/// Gives so many things of a book, chosen by dice, other names in turn; counts them.
fn renamed(book: &Book, dice: &mut Dice, most: usize, wrong: &mut Vec<String>) -> usize {
    let compiled = books::compile(book);
    if compiled.diagnostics().iter().any(|d| d.severity == Severity::Error) {
        return 0;
    }
    let given = compiled.mentions().all().iter().filter(|m| m.given && m.own && !shipped(&compiled, m.means));
    let mut given: Vec<&Mention> = given.collect();
    let before = says(&compiled);
    let mut count = 0;
    while count < most && !given.is_empty() {
        let one = given.swap_remove(dice.roll(given.len()));
        let mut other = book.clone();
        for at in places(&compiled, one).into_iter().rev() {
            let file = compiled.files.path(at);
            let (_, text) = other.iter_mut().find(|(path, _)| path == file).expect("a file of the book");
            let quoted = compiled.files.text(at).ends_with('"');
            text.insert_str(at.end as usize - usize::from(quoted), MARK);
        }
        let after = says(&books::compile(&other));
        let name = compiled.files.text(one.at);
        let differs = |(a, b): (&BTreeMap<String, String>, &BTreeMap<String, String>)| -> Vec<String> {
            a.iter()
                .filter(|(key, value)| b.get(*key) != Some(value))
                .map(|(key, value)| format!("{key} {value}"))
                .collect()
        };
        let (lost, new) = (differs((&before, &after)), differs((&after, &before)));
        let text = &other[one.at.file as usize].1;
        if !(lost.is_empty() && new.is_empty()) {
            wrong.push(format!("{name} has another name, and this is gone {lost:#?}, this is new {new:#?}\n{text}"));
        }
        count += 1;
    }
    count
}

#[test]
fn another_name_is_the_same_book() {
    let seed = dice::seed();
    let mut dice = Dice(seed);
    let mut all: Vec<(Book, usize)> = Vec::new();
    all.extend(books::examples().into_iter().map(|book| (book, dice::many(25, usize::MAX))));
    all.push((vec![("book.scene".to_owned(), books::SMALL.to_owned())], usize::MAX));
    all.extend(books::suite().into_iter().map(|book| (book, dice::many(1, usize::MAX))));
    let from = seed % 1_000_000;
    all.extend(books::random(from..from + dice::many(10, 200) as u64).map(|book| (book, 3)));
    let (mut sound, mut names, mut wrong) = (0, 0, Vec::new());
    for (book, most) in &all {
        let count = renamed(book, &mut dice, *most, &mut wrong);
        sound += usize::from(count > 0);
        names += count;
    }
    println!("seed {seed}: {names} names in {sound} sound books of {}", all.len());
    wrong.iter().take(3).for_each(|wrong| println!("{wrong}"));
    assert_eq!(wrong.len(), 0, "seed {seed}: names that were missed");
    assert!(names > 100, "too few names were tried");
}

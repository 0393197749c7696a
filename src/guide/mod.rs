//! The guide of the language: a page for every word, chapter by chapter, in the order in which a board is written. Its forms
//! come from the registry of the grammar; a test compiles every example, and holds that no word is without a page.

use std::sync::LazyLock;

use crate::syntax::registry;

const CHAPTERS: [&str; 10] = [
    include_str!("1-first.md"),
    include_str!("2-sounds.md"),
    include_str!("3-devices.md"),
    include_str!("4-songs.md"),
    include_str!("5-switches.md"),
    include_str!("6-signal.md"),
    include_str!("7-power.md"),
    include_str!("8-rules.md"),
    include_str!("9-night.md"),
    include_str!("10-whole.md"),
];

/// A page.
#[derive(Clone, Debug)]
pub struct Page {
    /// The chapter it stands in.
    pub chapter: &'static str,
    /// Its title: the word, and where it stands when it stands in several blocks: `output, in a scene`.
    pub title: &'static str,
    /// Further words that it tells of.
    pub words: Vec<&'static str>,
    /// What it says, as Markdown: prose, then headings with examples under them.
    pub text: String,
}

impl Page {
    /// The word that it is about.
    pub fn word(&self) -> &'static str {
        self.title.split_once(", in ").map_or(self.title, |(word, _)| word)
    }

    /// The block that the word stands in, where the title says one.
    pub fn place(&self) -> Option<&'static str> {
        self.title.split_once(", in ").map(|(_, place)| place)
    }
}

/// All pages, in reading order.
pub fn pages() -> &'static [Page] {
    &PAGES
}

/// The pages that tell of a word: those it is the title of, else those that name it.
pub fn pages_of(word: &str) -> Vec<&'static Page> {
    let titled: Vec<&Page> = PAGES.iter().filter(|p| p.word() == word || p.title == word).collect();
    if titled.is_empty() { PAGES.iter().filter(|p| p.words.contains(&word)).collect() } else { titled }
}

/// Every word that has a page or is told of on one.
pub fn words() -> impl Iterator<Item = &'static str> {
    PAGES.iter().flat_map(|p| std::iter::once(p.word()).chain(p.words.iter().copied()))
}

static PAGES: LazyLock<Vec<Page>> = LazyLock::new(|| {
    let mut pages: Vec<Page> = CHAPTERS.iter().flat_map(|text| chapter(text)).collect();
    let taken: Vec<(&str, &str)> = pages.iter().filter_map(|p| Some((p.word(), p.place()?))).collect();
    for page in &mut pages {
        let forms = forms(page, &taken);
        if !forms.is_empty() {
            let at = page.text.find("# For example").unwrap_or(page.text.len());
            page.text.insert_str(at, &format!("# Forms\n\n```\n{}\n```\n\n", forms.join("\n")));
        }
    }
    pages
});

/// The pages of a chapter; its examples get their headings.
fn chapter(text: &'static str) -> Vec<Page> {
    let (head, rest) = text.split_once("\n## ").unwrap_or((text, ""));
    let chapter = head.trim().trim_start_matches("# ");
    rest.split("\n## ").map(|page| one(chapter, page)).collect()
}

fn one(chapter: &'static str, page: &'static str) -> Page {
    let (title, body) = page.split_once('\n').unwrap_or((page, ""));
    let (mut words, mut text) = (Vec::new(), String::new());
    for line in body.lines() {
        let says = match line.split_once(' ') {
            Some(("Words:", list)) => {
                words = list.split(", ").collect();
                continue;
            }
            Some(("Goes", list)) if list.starts_with("wrong: ") => {
                let codes: Vec<String> =
                    list.trim_start_matches("wrong: ").split(", ").map(|code| format!("`{code}`")).collect();
                format!("# What goes wrong\n\n{}", codes.join(", "))
            }
            _ if line == "```scene" || line == "```text" => format!("# For example\n\n{line}"),
            _ if line == "```csv" => format!("# Its table\n\n{line}"),
            _ => line.to_owned(),
        };
        text += &says;
        text.push('\n');
    }
    Page { chapter, title, words, text: text.trim_start().to_owned() }
}

/// The forms of the statement that a page's word opens, as the registry has them.
fn forms(page: &Page, taken: &[(&str, &str)]) -> Vec<&'static str> {
    let here = |stands: &registry::Stands| {
        let place = stands.place.says();
        let elsewhere = taken.contains(&(page.word(), place));
        stands.words.contains(&page.word()) && page.place().map_or(!elsewhere, |wanted| wanted == place)
    };
    let rows = registry::rows().filter(|row| row.stands.as_ref().is_some_and(here));
    rows.flat_map(|row| row.good).copied().filter(|form| form.is_ascii() && !form.contains(['\n', '#'])).collect()
}

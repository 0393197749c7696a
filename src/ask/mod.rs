//! What a player's words mean in a book: parts, pedals, and how they are set. Names go before texts, texts before single
//! words; what may mean several things is told, never guessed.

pub mod device;
mod moves;
pub mod part;
pub mod thing;
pub mod used;
pub mod wanted;

pub use part::{NoSpot, Spot, spots};
pub use thing::{Doubt, Thing, thing};
pub use used::{Fits, Used, moves, used};
pub use wanted::{Unclear, wanted};

/// What is left out of a question.
const LITTLE: [&str; 4] = ["the", "a", "an", "no"];

/// What was found for some words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Found<T> {
    /// Nothing is called so.
    Nothing,
    /// One thing.
    One(T),
    /// Several are called so.
    Several(Vec<T>),
}

impl<T> Found<T> {
    fn of(found: impl IntoIterator<Item = T>) -> Found<T> {
        let mut found: Vec<T> = found.into_iter().collect();
        match (found.pop(), found.is_empty()) {
            (None, _) => Found::Nothing,
            (Some(one), true) => Found::One(one),
            (Some(last), false) => {
                found.push(last);
                Found::Several(found)
            }
        }
    }
}

/// The words of a text, small, without what stands between them; without the little ones where others are left.
fn words(text: &str) -> Vec<String> {
    let pieces = text.split(|c: char| c.is_whitespace() || matches!(c, '-' | ',' | '"'));
    let all: Vec<String> = pieces.filter(|w| !w.is_empty()).map(str::to_lowercase).collect();
    let telling: Vec<String> = all.iter().filter(|w| !LITTLE.contains(&w.as_str())).cloned().collect();
    if telling.is_empty() { all } else { telling }
}

/// Every wanted word is one of these texts'.
fn holds<'t>(wanted: &[String], texts: impl IntoIterator<Item = &'t str>) -> bool {
    let has: Vec<String> = texts.into_iter().flat_map(words).collect();
    !wanted.is_empty() && wanted.iter().all(|word| has.contains(word))
}

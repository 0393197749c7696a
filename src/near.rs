//! The nearest spelling.

/// The longest word that is compared, in bytes.
const LONGEST: usize = 200;

/// The candidate most like `word`, if any is near enough to have been meant.
///
/// Near means an edit distance (Damerau-Levenshtein, optimal string alignment) of at most a third of the letters;
/// letters are compared without case. Ties go to the first candidate by the alphabet. What is longer than any name
/// has no near one: the work grows with the square of the letters.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    near(word, candidates).min().map(|(_, c)| c)
}

/// The candidate that alone is the nearest.
pub fn only<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let mut found: Vec<(usize, &str)> = near(word, candidates).collect();
    found.sort_unstable();
    found.dedup();
    match found.as_slice() {
        [(_, only)] => Some(only),
        [first, second, ..] if first.0 < second.0 => Some(first.1),
        _ => None,
    }
}

/// True when one slip of the hand makes one word of the other: a letter left out, put in, changed or swapped with its
/// neighbour. Digits are no slip, nor is a letter that stands alone between hyphens: they count what is alike.
pub fn slip(a: &str, b: &str) -> bool {
    let digits = |w: &str| w.chars().filter(char::is_ascii_digit).collect::<String>();
    let alone = |w: &str| w.split('-').filter(|p| p.len() == 1 && w.len() > 1).collect::<String>();
    let near = a.len().max(b.len()) <= LONGEST && strsim::osa_distance(a, b) == 1;
    near && digits(a) == digits(b) && alone(a) == alone(b)
}

/// The candidates that are near enough, each with its distance.
fn near<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> impl Iterator<Item = (usize, &'c str)> {
    let (lower, length) = (word.to_lowercase(), word.len());
    let most = lower.chars().count() / 3;
    candidates
        .into_iter()
        .filter(move |c| length <= LONGEST && c.len().abs_diff(length) <= most * 4 + 4)
        .map(move |c| (strsim::osa_distance(&lower, &c.to_lowercase()), c))
        .filter(move |(distance, _)| *distance <= most)
}

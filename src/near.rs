//! The nearest spelling.

/// The longest word that is compared, in bytes.
const LONGEST: usize = 200;

/// The candidate most like `word`, if any is near enough to have been meant.
///
/// Near means an edit distance (Damerau-Levenshtein, optimal string alignment) of at most a third of the letters;
/// letters are compared without case. Ties go to the first candidate by the alphabet. What is longer than any name
/// has no near one: the work grows with the square of the letters.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    if word.len() > LONGEST {
        return None;
    }
    let lower = word.to_lowercase();
    let most = lower.chars().count() / 3;
    candidates
        .into_iter()
        .filter(|c| c.len().abs_diff(word.len()) <= most * 4 + 4)
        .map(|c| (strsim::osa_distance(&lower, &c.to_lowercase()), c))
        .filter(|(distance, _)| *distance <= most)
        .min()
        .map(|(_, c)| c)
}

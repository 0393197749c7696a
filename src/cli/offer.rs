//! What to say beside a name that nothing has.

/// So many names are listed when none is near.
const FEW: usize = 12;

/// `; did you mean …?`, else all the names when they are few, else nothing.
pub(super) fn offer<'c>(word: &str, has: impl Iterator<Item = &'c str> + Clone) -> String {
    if let Some(near) = crate::near::nearest(word, has.clone()) {
        return format!("; did you mean `{near}`?");
    }
    let mut names: Vec<&str> = has.collect();
    names.sort_unstable();
    names.dedup();
    match names.as_slice() {
        [] => String::new(),
        [one] => format!("; there is only `{one}`"),
        [some @ .., last] if some.len() < FEW => format!("; there are `{}` and `{last}`", some.join("`, `")),
        _ => String::new(),
    }
}

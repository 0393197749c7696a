//! The text diff of the files themselves.

use similar::TextDiff;

use crate::source::Files;

/// Files of both books by name, each with a unified diff where they differ; shipped descriptions left out.
pub fn unified(old: &Files, new: &Files) -> String {
    let mut out = String::new();
    for (was, now) in pairs(old, new) {
        let (a, b) = (was.map_or("", |f| f.1), now.map_or("", |f| f.1));
        if a == b {
            continue;
        }
        let name = |side: Option<(&str, &str)>| side.map_or("(no such file)".to_owned(), |f| f.0.to_owned());
        let diff = TextDiff::from_lines(a, b);
        out += &diff.unified_diff().context_radius(2).header(&name(was), &name(now)).to_string();
    }
    out
}

/// A file's path and text, if there is one.
pub type Side<'f> = Option<(&'f str, &'f str)>;

/// Files of one name, old and new.
pub fn pairs<'f>(old: &'f Files, new: &'f Files) -> Vec<(Side<'f>, Side<'f>)> {
    let own = |files: &'f Files| -> Vec<(&'f str, &'f str)> {
        files.iter().filter(|(_, f)| !f.shipped).map(|(_, f)| (f.path.as_str(), f.text.as_str())).collect()
    };
    let tail = |path: &str| path.rsplit('/').next().unwrap_or(path).to_owned();
    let (old, new) = (own(old), own(new));
    if let ([was], [now]) = (old.as_slice(), new.as_slice()) {
        return vec![(Some(*was), Some(*now))];
    }
    let mut out: Vec<(Side<'f>, Side<'f>)> = Vec::new();
    for was in &old {
        out.push((Some(*was), new.iter().find(|now| tail(now.0) == tail(was.0)).copied()));
    }
    let alone = new.iter().filter(|now| !old.iter().any(|was| tail(was.0) == tail(now.0)));
    out.extend(alone.map(|now| (None, Some(*now))));
    out
}

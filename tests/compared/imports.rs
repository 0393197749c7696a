//! The comparison is a line: none of its files imports one that imports it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

const ROOM: &str = "src/compare";

type Place = Vec<String>;

fn words(path: &str) -> Place {
    path.split("::").map(|word| word.trim().to_owned()).collect()
}

fn files(folder: &Path, place: &Place, out: &mut BTreeMap<Place, String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let inner: Place = place.iter().cloned().chain((stem != "mod").then_some(stem)).collect();
        if path.is_dir() {
            files(&path, &inner, out);
        } else {
            let text = fs::read_to_string(&path).unwrap();
            let text = text.split("#[cfg(test)]").next().unwrap();
            out.insert(inner, text.lines().map(|l| l.split("//").next().unwrap().to_owned() + "\n").collect());
        }
    }
}

/// `a::{b, c::d}` as `a::b` and `a::c::d`.
fn each(path: &str) -> Vec<String> {
    let Some((before, rest)) = path.split_once('{') else { return vec![path.trim().to_owned()] };
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in rest[..rest.rfind('}').unwrap()].chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        if c == ',' && depth == 0 { parts.push(String::new()) } else { parts.last_mut().unwrap().push(c) }
    }
    let before = before.trim();
    parts.iter().filter(|p| !p.trim().is_empty()).flat_map(|p| each(p)).map(|p| format!("{before}{p}")).collect()
}

/// The files that one imports, and the rooms inside it whose things it names.
fn imports(place: &Place, files: &BTreeMap<Place, String>) -> BTreeSet<Place> {
    let text = &files[place];
    let uses = text.split("use ").skip(1).filter_map(|u| u.split_once(';')).flat_map(|(path, _)| each(path));
    let inside = files.keys().filter(|k| k.split_last().is_some_and(|(_, above)| above == place.as_slice()));
    let named = inside.filter_map(|k| k.last()).filter(|name| text.contains(&format!("{name}::"))).cloned();
    let found = uses.chain(named).filter_map(|path| {
        let path = words(&path);
        let up = path.iter().take_while(|word| *word == "super").count();
        let whole: Place = match path[0].as_str() {
            "crate" if path.get(1).is_some_and(|p| p == "compare") => path[2..].to_vec(),
            "crate" => return None,
            "super" => place[..place.len().checked_sub(up)?].iter().chain(&path[up..]).cloned().collect(),
            _ => place.iter().chain(&path).cloned().collect(),
        };
        (0..=whole.len()).rev().map(|n| whole[..n].to_vec()).find(|p| files.contains_key(p))
    });
    found.filter(|other| other != place).collect()
}

#[test]
fn no_file_of_the_comparison_imports_one_that_imports_it() {
    let mut all = BTreeMap::new();
    files(Path::new(ROOM), &Place::new(), &mut all);
    let mut left: BTreeMap<&Place, BTreeSet<Place>> = all.keys().map(|place| (place, imports(place, &all))).collect();
    let count: usize = left.values().map(BTreeSet::len).sum();
    println!("{} files, {count} imports", all.len());
    assert!(all.len() > 20 && count > all.len(), "the files were not read");
    // Whoever imports nothing that is left goes; in a circle nobody can.
    while let Some(place) = left.iter().find(|(_, to)| to.iter().all(|t| !left.contains_key(t))).map(|(p, _)| *p) {
        left.remove(place);
    }
    assert!(left.is_empty(), "in a circle, or above one: {:?}", left.keys().map(|p| p.join("/")).collect::<Vec<_>>());
}

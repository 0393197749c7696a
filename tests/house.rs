//! Dependencies point one way: who imports whom is read from the files themselves.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    clippy::print_stdout
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// A file below `src`, as its path in the crate.
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
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            let text = text.split("#[cfg(test)]").next().unwrap();
            out.insert(inner, text.lines().map(|l| l.split("//").next().unwrap().to_owned() + "\n").collect());
        }
    }
}

/// What the statements `use …;` of a text name.
fn uses(text: &str) -> impl Iterator<Item = &str> {
    let begins = text.match_indices("use ").filter(|(at, _)| {
        let line = text[..*at].rsplit('\n').next().unwrap().trim();
        line.is_empty() || line.starts_with("pub") && !line.contains(char::is_whitespace)
    });
    begins.filter_map(|(at, word)| Some(text[at + word.len()..].split_once(';')?.0))
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
fn imports(place: &Place, files: &BTreeMap<Place, String>, top: &BTreeMap<String, Place>) -> BTreeSet<Place> {
    let text = &files[place];
    let uses = uses(text).flat_map(each);
    let inside = files.keys().filter(|k| k.split_last().is_some_and(|(_, above)| above == place.as_slice()));
    let named = inside.filter_map(|k| k.last()).filter(|name| text.contains(&format!("{name}::"))).cloned();
    let found = uses.chain(named).filter_map(|path| {
        let path = words(&path);
        let up = path.iter().take_while(|word| *word == "super").count();
        let whole: Place = match path[0].as_str() {
            // What the library names at its top.
            "crate" => top.get(path.get(1)?).cloned().unwrap_or_else(|| path[1..].to_vec()),
            "super" => place[..place.len().checked_sub(up)?].iter().chain(&path[up..]).cloned().collect(),
            _ => place.iter().chain(&path).cloned().collect(),
        };
        (0..=whole.len()).rev().map(|n| whole[..n].to_vec()).find(|p| files.contains_key(p))
    });
    found.filter(|other| other != place).collect()
}

/// All files, each with those that it imports.
fn house() -> BTreeMap<Place, BTreeSet<Place>> {
    let mut all = BTreeMap::new();
    files(Path::new("src"), &Place::new(), &mut all);
    let library = all.remove(&words("lib")).unwrap();
    all.remove(&words("main")).unwrap();
    let named = uses(&library).flat_map(each);
    let top = named.map(|path| words(&path)).map(|path| (path.last().unwrap().clone(), path)).collect();
    let house: BTreeMap<Place, BTreeSet<Place>> = all.keys().map(|p| (p.clone(), imports(p, &all, &top))).collect();
    let count: usize = house.values().map(BTreeSet::len).sum();
    println!("{} files, {count} imports", house.len());
    assert!(house.len() > 500 && count > house.len(), "the files were not read");
    house
}

/// Whoever imports nothing that is left goes; in a circle nobody can. Gives what is in one, or above one.
fn left(mut house: BTreeMap<Place, BTreeSet<Place>>) -> Vec<String> {
    while let Some(place) =
        house.iter().find(|(_, to)| to.iter().all(|t| !house.contains_key(t))).map(|(place, _)| place.clone())
    {
        house.remove(&place);
    }
    house.keys().map(|p| p.join("/")).collect()
}

#[test]
fn no_file_of_the_comparison_imports_one_that_imports_it() {
    let of_room = |place: &Place| place.len() > 1 && place[0] == "compare";
    let mut room = house();
    room.retain(|place, _| of_room(place));
    room.values_mut().for_each(|to| to.retain(of_room));
    assert!(room.len() > 20);
    assert_eq!(left(room), Vec::<String>::new());
}

#[test]
fn no_two_rooms_import_each_other() {
    let mut rooms: BTreeMap<Place, BTreeSet<Place>> = BTreeMap::new();
    for (place, to) in house() {
        let room = |place: &Place| place[..1].to_vec();
        rooms.entry(room(&place)).or_default().extend(to.iter().map(room).filter(|other| *other != room(&place)));
    }
    assert_eq!(left(rooms), Vec::<String>::new());
}

/// From one file along the imports to another.
fn reaches(house: &BTreeMap<Place, BTreeSet<Place>>, from: &Place, wanted: &Place) -> bool {
    let (mut seen, mut open) = (BTreeSet::new(), vec![from]);
    while let Some(place) = open.pop() {
        if place == wanted {
            return true;
        }
        if seen.insert(place) {
            open.extend(&house[place]);
        }
    }
    false
}

/// What a folder's own file hands on from inside it is no import. The registry names the productions, and they ask it.
#[test]
fn no_circle_of_imports_goes_through_two_folders() {
    let mut house = house();
    for (place, to) in &mut house {
        to.retain(|other| !other.starts_with(place));
    }
    let inside = |place: &Place| house.keys().any(|k| k.len() > place.len() && k.starts_with(place));
    let folder = |place: &Place| if inside(place) { place.clone() } else { place[..place.len() - 1].to_vec() };
    let across = house.iter().flat_map(|(from, all)| all.iter().map(move |to| (from, to)));
    let across: Vec<_> = across.filter(|(from, to)| folder(from) != folder(to)).collect();
    assert!(across.len() > 500);
    let circles = across.iter().filter(|(from, to)| from[0] != "syntax" && reaches(&house, to, from));
    let circles: Vec<String> = circles.map(|(from, to)| format!("{} - {}", from.join("/"), to.join("/"))).collect();
    assert_eq!(circles, Vec::<String>::new());
}

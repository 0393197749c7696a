//! A scene that tells two failures apart: one that stands already, with one thing turned over, compiled to see that the book
//! is right with it and that it uses one of the two alone.

use crate::Compiled;
use crate::driver;
use crate::ids::SceneId;
use crate::study::linecheck::{Use, apart, used};

/// So often a book is compiled at most, for all questions together; and so many scenes are built on for one.
const MOST: usize = 40;
const BASES: usize = 4;

/// How often the book may still be compiled, and how many scenes were found.
pub struct Tries {
    left: usize,
    found: usize,
}

impl Default for Tries {
    fn default() -> Tries {
        Tries { left: MOST, found: 0 }
    }
}

/// A scene to add, as it is written; None when none was found.
pub fn scene(compiled: &Compiled, one: Use, other: Use, tries: &mut Tries) -> Option<String> {
    let both = |book: &Compiled, scene: SceneId| {
        let used = used(&book.book, &book.table, book.inside(), scene, None);
        (used.contains(&one), used.contains(&other))
    };
    let mut bases: Vec<SceneId> = Vec::new();
    for preset in compiled.presets.iter().filter(|p| p.slot.is_some()) {
        if bases.len() < BASES && !bases.contains(&preset.scene) && both(compiled, preset.scene) == (true, true) {
            bases.push(preset.scene);
        }
    }
    let name = name(compiled, tries.found);
    for base in bases {
        let from = compiled.book.show.scene(base)?;
        let file = compiled.files.get(from.at.file)?;
        for says in [one, other].into_iter().flat_map(|u| apart::turned(&compiled.book, &compiled.table, u)) {
            tries.left = tries.left.checked_sub(1)?;
            let line = format!("scene {name} from {} {{ {says} }}", from.name);
            let text = format!("{}\n{line}\n", file.text);
            let with = driver::compile_again(compiled, from.at.file, &text);
            let added = with.book.show.scenes.position(|s| s.name == name);
            let tells = added.is_some_and(|scene| matches!(both(&with, scene), (true, false) | (false, true)));
            if tells && with.errors() == 0 {
                tries.found += 1;
                return Some(line);
            }
        }
    }
    None
}

/// A name that nothing in the book has, nor any of so many scenes before.
fn name(compiled: &Compiled, before: usize) -> String {
    let taken = |name: &str| compiled.files.iter().any(|(_, file)| file.text.contains(name));
    let names = (1..).map(|n| if n == 1 { "apart".to_owned() } else { format!("apart-{n}") });
    names.filter(|name| !taken(name)).nth(before).unwrap_or_default()
}

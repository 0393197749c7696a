//! More presets, as an edit of the book: a scene of its own for each further need, and the parts that play it.
//!
//! Offered only where each part is entered with one need, and only after the study, run again, finds it right.

use super::{Buttons, Finding, Momentary, Plan, Split};
use crate::book::{Book, Meaning, Mentions};
use crate::ids::SceneId;
use crate::source::{Files, Span};

/// What to write where.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// The names of the new scenes.
    pub names: Vec<String>,
    /// The edits.
    pub edits: Vec<(Span, String)>,
}

/// The edit that gives a scene the presets it needs; None where a part is come to with two needs, or where new
/// scenes would get no slot.
pub fn offer(book: &Book, files: &Files, mentions: &Mentions, momentary: &Momentary, split: &Split) -> Option<Offer> {
    let plan = momentary.plan.as_ref().filter(|_| book.show.auto)?;
    let scene = book.show.scene(split.scene)?;
    let mut new = plan.clone();
    let (mut names, mut moved) = (Vec::new(), Vec::new());
    for (number, (_, ways)) in split.presets.iter().enumerate() {
        let alias = SceneId::nth(new.wishes.len());
        if number > 0 {
            new.wishes.push(plan.wishes.get(split.scene.index())?.clone());
            if plan.turns.scenes.contains(&split.scene) {
                new.turns.scenes.insert(alias);
            }
            names.push(name(book, &scene.name, &names));
        }
        for way in ways {
            let (song, part) = momentary.reach.arrivals.get(*way)?.part?;
            let slot = new.songs.get_mut(song)?.get_mut(part as usize)?;
            let wanted = if number == 0 { split.scene } else { alias };
            if moved.iter().any(|(s, p, to, _)| (*s, *p) == (song, part) && *to != wanted) {
                return None;
            }
            *slot = Some(wanted);
            moved.push((song, part, wanted, names.last().cloned().filter(|_| number > 0)));
        }
    }
    if !mends(momentary.buttons.clone(), new, momentary, split.scene) {
        return None;
    }
    let mut edits = vec![(before(files, scene.at)?, String::new())];
    if let Some((_, text)) = edits.first_mut() {
        *text = names.iter().fold(String::new(), |out, name| out + &format!("scene {name} from {}\n", scene.name));
    }
    moved.sort();
    moved.dedup();
    for (song, part, _, name) in moved {
        let Some(name) = name else { continue };
        let (_, part) = book.show.part((song, part))?;
        edits.push(played(mentions, part.at, &name)?);
    }
    Some(Offer { names, edits })
}

/// The study, run again over the book as it would be, finds the scene and its new ones right, and nothing else wrong.
fn mends(buttons: Buttons, plan: Plan, was: &Momentary, scene: SceneId) -> bool {
    let now = super::judge(buttons, plan);
    let about = |f: &&Finding| matches!(f, Finding::Depends { scene: s, .. } if *s == scene);
    let gone = was.findings.iter().filter(about).count();
    !now.findings.iter().any(|f| about(&f)) && now.findings.len() + gone == was.findings.len()
}

/// A name for one more scene of the like of another.
pub(crate) fn name(book: &Book, of: &str, taken: &[String]) -> String {
    let free = |name: &String| !taken.contains(name) && !book.show.scenes.iter().any(|s| *s.name == **name);
    (2u32..).map(|n| format!("{of}-{n}")).find(free).unwrap_or_default()
}

/// The empty place before a scene's statement.
pub(crate) fn before(files: &Files, at: Span) -> Option<Span> {
    let head = files.get(at.file)?.text.get(..at.start as usize)?;
    let start = head.rfind("scene")? as u32;
    Some(Span { start, end: start, ..at })
}

/// The edit that lets a part play another scene; a part named like its scene keeps its name.
pub(crate) fn played(mentions: &Mentions, part: Span, scene: &str) -> Option<(Span, String)> {
    let name = mentions.within(part).iter().find(|m| matches!(m.means, Meaning::Scene(_)))?.at;
    Some(match name.start == part.start {
        true => (Span { start: name.end, ..name }, format!(": {scene}")),
        false => (name, scene.to_owned()),
    })
}

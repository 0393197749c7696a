//! What was read off the unit is right, and the text is to follow.

use crate::Compiled;
use crate::cli::change::patches;
use crate::cli::patch::{self, Patch};
use crate::cli::{CLEAN, Outcome, output, report, wrong};
use crate::compare::back::{Back, Wrong};
use crate::compare::stored::memory;
use crate::edit::{Refusal, Wanted, follow};
use crate::ids::{ColumnId, SceneId};
use crate::print::change as print;
use crate::print::diff::back::place;

/// Shows the least change of statements after which the book says what was read, or makes it.
pub(super) fn change(compiled: &Compiled, back: &Back, write: bool) -> Outcome {
    let (mut wanted, mut cannot): (Vec<(Wanted, String)>, Vec<String>) = (Vec::new(), Vec::new());
    for found in &back.wrong {
        if found.work.label.is_some() {
            cannot
                .push(format!("{}: it shows another name; rename the scene with `was`", place(compiled, found, None)));
        }
        for edit in &found.work.edits {
            let says = place(compiled, found, Some(edit.cell));
            match edit.was {
                _ if !alike(compiled, back, found, edit.cell) => cannot.push(format!(
                    "{says}: other slots hold the same scene, and were not read so; a scene is one sound: make another of it"
                )),
                Some((cell, value)) => wanted.push((Wanted { scene: found.work.now, cell, value, said: None }, says)),
                None => cannot.push(format!("{says}: the board has no state for what stands there")),
            }
        }
    }
    // Slots of one scene that were read alike are one wish.
    let mut seen: Vec<(SceneId, ColumnId)> = Vec::new();
    wanted.retain(|(one, _)| {
        let fresh = !seen.contains(&(one.scene, one.cell));
        seen.push((one.scene, one.cell));
        fresh
    });
    if !cannot.is_empty() {
        cannot.push("nothing was written".to_owned());
        output::complain(&cannot.join("\n"));
        return Ok(wrong());
    }
    let cells: Vec<Wanted> = wanted.iter().map(|(one, _)| *one).collect();
    let named: Vec<print::Named<'_>> = wanted.iter().map(|(one, says)| print::Named { wanted: *one, says }).collect();
    let followed = match follow(compiled, &cells) {
        Ok(followed) => followed,
        Err(refused) => {
            for reason in &refused {
                output::complain(&print::refusal(compiled, &named, reason));
                if let Refusal::Broken(after) = reason {
                    report::tell_errors(after);
                }
            }
            output::complain("nothing was written");
            return Ok(wrong());
        }
    };
    let mut out = print::wanted(compiled, &named, &followed);
    if followed.touched == 0 {
        output::print((out + "nothing to do\n").as_bytes())?;
        return Ok(CLEAN);
    }
    let patches = patches(compiled, &followed.texts);
    out += &patches.iter().map(Patch::diff).collect::<String>();
    out += &print::proved(&followed);
    if write {
        let names: Vec<String> = patches.iter().map(|p| p.shown.clone()).collect();
        patch::write(patches)?;
        out += &format!("written: {}\n", names.join(", "));
    } else {
        out += "nothing is written yet; `--write` writes it, `tipring change` offers other ways\n";
    }
    output::print(out.as_bytes())?;
    Ok(CLEAN)
}

/// True when every slot of the scene was read with the same in this cell.
fn alike(compiled: &Compiled, back: &Back, found: &Wrong, cell: ColumnId) -> bool {
    let value = |wrong: &Wrong| wrong.work.edits.iter().find(|e| e.cell == cell).and_then(|e| e.was);
    let own = value(found);
    let others = memory(compiled).into_iter().filter(|row| row.scene == found.work.now && row.slot != found.work.slot);
    others.into_iter().all(|row| {
        let other = back.wrong.iter().find(|wrong| wrong.work.slot == row.slot);
        other.is_some_and(|wrong| value(wrong) == own)
    })
}

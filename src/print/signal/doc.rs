//! The figures as a table, and the curve of each scene.

use std::collections::{BTreeMap, BTreeSet};

use super::plot::{figure, sketch};
use super::{CURVE, Row};
use crate::Compiled;
use crate::print::doc::{Block, Cell, Doc, Table, head, para};
use crate::print::wiring;
use crate::study::signal::Signal;

/// Printed where amplifiers come into it.
pub const CAUTION: &str = "Caution: levels and leads outside the boxes are all that is meant here. Leave the inside of amplifiers\n\
     and supplies alone: valve amplifiers hold lethal voltage after they are unplugged.";

/// Why a level is empty of which nothing is missing.
pub const NOTHING_LEFT: &str =
    "legs cancel each other, or a volume is turned right down: nobody hears this scene on this guitar";

fn number(value: Option<f64>, places: usize) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.places$}"))
}

/// One row a scene and guitar, then what is missing; with the curves when they are wanted.
pub fn doc(compiled: &Compiled, rows: &[Row], signal: &mut Signal<'_>, curves: bool) -> Doc {
    let differ = rows.iter().any(|r| r.difference_db.is_some());
    let mut heads = vec!["scene", "guitar", "1 kHz dB", "peak Hz", "peak dB", "-3 dB Hz", "load pF", "loading dB"];
    heads.extend(differ.then_some("step dB"));
    let place = heads.len();
    // The place of the heaviest loading stands beside it, without a head.
    heads.push("");
    let cells = |row: &Row| {
        let mut line = vec![
            row.scene.clone(),
            row.guitar.clone(),
            match (row.silent, row.nothing_left) {
                (true, _) => "silent".to_owned(),
                (_, true) => "none left".to_owned(),
                _ => number(row.level_1khz_db, 2),
            },
            number(row.peak_hz, 0),
            number(row.peak_db, 2),
            number(row.minus_3db_hz, 0),
            number(row.guitar_load_pf, 0),
            number(row.worst_loading_db, 2),
        ];
        line.extend(differ.then(|| number(row.difference_db, 2)));
        line.push(row.worst_loading.clone().unwrap_or_default());
        Cell::row(line)
    };
    let table = Table::new("levels", &heads, 2, &[place], rows.iter().map(cells).collect());
    let mut blocks = vec![Block::Table(table)];
    blocks.push(para(
        "levels re the pickup's voltage; what the amplifier itself does, and the trims of outputs, are left out",
    ));
    blocks.push(para("-3 dB is 3.0103 dB below the low end; - is none, or a value that nobody stated"));
    if compiled.book.board.chooses_guitars() {
        blocks.push(para("each scene on the guitars that it hears; the others load nothing in it"));
    }
    blocks.extend(missing(rows));
    blocks.extend(rows.iter().any(|row| row.nothing_left).then(|| para(format!("none left: {NOTHING_LEFT}"))));
    blocks.extend(lossless(compiled));
    blocks.extend(added(rows));
    blocks.extend(straight(compiled));
    blocks.extend(wiring::assumed(&compiled.book, compiled.wiring()).map(para));
    if curves {
        pictures(compiled, rows, signal, &mut blocks);
    }
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "signal", blocks)
}

/// The guitars whose pickup's own losses nobody measured.
fn lossless(compiled: &Compiled) -> Option<Block> {
    let all = compiled.book.board.guitars.iter().filter(|g| g.pickup.is_some_and(|p| p.loss.is_none()));
    let names: Vec<&str> = all.map(|g| g.name.as_str()).collect();
    let says = "the pickup's own losses are left out, as no `loss` is stated: what is heard peaks lower";
    (!names.is_empty()).then(|| para(format!("{}: {says}", names.join(", "))))
}

/// The devices whose legs were added without knowing how they stand to each other.
fn added(rows: &[Row]) -> Option<Block> {
    let names: BTreeSet<&str> = rows.iter().flat_map(|r| &r.as_magnitudes).map(String::as_str).collect();
    let says = "its legs are added as magnitudes, the most that they can come to: `inverts polarity` or `keeps polarity` \
                is not said of every device on them";
    let names: Vec<&str> = names.into_iter().collect();
    (!names.is_empty()).then(|| para(format!("{}: {says}", names.join(", "))))
}

/// The pedals that bypass themselves: how they do is not stated.
fn straight(compiled: &Compiled) -> Option<Block> {
    let all = compiled.book.board.devices.iter().filter(|d| d.engaged_by.is_some());
    let names: Vec<&str> = all.map(|d| d.name.as_str()).collect();
    let says = "bypassed by a control of its own, it is taken for a straight wire: one with a buffer loads otherwise";
    (!names.is_empty()).then(|| para(format!("{}: {says}", names.join(", "))))
}

/// Which values are missing, each once, and in how many rows.
fn missing(rows: &[Row]) -> impl Iterator<Item = Block> {
    let mut all: BTreeMap<&str, usize> = BTreeMap::new();
    for name in rows.iter().flat_map(|r| &r.missing) {
        *all.entry(name).or_default() += 1;
    }
    let says =
        |(name, rows): (&str, usize)| format!("missing: {name} ({rows} {})", if rows == 1 { "row" } else { "rows" });
    all.into_iter().map(move |one| para(says(one)))
}

/// Scenes of one circuit share a picture.
fn pictures(compiled: &Compiled, rows: &[Row], signal: &mut Signal<'_>, blocks: &mut Vec<Block>) {
    type Picture = ((u32, usize), Vec<String>, Vec<(f64, f64)>);
    let (from, to, points) = CURVE;
    let mut pictures: Vec<Picture> = Vec::new();
    for row in rows {
        let Some(curve) = signal.found(row.of.0, row.of.1).and_then(|f| f.curve(from, to, points)) else { continue };
        let group = (signal.groups.of_scene.get(row.of.0).copied().unwrap_or(0), row.of.1);
        match pictures.iter_mut().find(|p| p.0 == group) {
            Some(picture) => picture.1.push(row.scene.clone()),
            None => pictures.push((group, vec![row.scene.clone()], curve)),
        }
    }
    for ((_, guitar), scenes, points) in pictures {
        let guitar = compiled.book.board.guitars.get(guitar).map_or("", |g| g.name.as_str());
        let name = format!("{} on {guitar}", scenes.join(", "));
        let drawn = Block::Told(sketch(&points), vec![Block::Figure(figure(&name, &points))]);
        blocks.push(Block::Together(vec![head(2, &name), drawn]));
    }
}

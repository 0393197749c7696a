//! The table as data: what JSON and YAML say alike, and what a reader of either gets back.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, Error, Visitor};
use serde::ser::{Serialize, Serializer};

use crate::Compiled;
use crate::book::Book;
use crate::ids::{ColumnId, SceneId};
use crate::settle::why::{Rank, reasons};
use crate::settle::{Cell, CellKind, Value};
use crate::syntax::fingerprint::fingerprint;
use crate::written::{cell, switch};

/// The name of the format.
pub const FORMAT: &str = "tipring-table";
/// Its version: one more whenever a reader of the old one would misread the new one.
pub const VERSION: u32 = 1;

/// What a table may leave out or add.
#[derive(Clone, Copy, Default)]
pub struct Shape {
    /// `-` in cells whose value does not matter.
    pub free: bool,
    /// The statements behind every cell.
    pub why: bool,
}

/// A whole table.
#[derive(serde::Serialize, serde::Deserialize, Clone, PartialEq, Debug)]
pub struct Whole<'t> {
    /// Always [`FORMAT`].
    #[serde(borrow)]
    pub format: Cow<'t, str>,
    /// Always [`VERSION`].
    pub version: u32,
    /// The board's title.
    #[serde(borrow)]
    pub board: Option<Cow<'t, str>>,
    /// The book's version word.
    #[serde(borrow)]
    pub book_version: Option<Cow<'t, str>>,
    /// Fingerprint of the source, in 12 hex digits.
    #[serde(borrow)]
    pub source: Cow<'t, str>,
    /// The book has errors: some cells are not known.
    pub draft: bool,
    /// The columns.
    #[serde(borrow)]
    pub cells: Vec<Column<'t>>,
    /// One a preset in slot order, then the scenes in no slot, by name.
    #[serde(borrow)]
    pub rows: Vec<Row<'t>>,
}

/// A column.
#[derive(serde::Serialize, serde::Deserialize, Clone, PartialEq, Debug)]
pub struct Column<'t> {
    /// Its name, as in CSV.
    #[serde(borrow)]
    pub name: Cow<'t, str>,
    /// What it is: `loop`, `contact`, `expression`, `output`, `message` or `by-foot`.
    #[serde(borrow)]
    pub kind: Cow<'t, str>,
    /// The pedal in a loop, the amp at an output, or `pedal.control` for all that use the cell; by name.
    pub of: Vec<String>,
    /// Three letters for a loop.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub label: Option<String>,
    /// Steps of a level: its values are positions in %.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub steps: Option<u16>,
}

/// A row.
#[derive(serde::Serialize, serde::Deserialize, Clone, PartialEq, Debug)]
pub struct Row<'t> {
    /// The slot as the switcher shows it.
    #[serde(borrow)]
    pub slot: Option<Cow<'t, str>>,
    /// The scene.
    #[serde(borrow)]
    pub scene: Cow<'t, str>,
    /// One value a column.
    #[serde(borrow)]
    pub values: Vec<Entry<'t>>,
    /// Places, from 0, of the columns whose value does not matter here.
    pub free: Vec<u16>,
    /// What switches do inside the preset: the switch's name, and what it moves, by the names of columns.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub switches: Vec<(String, String)>,
    /// For each column the statements that bear on it, the winner first.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why: Option<Vec<Vec<Because<'t>>>>,
}

/// A statement that bears on a cell.
#[derive(serde::Serialize, serde::Deserialize, Clone, PartialEq, Debug)]
pub struct Because<'t> {
    /// Who says it: `scene`, `layer` or `default`.
    #[serde(borrow)]
    pub by: Cow<'t, str>,
    /// The scene's or layer's name.
    #[serde(borrow, skip_serializing_if = "Option::is_none", default)]
    pub name: Option<Cow<'t, str>>,
    /// The scene that mixes the layer in.
    #[serde(borrow, skip_serializing_if = "Option::is_none", default)]
    pub mixed_into: Option<Cow<'t, str>>,
    /// What it puts in the cell.
    #[serde(borrow)]
    pub value: Entry<'t>,
    /// Its file.
    #[serde(borrow)]
    pub file: Cow<'t, str>,
    /// Its line, from 1.
    pub line: u32,
    /// It settles the cell; else a higher rank overrode it.
    pub live: bool,
}

/// A value: a bare number, or a word (`pulse stays ? foot -`, a state's name).
#[derive(Clone, PartialEq, Debug)]
pub enum Entry<'t> {
    /// 0 or 1, a position in %, or a program as the unit counts it.
    Number(f64),
    /// Anything else.
    Word(Cow<'t, str>),
}

impl Serialize for Entry<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Entry::Number(n) if n.fract() == 0.0 => to.serialize_u32(*n as u32),
            Entry::Number(n) => to.serialize_f64(*n),
            Entry::Word(word) => to.serialize_str(word),
        }
    }
}

// By hand: serde's own way to tell number from word would keep a copy of each value first.
impl<'de: 't, 't> Deserialize<'de> for Entry<'t> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Either)
    }
}

struct Either;

impl<'de> Visitor<'de> for Either {
    type Value = Entry<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number or a word")
    }

    fn visit_u64<E: Error>(self, n: u64) -> Result<Entry<'de>, E> {
        Ok(Entry::Number(n as f64))
    }

    fn visit_f64<E: Error>(self, n: f64) -> Result<Entry<'de>, E> {
        Ok(Entry::Number(n))
    }

    fn visit_borrowed_str<E: Error>(self, word: &'de str) -> Result<Entry<'de>, E> {
        Ok(Entry::Word(Cow::Borrowed(word)))
    }

    fn visit_str<E: Error>(self, word: &str) -> Result<Entry<'de>, E> {
        Ok(Entry::Word(Cow::Owned(word.to_owned())))
    }
}

/// The table of a compiled book.
pub fn whole(compiled: &Compiled, shape: Shape) -> Whole<'_> {
    let (book, table) = (&compiled.book, &compiled.table);
    Whole {
        format: FORMAT.into(),
        version: VERSION,
        board: book.board.title.as_ref().map(|b| b.value.as_str().into()),
        book_version: book.board.version.as_ref().map(|v| v.value.as_str().into()),
        source: fingerprint(&compiled.files, &compiled.trees).into(),
        draft: compiled.errors() > 0,
        cells: table.cells.list.iter().map(|cell| column(book, cell)).collect(),
        rows: rows(compiled, shape),
    }
}

fn column<'t>(book: &Book, cell: &'t Cell) -> Column<'t> {
    let kind = match cell.kind {
        CellKind::Loop(_) => "loop",
        CellKind::Contact(_) => "contact",
        CellKind::Taps { .. } => "pulses",
        CellKind::Clock => "clock",
        CellKind::Port(_) => "expression",
        CellKind::Output(_) => "output",
        CellKind::Trim(_) => "trim",
        CellKind::Guitar => "guitar-input",
        CellKind::Order => "loop-order",
        CellKind::Message { .. } => "message",
        CellKind::ByFoot { .. } => "by-foot",
    };
    Column {
        name: cell.name.as_str().into(),
        kind: kind.into(),
        of: cell::owners(&book.board, cell),
        label: match cell.kind {
            CellKind::Loop(number) => book.board.in_loop(number).map(|d| d.label()),
            _ => None,
        },
        steps: (cell.steps > 0).then_some(cell.steps),
    }
}

fn rows(compiled: &Compiled, shape: Shape) -> Vec<Row<'_>> {
    let (book, table, presets) = (&compiled.book, &compiled.table, &compiled.presets);
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let cells = || table.cells.list.numbered();
    let row = |preset: &crate::fill::Preset| {
        let scene = preset.scene;
        let free: Vec<u16> = cells().filter(|(_, c)| table.idle(scene, *c)).map(|(_, c)| c.index() as u16).collect();
        let value = |(cell, c): (&Cell, ColumnId)| match shape.free && table.idle(scene, c) {
            true => Entry::Word("-".into()),
            false => entry(book, cell, table.stored(scene, c)),
        };
        Row {
            slot: preset.slot.zip(range).map(|(slot, range)| range.show(slot).into()),
            scene: book.show.scene(scene).map_or("", |s| &s.name).into(),
            values: cells().map(value).collect(),
            free,
            switches: switch::plain(&compiled.book, &compiled.table, scene),
            why: shape.why.then(|| cells().map(|(cell, c)| chain(compiled, scene, cell, c)).collect()),
        }
    };
    presets.iter().map(row).collect()
}

fn entry<'t>(book: &Book, cell: &Cell, value: Value) -> Entry<'t> {
    match value {
        Value::Off => Entry::Number(0.0),
        Value::On => Entry::Number(1.0),
        Value::Program(program) => Entry::Number(f64::from(program)),
        Value::Step(_) if matches!(cell.kind, CellKind::Trim(_)) => {
            let number = cell::shown(&book.board, cell, value);
            number.parse().map_or(Entry::Word(number.into()), Entry::Number)
        }
        Value::Step(step) => Entry::Number(f64::from(cell::shown_tenths(cell, step)) / 10.0),
        other => Entry::Word(cell::shown(&book.board, cell, other).into()),
    }
}

fn chain<'t>(compiled: &'t Compiled, scene: SceneId, cell: &Cell, at: ColumnId) -> Vec<Because<'t>> {
    let (book, table, files) = (&compiled.book, &compiled.table, &compiled.files);
    let named = |id: SceneId| book.show.scene(id).map(|s| Cow::Borrowed(&*s.name));
    let mut found = reasons(book, table, scene, at);
    // Of the layers of one scene one may be overridden and the other not.
    found.sort_by_key(|reason| !reason.live);
    let because = found.into_iter().map(|reason| {
        let (by, name, mixed_into) = match reason.rank {
            Rank::Own(id) => ("scene", named(id), None),
            Rank::Layer(layer, id) => {
                let layer = book.show.layers.get(layer).map(|l| Cow::Borrowed(&*l.name));
                ("layer", layer, named(id))
            }
            Rank::Default => ("default", None, None),
            Rank::Song(song) => {
                let title = book.show.songs.get(song).map(|s| Cow::Borrowed(s.title.as_str()));
                ("song", title, None)
            }
        };
        Because {
            by: by.into(),
            name,
            mixed_into,
            value: entry(book, cell, reason.value),
            file: files.path(reason.at).into(),
            line: files.place(reason.at).line,
            live: reason.live,
        }
    });
    because.collect()
}

//! The peer: a typed read of a JSON table with serde_json, as somebody who only wants the table would write it.

use std::borrow::Cow;
use std::fmt;

use serde::Deserialize;
use serde::de::{self, Deserializer, Visitor};

#[derive(Deserialize)]
struct Table<'t> {
    #[serde(borrow)]
    cells: Vec<Column<'t>>,
    #[serde(borrow)]
    rows: Vec<Row<'t>>,
}

#[derive(Deserialize)]
struct Column<'t> {
    #[serde(borrow)]
    name: Cow<'t, str>,
    #[serde(borrow)]
    kind: Cow<'t, str>,
    of: Vec<String>,
}

#[derive(Deserialize)]
struct Row<'t> {
    #[serde(borrow, default)]
    slot: Option<Cow<'t, str>>,
    #[serde(borrow)]
    scene: Cow<'t, str>,
    #[serde(borrow)]
    values: Vec<Value<'t>>,
    #[serde(default)]
    free: Vec<u16>,
}

/// A number or a word, told apart without a second reading.
enum Value<'t> {
    Number(f64),
    Word(Cow<'t, str>),
    Nothing,
}

impl<'de: 't, 't> Deserialize<'de> for Value<'t> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = Value<'de>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number or a word")
            }

            fn visit_u64<E: de::Error>(self, v: u64) -> Result<Value<'de>, E> {
                Ok(Value::Number(v as f64))
            }

            fn visit_i64<E: de::Error>(self, v: i64) -> Result<Value<'de>, E> {
                Ok(Value::Number(v as f64))
            }

            fn visit_f64<E: de::Error>(self, v: f64) -> Result<Value<'de>, E> {
                Ok(Value::Number(v))
            }

            fn visit_borrowed_str<E: de::Error>(self, v: &'de str) -> Result<Value<'de>, E> {
                Ok(Value::Word(Cow::Borrowed(v)))
            }

            fn visit_str<E: de::Error>(self, v: &str) -> Result<Value<'de>, E> {
                Ok(Value::Word(Cow::Owned(v.to_owned())))
            }

            fn visit_unit<E: de::Error>(self) -> Result<Value<'de>, E> {
                Ok(Value::Nothing)
            }
        }
        deserializer.deserialize_any(Either)
    }
}

/// Reads a table; gives the number of its rows, after looking at every value so that none may be left out.
pub fn read(json: &[u8]) -> usize {
    let table: Table<'_> = serde_json::from_slice(json).expect("the table is as the tool writes it");
    let whole = |row: &Row<'_>| {
        assert_eq!(row.values.len(), table.cells.len());
        let said = row.slot.as_ref().map_or(0, |s| s.len()) + row.scene.len();
        let values = row.values.iter().map(|v| match v {
            Value::Number(n) => *n as usize,
            Value::Word(w) => w.len(),
            Value::Nothing => 0,
        });
        said + values.sum::<usize>() + row.free.iter().map(|f| *f as usize).sum::<usize>()
    };
    std::hint::black_box(table.rows.iter().map(whole).sum::<usize>());
    std::hint::black_box(table.cells.iter().map(|c| c.name.len() + c.kind.len() + c.of.len()).sum::<usize>());
    table.rows.len()
}

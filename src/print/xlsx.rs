//! The truth table as a spreadsheet's own file (Office Open XML, ECMA-376): the heads stay in view, and a slot is text, so
//! that 1.10 stays 1.10.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, IgnoreError, Workbook, Worksheet, XlsxError};

use super::csv;
use crate::Compiled;
use crate::written::switch;

/// Columns before those of the cells: slot and scene.
const BEFORE: u16 = 2;

/// The same rows and columns as the CSV has; an error where they are more than such a file holds.
pub fn table(compiled: &Compiled, free: bool) -> Result<Vec<u8>, String> {
    write(compiled, free).map_err(|error| format!("it cannot be written as .xlsx: {error}"))
}

fn write(compiled: &Compiled, free: bool) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The same book gives the same bytes, whenever it is written.
    book.set_properties(&DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?));
    let sheet = book.add_worksheet();
    sheet.set_name("presets")?;
    sheet.set_freeze_panes(1, BEFORE)?;
    let bold = Format::new().set_bold();
    let levels: Vec<bool> = [false; BEFORE as usize]
        .into_iter()
        .chain(compiled.table.cells.list.iter().map(|cell| cell.steps > 0))
        .chain(switch::names(&compiled.book.board).iter().map(|_| false))
        .collect();
    let (mut at, mut wrong) = (0, None);
    csv::rows(compiled, free, |fields| {
        if wrong.is_none() {
            wrong = row(sheet, at, fields, &levels, &bold).err();
        }
        at += 1;
    });
    if let Some(error) = wrong {
        return Err(error);
    }
    sheet.set_column_width(1, 16)?;
    sheet.ignore_error_range(0, 0, at.saturating_sub(1), 0, IgnoreError::NumberStoredAsText)?;
    book.save_to_buffer()
}

fn row(sheet: &mut Worksheet, at: u32, fields: &[String], levels: &[bool], bold: &Format) -> Result<(), XlsxError> {
    for ((column, field), level) in (0u16..).zip(fields).zip(levels) {
        let number = field.parse::<f64>().ok().filter(|_| column >= BEFORE);
        match number {
            _ if at == 0 => sheet.write_string_with_format(at, column, field, bold)?,
            // As a number it might be read as a share of the way.
            Some(number) if *level && number > 0.0 && number <= 1.0 => {
                sheet.write_string(at, column, format!("{field} %"))?
            }
            Some(number) => sheet.write_number(at, column, number)?,
            None if field.is_empty() => continue,
            None => sheet.write_string(at, column, field)?,
        };
    }
    Ok(())
}

//! A board as far as a table knows it: how many loops, jacks, ports and outputs, and which slots. No pedal is made up.

use crate::source::sheet::Sheet;

/// The highest number of each kind of column.
#[derive(Clone, Copy, Default, Debug)]
struct Counts {
    loops: u16,
    jacks: u16,
    ports: u16,
    outputs: u16,
}

/// Why no board can be written from a table alone.
#[derive(Clone, PartialEq, Debug)]
pub enum Lacks {
    /// It has levels, and nobody says how many steps a port has.
    Steps,
    /// What is sent or done by foot: the table does not say how.
    Meaning { column: String },
}

/// The text of a board for columns of these names (`loop-3`, `remote-2-tip`); others are left out.
///
/// `feet` are the columns in which a foot stands: a treadle feeds those ports.
pub fn board(columns: &[String], feet: &[String], slots: &[String], steps: Option<u16>) -> Result<String, Vec<Lacks>> {
    let mut counts = Counts::default();
    let mut lacks = Vec::new();
    for column in columns {
        let mut parts = column.split('-');
        let kind = parts.next().unwrap_or_default();
        let number = parts.next().and_then(|n| n.parse::<u16>().ok());
        let highest = match (kind, number) {
            ("loop", Some(_)) => &mut counts.loops,
            ("remote", Some(_)) => &mut counts.jacks,
            ("expression", Some(_)) => &mut counts.ports,
            ("output", Some(_)) => &mut counts.outputs,
            _ => {
                lacks.push(Lacks::Meaning { column: column.clone() });
                continue;
            }
        };
        *highest = (*highest).max(number.unwrap_or_default());
    }
    if counts.ports > 0 && steps.is_none() {
        lacks.insert(0, Lacks::Steps);
    }
    if !lacks.is_empty() {
        return Err(lacks);
    }
    let mut out = "switcher {\n".to_owned();
    let mut line = |count: u16, says: String| {
        if count > 0 {
            out += &format!("  {says}\n");
        }
    };
    line(counts.loops, format!("loops {}", counts.loops));
    line(counts.jacks, format!("remote jacks {}", counts.jacks));
    line(counts.ports, format!("expressions {} of {} steps", counts.ports, steps.unwrap_or_default()));
    line(counts.outputs, format!("outputs {}", counts.outputs));
    if let Some(range) = range(slots) {
        out += &format!("  {range}  # as far as the table goes: the unit may have more\n");
    }
    out += "}\n";
    for foot in feet.iter().filter_map(|column| column.strip_prefix("expression-")) {
        out += &format!("treadle treadle-{foot} feeds expression {foot}\n");
    }
    Ok(out)
}

/// The least range that holds the slots: `banks 1..4, switches 1..5`, or with letters.
fn range(slots: &[String]) -> Option<String> {
    let numbered = |slot: &String| {
        let (bank, switch) = slot.split_once('.')?;
        Some((bank.parse::<u32>().ok()?, switch.parse::<u32>().ok()?))
    };
    let lettered = |slot: &String| {
        let last = slot.chars().last().filter(char::is_ascii_alphabetic)?;
        Some((slot.get(..slot.len() - 1)?.parse::<u32>().ok()?, last as u32))
    };
    let by_number: Vec<(u32, u32)> = slots.iter().filter_map(numbered).collect();
    let by_letter: Vec<(u32, u32)> = slots.iter().filter_map(lettered).collect();
    let letters = by_letter.len() > by_number.len();
    let found = if letters { by_letter } else { by_number };
    let low = found.iter().map(|(bank, _)| *bank).min()?.min(1);
    let high = found.iter().map(|(bank, _)| *bank).max()?;
    let last = found.iter().map(|(_, switch)| *switch).max()?;
    if letters {
        let first = if last >= u32::from(b'a') { 'a' } else { 'A' };
        return Some(format!("banks {low}..{high}, switches {first}..{}", char::from_u32(last)?));
    }
    let first = found.iter().map(|(_, switch)| *switch).min()?.min(1);
    Some(format!("banks {low}..{high}, switches {first}..{last}"))
}

/// The texts of a column, without those that are empty.
pub fn texts(sheet: &Sheet, head: usize, column: usize) -> Vec<String> {
    let rows = sheet.lines.iter().filter(|line| line.number > head);
    rows.filter_map(|line| line.cells.get(column)).filter(|text| !text.is_empty()).cloned().collect()
}

/// The texts of a column, row by row.
pub fn rows(sheet: &Sheet, head: usize, column: usize) -> Vec<String> {
    let rows = sheet.lines.iter().filter(|line| line.number > head);
    rows.map(|line| line.cells.get(column).cloned().unwrap_or_default()).collect()
}

/// True for the name of a column that a switcher alone has.
pub fn knows(column: &str) -> bool {
    let parts: Vec<&str> = column.split('-').collect();
    let number = |text: &str| text.parse::<u16>().is_ok_and(|n| n > 0);
    match parts.as_slice() {
        ["loop" | "expression" | "output", n] => number(n),
        ["remote", n, "tip" | "ring"] => number(n),
        _ => false,
    }
}

/// The name again, of a column of our own that no table explains.
pub fn needs_board(column: &str) -> Option<String> {
    let sent = column.starts_with("midi-") || column.starts_with("by-foot:");
    sent.then(|| column.to_owned())
}

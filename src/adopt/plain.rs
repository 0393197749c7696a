//! A board as far as a table knows it: how many loops, jacks, ports and outputs, and which slots. No pedal is made up.

use std::collections::BTreeSet;

use super::presses;
use crate::book::inside::MOST_SWITCHES;
use crate::book::song::AGAIN;
use crate::source::sheet::Sheet;
use crate::written::switch;

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
    /// Switches inside presets that stand in no row, or too many of them.
    Switches { heads: Vec<String> },
    /// A switch inside presets that calls one, by the slots of the table.
    Calls { head: String, range: String },
}

/// The text of a board for columns of these names (`loop-3`, `remote-2-tip`); others are left out.
///
/// `feet` are the columns in which a foot stands: a treadle feeds those ports.
pub fn board(
    columns: &[String],
    feet: &[String],
    slots: &[String],
    inside: &Inside,
    steps: Option<u16>,
) -> Result<String, Vec<Lacks>> {
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
    let range = range(slots);
    let switches = inside.says(range.as_ref()).unwrap_or_else(|why| {
        lacks.push(why);
        None
    });
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
    if let Some(range) = range.and_then(|range| range.says()) {
        out += &format!("  {range}  # as far as the table goes: the unit may have more\n");
    }
    let rows = slots.iter().any(|slot| slot.ends_with(AGAIN)).then(|| "rows 2".to_owned());
    let inside: Vec<String> = switches.into_iter().chain(rows).collect();
    if !inside.is_empty() {
        out += &format!("  inside: {}  # as far as the table goes: the unit may do more\n", inside.join(", "));
    }
    out += "}\n";
    for foot in feet.iter().filter_map(|column| column.strip_prefix("expression-")) {
        out += &format!("treadle treadle-{foot} feeds expression {foot}\n");
    }
    Ok(out)
}

/// The banks and switches that slots need.
struct Range {
    banks: (u32, u32),
    /// By their numbers, or as letters.
    switches: (u32, u32),
    letters: bool,
}

impl Range {
    /// `banks 1..4, switches 1..5`, or with letters.
    fn says(&self) -> Option<String> {
        let ((low, high), (first, last)) = (self.banks, self.switches);
        if self.letters {
            return Some(format!(
                "banks {low}..{high}, switches {}..{}",
                char::from_u32(first)?,
                char::from_u32(last)?
            ));
        }
        Some(format!("banks {low}..{high}, switches {first}..{last}"))
    }
}

/// The least range that holds the slots.
fn range(slots: &[String]) -> Option<Range> {
    let numbered = |slot: &str| {
        let (bank, switch) = slot.split_once('.')?;
        Some((bank.parse::<u32>().ok()?, switch.parse::<u32>().ok()?))
    };
    let lettered = |slot: &str| {
        let last = slot.chars().last().filter(char::is_ascii_alphabetic)?;
        Some((slot.get(..slot.len() - 1)?.parse::<u32>().ok()?, last as u32))
    };
    let firsts = || slots.iter().map(|slot| slot.strip_suffix(AGAIN).unwrap_or(slot));
    let by_number: Vec<(u32, u32)> = firsts().filter_map(numbered).collect();
    let by_letter: Vec<(u32, u32)> = firsts().filter_map(lettered).collect();
    let letters = by_letter.len() > by_number.len();
    let found = if letters { by_letter } else { by_number };
    let low = found.iter().map(|(bank, _)| *bank).min()?.min(1);
    let high = found.iter().map(|(bank, _)| *bank).max()?;
    let last = found.iter().map(|(_, switch)| *switch).max()?;
    let first = match letters {
        true if last >= u32::from(b'a') => u32::from(b'a'),
        true => u32::from(b'A'),
        false => found.iter().map(|(_, switch)| *switch).min()?.min(1),
    };
    Some(Range { banks: (low, high), switches: (first, last), letters })
}

/// The columns of switches inside presets, each with its texts, row by row.
#[derive(Default, Debug)]
pub struct Inside(Vec<(String, Vec<String>)>);

impl Inside {
    /// One more column, by its name: `switch-6`.
    pub fn column(&mut self, name: String, rows: Vec<String>) {
        self.0.push((name, rows));
    }

    /// The columns of the hardware that such switches are said to move.
    pub fn moved(&self) -> Vec<String> {
        let texts: BTreeSet<&String> = self.0.iter().flat_map(|(_, rows)| rows).collect();
        let mut names: BTreeSet<String> = BTreeSet::new();
        for text in texts.into_iter().map(|text| presses::plain(text)) {
            let moves = switch::parts(&text).map(|(_, moves)| moves).unwrap_or_default();
            names.extend(moves.into_iter().map(|(name, ..)| name.to_owned()));
        }
        names.into_iter().filter(|name| knows(name) || needs_board(name).is_some()).collect()
    }

    /// `switches 6..7, toggles 2, holds 1`: as many as some row has.
    fn says(&self, range: Option<&Range>) -> Result<Option<String>, Lacks> {
        let names: Vec<&str> = self.0.iter().filter_map(|(head, _)| head.strip_prefix(switch::COLUMN)).collect();
        if names.is_empty() {
            return Ok(None);
        }
        let heads = || self.0.iter().map(|(head, _)| head.clone()).collect();
        let number = |name: &&str| name.parse::<u32>().ok();
        let letter = |name: &&str| name.chars().next().filter(char::is_ascii_alphabetic).map(u32::from);
        let numbers: Option<Vec<u32>> = names.iter().map(number).collect();
        let letters = numbers.is_none();
        let all = numbers.or_else(|| names.iter().map(letter).collect());
        let ends = all.as_ref().and_then(|all| Some((*all.iter().min()?, *all.iter().max()?)));
        let Some((first, last)) = ends.filter(|(first, last)| last - first < MOST_SWITCHES) else {
            return Err(Lacks::Switches { heads: heads() });
        };
        if let Some(range) = range.filter(|range| range.letters == letters)
            && let (low, high) = range.switches
            && first <= high
            && low <= last
        {
            let within = all.iter().flatten().position(|n| (low..=high).contains(n));
            let head = self.0.get(within.unwrap_or_default()).map_or(String::new(), |(head, _)| head.clone());
            return Err(Lacks::Calls { head, range: range.says().unwrap_or_default() });
        }
        let shown = |n: u32| if letters { char::from_u32(n).map(String::from) } else { Some(n.to_string()) };
        let mut out = format!("switches {}..{}", shown(first).unwrap_or_default(), shown(last).unwrap_or_default());
        for word in ["toggles", "holds"] {
            let rows = self.0.iter().map(|(_, rows)| rows.len()).max().unwrap_or_default();
            let says = |row: usize| {
                let texts = self.0.iter().filter_map(move |(_, rows)| rows.get(row));
                texts.filter(|text| text.to_lowercase().starts_with(word)).count()
            };
            let most = (0..rows).map(says).max().unwrap_or_default();
            if most > 0 {
                out += &format!(", {word} {most}");
            }
        }
        Ok(Some(out))
    }
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

//! The words for what keeps a table from becoming a book: where it is, and the way out.

use super::fault::{Fault, Place};
use super::plain::Lacks;
use crate::book::inside::MOST_SWITCHES;
use crate::source::sheet::{Unread, column};

/// Why a file is no table.
pub fn unread(why: &Unread) -> String {
    match why {
        Unread::Letters { line } => {
            format!("line {line} holds letters that are no UTF-8: save it again as CSV in UTF-8, or as .xlsx or .ods")
        }
        Unread::Quote { line } => format!("a quote is opened in line {line} and never closed"),
        Unread::Workbook { why } => format!("it cannot be read as a spreadsheet: {why}"),
        Unread::NoSuchSheet { asked, has } => format!("there is no sheet `{asked}`; there are {}", has.join(", ")),
        Unread::NoSheets => "`--page` goes with a spreadsheet's own file: this one has no pages".to_owned(),
        Unread::SeveralSheets { has } => {
            format!("several pages hold something: say `--page NAME`, one of {}", has.join(", "))
        }
    }
}

fn at(place: Place) -> String {
    format!("row {}, column {}", place.row, column(place.column))
}

/// `1 scene`, `2 scenes`.
pub fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// One fault in one line, or a few.
pub fn fault(fault: &Fault) -> String {
    match fault {
        Fault::Empty => "there is nothing in the table".to_owned(),
        Fault::MapLine { line } => format!("`{line}` is no line of a map: say `Head = loop 3`"),
        Fault::MapHead { head, near } => {
            let meant = near.as_ref().map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
            format!("the map speaks of `{head}`, and no column is headed so{meant}")
        }
        Fault::MapWord { head, word, near } => {
            let meant = near.as_ref().map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
            format!("`{head} = {word}`: the board has no `{word}`{meant}")
        }
        Fault::Heads { guesses } => heads(guesses),
        Fault::Twice { first, second, word } => {
            let (first, second) = (column(*first), column(*second));
            format!("columns {first} and {second} both say `{word}`: let one of them be `nothing`")
        }
        Fault::NoColumn { word } => {
            format!("no column says the {word}: name it, as in `--map \"Title = {word}\"`")
        }
        Fault::NoHead { column: at, row } => {
            format!("row {row}, column {}: something stands below no head: give the column one", column(*at))
        }
        Fault::Board(Lacks::Steps) => {
            "the table has positions of expression ports, and not how many steps a port has: say `--steps N` as the \
             unit's manual has it, or `--board BOARD.scene`"
                .to_owned()
        }
        Fault::Board(Lacks::Meaning { column }) => format!(
            "`{column}`: how that is sent or done is not in the table: say `--board BOARD.scene`, or leave the column \
             out with `--map \"{column} = nothing\"`"
        ),
        Fault::Board(Lacks::Switches { heads }) => format!(
            "{} do not name switches in a row, at most {MOST_SWITCHES}, by numbers alone or by letters alone: describe \
             the board with `--board BOARD.scene`",
            heads.iter().map(|head| format!("`{head}`")).collect::<Vec<_>>().join(", ")
        ),
        Fault::Board(Lacks::Calls { head, range }) => format!(
            "`{head}`: that switch calls presets too, by the slots of the table (`{range}`): one switch does not do both; \
             describe the board with `--board BOARD.scene`"
        ),
        Fault::NoSwitcher => "the board's file describes no switcher: name the file that does".to_owned(),
        Fault::NoSlots { column: at } => format!(
            "column {} has slots, and the board's switcher has none: say `banks 1..8, switches 1..5` there",
            column(*at)
        ),
        Fault::Cell { at: place, head, text, could } => format!("{}, `{head}`: `{text}` is not {could}", at(*place)),
        Fault::Blank { at: place, head } => {
            format!("{}, `{head}`: nothing stands here, where other rows say no: say which it is", at(*place))
        }
        Fault::Unsaid { row, column: None, device, control } => {
            format!("row {row}: `{device}` sounds, and no column says `{device}.{control}`")
        }
        Fault::Unsaid { row, column: Some(place), device, control } => format!(
            "row {row}, column {}: `{device}` sounds, and how its `{control}` stands is not said",
            column(*place)
        ),
        Fault::Against { row, columns: (first, second), what } => {
            format!("row {row}: columns {} and {} do not agree on `{what}`", column(*first), column(*second))
        }
        Fault::NoName { at: place } => format!("{}: the row has no name: give it one", at(*place)),
        Fault::Slot { at: place, text, range } => {
            format!("{}: the board has no slot `{text}`; it has {range}", at(*place))
        }
        Fault::OneRow { at: place, text } => format!(
            "{}: `{text}` is the second row of a slot, and nobody says that a switch of this unit, pressed again, calls one: \
             if it does, say it in the board's `switcher`: `inside: rows 2`",
            at(*place)
        ),
        Fault::Second { row, slot, scene, says } => format!("row {row}, slot {slot}, `{scene}`: {says}"),
        Fault::Switch { at: place, head, says } => format!("{}, `{head}`: {says}", at(*place)),
        Fault::NotInside { column: at, head, has } => {
            let which = match has.as_slice() {
                [] => "say in the board's `switcher` which do, as `inside: switches 6..7, toggles 2`".to_owned(),
                [one] => format!("the one that does is {one}"),
                [first, .., last] => format!("those that do are {first} to {last}"),
            };
            let column = column(*at);
            format!(
                "column {column}, `{head}`: the board has no such switch inside presets: {which}; or leave the column out with `--map \"{head} = nothing\"`"
            )
        }
        Fault::SlotTwice { slot, first, second } => format!(
            "slot {slot} stands in rows {first} and {second}: a spreadsheet makes 1.1 of 1.10, unless the column is text"
        ),
        Fault::Differ { scene, first, second, column: place, head, texts: (one, other) } => format!(
            "`{scene}` stands in rows {first} and {second}, and they differ in column {}, `{head}`: `{one}` and \
             `{other}`: give one of them another name",
            column(*place)
        ),
        Fault::Unsayable { row, scene, says } => format!("row {row}, `{scene}`: {says}"),
        Fault::Mistake { says } => format!("the book would be wrong: {says}"),
        Fault::OtherScene { slot, wanted, found } => {
            let says = |scene: &Option<String>| scene.as_ref().map_or("nothing".to_owned(), |name| format!("`{name}`"));
            format!("slot {slot}: the table says {}, and the book would store {}", says(wanted), says(found))
        }
        Fault::Otherwise { slot, scene, column, wanted, found } => {
            let place = if slot.is_empty() { String::new() } else { format!("slot {slot}, ") };
            format!("{place}`{scene}`, `{column}`: the table says `{wanted}`, and the book would store `{found}`")
        }
    }
}

fn heads(guesses: &[(usize, String, Option<String>)]) -> String {
    let mut out = "what these heads mean is not known; take over what is right, and pass it with `--map`:".to_owned();
    for line in map(guesses) {
        out += &format!("\n  {line}");
    }
    out
}

/// The lines of a map: what is guessed, and `?` where nothing is.
pub fn map(guesses: &[(usize, String, Option<String>)]) -> Vec<String> {
    let line = |(_, head, guess): &(usize, String, Option<String>)| {
        format!("\"{head}\" = {}", guess.as_deref().unwrap_or("?"))
    };
    guesses.iter().map(line).collect()
}

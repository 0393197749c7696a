//! `tipring adopt`: a book made of a table that exists.

use std::path::{Path, PathBuf};

use super::kind::Kind;
use super::output::{self, To};
use super::{CLEAN, Outcome, Trouble, open, progress, report, wrong};
use crate::adopt::fault::Fault;
use crate::adopt::heads::Map;
use crate::adopt::{self, Adopted, Wanted, told};
use crate::source::{load, regular, sheet};

/// Make a book of a table: our own CSV or a spreadsheet's, its rows as scenes with `from` and layers
#[derive(clap::Args)]
#[command(after_help = "Examples:
  tipring adopt rig.csv --board examples/winter/board.scene -o examples/winter/songs.scene
  tipring adopt rig.xlsx --page presets --steps 128
  tipring adopt rig.csv --propose -o rig.map
  tipring adopt rig.csv --map rig.map --map \"Lead drive = loop 5\"

A map has a line a head: what stands above the column, and what it is. That may be `slot`, `bank`, `switch`, `scene`,
`text` (behind the scene's name), `nothing`, `loop 3`, `remote 2 tip`, `expression 1`, `output 2`, `switch 6` (what a switch
inside presets does); with a board a pedal's name, or that of a control or level (`tide.depth`). A head that is such a word
needs no line.")]
pub(super) struct Args {
    /// A table: CSV, or a spreadsheet's own file, or - for standard input
    table: PathBuf,
    /// The file that describes the board; without it a board is made of the columns
    #[arg(long, value_name = "BOARD")]
    board: Option<PathBuf>,
    /// What a head means, as `Head = loop 3`, or a file of such lines; may be said several times
    #[arg(long, value_name = "MAP")]
    map: Vec<String>,
    /// Write the map that would be asked for, with what the heads may mean, for you to look over
    #[arg(long, conflicts_with_all = ["partial"])]
    propose: bool,
    /// The page of the spreadsheet
    #[arg(long, value_name = "NAME")]
    page: Option<String>,
    /// Steps of an expression port, as the unit's manual has them; a board's file says them itself
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(2..), conflicts_with = "board")]
    steps: Option<u16>,
    /// Take over what is understood, and leave out the rest
    #[arg(long)]
    partial: bool,
    #[command(flatten)]
    to: To,
}

pub(super) fn run(args: &Args) -> Outcome {
    if !args.propose {
        args.to.only(Kind::Scene)?;
    }
    args.to.spares(Some(&args.table))?;
    args.to.spares(args.board.as_deref())?;
    let shown = args.table.display().to_string();
    progress::start(format!("working on {shown}"));
    let bytes = match args.table == Path::new("-") {
        true => open::input()?,
        false => read(&args.table)?,
    };
    let table =
        sheet::read(&bytes, args.page.as_deref()).map_err(|why| Trouble(format!("{shown}: {}", told::unread(&why))))?;
    let (map, wrong_lines) = Map::read(args.lines()?);
    let (path, board) = args.places()?;
    let name = args.table.file_name().map_or("standard input".to_owned(), |name| name.to_string_lossy().into_owned());
    let partial = args.partial;
    let wanted = Wanted { sheet: &table, shown: &name, map, board, path, steps: args.steps, partial };
    let mut faults: Vec<Fault> = wrong_lines.into_iter().map(|line| Fault::MapLine { line }).collect();
    let adopted = match adopt::adopt(&wanted) {
        Ok(adopted) if faults.is_empty() => adopted,
        made => {
            faults.extend(made.err().unwrap_or_default());
            return args.refuse(&shown, &faults);
        }
    };
    if args.propose {
        output::complain("every head is known: no map is asked for");
        return Ok(CLEAN);
    }
    args.to.write(adopted.text.as_bytes())?;
    args.tell(&shown, &adopted)
}

impl Args {
    /// All lines of all maps.
    fn lines(&self) -> Result<Vec<String>, Trouble> {
        let mut lines = Vec::new();
        for map in &self.map {
            if map.contains('=') {
                lines.push(map.clone());
                continue;
            }
            let text = String::from_utf8(read(Path::new(map))?);
            let text = text.map_err(|_| Trouble(format!("{map}: a map is text in UTF-8")))?;
            lines.extend(text.trim_start_matches('\u{feff}').lines().map(str::to_owned));
        }
        Ok(lines)
    }

    /// Where the book will stand, and its board's file as seen from there.
    fn places(&self) -> Result<(PathBuf, Option<String>), Trouble> {
        let out = self.to.file().filter(|_| !self.propose).map(Path::to_path_buf);
        let Some(board) = &self.board else { return Ok((out.unwrap_or_else(|| PathBuf::from("adopted.scene")), None)) };
        let trouble = |why: std::io::Error| Trouble(format!("{}: {why}", board.display()));
        let real = std::fs::canonicalize(board).map_err(trouble)?;
        if !real.is_file() {
            return Err(Trouble(format!("{}: name the file that describes the board", board.display())));
        }
        let name = real.file_name().map(PathBuf::from).unwrap_or_default();
        let beside = real.parent().unwrap_or(Path::new(""));
        let Some(out) = out else { return Ok((beside.join("adopted.scene"), Some(load::shown(&name)))) };
        let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let folder = std::fs::canonicalize(folder).map_err(|why| Trouble(format!("{}: {why}", folder.display())))?;
        let file = out.file_name().map(PathBuf::from).unwrap_or_default();
        Ok((folder.join(file), Some(load::shown(&seen_from(&folder, &real)))))
    }

    fn refuse(&self, shown: &str, faults: &[Fault]) -> Outcome {
        if self.propose
            && let [Fault::Heads { guesses }] = faults
        {
            let lines = told::map(guesses).join("\n");
            let text = format!("# Heads of {shown}, and what they are; put a word for each `?`.\n{lines}\n");
            self.to.write(text.as_bytes())?;
            return Ok(CLEAN);
        }
        for fault in faults {
            output::complain(&format!("{shown}: {}", told::fault(fault)));
        }
        let all = told::counted(faults.len(), "mistake");
        let partial = faults.iter().all(Fault::partial);
        let way = if partial { "; `--partial` leaves out what is not understood" } else { "" };
        output::complain(&format!("{all}: nothing was written{way}"));
        Ok(wrong())
    }

    fn tell(&self, shown: &str, adopted: &Adopted) -> Outcome {
        for fault in &adopted.left_out {
            output::complain(&format!("{shown}: left out: {}", told::fault(fault)));
        }
        let Adopted { before, bound, .. } = adopted;
        let (scenes, layers) = (told::counted(adopted.scenes, "scene"), told::counted(adopted.layers, "layer"));
        let statements = told::counted(adopted.statements, "statement");
        output::complain(&format!("{scenes} and {layers} in {statements}"));
        let least = if before == bound {
            "no choice of `from` takes fewer".to_owned()
        } else {
            format!("not proved the fewest, no choice of `from` takes fewer than {bound}")
        };
        output::complain(&format!("without layers it would be {before}: {least}"));
        if adopted.unheard > 0 {
            let cells = told::counted(adopted.unheard, "cell");
            output::complain(&format!("what nobody hears is left to the tool: {cells} that the table fills otherwise"));
        }
        let errors = adopted.compiled.errors();
        if errors == 0 {
            return Ok(CLEAN);
        }
        report::tell_errors(&adopted.compiled);
        let errors = told::counted(errors, "error");
        output::complain(&format!("the book is written as the table has it, and has {errors}"));
        Ok(wrong())
    }
}

/// A file's bytes.
fn read(path: &Path) -> Result<Vec<u8>, Trouble> {
    let trouble = |why: String| Trouble(format!("{}: {why}", path.display()));
    regular::whole(regular::opened(path).map_err(trouble)?).map_err(trouble)
}

/// A path from a folder to a file; both are real ones.
fn seen_from(folder: &Path, file: &Path) -> PathBuf {
    let (mut from, mut to) = (folder.components().peekable(), file.components().peekable());
    while from.peek().is_some() && from.peek() == to.peek() {
        from.next();
        to.next();
    }
    from.map(|_| std::path::Component::ParentDir).chain(to).collect()
}

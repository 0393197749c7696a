//! The kinds of files that commands write, and the endings by which they are known.

use std::path::Path;

use indexmap::IndexSet;

use super::Trouble;

/// What a file holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    Text,
    Html,
    Pdf,
    Md,
    Csv,
    Xlsx,
    Json,
    Sarif,
    Yaml,
    Midi,
    Circuit,
    Scene,
    List,
}

impl Kind {
    const ALL: [Kind; 13] = [
        Kind::Text,
        Kind::Html,
        Kind::Pdf,
        Kind::Md,
        Kind::Csv,
        Kind::Xlsx,
        Kind::Json,
        Kind::Sarif,
        Kind::Yaml,
        Kind::Midi,
        Kind::Circuit,
        Kind::Scene,
        Kind::List,
    ];

    /// How the names of such files end, the usual way first.
    fn endings(self) -> &'static [&'static str] {
        match self {
            Kind::Text => &["txt", "text"],
            Kind::Html => &["html", "htm"],
            Kind::Pdf => &["pdf"],
            Kind::Md => &["md", "markdown"],
            Kind::Csv => &["csv"],
            Kind::Xlsx => &["xlsx"],
            Kind::Json => &["json", "jsonl"],
            Kind::Sarif => &["sarif", "json"],
            Kind::Yaml => &["yaml", "yml"],
            Kind::Midi => &["mid", "midi"],
            Kind::Circuit => &["cir"],
            Kind::Scene => &["scene"],
            Kind::List => &["songs"],
        }
    }

    /// True for a file whose name ends so.
    fn ends(self, ending: &str) -> bool {
        self.endings().iter().any(|known| known.eq_ignore_ascii_case(ending))
    }

    /// True for what is no text: a terminal must not get it.
    pub(super) fn binary(self) -> bool {
        matches!(self, Kind::Pdf | Kind::Midi | Kind::Xlsx)
    }

    /// The usual ending.
    pub(super) fn ending(self) -> &'static str {
        self.endings().first().copied().unwrap_or_default()
    }
}

/// The formats of a command, the one that it prints unless told otherwise first.
pub(super) trait Format: clap::ValueEnum + Copy + PartialEq + Send + Sync + 'static {
    /// What a file in this format holds.
    fn kind(self) -> Kind;

    /// The word by which `--format` knows it.
    fn word(self) -> String {
        self.to_possible_value().map(|v| v.get_name().to_owned()).unwrap_or_default()
    }
}

/// The formats of a command by their kinds of files, in the order of its help.
macro_rules! formats {
    ($name:ident { $($(#[$help:meta])* $format:ident $(= $kind:ident)?),+ }) => {
        #[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
        pub(super) enum $name {
            $($(#[$help])* $format),+
        }

        impl $crate::cli::kind::Format for $name {
            fn kind(self) -> $crate::cli::kind::Kind {
                match self {
                    $($name::$format => $crate::cli::kind::formats!(@ $format $($kind)?)),+
                }
            }
        }
    };
    (@ $format:ident) => { $crate::cli::kind::Kind::$format };
    (@ $format:ident $kind:ident) => { $crate::cli::kind::Kind::$kind };
}
pub(super) use formats;

/// The format that is meant: by `--format`, and by the ending of a file, which must not contradict it.
pub(super) fn format<F: Format>(asked: Option<F>, file: Option<&Path>) -> Result<Option<F>, Trouble> {
    let Some(file) = file else { return Ok(asked) };
    let shown = file.display();
    let ending = ending(file);
    let all = F::value_variants();
    match asked {
        Some(asked) if asked.kind().ends(&ending) || !Kind::ALL.iter().any(|k| k.ends(&ending)) => Ok(Some(asked)),
        Some(asked) => {
            let (word, usual) = (asked.word(), asked.kind().ending());
            Err(Trouble(format!("`{shown}`: `--format {word}` is no `.{ending}`; leave it out, or name it `.{usual}`")))
        }
        None => all.iter().copied().find(|f| f.kind().ends(&ending)).map(Some).ok_or_else(|| {
            let endings: IndexSet<String> = all.iter().map(|f| format!(".{}", f.kind().ending())).collect();
            let endings: Vec<String> = endings.into_iter().collect();
            Trouble(format!("`{shown}`: the ending must be {}; or say `--format`", listed(&endings)))
        }),
    }
}

/// What can be written in one way only must not be called by the ending of another.
pub(super) fn only(kind: Kind, file: Option<&Path>) -> Result<(), Trouble> {
    let Some(file) = file else { return Ok(()) };
    let ending = ending(file);
    if kind.ends(&ending) || !Kind::ALL.iter().any(|k| k.ends(&ending)) {
        return Ok(());
    }
    Err(Trouble(format!("`{}`: what is written here ends in .{}", file.display(), kind.ending())))
}

fn ending(file: &Path) -> String {
    file.extension().map(|e| e.to_string_lossy().into_owned()).unwrap_or_default()
}

fn listed(words: &[String]) -> String {
    match words {
        [before @ .., last] if !before.is_empty() => format!("{} or {last}", before.join(", ")),
        _ => words.concat(),
    }
}

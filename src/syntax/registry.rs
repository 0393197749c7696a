//! The one registry of productions.

/// True for a word that opens a statement at the top of a file.
pub fn opens_top(word: &str) -> bool {
    const TOP: [&str; 24] = [
        "board", "use", "switcher", "guitar", "supply", "pedal", "buffer", "treadle", "amp", "chain", "patch", "panel",
        "default", "layer", "scene", "rule", "limit", "song", "set", "slots", "safe", "if", "allow", "ways",
    ];
    TOP.contains(&word)
}

/// True for a word that may not be a name.
pub fn reserved(word: &str) -> bool {
    opens_top(word)
        || matches!(
            word,
            "engage" | "bypass" | "close" | "open" | "pulse" | "expression" | "output" | "mute" | "foot" | "stays"
        )
}

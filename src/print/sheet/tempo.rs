//! Beats to milliseconds.

/// Beats that a note value lasts: a quarter is one. None for a word that is no note value.
pub fn beats(value: &str) -> Option<f64> {
    crate::book::beat::beats(value).map(|(over, under)| over as f64 / under as f64)
}

/// Milliseconds that `beats` beats last at `bpm` beats a minute, to the nearest whole one.
pub fn milliseconds(bpm: f64, beats: f64) -> u32 {
    (60_000.0 / bpm * beats).round() as u32
}

/// A note value in words: `dotted eighth`.
pub fn words(value: &str) -> String {
    value.replace('-', " ")
}

/// More than one of a note value in words: `dotted eighths`, `halves`.
pub fn many(words: &str) -> String {
    words.strip_suffix("half").map_or_else(|| format!("{words}s"), |before| format!("{before}halves"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 60 000 / 92 = 652.17 and 489.13; 60 000 / 120 = 500; a triplet quarter is two thirds of a beat (arithmetic).
    #[test]
    fn beats_become_milliseconds() {
        let ms = |bpm, value| milliseconds(bpm, beats(value).unwrap());
        assert_eq!(ms(92.0, "quarter"), 652);
        assert_eq!(ms(92.0, "dotted-eighth"), 489);
        assert_eq!(ms(120.0, "triplet-quarter"), 333);
        assert_eq!(ms(120.0, "dotted-whole"), 3000);
        assert_eq!(ms(60.0, "sixteenth"), 250);
        assert_eq!(beats("dotted"), None);
        assert_eq!(beats("half-dotted"), None);
    }
}

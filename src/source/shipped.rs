//! Descriptions and starter books that ship inside the tool, from `presets/`.

macro_rules! shipped {
    ($($name:literal)*) => {
        &[$(($name, include_str!(concat!("../../presets/", $name, ".scene"))),)*]
    };
}

/// Device descriptions, for `like`.
const DEVICES: &[(&str, &str)] = shipped! {
    "compressor" "gain-pedal" "high-impedance-drive" "line-buffer" "programmed-reverb" "tapped-tremolo" "timed-delay"
    "treble-and-volume" "two-channel-amp" "two-gain-drive" "two-speed-rotary" "two-voice-filter"
};

/// Whole books to start from.
const STARTERS: &[(&str, &str)] = shipped! { "starter-small" "starter-touring" };

/// The names of the device descriptions.
pub fn devices() -> impl Iterator<Item = &'static str> {
    DEVICES.iter().map(|(name, _)| *name)
}

/// The names of the starter books.
pub fn starters() -> impl Iterator<Item = &'static str> {
    STARTERS.iter().map(|(name, _)| *name)
}

/// The text of a device description.
pub fn device(name: &str) -> Option<&'static str> {
    DEVICES.iter().find(|(n, _)| *n == name).map(|(_, text)| *text)
}

/// The text of a starter book.
pub fn starter(name: &str) -> Option<&'static str> {
    STARTERS.iter().find(|(n, _)| *n == name).map(|(_, text)| *text)
}

//! Units: their spellings, and exact values. SI prefixes as in the SI Brochure; case matters.

use super::kind::Kind;

/// What a quantity measures.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Dimension {
    Resistance,
    Capacitance,
    CapacitancePerLength,
    Inductance,
    Voltage,
    Current,
    Decibel,
    Percent,
    Length,
    Frequency,
    Tempo,
    Time,
    Charge,
}

impl Dimension {
    /// What a musician would call it, with the units it is said in.
    pub fn says(self) -> &'static str {
        match self {
            Dimension::Resistance => "a resistance in `ohm`, `kohm` or `Mohm`",
            Dimension::Capacitance => "a capacitance in `pF`, `nF` or `uF`",
            Dimension::CapacitancePerLength => "a capacitance for each metre, in `pF/m`",
            Dimension::Inductance => "an inductance in `H` or `mH`",
            Dimension::Voltage => "a voltage in `V`",
            Dimension::Current => "a current in `mA` or `A`",
            Dimension::Decibel => "a level in `dB`",
            Dimension::Percent => "a share in `%`",
            Dimension::Length => "a length in `m`, `cm` or `mm`",
            Dimension::Frequency => "a frequency in `Hz` or `kHz`",
            Dimension::Tempo => "a tempo in `bpm`",
            Dimension::Time => "a time in `ms` or `s`",
            Dimension::Charge => "a charge in `mAh`",
        }
    }
}

/// One spelling of a unit: what it measures, and the power of ten to the base unit (ohm, farad, henry, volt,
/// ampere, metre, hertz, second, ampere-hour; dB, % and bpm as they are).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Unit {
    /// As it should be written.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Power of ten.
    pub ten: i32,
}

const fn unit(name: &'static str, dimension: Dimension, ten: i32) -> Unit {
    Unit { name, dimension, ten }
}

/// All units of the language, in the order of the grammar.
pub const UNITS: [Unit; 23] = [
    unit("ohm", Dimension::Resistance, 0),
    unit("kohm", Dimension::Resistance, 3),
    unit("Mohm", Dimension::Resistance, 6),
    unit("pF", Dimension::Capacitance, -12),
    unit("nF", Dimension::Capacitance, -9),
    unit("uF", Dimension::Capacitance, -6),
    unit("pF/m", Dimension::CapacitancePerLength, -12),
    unit("H", Dimension::Inductance, 0),
    unit("mH", Dimension::Inductance, -3),
    unit("V", Dimension::Voltage, 0),
    unit("mA", Dimension::Current, -3),
    unit("A", Dimension::Current, 0),
    unit("dB", Dimension::Decibel, 0),
    unit("%", Dimension::Percent, 0),
    unit("m", Dimension::Length, 0),
    unit("cm", Dimension::Length, -2),
    unit("mm", Dimension::Length, -3),
    unit("Hz", Dimension::Frequency, 0),
    unit("kHz", Dimension::Frequency, 3),
    unit("bpm", Dimension::Tempo, 0),
    unit("ms", Dimension::Time, -3),
    unit("s", Dimension::Time, 0),
    unit("mAh", Dimension::Charge, -3),
];

/// The answer to "is this a unit?"
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Found {
    /// It is.
    Unit(Unit),
    /// It is, in other capitals: this one was meant.
    Case(&'static str),
    /// It is not.
    No,
}

/// What the n-th quantity of a statement measures, where the statement alone decides it.
pub fn wanted(statement: Kind, n: usize) -> Option<Dimension> {
    Some(match (statement, n) {
        (Kind::Input | Kind::Output | Kind::Send | Kind::Return | Kind::KeyInput, _) => Dimension::Resistance,
        (Kind::Gain | Kind::Limit | Kind::Leg, _) => Dimension::Decibel,
        (Kind::Power | Kind::Peak, _) => Dimension::Current,
        (Kind::Battery, 0) => Dimension::Charge,
        (Kind::Battery, _) => Dimension::Current,
        (Kind::Tail, _) => Dimension::Time,
        (Kind::Margin | Kind::PortAt, _) => Dimension::Percent,
        (Kind::Pickup, 0) => Dimension::Inductance,
        (Kind::Pickup, 1) | (Kind::Volume, 0) => Dimension::Resistance,
        (Kind::Pickup, _) => Dimension::Capacitance,
        (Kind::Volume, _) => Dimension::Percent,
        (Kind::Cable | Kind::Patch | Kind::LeadsOf | Kind::OwnLeads, 0) => Dimension::Length,
        (Kind::Cable | Kind::Patch | Kind::LeadsOf | Kind::OwnLeads, _) => Dimension::CapacitancePerLength,
        (Kind::Outlet, 0) => Dimension::Voltage,
        (Kind::Outlet, _) => Dimension::Current,
        _ => return None,
    })
}

/// The plain spelling: either omega as `ohm`, either micro sign as `u`.
fn plain(text: &str) -> std::borrow::Cow<'_, str> {
    if text.is_ascii() {
        return text.into();
    }
    text.replace(['\u{2126}', '\u{03a9}'], "ohm").replace(['\u{00b5}', '\u{03bc}'], "u").into()
}

/// Looks a unit up by its spelling.
pub fn find(text: &str) -> Found {
    let text = plain(text);
    if let Some(unit) = UNITS.iter().find(|u| u.name == text) {
        return Found::Unit(*unit);
    }
    match UNITS.iter().find(|u| u.name.eq_ignore_ascii_case(&text)) {
        Some(unit) => Found::Case(unit.name),
        None => Found::No,
    }
}

/// Units written out as words, and their signs.
const WRITTEN_OUT: [(&str, &str); 3] = [("percent", "%"), ("volt", "V"), ("volts", "V")];

/// The sign of a unit that is written out.
pub fn written_out(word: &str) -> Option<&'static str> {
    WRITTEN_OUT.iter().find(|(out, _)| out.eq_ignore_ascii_case(word)).map(|(_, sign)| *sign)
}

/// Short forms that technicians write; none of them is a unit.
const SHORT: [&str; 10] = ["k", "K", "M", "Meg", "meg", "R", "p", "n", "u", "µ"];

/// True for a word that is a unit, whatever its capitals, or a unit written out or cut short.
pub fn like(word: &str) -> bool {
    !matches!(find(word), Found::No) || written_out(word).is_some() || SHORT.contains(&word)
}

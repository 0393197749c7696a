//! The board of such a book: devices that hand their controls on by `like`, and all else that bears a name on it.

use super::written_names::Writer;
use crate::support::dice::Dice;

/// A control with its states, or a level.
pub(crate) struct Control {
    pub(crate) name: String,
    pub(crate) states: Vec<String>,
}

pub(crate) struct Device {
    pub(crate) name: String,
    /// What it says itself.
    pub(crate) own: Vec<Control>,
    pub(crate) legs: Vec<String>,
    pub(crate) like: Option<usize>,
}

pub(crate) struct Board {
    pub(crate) devices: Vec<Device>,
    pub(crate) guitars: Vec<String>,
    pub(crate) supply: String,
    pub(crate) outlets: Vec<String>,
    pub(crate) treadle: String,
    pub(crate) chain: String,
    pub(crate) amp: String,
    pub(crate) amp_channel: String,
    pub(crate) amp_states: [String; 2],
    pub(crate) helper: String,
    pub(crate) lights: String,
    pub(crate) cue: String,
    pub(crate) cues: [String; 2],
    /// Tonight this pedal is out, and this one gives way to another of its name, which is like it or not.
    pub(crate) out: Option<usize>,
    pub(crate) instead: Option<(usize, bool)>,
}

impl Board {
    /// What descends from a device by `like`, while `stops` does not say that what is handed on ends there.
    fn heirs(&self, device: usize, stops: &dyn Fn(&Device) -> bool) -> String {
        let mut all = vec![device];
        for (n, other) in self.devices.iter().enumerate() {
            if n != device && other.like.is_some_and(|l| all.contains(&l)) && !stops(other) {
                all.push(n);
            }
        }
        all[1..].iter().map(|n| format!("|{}", self.devices[*n].name)).collect()
    }

    /// The controls of a device with what it is like: the name, and the states.
    fn controls(&self, device: usize) -> Vec<(String, Vec<String>)> {
        let own = &self.devices[device];
        let mut all = own.like.map_or(Vec::new(), |like| self.controls(like));
        for control in &own.own {
            match all.iter_mut().find(|(name, _)| *name == control.name) {
                Some(_) if control.states.is_empty() => {}
                Some((_, states)) => states.clone_from(&control.states),
                None => all.push((control.name.clone(), control.states.clone())),
            }
        }
        all
    }

    /// The facts of a device's block, each name with whom it is handed on to; `open` marks names that are given.
    pub(crate) fn block(&self, w: &mut Writer<'_>, n: usize, open: &str) {
        let device = &self.devices[n];
        let me = &device.name;
        for (at, control) in device.own.iter().enumerate() {
            let name = &control.name;
            let add = |heirs: String, tail: &str| {
                heirs.replace('|', "\u{1}").split('\u{1}').skip(1).fold(String::new(), |out, h| out + "|" + h + tail)
            };
            let all = add(self.heirs(n, &|_| false), &format!(".{name}"));
            if control.states.is_empty() {
                w.line(&format!(
                    "  level ‹{open}control {me}.{name}{all}› on midi {} cc {} from 0 % to 60 %",
                    n + 1,
                    at + 1
                ));
                continue;
            }
            let says = |d: &Device| d.own.iter().any(|c| c.name == *name && !c.states.is_empty());
            let mut states = String::new();
            for (value, state) in control.states.iter().enumerate() {
                let heirs = add(self.heirs(n, &says), &format!(".{name}.{state}"));
                states += &format!("‹{open}state {me}.{name}.{state}{heirs}›: value {value}; ");
            }
            w.line(&format!(
                "  control ‹{open}control {me}.{name}{all}› on midi {} cc {} {{ {states}}}",
                n + 1,
                at + 1
            ));
        }
        for leg in &device.legs {
            let heirs = self.heirs(n, &|_| false);
            let heirs = heirs.split('|').skip(1).fold(String::new(), |out, h| out + "|" + h + "." + leg);
            let by = device.own.first().filter(|_| w.dice.one_in(2)).map(|c| {
                let heirs = heirs.replace(&format!(".{leg}"), &format!(".{}", c.name));
                // Handed on alone, where it is no block of tonight.
                let used = if open == "~" { "-" } else { "" };
                format!("by ‹{used}control {me}.{}{heirs}›", c.name)
            });
            w.line(&format!("  leg ‹{open}leg {me}.{leg}{heirs}› {}", by.unwrap_or_else(|| "gain 0 dB".to_owned())));
        }
    }

    pub(crate) fn write(&self, w: &mut Writer<'_>) {
        w.line(
            "switcher { loops 9; remote jacks 4; expressions 2 of 128 steps; foot inputs 1; outputs 2; guitar inputs 2",
        );
        w.line("  banks 1..4, switches 1..5; inside: switches 6..7, toggles 2, holds 2, rows 2; messages on leaving }");
        let supply = &self.supply;
        w.line(&format!("supply ‹+supply {supply}› {{"));
        for outlet in &self.outlets {
            w.line(&format!("  outlet ‹+outlet {supply}.{outlet}› 9 V, 300 mA, centre-negative, isolated"));
        }
        w.line("}");
        for (n, device) in self.devices.iter().enumerate() {
            let replaced = self.instead.filter(|(at, _)| *at == n);
            let me = &device.name;
            // The name of what another stands for tonight is a name of that.
            let (head, open) = match replaced {
                Some(_) => (format!("device {me}"), "~"),
                None => (format!("+device {me}"), "+"),
            };
            let like = device.like.map_or(String::new(), |l| format!(" like ‹device {}›", self.devices[l].name));
            w.line(&format!("pedal ‹{head}›{like} {{ loop {}", n + 1));
            let power =
                format!("  power ‹supply {supply}›.‹outlet {supply}.{}›, 50 mA", self.outlets[n % self.outlets.len()]);
            match replaced {
                // Nothing of it holds.
                Some((_, false)) => {
                    let plain = self.devices[n]
                        .own
                        .iter()
                        .map(|c| format!("  level {} on midi 16 cc 9 from 0 % to 10 %", c.name));
                    plain.collect::<Vec<_>>().iter().for_each(|line| w.line(line));
                }
                // It is handed on, its outlet too.
                _ => {
                    w.line(&power);
                    self.block(w, n, open);
                }
            }
            w.line("}");
        }
        let (amp, channel, [clean, lead]) = (&self.amp, &self.amp_channel, &self.amp_states);
        w.line(&format!("amp ‹+device {amp}› {{ fed by output 1; send 1 kohm; return 200 kohm"));
        w.line(&format!("  control ‹+control {amp}.{channel}› on remote 2 tip {{ ‹+state {amp}.{channel}.{clean}›: open; ‹+state {amp}.{channel}.{lead}›: closed }} starts ‹state {amp}.{channel}.{clean}› }}"));
        for (n, guitar) in self.guitars.iter().enumerate() {
            let heard = format!("heard when ‹device {amp}›.‹control {amp}.{channel}› ‹state {amp}.{channel}.{lead}›");
            let how = if n == 0 { "on guitar input 1".to_owned() } else { heard };
            w.line(&format!("guitar ‹+guitar {guitar}› {{ {how} }}"));
        }
        w.line(&format!("treadle ‹+treadle {}› on foot input 1", self.treadle));
        let helper = &self.helper;
        w.line(&format!("helper ‹+device {helper}› {{ loops 3; on midi 15 programs from 1; presets 9"));
        w.line(&format!("  preset 3: loop 2 of ‹device {helper}›, ‹device {}› }}", self.lights_off()));
        let inside = self.lights_off();
        w.line(&format!("pedal ‹+device {inside}› {{ loop 1 of ‹device {helper}› }}"));
        let (own, by, [off, on]) = (format!("{}z", self.lights), &self.cue, &self.cues);
        w.line(&format!("pedal ‹+device {own}› {{ engaged by ‹control {own}.{by}› ‹state {own}.{by}.{on}›"));
        w.line(&format!("  control ‹+control {own}.{by}› on midi 13 cc 1 {{ ‹+state {own}.{by}.{off}›: value 0; ‹+state {own}.{by}.{on}›: value 9 }} }}"));
        let (lights, cue, [one, two]) = (&self.lights, &self.cue, &self.cues);
        w.line(&format!("listener ‹+device {lights}› {{ control ‹+control {lights}.{cue}› on midi 14 messages {{ ‹+state {lights}.{cue}.{one}›: cc 1 value 2; ‹+state {lights}.{cue}.{two}›: note 3 off }} }}"));
        w.line(&format!(
            "chain ‹+chain {}›: ‹guitar {}› -> loops 1..2 -> ‹device {amp}› send",
            self.chain, self.guitars[0]
        ));
        if let Some((n, leg)) = self.devices.iter().enumerate().find_map(|(n, d)| Some((n, d.legs.first()?)))
            && self.instead.is_none_or(|(at, _)| at != n)
        {
            let me = &self.devices[n].name;
            w.line(&format!("chain ‹+chain {}x›: ‹device {me}› ‹leg {me}.{leg}› -> ‹device {amp}› return", self.chain));
        }
        w.line(&format!("panel {{ in 1 ‹guitar {}›; out 2 ‹device {amp}› return }}", self.guitars[0]));
    }

    /// The pedal that sits in the helper.
    fn lights_off(&self) -> String {
        format!("{}y", self.lights)
    }

    /// `ember.voice round`, of a pedal or the amplifier.
    pub(crate) fn setting(&self, dice: &mut Dice) -> (String, String) {
        let mut all: Vec<(String, String, Vec<String>)> = Vec::new();
        for n in 0..self.devices.len() {
            all.extend(self.controls(n).into_iter().map(|(name, states)| (self.devices[n].name.clone(), name, states)));
        }
        all.push((self.amp.clone(), self.amp_channel.clone(), self.amp_states.to_vec()));
        all.push((self.lights.clone(), self.cue.clone(), self.cues.to_vec()));
        let (device, control, states) = all.swap_remove(dice.roll(all.len()));
        let head = format!("‹device {device}›.‹control {device}.{control}›");
        let value = match states.len() {
            0 => "20 %".to_owned(),
            some => format!("‹state {device}.{control}.{}›", states[dice.roll(some)]),
        };
        (head, value)
    }
}

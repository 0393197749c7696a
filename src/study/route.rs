//! Where leads run: the chains of a book as one directed graph from jack to jack. The same for all scenes.

use std::borrow::Cow;

use rustc_hash::FxHashMap;

use crate::book::electric::{Lead, LinkWhat, OwnJack, PanelWhat};
use crate::book::{Board, Device, DeviceKind, LoopOrder};
use crate::ids::DeviceId;

/// A place that a lead may leave or reach. Devices are indexes of `Board::devices`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// The guitar in use, or one by its index.
    Guitar(Option<usize>),
    /// A loop of the switcher, with what stands in it.
    Loop(u16),
    /// A device that stands in the chain itself.
    Device(DeviceId),
    /// The input of an amp.
    Amp(DeviceId),
    /// The send of an amp's effects loop, or of a pedal's insert.
    Send(DeviceId),
    /// The return of one.
    Return(DeviceId),
    /// Where a leg of a device leaves it and comes back, by the leg's number.
    LegSend(DeviceId, u16),
    LegReturn(DeviceId, u16),
    /// The key input of a device: it is fed, and nothing goes on from it.
    Key(DeviceId),
    /// An output of the switcher.
    Output(u16),
}

/// A lead in the path.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Wire {
    /// The lead that a chain states.
    Cable(Lead),
    /// A patch lead.
    Patch,
    /// A lead at a jack of a device, of which no chain says how long it is.
    At(DeviceId),
    /// The lead of whatever guitar is played.
    Guitar,
}

impl Wire {
    /// What is stated of it: by the chain or guitar, else by the device at its end, else by the kind of lead it is. The
    /// one place that knows; None when nobody said it. `guitar` is an index of `Board::guitars`.
    pub fn stated(self, board: &Board, guitar: usize) -> Option<Lead> {
        let leads = &board.leads;
        match self {
            Wire::Cable(lead) => Some(lead),
            Wire::Patch => leads.patch,
            Wire::At(index) => {
                let device = board.devices.get(index)?;
                let of_amp = leads.amp.filter(|_| device.kind == DeviceKind::Amp);
                device.electric.leads.or(of_amp).or(leads.patch)
            }
            Wire::Guitar => board.guitars.get(guitar).and_then(|g| g.cable).or(leads.guitar),
        }
    }

    /// It ends at an amp, and is taken for a patch lead as nobody says how long such leads are.
    pub fn assumed(self, board: &Board) -> bool {
        let Wire::At(index) = self else { return false };
        let silent = |d: &Device| d.kind == DeviceKind::Amp && d.electric.leads.is_none();
        board.leads.amp.is_none() && board.leads.patch.is_some() && board.devices.get(index).is_some_and(silent)
    }
}

/// What joins two places.
#[derive(Clone, PartialEq, Debug)]
pub struct Edge {
    /// Where it starts.
    pub from: Place,
    /// Where it ends.
    pub to: Place,
    /// The leads on the way; none inside the switcher. Those from or to a jack of the panel stand last.
    pub wires: Vec<Wire>,
    /// It leaves by the panel: one of those leads lies before the panel's jack.
    pub by_panel: bool,
}

/// The places of a chain in the direction of the signal, each with the number of the link that names it.
pub type Along = Vec<(Place, usize)>;

/// All leads of a board.
#[derive(Clone, Debug, Default)]
pub struct Route {
    /// Edges, in the order of the chains.
    pub edges: Vec<Edge>,
    /// Each chain's places.
    pub chains: Vec<Along>,
    /// Edges by the place they leave.
    leaving: FxHashMap<Place, Vec<usize>>,
    /// The device in each loop, by its number.
    pub in_loop: FxHashMap<u16, DeviceId>,
    /// Something in a chain could not be understood, or cannot be wired: nothing is to be trusted.
    pub faulty: bool,
    /// A chain that starts with a guitar.
    pub from_guitar: bool,
    /// Devices whose return takes both sides, left and right.
    pub wide: Vec<DeviceId>,
    /// Some amp says which output feeds it.
    pub amps_fed: bool,
    /// Outputs that feed tuners alone: they stay on where everything is muted.
    pub watched: Vec<u16>,
}

impl Route {
    /// Follows the chains of a book.
    pub fn of(board: &Board) -> Route {
        let mut route = Route { faulty: board.chains.iter().any(|c| c.faulty), ..Route::default() };
        for (index, device) in board.devices.pairs() {
            if let Some(loop_at) = &device.loop_at {
                route.in_loop.entry(loop_at.value).or_insert(index);
            }
        }
        let links = board.chains.iter().flat_map(|c| &c.links);
        let wide = links.filter_map(|l| match &l.what {
            LinkWhat::Device { device, jack: Some(OwnJack::Return), sides } if sides.len() > 1 => Some(*device),
            _ => None,
        });
        route.wide = wide.collect();
        for chain in &board.chains {
            let mut last: Option<Place> = None;
            let mut cables: Vec<Wire> = Vec::new();
            let mut along = Vec::new();
            for (number, link) in chain.links.iter().enumerate() {
                if let LinkWhat::Cable(Some(lead)) = &link.what {
                    cables.push(Wire::Cable(*lead));
                    continue;
                }
                for place in places(board, &link.what, last.is_none()) {
                    if let Some(from) = last {
                        route.join(board, from, place, std::mem::take(&mut cables));
                    }
                    last = Some(place);
                    along.push((place, number));
                }
            }
            route.chains.push(along);
            route.from_guitar |= matches!(chain.links.first().map(|l| &l.what), Some(LinkWhat::Guitar(_)));
        }
        let chains = &route.chains;
        let turned = |(nth, along): (usize, &Along)| chains.iter().take(nth).any(|b| turned(b, along).is_some());
        route.faulty |= chains.iter().any(|along| again(along).is_some()) || chains.iter().enumerate().any(turned);
        route.amps_fed = board.devices.iter().any(|d| d.fed_by.is_some() && !d.watched());
        let outputs = board.switcher.as_ref().map_or(0, |s| s.outputs);
        route.watched = (1..=outputs).filter(|n| board.watched(*n)).collect();
        route.feed_amps(board);
        route
    }

    /// Amps and tuners that no chain reaches hang on the output that feeds them.
    fn feed_amps(&mut self, board: &Board) {
        for (index, device) in board.devices.pairs() {
            let fed = if device.watched() { Place::Device(index) } else { Place::Amp(index) };
            let Some(output) = device.fed_by else { continue };
            if !self.edges.iter().any(|e| e.to == fed) {
                self.join(board, Place::Output(output.value), fed, Vec::new());
            }
        }
    }

    fn join(&mut self, board: &Board, from: Place, to: Place, mut wires: Vec<Wire>) {
        if wires.is_empty() && !inside(board, from, to) {
            let guitar = matches!(from, Place::Guitar(_));
            wires.push(if guitar { Wire::Guitar } else { wire_at(board, from, to) });
        }
        // At the panel a lead ends, and another one goes on from there. The panel's jack of an output lies behind it.
        let outside = !inside(board, from, to);
        let by_panel = outside && on_panel(board, from);
        let to_panel = outside && on_panel(board, to) && !matches!(to, Place::Output(_));
        wires.extend([by_panel, to_panel].into_iter().filter(|on| *on).map(|_| Wire::Patch));
        if self.edges.iter().any(|e| e.from == from && e.to == to) {
            return;
        }
        self.leaving.entry(from).or_default().push(self.edges.len());
        self.edges.push(Edge { from, to, wires, by_panel });
    }

    /// The same leads, with the unit's loops in the order of a preset.
    pub fn ordered(&self, board: &Board, order: LoopOrder) -> Cow<'_, Route> {
        if order.wired() {
            return Cow::Borrowed(self);
        }
        let stand = order.stand(board.switcher.as_ref().map_or(0, |s| s.own_loops));
        let stands = |place: Place| match place {
            Place::Loop(n) => Place::Loop(stand.get(usize::from(n).wrapping_sub(1)).copied().unwrap_or(n)),
            other => other,
        };
        let mut route = self.clone();
        for edge in &mut route.edges {
            (edge.from, edge.to) = (stands(edge.from), stands(edge.to));
        }
        route.leaving = self.leaving.iter().map(|(place, edges)| (stands(*place), edges.clone())).collect();
        for (place, _) in route.chains.iter_mut().flatten() {
            *place = stands(*place);
        }
        Cow::Owned(route)
    }

    /// A chain leads through a place.
    pub fn passes(&self, place: Place) -> bool {
        self.chains.iter().flatten().any(|(passed, _)| *passed == place)
    }

    /// Some lead or chain arrives at a place.
    pub fn arrives(&self, place: Place) -> bool {
        self.edges.iter().any(|e| e.to == place)
    }

    /// The amps that a guitar reaches, by their input or return, though every output is off that `mute` turns off.
    pub fn past_outputs(&self, board: &Board) -> Vec<DeviceId> {
        let mut seen: Vec<Place> = Vec::new();
        let mut open: Vec<Place> =
            self.edges.iter().map(|e| e.from).filter(|p| matches!(p, Place::Guitar(_))).collect();
        let mut amps = Vec::new();
        while let Some(place) = open.pop() {
            if seen.contains(&place) {
                continue;
            }
            seen.push(place);
            match place {
                Place::Output(output) if !self.watched.contains(&output) => continue,
                Place::Amp(amp) => amps.push(amp),
                Place::Return(amp) if self.goes_into(board, place).is_none() => amps.push(amp),
                _ => {}
            }
            open.extend(self.onward(board, place));
        }
        amps.sort_unstable();
        amps.dedup();
        amps
    }

    /// Where the chain of a guitar starts: its own, or that of whichever is played.
    pub fn start(&self, guitar: usize) -> Option<Place> {
        [Place::Guitar(Some(guitar)), Place::Guitar(None)].into_iter().find(|p| !self.leaving(*p).is_empty())
    }

    /// A device by the place where its own input and output are.
    pub fn place_of(&self, board: &Board, device: DeviceId) -> Place {
        match board.devices.get(device) {
            Some(d) if d.kind == DeviceKind::Amp => Place::Amp(device),
            Some(Device { loop_at: Some(number), .. }) => Place::Loop(number.value),
            _ => Place::Device(device),
        }
    }

    /// The device that has its own input and output at a place; what sits in a loop has the loop's.
    pub fn device_at(&self, place: Place) -> Option<DeviceId> {
        match place {
            Place::Loop(number) => self.in_loop.get(&number).copied(),
            Place::Device(device) => Some(device),
            _ => None,
        }
    }

    /// The jacks, beside its output, that a device sends by and that a lead leaves.
    pub fn sends(&self, board: &Board, device: DeviceId) -> Vec<Place> {
        let legs = board.devices.get(device).map_or(0, |d| d.electric.legs.len() as u16);
        let legs = (0..legs).map(|leg| Place::LegSend(device, leg));
        std::iter::once(Place::Send(device)).chain(legs).filter(|p| !self.leaving(*p).is_empty()).collect()
    }

    /// The device, no amp, whose output hears what arrives at one of its own jacks: an insert's return, a leg.
    pub fn goes_into(&self, board: &Board, place: Place) -> Option<DeviceId> {
        match place {
            Place::Return(d) | Place::LegReturn(d, _) => Some(d).filter(|d| !amp(board, *d)),
            _ => None,
        }
    }

    /// Where a signal may be next, whatever the scenes do: along the leads, and through the insert and the legs of a
    /// device. What goes into an amp ends there.
    pub fn onward(&self, board: &Board, place: Place) -> Vec<Place> {
        let ahead = |place: Place| self.leaving(place).iter().filter_map(|e| self.edges.get(*e)).map(|e| e.to);
        if let Some(device) = self.goes_into(board, place) {
            return ahead(self.place_of(board, device)).collect();
        }
        let sends = self.device_at(place).map_or(Vec::new(), |device| self.sends(board, device));
        ahead(place).chain(sends.into_iter().flat_map(ahead)).collect()
    }

    /// Whether a place leads to another, whatever the scenes do.
    pub fn leads_to(&self, board: &Board, place: Place, wanted: Place) -> bool {
        let (mut open, mut seen) = (self.onward(board, place), Vec::new());
        while let Some(place) = open.pop() {
            if place == wanted {
                return true;
            }
            if !seen.contains(&place) {
                seen.push(place);
                open.extend(self.onward(board, place));
            }
        }
        false
    }

    /// The numbers of the edges that leave a place.
    pub fn leaving(&self, place: Place) -> &[usize] {
        self.leaving.get(&place).map_or(&[], Vec::as_slice)
    }
}

/// The lead that joins two places: of the device that says how long its leads are, the later one first; else of the amp.
fn wire_at(board: &Board, from: Place, to: Place) -> Wire {
    let device = |place: Place| match place {
        Place::Guitar(_) | Place::Loop(_) | Place::Output(_) => None,
        Place::Device(d) | Place::Amp(d) | Place::Send(d) | Place::Return(d) => board.devices.get(d).map(|at| (d, at)),
        Place::LegSend(d, _) | Place::LegReturn(d, _) | Place::Key(d) => board.devices.get(d).map(|at| (d, at)),
    };
    let ends: Vec<(DeviceId, &Device)> = [to, from].into_iter().filter_map(device).collect();
    let says = ends.iter().find(|(_, d)| d.electric.leads.is_some());
    let amp = || ends.iter().find(|(_, d)| d.kind == DeviceKind::Amp);
    says.or_else(amp).map_or(Wire::Patch, |(d, _)| Wire::At(*d))
}

/// The first place that a chain passes a second time, with the links of both times.
pub fn again(along: &Along) -> Option<(Place, usize, usize)> {
    along.iter().enumerate().find_map(|(nth, (place, second))| {
        let (_, first) = along.iter().take(nth).find(|(earlier, _)| earlier == place)?;
        Some((*place, *first, *second))
    })
}

/// Two neighbours among the places common to two chains, in the order of the second, that the first passes the other way
/// round; with the link that names the later one. A place passed twice has no order.
pub fn turned(before: &Along, along: &Along) -> Option<(Place, Place, usize)> {
    if again(before).is_some() || again(along).is_some() {
        return None;
    }
    let place = |wanted: &Place| before.iter().position(|(place, _)| place == wanted);
    let common: Vec<(usize, Place, usize)> =
        along.iter().filter_map(|(p, link)| Some((place(p)?, *p, *link))).collect();
    let mut neighbours = common.iter().zip(common.iter().skip(1));
    neighbours.find(|(a, b)| a.0 > b.0).map(|(a, b)| (a.1, b.1, b.2))
}

fn amp(board: &Board, device: DeviceId) -> bool {
    board.devices.get(device).is_some_and(|d| d.kind == DeviceKind::Amp)
}

/// The name of a leg of a device.
pub fn leg_of(board: &Board, device: DeviceId, leg: u16) -> &str {
    let legs = board.devices.get(device).map_or(&[][..], |d| d.electric.legs.as_slice());
    legs.get(usize::from(leg)).map_or("", |l| &l.name)
}

/// A place as the book speaks of it.
pub fn says(board: &Board, place: Place) -> String {
    let name = |device: DeviceId| board.devices.get(device).map_or("", |d| d.name.as_str());
    match place {
        Place::Guitar(guitar) => {
            guitar.and_then(|g| board.guitars.get(g)).map_or("guitar".to_owned(), |g| g.name.clone())
        }
        Place::Loop(number) => board.loop_says(number),
        Place::Device(device) | Place::Amp(device) => name(device).to_owned(),
        Place::Send(device) => format!("{} send", name(device)),
        Place::Return(device) => format!("{} return", name(device)),
        Place::LegSend(device, leg) => format!("{} {} send", name(device), leg_of(board, device, leg)),
        Place::LegReturn(device, leg) => format!("{} {} return", name(device), leg_of(board, device, leg)),
        Place::Key(device) => format!("{} key", name(device)),
        Place::Output(number) => format!("output {number}"),
    }
}

/// The places that a link names, in the direction of the signal.
fn places(board: &Board, what: &LinkWhat, first: bool) -> Vec<Place> {
    match what {
        LinkWhat::Guitar(guitar) => vec![Place::Guitar(*guitar)],
        LinkWhat::Loops(from, to) if from <= to => (*from..=*to).map(Place::Loop).collect(),
        LinkWhat::Loops(from, to) => (*to..=*from).rev().map(Place::Loop).collect(),
        LinkWhat::Output(number) => vec![Place::Output(*number)],
        LinkWhat::Device { device, jack, .. } => {
            let found = board.devices.get(*device);
            vec![match jack {
                Some(OwnJack::Send) => Place::Send(*device),
                Some(OwnJack::Return) => Place::Return(*device),
                Some(OwnJack::LegSend(leg)) => Place::LegSend(*device, *leg),
                Some(OwnJack::LegReturn(leg)) => Place::LegReturn(*device, *leg),
                Some(OwnJack::Key) => Place::Key(*device),
                None => match found.and_then(|d| d.loop_at) {
                    Some(number) => Place::Loop(number.value),
                    // An amp that opens a chain can only be meant as what it sends.
                    None if found.is_some_and(|d| d.kind == DeviceKind::Amp) && first => Place::Send(*device),
                    None if found.is_some_and(|d| d.kind == DeviceKind::Amp) => Place::Amp(*device),
                    None => Place::Device(*device),
                },
            }]
        }
        LinkWhat::Cable(_) | LinkWhat::Unknown => Vec::new(),
    }
}

/// True when both places are on one side of the switcher, or inside one helper: no lead joins them.
fn inside(board: &Board, from: Place, to: Place) -> bool {
    match (from, to) {
        (Place::Loop(a), Place::Loop(b)) => board.stretch(a) == board.stretch(b),
        (Place::Loop(number), Place::Output(_)) => board.helper_of(number).is_none(),
        _ => false,
    }
}

/// True when a place is brought out to the panel.
fn on_panel(board: &Board, place: Place) -> bool {
    let Some(panel) = &board.panel else { return false };
    panel.jacks.iter().any(|jack| match (&jack.what, place) {
        (PanelWhat::Guitar(named), Place::Guitar(guitar)) => named.is_none() || *named == guitar,
        (PanelWhat::Output(number), Place::Output(output)) => *number == output,
        (PanelWhat::Device { device, jack: None, .. }, Place::Amp(amp)) => *device == amp,
        (PanelWhat::Device { device, jack: Some(OwnJack::Send), .. }, Place::Send(amp)) => *device == amp,
        (PanelWhat::Device { device, jack: Some(OwnJack::Return), .. }, Place::Return(amp)) => *device == amp,
        (PanelWhat::Device { device, jack: Some(OwnJack::LegSend(leg)), .. }, Place::LegSend(d, l)) => {
            (*device, *leg) == (d, l)
        }
        (PanelWhat::Device { device, jack: Some(OwnJack::LegReturn(leg)), .. }, Place::LegReturn(d, l)) => {
            (*device, *leg) == (d, l)
        }
        (PanelWhat::Device { device, jack: Some(OwnJack::Key), .. }, Place::Key(d)) => *device == d,
        _ => false,
    })
}

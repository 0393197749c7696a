//! Two presets of a scene that does not sound a device, one with its pulse and one without: which one is right hangs on
//! the way in.
//!
//! A game against the way that the player takes: at a scene that does not sound the device the tool chooses, in every
//! step the show does. A place from which the show can force a wrong state is lost, and so is one from which it can force
//! the player into a lost place; what is left in the end serves every way (the greatest fixed point of a safety game).

use rustc_hash::{FxHashMap, FxHashSet};

use super::buttons::{Buttons, Wish};
use super::reach::Plan;
use super::step::Stand;
use crate::book::{PartAt, Ways};
use crate::ids::SceneId;

/// So many steps of a place to the next are looked at for one button.
const MOST_STEPS: usize = 20_000_000;

/// Where a scene is come to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// A part of a song.
    Part(PartAt),
    /// Under `ways any`, and after power-up: the scene alone is known.
    Scene(SceneId),
}

/// Where a button is turned though nobody hears it, by the place and by how its controls stood before.
#[derive(Clone, Debug, Default)]
pub struct Turns {
    pub(super) at: FxHashMap<Place, Vec<(usize, Vec<Stand>)>>,
    /// The scenes of those places.
    pub(super) scenes: FxHashSet<SceneId>,
}

/// What the game gives.
pub(super) enum Served {
    /// Turned so, every way is served.
    By(Turns),
    /// No choice serves every way.
    Never,
    /// It is too large to be searched.
    Open,
}

/// The place of a part.
pub fn place(scene: SceneId, part: Option<PartAt>) -> Place {
    part.map_or(Place::Scene(scene), Place::Part)
}

impl Turns {
    /// A button is turned at a place, its controls standing so.
    pub(super) fn turned(&self, place: Place, button: usize, stood: &[Stand]) -> bool {
        self.at.get(&place).is_some_and(|list| list.iter().any(|(b, s)| *b == button && s == stood))
    }
}

/// Searches for one button, of which every start is known.
pub(super) fn search(buttons: &Buttons, plan: &Plan, button: usize, silent: &dyn Fn(SceneId, usize) -> bool) -> Served {
    let Some(game) = Game::of(buttons, plan, button, silent) else { return Served::Open };
    let Some(safe) = game.safe() else { return Served::Open };
    game.turns(&safe, button).map_or(Served::Never, Served::By)
}

/// The places, what follows them, and what may be sent there.
struct Game {
    /// How many states each control of the button goes round, and where it stands after power-up.
    rounds: Vec<(Stand, Stand)>,
    places: Vec<Spot>,
    begin: Vec<usize>,
    repeats: bool,
}

struct Spot {
    place: Place,
    scene: SceneId,
    /// The state that each control must have there.
    wants: Vec<Option<Stand>>,
    /// The numbers of pulses that may be sent.
    may: &'static [usize],
    silent: bool,
    follow: Vec<usize>,
}

impl Game {
    fn of(buttons: &Buttons, plan: &Plan, button: usize, silent: &dyn Fn(SceneId, usize) -> bool) -> Option<Game> {
        // A second row is come to through the first: the game does not play that.
        if !plan.rows.is_empty() {
            return None;
        }
        let controls = &buttons.list.get(button)?.controls;
        let turned = controls.iter().filter_map(|c| buttons.controls.get(*c));
        let rounds: Option<Vec<_>> = turned.map(|t| Some((t.states, t.start?))).collect();
        let mut game = Game { rounds: rounds?, places: Vec::new(), begin: Vec::new(), repeats: plan.repeats };
        let mut known = FxHashMap::default();
        let mut spot = |game: &mut Game, scene: SceneId, part: Option<PartAt>| {
            *known.entry(place(scene, part)).or_insert_with(|| {
                let wishes = plan.wishes.get(scene.index()).map_or(&[][..], Vec::as_slice);
                let wishes: Vec<Wish> = controls.iter().filter_map(|c| wishes.get(*c)).copied().collect();
                let state = |w: &Wish| if let Wish::State(s) = w { Some(*s) } else { None };
                let wants: Vec<_> = wishes.iter().map(state).collect();
                let silent = silent(scene, button);
                let may: &[usize] = match () {
                    () if wishes.contains(&Wish::Pulse) => &[1],
                    () if silent || wants.iter().any(Option::is_some) => &[0, 1],
                    () => &[0],
                };
                let place = place(scene, part);
                game.places.push(Spot { place, scene, wants, may, silent, follow: Vec::new() });
                game.places.len() - 1
            })
        };
        let woken: Option<usize> = plan.wakes.map(|scene| spot(&mut game, scene, None));
        let mut links: FxHashSet<(usize, usize)> = FxHashSet::default();
        let mut link = |from: &[usize], to: &[usize]| {
            links.extend(from.iter().flat_map(|f| to.iter().map(|t| (*f, *t))));
            links.len() <= MOST_STEPS / 16
        };
        if plan.ways == Some(Ways::Any) {
            let all: Vec<usize> = plan.stored.iter().map(|scene| spot(&mut game, *scene, None)).collect();
            if all.len() > MOST_STEPS / 16 / all.len().max(1) || !link(&all, &all) {
                return None;
            }
            game.begin = woken.map_or(all, |w| vec![w]);
        } else {
            game.begin.extend(woken);
            for run in &plan.runs {
                let mut from: Vec<usize> = woken.into_iter().collect();
                for (at, (song, _)) in run.songs.iter().enumerate() {
                    let parts = plan.songs.get(*song).map_or(&[][..], Vec::as_slice);
                    let parts = parts.iter().enumerate().filter_map(|(p, s)| Some(((*s)?, Some((*song, p as u32)))));
                    let spots: Vec<usize> = parts.map(|(scene, part)| spot(&mut game, scene, part)).collect();
                    let (Some(first), Some(last)) = (spots.first(), spots.last()) else { continue };
                    if at == 0 && woken.is_none() || from.is_empty() {
                        game.begin.push(*first);
                    }
                    let mut fits = link(&from, &[*first]);
                    if plan.ways == Some(Ways::Listed) {
                        fits &= spots.iter().zip(spots.iter().skip(1)).all(|(a, b)| link(&[*a], &[*b]));
                        from = vec![*last];
                    } else {
                        fits &= spots.len() <= MOST_STEPS / 16 / spots.len() && link(&spots, &spots);
                        let end = game.places.get(*last)?.scene;
                        let ends = |s: &usize| game.places.get(*s).is_some_and(|p| p.scene == end);
                        from = spots.iter().copied().filter(ends).collect();
                    }
                    if !fits {
                        return None;
                    }
                }
            }
        }
        if plan.repeats {
            links.extend((0..game.places.len()).map(|p| (p, p)));
        }
        let mut links: Vec<_> = links.into_iter().collect();
        links.sort_unstable();
        for (from, to) in links {
            game.places.get_mut(from)?.follow.push(to);
        }
        Some(game)
    }

    /// Ways that all controls can stand together.
    fn stands(&self) -> usize {
        self.rounds.iter().fold(1, |all, (states, _)| all.saturating_mul(usize::from(*states)))
    }

    fn start(&self) -> usize {
        self.rounds.iter().rev().fold(0, |all, (states, start)| all * usize::from(*states) + usize::from(*start))
    }

    /// The stands of a number, by control.
    fn split(&self, mut number: usize) -> Vec<Stand> {
        let one = |(states, _): &(Stand, Stand)| {
            let stand = number % usize::from(*states);
            number /= usize::from(*states);
            stand as Stand
        };
        self.rounds.iter().map(one).collect()
    }

    fn moved(&self, number: usize, pulses: usize) -> usize {
        let stands = self.split(number);
        let turned = self.rounds.iter().zip(stands).rev();
        turned.fold(0, |all, ((states, _), stand)| {
            let states = usize::from(*states);
            all * states + (usize::from(stand) + pulses) % states
        })
    }

    fn number(&self, place: usize, sent: usize, stands: usize) -> usize {
        (place * 2 + sent) * self.stands() + stands
    }

    /// The positions (place, what was sent there, how it stands now) that every way leaves right; None when there are too
    /// many.
    fn safe(&self) -> Option<Vec<bool>> {
        let stands = self.stands();
        let steps = self.places.iter().fold(0, |all: usize, p| all.saturating_add(p.follow.len() + 1));
        if steps.saturating_mul(stands).saturating_mul(2) > MOST_STEPS {
            return None;
        }
        let moved: Vec<usize> = (0..stands).map(|s| self.moved(s, 1)).collect();
        let mut safe: Vec<bool> = Vec::with_capacity(self.places.len() * 2 * stands);
        for spot in &self.places {
            let right =
                |s: usize| self.split(s).iter().zip(&spot.wants).all(|(is, want)| want.is_none_or(|w| w == *is));
            let here: Vec<bool> = (0..stands).map(right).collect();
            safe.extend(here.iter().chain(&here));
        }
        let mut left = MOST_STEPS;
        loop {
            let mut lost = false;
            for (place, spot) in self.places.iter().enumerate() {
                for sent in [0, 1] {
                    for stood in 0..stands {
                        let at = self.number(place, sent, stood);
                        if !*safe.get(at)? {
                            continue;
                        }
                        left = left.checked_sub(spot.follow.len() + 1)?;
                        let fits = |next: &usize| self.fits(&safe, &moved, place, sent, stood, *next);
                        if !spot.follow.iter().all(fits) {
                            *safe.get_mut(at)? = false;
                            lost = true;
                        }
                    }
                }
            }
            if !lost {
                return Some(safe);
            }
        }
    }

    fn fits(&self, safe: &[bool], moved: &[usize], place: usize, sent: usize, stood: usize, next: usize) -> bool {
        let scene = |p: usize| self.places.get(p).map(|p| p.scene);
        let turned = |pulses: usize| if pulses == 1 { moved.get(stood).copied().unwrap_or(stood) } else { stood };
        let is = |sent: usize, stands: usize| safe.get(self.number(next, sent, stands)) == Some(&true);
        if scene(place) != scene(next) {
            let may = self.places.get(next).map_or(&[][..], |p| p.may);
            return may.iter().any(|pulses| is(*pulses, turned(*pulses)));
        }
        // The same switch sends the same again, or nothing.
        is(sent, if self.repeats { turned(sent) } else { stood })
    }

    /// The choice at each silent place that is come to, no pulse where none is needed; None where a way is lost.
    fn turns(&self, safe: &[bool], button: usize) -> Option<Turns> {
        // Whose switch sends its pulse again is turned whenever it may be: the same preset is pressed over and over.
        let mut always: FxHashSet<usize> = FxHashSet::default();
        loop {
            let known = always.len();
            let turns = self.explore(safe, button, &mut always)?;
            if always.len() == known {
                return Some(turns);
            }
        }
    }

    fn explore(&self, safe: &[bool], button: usize, always: &mut FxHashSet<usize>) -> Option<Turns> {
        let mut turns = Turns::default();
        let mut seen: FxHashSet<(usize, usize)> = FxHashSet::default();
        let mut gone: FxHashSet<(usize, usize, usize)> = FxHashSet::default();
        let start = self.start();
        let mut todo: Vec<(usize, usize, Option<usize>)> = self.begin.iter().map(|p| (*p, start, None)).collect();
        while let Some((at, came, again)) = todo.pop() {
            let spot = self.places.get(at)?;
            let is = |sent: &usize| safe.get(self.number(at, *sent, self.moved(came, *sent))) == Some(&true);
            let choose = || {
                let mut may: Vec<usize> = spot.may.to_vec();
                if always.contains(&at) {
                    may.reverse();
                }
                may.into_iter().find(|sent| is(sent))
            };
            let sent = again.or_else(choose)?;
            let stands = match again {
                Some(_) if !self.repeats => came,
                _ => self.moved(came, sent),
            };
            if again.is_none() && spot.silent && sent == 1 && seen.insert((at, came)) {
                turns.at.entry(spot.place).or_default().push((button, self.split(came)));
                turns.scenes.insert(spot.scene);
            }
            if !gone.insert((at, sent, stands)) {
                continue;
            }
            for next in &spot.follow {
                let same = self.places.get(*next)?.scene == spot.scene;
                if same && self.repeats && spot.silent && sent == 1 {
                    always.insert(*next);
                }
                todo.push((*next, stands, same.then_some(sent)));
            }
        }
        Some(turns)
    }
}

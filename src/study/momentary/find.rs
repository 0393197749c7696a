//! What is wrong with what a preset stores, button by button: one device never hides another.

use super::buttons::Wish;
use super::step::{Need, Why};
use super::{Buttons, Finding, Plan, Reach};
use crate::ids::SceneId;

/// Looks at one scene after the other.
pub(super) struct Finder<'f> {
    buttons: &'f Buttons,
    plan: &'f Plan,
    reach: &'f Reach,
    /// The buttons of which it was told that nobody knows how they stand: every first scene after power-up meets the
    /// same unknown.
    told: Vec<usize>,
    pub found: Vec<Finding>,
}

impl<'f> Finder<'f> {
    pub(super) fn new(buttons: &'f Buttons, plan: &'f Plan, reach: &'f Reach) -> Finder<'f> {
        Finder { buttons, plan, reach, told: Vec::new(), found: Vec::new() }
    }

    /// Everything about one scene, given the ways into it.
    pub(super) fn scene(&mut self, scene: SceneId, arrivals: &[usize]) {
        for button in 0..self.buttons.list.len() {
            self.button(scene, button, arrivals);
        }
    }

    fn button(&mut self, scene: SceneId, button: usize, arrivals: &[usize]) {
        let reach = self.reach;
        let need = |arrival: &usize| reach.needs_at(*arrival).get(button).copied();
        let with = |wanted: Need| arrivals.iter().find(|a| need(a) == Some(wanted)).copied();
        let told = self.told.contains(&button);
        let never = arrivals.iter().find_map(|arrival| match need(arrival)? {
            Need::Never(Why::Start) if told => None,
            Need::Never(why) => Some((why, *arrival)),
            Need::Stays | Need::Pulse => None,
        });
        if let Some((why, arrival)) = never {
            if why == Why::Start {
                self.told.push(button);
            }
            self.found.push(Finding::Never { scene, button, why, arrival });
        }
        let wishes = self.plan.wishes.get(scene.index()).map_or(&[][..], Vec::as_slice);
        let mut controls = self.buttons.list.get(button).into_iter().flat_map(|b| &b.controls);
        let wished = controls.any(|c| matches!(wishes.get(*c), Some(Wish::State(_))));
        let (pulse, stays) = (with(Need::Pulse), with(Need::Stays));
        if let Some(arrival) = pulse.filter(|_| wished && self.plan.repeats) {
            self.found.push(Finding::Repress { scene, button, arrival });
        }
        if let (Some(pulse), Some(stays)) = (pulse, stays) {
            self.found.push(Finding::Depends { scene, button, pulse, stays });
        }
    }
}

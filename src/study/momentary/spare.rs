//! Pulses where nobody hears the device: they are free, so they may be used to make another preset right.

use super::buttons::Wish;
use super::by_way::{self, Served, Turns};
use super::{Buttons, Finding, Momentary, Plan, judge};
use crate::ids::SceneId;

/// So many choices of spare pulses are tried for one button, and so many arrivals followed for all of them.
const MOST_TRIES: usize = 256;
const MOST_ARRIVALS: usize = 1_000_000;

/// So many scenes that are turned by the way in are tried with one preset.
const MOST_SCENES: usize = 64;

/// Tries spare pulses for each button that something is wrong with, the fewest first; keeps those that leave less
/// wrong, or need fewer presets.
pub(super) fn use_them(mut now: Momentary, silent: &dyn Fn(SceneId, usize) -> bool) -> Momentary {
    let mut left = MOST_ARRIVALS;
    for button in 0..now.buttons.list.len() {
        let mends = |f: &Finding| f.button() == button && !f.unknown_start();
        if !now.findings.iter().any(mends) {
            continue;
        }
        let Some(plan) = now.plan.clone() else { continue };
        let mut scenes: Vec<SceneId> = now.reach.arrivals.iter().map(|a| a.scene).collect();
        scenes.sort_unstable();
        scenes.dedup();
        scenes.retain(|scene| silent(*scene, button));
        let mut best: Option<Momentary> = None;
        for set in subsets(&scenes).take(MOST_TRIES) {
            left = left.saturating_sub(now.reach.arrivals.len());
            if left == 0 {
                break;
            }
            let tried = judge(now.buttons.clone(), with(&now.buttons, &plan, button, &set));
            if wrong(&tried) < wrong(best.as_ref().unwrap_or(&now)) && !tried.reach.cut_short {
                best = Some(tried);
            }
        }
        let never = |m: &Momentary| m.findings.iter().any(|f| mends(f) && !matches!(f, Finding::Depends { .. }));
        if never(best.as_ref().unwrap_or(&now)) {
            match by_way::search(&now.buttons, &plan, button, silent) {
                Served::By(turns) => {
                    let tried = fewer(&now.buttons, &plan, button, turns);
                    if wrong(&tried) < wrong(best.as_ref().unwrap_or(&now)) && !tried.reach.cut_short {
                        best = Some(tried);
                    }
                }
                Served::Never => {}
                Served::Open => now.reach.cut_short = true,
            }
        }
        now = best.unwrap_or(now);
    }
    now
}

/// How wrong it is: what presets can mend is better than what none can.
fn wrong(now: &Momentary) -> (usize, usize, usize) {
    let never = now.findings.iter().filter(|f| !matches!(f, Finding::Depends { .. })).count();
    (never, now.findings.len(), now.extra())
}

/// The plan turned so, and each scene that then wants two presets given one where one does.
fn fewer(buttons: &Buttons, plan: &Plan, button: usize, turns: Turns) -> Momentary {
    let mut plan = plan.clone();
    plan.turns.scenes.extend(turns.scenes.iter());
    for (place, list) in turns.at {
        plan.turns.at.entry(place).or_default().extend(list);
    }
    let mut best = judge(buttons.clone(), plan);
    let mut scenes: Vec<SceneId> = turns.scenes.into_iter().collect();
    scenes.sort_unstable();
    for scene in scenes.into_iter().take(MOST_SCENES) {
        let Some(plan) = best.plan.as_ref() else { continue };
        let tried = judge(buttons.clone(), with(buttons, plan, button, &[scene]));
        if wrong(&tried) < wrong(&best) && !tried.reach.cut_short {
            best = tried;
        }
    }
    best
}

/// The plan with a pulse of a button in some scenes.
fn with(buttons: &Buttons, plan: &Plan, button: usize, scenes: &[SceneId]) -> Plan {
    let mut plan = plan.clone();
    let controls = buttons.list.get(button).map_or(&[][..], |b| &b.controls);
    for scene in scenes {
        let Some(wishes) = plan.wishes.get_mut(scene.index()) else { continue };
        for control in controls {
            if let Some(wish) = wishes.get_mut(*control) {
                *wish = Wish::Pulse;
            }
        }
    }
    plan
}

/// All sets of some scenes but the empty one, the smallest first.
fn subsets(scenes: &[SceneId]) -> impl Iterator<Item = Vec<SceneId>> {
    let mut waiting: std::collections::VecDeque<(usize, Vec<SceneId>)> = [(0, Vec::new())].into();
    std::iter::from_fn(move || {
        let (from, set) = waiting.pop_front()?;
        for (at, scene) in scenes.iter().enumerate().skip(from) {
            if waiting.len() > MOST_TRIES {
                break;
            }
            waiting.push_back((at + 1, set.iter().copied().chain([*scene]).collect()));
        }
        Some(set)
    })
    .skip(1)
}

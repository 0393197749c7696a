//! One treadle moves several levels: what can stand in them at one time.
//!
//! With the foot at `p`, from 0 at the heel to 1 at the toe, a level between the steps `h` and `t` stands at `h + p (t - h)`,
//! rounded half up. So each level passes a boundary between two steps at one place of the foot, and between two such places
//! nothing changes.

use std::cmp::Ordering;

use crate::book::Travel;
use crate::settle::Value;

/// A place of the foot, as a fraction of its way.
type Place = (i128, i128);

/// For each level how it is moved, and what a rule tells apart of it, from the lowest; all that can stand at one time.
pub(super) fn at_one_time(levels: &[(Travel, Vec<(Value, u16)>)]) -> Vec<Vec<(Value, u16)>> {
    let mut places: Vec<Place> = vec![(0, 1), (1, 1)];
    for (travel, values) in levels {
        let (heel, toe) = travel.ends();
        let (heel, way) = (i128::from(heel), i128::from(toe) - i128::from(heel));
        for (value, _) in values.iter().skip(1) {
            let Value::Step(step) = value else { continue };
            let (over, under) = (2 * i128::from(*step) - 1 - 2 * heel, 2 * way);
            places.push(if under < 0 { (-over, -under) } else { (over, under) });
        }
    }
    places.retain(|(over, under)| *under > 0 && (0..=*under).contains(over));
    places.sort_by(order);
    places.dedup_by(|a, b| order(a, b) == Ordering::Equal);
    let between = |pair: &[Place]| match pair {
        [(a, b), (c, d)] => Some((a * d + c * b, 2 * b * d)),
        _ => None,
    };
    let inner: Vec<Place> = places.windows(2).filter_map(between).collect();
    let mut out: Vec<Vec<(Value, u16)>> = Vec::new();
    for place in places.into_iter().chain(inner) {
        let stands: Option<Vec<(Value, u16)>> =
            levels.iter().map(|(travel, values)| at(place, *travel, values)).collect();
        if let Some(stands) = stands.filter(|stands| !out.contains(stands)) {
            out.push(stands);
        }
    }
    out
}

fn order((a, b): &Place, (c, d): &Place) -> Ordering {
    (a * d).cmp(&(c * b))
}

/// What stands in a level with the foot there.
fn at((over, under): Place, travel: Travel, values: &[(Value, u16)]) -> Option<(Value, u16)> {
    let (heel, toe) = travel.ends();
    let (heel, way) = (i128::from(heel), i128::from(toe) - i128::from(heel));
    let step = (2 * (heel * under + over * way) + under).div_euclid(2 * under);
    let from = |value: &Value| if let Value::Step(step) = value { i128::from(*step) } else { i128::MAX };
    values.iter().rfind(|(value, _)| from(value) <= step).copied()
}

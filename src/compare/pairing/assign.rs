//! Who goes with whom, when names do not say it: the pairing of the greatest total likeness.

use crate::study::assign;

/// The most that are left over on a side before the best pairing gives way to a greedy one.
pub const MOST: usize = 500;

/// Pairs of rows and columns whose likenesses sum to the most; a pair of likeness 0 is none. Exact.
pub fn best(likeness: &[Vec<u32>]) -> Vec<(usize, usize)> {
    let rows = likeness.len();
    let columns = likeness.iter().map(Vec::len).max().unwrap_or(0);
    if rows > columns {
        let turned: Vec<Vec<u32>> = (0..columns).map(|c| likeness.iter().map(|row| at(row, c)).collect()).collect();
        return best(&turned).into_iter().map(|(c, r)| (r, c)).collect();
    }
    // The least cost is the most likeness.
    let assigned =
        assign::least(rows, columns, |row, column| -i64::from(likeness.get(row).map_or(0, |r| at(r, column))));
    let pairs = assigned.column.into_iter().enumerate();
    let mut pairs: Vec<(usize, usize)> =
        pairs.filter(|(r, c)| likeness.get(*r).is_some_and(|row| at(row, *c) > 0)).collect();
    pairs.sort_unstable();
    pairs
}

fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
    list.get(index).copied().unwrap_or_default()
}

fn put<T>(list: &mut [T], index: usize, value: T) {
    if let Some(slot) = list.get_mut(index) {
        *slot = value;
    }
}

/// The most alike first, as long as both are free.
pub fn greedy(likeness: &[Vec<u32>]) -> Vec<(usize, usize)> {
    let mut all: Vec<(u32, usize, usize)> = Vec::new();
    for (row, list) in likeness.iter().enumerate() {
        all.extend(list.iter().enumerate().filter(|(_, l)| **l > 0).map(|(column, l)| (*l, row, column)));
    }
    all.sort_by_key(|(likeness, row, column)| (std::cmp::Reverse(*likeness), *row, *column));
    let columns = likeness.iter().map(Vec::len).max().unwrap_or(0);
    let (mut rows, mut columns) = (vec![false; likeness.len()], vec![false; columns]);
    let mut pairs = Vec::new();
    for (_, row, column) in all {
        if !at(&rows, row) && !at(&columns, column) {
            put(&mut rows, row, true);
            put(&mut columns, column, true);
            pairs.push((row, column));
        }
    }
    pairs.sort_unstable();
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn total(likeness: &[Vec<u32>], pairs: &[(usize, usize)]) -> u32 {
        pairs.iter().map(|(r, c)| likeness[*r][*c]).sum()
    }

    fn brute(likeness: &[Vec<u32>], row: usize, taken: &mut Vec<bool>) -> u32 {
        let Some(list) = likeness.get(row) else { return 0 };
        let mut most = brute(likeness, row + 1, taken);
        for (column, worth) in list.iter().enumerate() {
            if !taken[column] {
                taken[column] = true;
                most = most.max(worth + brute(likeness, row + 1, taken));
                taken[column] = false;
            }
        }
        most
    }

    #[test]
    fn greedy_is_worse_than_best_here() {
        // Greedy takes 10 and is left with 0; the best is 9 + 9.
        let likeness = vec![vec![10, 9], vec![9, 0]];
        assert_eq!(total(&likeness, &greedy(&likeness)), 10);
        assert_eq!(best(&likeness), vec![(0, 1), (1, 0)]);
    }

    #[test]
    fn best_is_what_trying_all_finds() {
        let mut seed = 7u32;
        let mut next = |below: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % below
        };
        for round in 0..400 {
            let (rows, columns) = (1 + next(6) as usize, 1 + next(6) as usize);
            let mut one = || if round % 2 == 0 { next(12) } else { next(2) * next(900) };
            let likeness: Vec<Vec<u32>> = (0..rows).map(|_| (0..columns).map(|_| one()).collect()).collect();
            let most = brute(&likeness, 0, &mut vec![false; columns]);
            let pairs = best(&likeness);
            assert_eq!(total(&likeness, &pairs), most, "{likeness:?}");
            assert!(total(&likeness, &greedy(&likeness)) <= most);
            assert!(pairs.iter().all(|(r, c)| likeness[*r][*c] > 0));
        }
    }
}

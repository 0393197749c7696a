//! Who goes with whom, when names do not say it: the pairing of the greatest total likeness.

/// The most that are left over on a side before the best pairing gives way to a greedy one.
pub const MOST: usize = 500;

/// Pairs of rows and columns whose likenesses sum to the most; a pair of likeness 0 is none. Exact: the Hungarian
/// method with potentials, O(n²·m).
pub fn best(likeness: &[Vec<u32>]) -> Vec<(usize, usize)> {
    let rows = likeness.len();
    let columns = likeness.iter().map(Vec::len).max().unwrap_or(0);
    if rows > columns {
        let turned: Vec<Vec<u32>> = (0..columns).map(|c| likeness.iter().map(|row| at(row, c)).collect()).collect();
        return best(&turned).into_iter().map(|(c, r)| (r, c)).collect();
    }
    // Row and column 0 are sentinels; costs are likenesses below zero, so that the least cost is the most likeness.
    let cost =
        |row: usize, column: usize| -> i64 { -i64::from(likeness.get(row - 1).map_or(0, |r| at(r, column - 1))) };
    let mut work =
        Work { up: vec![0; rows + 1], down: vec![0; columns + 1], of: vec![0; columns + 1], way: vec![0; columns + 1] };
    for row in 1..=rows {
        work.take(row, columns, &cost);
    }
    let pairs = work.of.iter().enumerate().skip(1).filter(|(_, row)| **row > 0).map(|(c, row)| (row - 1, c - 1));
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

struct Work {
    up: Vec<i64>,
    down: Vec<i64>,
    /// For each column: its row.
    of: Vec<usize>,
    /// For each column: the column before it on the way.
    way: Vec<usize>,
}

impl Work {
    /// Finds a column for one more row, moving others where that costs less.
    fn take(&mut self, row: usize, columns: usize, cost: &dyn Fn(usize, usize) -> i64) {
        put(&mut self.of, 0, row);
        let mut least = vec![i64::MAX; columns + 1];
        let mut seen = vec![false; columns + 1];
        let mut here = 0;
        while at(&self.of, here) != 0 {
            put(&mut seen, here, true);
            let row = at(&self.of, here);
            let (mut step, mut next) = (i64::MAX, 0);
            for column in (1..=columns).filter(|c| !at(&seen, *c)).collect::<Vec<_>>() {
                let reduced = cost(row, column) - at(&self.up, row) - at(&self.down, column);
                if reduced < at(&least, column) {
                    put(&mut least, column, reduced);
                    put(&mut self.way, column, here);
                }
                if at(&least, column) < step {
                    (step, next) = (at(&least, column), column);
                }
            }
            for column in 0..=columns {
                if at(&seen, column) {
                    let row = at(&self.of, column);
                    let up = at(&self.up, row) + step;
                    put(&mut self.up, row, up);
                    let down = at(&self.down, column) - step;
                    put(&mut self.down, column, down);
                } else {
                    let rest = at(&least, column).saturating_sub(step);
                    put(&mut least, column, rest);
                }
            }
            here = next;
        }
        while here != 0 {
            let before = at(&self.way, here);
            let row = at(&self.of, before);
            put(&mut self.of, here, row);
            here = before;
        }
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

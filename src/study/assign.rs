//! Who takes which place at least cost: the Hungarian method with potentials, O(n²·m) (Kuhn 1955, Munkres 1957).

/// A cheapest assignment and the prices that prove it.
pub struct Assigned {
    /// For each row: its column.
    pub column: Vec<usize>,
    /// For each row its price.
    pub up: Vec<i64>,
    /// For each column its price: no cost is less than the row's price and the column's together.
    pub down: Vec<i64>,
}

/// Gives every row a column of its own such that the costs sum to the least; there are no fewer columns than rows.
pub fn least(rows: usize, columns: usize, cost: impl Fn(usize, usize) -> i64) -> Assigned {
    // Row and column 0 are sentinels.
    let mut work =
        Work { up: vec![0; rows + 1], down: vec![0; columns + 1], of: vec![0; columns + 1], way: vec![0; columns + 1] };
    for row in 1..=rows {
        work.take(row, columns, &|row: usize, column: usize| cost(row - 1, column - 1));
    }
    let mut column = vec![0; rows];
    for (at, row) in work.of.iter().enumerate().skip(1).filter(|(_, row)| **row > 0) {
        put(&mut column, row - 1, at - 1);
    }
    Assigned { column, up: work.up.split_off(1), down: work.down.split_off(1) }
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
    fn take(&mut self, row: usize, columns: usize, cost: &impl Fn(usize, usize) -> i64) {
        put(&mut self.of, 0, row);
        let mut least = vec![i64::MAX; columns + 1];
        let mut seen = vec![false; columns + 1];
        let mut here = 0;
        while at(&self.of, here) != 0 {
            put(&mut seen, here, true);
            let row = at(&self.of, here);
            let (mut step, mut next) = (i64::MAX, 0);
            for column in 1..=columns {
                if at(&seen, column) {
                    continue;
                }
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

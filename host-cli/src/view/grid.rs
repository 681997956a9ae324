//! How often each place of a picture was passed.

use super::trace::{COLUMNS, Extents};

/// Rows of the grid.
const ROWS: usize = 1024;

/// Counts of records over columns of time and rows of value.
///
/// The rows are as high as `step` and begin at whole multiples of it. Where a value lies beyond
/// them, `step` is doubled until it does not, and rows are merged: the grid never needs to know
/// the range beforehand.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    step: f64,
    /// The lowest row, in steps from 0.
    base: f64,
    /// Column by column.
    counts: Vec<u32>,
}

impl Grid {
    pub(super) fn new() -> Self {
        Self { step: 0.0, base: 0.0, counts: vec![0; COLUMNS * ROWS] }
    }

    /// Adds one to each place that a record passes.
    pub(super) fn add(&mut self, extents: &Extents) {
        let (low, high) = extents.iter().fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(low, high), (_, column_low, column_high)| {
                (low.min(column_low), high.max(column_high))
            },
        );
        if low > high {
            return;
        }
        self.fit(low, high);
        for (column, low, high) in extents.iter() {
            let rows = self.row(low)..=self.row(high);
            let cells = self.counts.get_mut(column * ROWS..(column + 1) * ROWS);
            for count in cells.and_then(|cells| cells.get_mut(rows)).unwrap_or_default() {
                *count = count.saturating_add(1);
            }
        }
    }

    fn row(&self, value: f64) -> usize {
        // The cast takes what is below for row 0; `fit` leaves nothing outside but rounding.
        (((value / self.step).floor() - self.base) as usize).min(ROWS - 1)
    }

    /// Makes room for values from `low` to `high`.
    fn fit(&mut self, low: f64, high: f64) {
        if self.step == 0.0 {
            // Some room around the first record; a flat one has none of its own.
            let span =
                (high - low).max(low.abs().max(high.abs()) * 1e-6).max(f64::MIN_POSITIVE * 1e9);
            self.step = (span / ROWS as f64) * 1.25;
            self.base = centred(low, high, self.step);
            return;
        }
        let old_step = self.step;
        let old_base = self.base;
        let bottom = low.min(old_base * old_step);
        let top = high.max((old_base + ROWS as f64 - 0.5) * old_step);
        let inside = |value: f64| {
            let row = (value / old_step).floor() - old_base;
            (0.0..ROWS as f64).contains(&row)
        };
        if inside(low) && inside(high) {
            return;
        }
        let mut factor = 1.0;
        while (top / self.step).floor() - (bottom / self.step).floor() >= ROWS as f64 {
            self.step *= 2.0;
            factor *= 2.0;
        }
        self.base = centred(bottom, top, self.step);
        let old = std::mem::replace(&mut self.counts, vec![0; COLUMNS * ROWS]);
        for (old, new) in old.chunks_exact(ROWS).zip(self.counts.chunks_exact_mut(ROWS)) {
            for (row, count) in old.iter().enumerate().filter(|(_, count)| **count > 0) {
                let moved = ((old_base + row as f64) / factor).floor() - self.base;
                if let Some(cell) = new.get_mut(moved as usize) {
                    // The same record may have passed both rows: the larger count, not the sum.
                    *cell = (*cell).max(*count);
                }
            }
        }
    }

    /// The counts as a picture of `width` × `height` sees them, row by row from the top, for
    /// values from `low` to `high`. Each is the largest of what it covers.
    pub(super) fn resample(&self, width: usize, height: usize, low: f64, high: f64) -> Vec<u32> {
        let mut cells = vec![0; width * height];
        if self.step == 0.0 || cells.is_empty() {
            return cells;
        }
        // The rows of the grid under each row of the picture.
        let rows: Vec<_> = (0..height)
            .map(|line| {
                let value = |line: usize| high - (high - low) * line as f64 / height as f64;
                let first = (value(line + 1) / self.step).floor() - self.base;
                let end = ((value(line) / self.step).ceil() - self.base).max(first + 1.0);
                // The casts take what is below for 0.
                (first as usize).min(ROWS)..(end as usize).min(ROWS)
            })
            .collect();
        for across in 0..width {
            let first = across * COLUMNS / width;
            let end = ((across + 1) * COLUMNS).div_ceil(width);
            for column in self.counts.chunks_exact(ROWS).take(end).skip(first) {
                for (line, rows) in rows.iter().enumerate() {
                    let most = column.get(rows.clone()).and_then(|c| c.iter().max()).copied();
                    if let Some(cell) = cells.get_mut(line * width + across) {
                        *cell = (*cell).max(most.unwrap_or(0));
                    }
                }
            }
        }
        cells
    }
}

/// The base that puts the middle of a range in the middle of the rows.
fn centred(low: f64, high: f64, step: f64) -> f64 {
    let (first, last) = ((low / step).floor(), (high / step).floor());
    (first - ((ROWS as f64 - 1.0 - (last - first)) / 2.0).floor()).floor()
}

//! One record, reduced to what a picture can show.

/// Columns in which records are reduced.
pub(super) const COLUMNS: usize = 1024;

/// The stretch of time a picture shows, in samples from the trigger instant.
#[derive(Debug, Clone, Copy)]
pub(super) struct Window {
    pub(super) start: f64,
    pub(super) end: f64,
}

impl Window {
    pub(super) fn new(before: usize, after: usize) -> Self {
        let start = -(before as f64);
        Self { start, end: (after as f64).max(start + 1.0) }
    }

    /// The column at a time, with its fraction.
    fn column(self, time: f64) -> f64 {
        (time - self.start) / (self.end - self.start) * COLUMNS as f64
    }
}

/// A point of a trace: time in samples from the trigger instant, and value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub(super) time: f64,
    pub(super) value: f64,
}

/// A line through a record; it is broken where a value is not finite.
#[derive(Debug, Clone, Default)]
pub(super) struct Trace {
    pub(super) points: Vec<Point>,
}

/// The lowest and the highest value of a line in each column.
#[derive(Debug, Clone)]
pub(super) struct Extents {
    columns: Vec<(f64, f64)>,
}

const UNTOUCHED: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl Extents {
    pub(super) fn new() -> Self {
        Self { columns: vec![UNTOUCHED; COLUMNS] }
    }

    /// Each column with its lowest and highest value, but for those the line leaves out.
    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
        let touched = |(_, (low, high)): &(usize, &(f64, f64))| low <= high;
        self.columns.iter().enumerate().filter(touched).map(|(i, (low, high))| (i, *low, *high))
    }

    fn touch(&mut self, column: f64, value: f64) {
        // The cast would take what is left of the picture for its first column.
        if column >= 0.0
            && let Some((low, high)) = self.columns.get_mut(column as usize)
        {
            *low = low.min(value);
            *high = high.max(value);
        }
    }

    /// Follows a straight line through every column it passes.
    fn cover(&mut self, from: (f64, f64), to: (f64, f64)) {
        let ((left, left_value), (right, right_value)) = (from, to);
        self.touch(left, left_value);
        self.touch(right, right_value);
        let mut border = left.floor().max(-1.0) + 1.0;
        while border <= right.min(COLUMNS as f64) {
            let part = (border - left) / (right - left);
            let value = left_value + (right_value - left_value) * part;
            self.touch(border - 1.0, value);
            self.touch(border, value);
            border += 1.0;
        }
    }
}

/// Reduces a record of `per_sample` values a sample. `trigger_offset` is where its trigger instant
/// is, in samples from its first.
pub(super) fn reduce(
    values: impl IntoIterator<Item = f64>,
    per_sample: usize,
    trigger_offset: f64,
    window: Window,
) -> (Trace, Extents) {
    let mut extents = Extents::new();
    // What has hardly more points than columns is kept as it is.
    let whole = window.end - window.start <= 2.0 * COLUMNS as f64;
    let mut line = Line { points: Vec::new(), column: None };
    let mut previous: Option<(f64, f64)> = None;
    for (index, value) in values.into_iter().enumerate() {
        let point = Point { time: index as f64 / per_sample as f64 - trigger_offset, value };
        let column = window.column(point.time);
        if value.is_finite() {
            let this = (column, value);
            extents.cover(previous.unwrap_or(this), this);
            previous = Some(this);
        } else {
            previous = None;
        }
        if whole || !value.is_finite() {
            line.flush();
            line.points.push(point);
        } else {
            line.add(column.floor(), point);
        }
    }
    line.flush();
    (Trace { points: line.points }, extents)
}

/// Keeps the first, the lowest, the highest and the last point of each column: a line through
/// them covers the same pixels as one through all.
struct Line {
    points: Vec<Point>,
    column: Option<Column>,
}

struct Column {
    number: f64,
    first: Point,
    low: Point,
    high: Point,
    last: Point,
}

impl Line {
    fn add(&mut self, number: f64, point: Point) {
        match &mut self.column {
            Some(column) if column.number == number => {
                if point.value < column.low.value {
                    column.low = point;
                }
                if point.value > column.high.value {
                    column.high = point;
                }
                column.last = point;
            }
            _ => {
                self.flush();
                self.column =
                    Some(Column { number, first: point, low: point, high: point, last: point });
            }
        }
    }

    fn flush(&mut self) {
        if let Some(Column { first, low, high, last, .. }) = self.column.take() {
            let (one, other) = if low.time <= high.time { (low, high) } else { (high, low) };
            for point in [first, one, other, last] {
                // In order of time, so that the same point comes twice in a row.
                if self.points.last().is_none_or(|kept| kept.time < point.time) {
                    self.points.push(point);
                }
            }
        }
    }
}

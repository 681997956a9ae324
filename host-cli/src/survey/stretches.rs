//! Stretches of settings that find the same.

use super::Point;

/// Settings in a row that find the same number of events, or that do not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The first and the last of its points.
    pub first: usize,
    /// See `first`.
    pub last: usize,
    /// The fewest and the most events in it.
    pub fewest: u64,
    /// See `fewest`.
    pub most: u64,
    /// Whether they are the same.
    pub steady: bool,
}

/// How many settings in a row are no chance.
const FEWEST_POINTS: usize = 3;

/// All points parted into stretches: the longest steady ones, whose events differ by no more than
/// one in a thousand times `slack`; and what is between.
pub fn stretches(points: &[Point], slack: u64) -> Vec<Stretch> {
    let mut parts = Vec::new();
    part(points, 0, slack, &mut parts);
    parts
}

/// Parts points of which the first is number `offset`: about the longest steady stretch.
fn part(points: &[Point], offset: usize, slack: u64, parts: &mut Vec<Stretch>) {
    if points.is_empty() {
        return;
    }
    let longest = (0..points.len()).map(|first| steady(points, first, slack)).max_by_key(|run| {
        // Of equals, the first.
        (run.last - run.first, std::cmp::Reverse(run.first))
    });
    let moved = |stretch: Stretch| Stretch {
        first: stretch.first + offset,
        last: stretch.last + offset,
        ..stretch
    };
    match longest {
        Some(run) if run.last - run.first + 1 >= FEWEST_POINTS => {
            part(&points[..run.first], offset, slack, parts);
            parts.push(moved(run));
            part(&points[run.last + 1..], offset + run.last + 1, slack, parts);
        }
        _ => {
            let events = || points.iter().map(|point| point.events);
            parts.push(moved(Stretch {
                first: 0,
                last: points.len() - 1,
                fewest: events().min().unwrap_or(0),
                most: events().max().unwrap_or(0),
                steady: false,
            }));
        }
    }
}

/// The steady stretch from a point on.
fn steady(points: &[Point], first: usize, slack: u64) -> Stretch {
    let events = points[first].events;
    let mut run = Stretch { first, last: first, fewest: events, most: events, steady: true };
    for (last, point) in points.iter().enumerate().skip(first + 1) {
        let (fewest, most) = (run.fewest.min(point.events), run.most.max(point.events));
        if most - fewest > most.saturating_mul(slack) / 1000 {
            break;
        }
        run = Stretch { last, fewest, most, ..run };
    }
    run
}

/// The widest steady stretch with events.
pub fn widest(stretches: &[Stretch]) -> Option<Stretch> {
    let steady = stretches.iter().filter(|stretch| stretch.steady && stretch.fewest > 0);
    steady.max_by_key(|stretch| stretch.last - stretch.first).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(events: &[u64]) -> Vec<Point> {
        let point = |(n, &events)| Point { setting: n as f64, events };
        events.iter().enumerate().map(point).collect()
    }

    #[test]
    fn plateaus_are_told_from_slopes() {
        let points = points(&[0, 0, 0, 900, 700, 500, 500, 499, 500, 501, 30, 2, 1, 0, 0, 0, 0]);
        let found = stretches(&points, 5);
        let shape: Vec<_> = found.iter().map(|s| (s.first, s.last, s.steady)).collect();
        assert_eq!(
            shape,
            [(0, 2, true), (3, 4, false), (5, 9, true), (10, 12, false), (13, 16, true)]
        );
        let widest = widest(&found).unwrap();
        assert_eq!((widest.first, widest.fewest, widest.most), (5, 499, 501));
    }

    #[test]
    fn every_point_is_in_one_stretch() {
        for length in 0..40_u64 {
            let events: Vec<u64> = (0..length).map(|i| i * 7919 % 5 / 2).collect();
            let mut next = 0;
            for stretch in stretches(&points(&events), 5) {
                assert_eq!(stretch.first, next);
                next = stretch.last + 1;
            }
            assert_eq!(next as u64, length);
        }
        assert_eq!(widest(&stretches(&points(&[0, 0, 0, 0]), 0)), None);
    }
}

//! The picture of a survey.

use super::{Point, Stretch};
use crate::quantity::counted;
use crate::view::chart::{Chart, Flag, Look, Measure, Series};

/// Events over a setting, with the widest steady stretch filled. `values` are the settings as they
/// are shown; `flag` names the one to take.
pub fn chart(
    points: &[Point],
    values: &[f64],
    steady: Option<Stretch>,
    across: (&str, &str),
    flag: Option<(f64, String)>,
) -> Chart {
    let most = points.iter().map(|point| point.events).max().unwrap_or(0);
    // Noise may fire so often that nothing else would be seen.
    let high = steady.map_or(most, |steady| most.min(steady.most.saturating_mul(4)));
    let at = |(point, &value): (&Point, &f64)| (value, point.events as f64);
    let all: Vec<(f64, f64)> = points.iter().zip(values).map(at).collect();
    let mut series = Vec::new();
    if let Some(points) = steady.and_then(|steady| all.get(steady.first..=steady.last)) {
        let name = "steady".to_owned();
        series.push(Series { name, look: Look::Filled, points: points.to_vec() });
    }
    series.push(Series { name: "events".to_owned(), look: Look::Line, points: all });
    let (low_end, high_end) = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |ends, &v| (ends.0.min(v), ends.1.max(v)));
    let (name, unit) = across;
    Chart {
        title: String::new(),
        condition: String::new(),
        summary: if most > high {
            format!("up to {}, beyond the top", counted(most, "event"))
        } else {
            format!("up to {}", counted(most, "event"))
        },
        across: Measure {
            name: name.to_owned(),
            unit: unit.to_owned(),
            prefixed: matches!(unit, "V" | "s"),
            whole: unit == "counts",
            low: low_end,
            high: if high_end > low_end { high_end } else { low_end + 1.0 },
        },
        up: Measure {
            name: "events".to_owned(),
            unit: String::new(),
            prefixed: false,
            whole: true,
            low: 0.0,
            high: (high as f64 * 1.06).max(1.0),
        },
        series,
        flags: flag.into_iter().map(|(at, name)| Flag { at, name }).collect(),
    }
}

//! Pictures of one quantity over another: spectra, histograms, one channel over another.

pub(super) mod drawing;
pub(super) mod terminal;

use super::ticks::Axis;

/// A chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What is pictured.
    pub title: String,
    /// The condition in words.
    pub condition: String,
    /// What came of it, in words.
    pub summary: String,
    /// The axis below.
    pub across: Measure,
    /// The axis on the left.
    pub up: Measure,
    /// What is drawn, the last on top.
    pub series: Vec<Series>,
    /// Places on the axis below that have a name, those first that matter most: where there is no
    /// room for all, they have it.
    pub flags: Vec<Flag>,
}

/// What an axis measures, and from where to where.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Its name: `frequency`.
    pub name: String,
    /// Its unit, without a prefix; may be empty.
    pub unit: String,
    /// Whether the unit takes prefixes.
    pub prefixed: bool,
    /// Whether there are only whole values.
    pub whole: bool,
    /// The lowest value.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl Measure {
    fn axis(&self, at_most: usize) -> Axis {
        Axis::named(
            &self.name,
            &self.unit,
            (self.prefixed, self.whole),
            (self.low, self.high),
            at_most,
        )
    }

    /// How far a value is from the lowest, as a part of the whole.
    fn part(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }
}

/// Values that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Its name in the legend.
    pub name: String,
    /// How it is drawn.
    pub look: Look,
    /// Across and up.
    pub points: Vec<(f64, f64)>,
}

/// How a series is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// A line that matters.
    Line,
    /// A line behind it.
    Faint,
    /// Down to the axis below.
    Filled,
    /// A line for what was calculated.
    Fitted,
}

/// A named place on the axis below.
#[derive(Debug, Clone, PartialEq)]
pub struct Flag {
    /// Where.
    pub at: f64,
    /// Its name.
    pub name: String,
}

#[cfg(test)]
mod tests {
    use super::super::{Picture, Size};
    use super::*;

    fn chart() -> Chart {
        let measure = |name: &str, unit: &str, low, high| Measure {
            name: name.to_owned(),
            unit: unit.to_owned(),
            prefixed: unit == "Hz",
            whole: false,
            low,
            high,
        };
        let points =
            vec![(0.0, -80.0), (1000.0, -3.0), (2000.0, f64::NEG_INFINITY), (2400.0, 99.0)];
        let look = |look| Series { name: format!("{look:?}"), look, points: points.clone() };
        Chart {
            title: "bench <1> & 2".to_owned(),
            condition: "rising".to_owned(),
            summary: "THD 1 %".to_owned(),
            across: measure("frequency", "Hz", 0.0, 2400.0),
            up: measure("level", "dBV", -90.0, 0.0),
            series: [Look::Filled, Look::Faint, Look::Line, Look::Fitted].map(look).into(),
            flags: vec![Flag { at: 1000.0, name: "1.000 kHz".to_owned() }],
        }
    }

    #[test]
    fn a_drawing_names_everything_and_keeps_to_its_field() {
        let text = drawing::svg(&chart(), Size::default());
        for word in [
            "bench &lt;1&gt; &amp; 2",
            "rising",
            "THD 1 %",
            "frequency (kHz)",
            "level (dBV)",
            "1.000 kHz",
            "Fitted",
        ] {
            assert!(text.contains(word), "{word}");
        }
        assert!(!text.contains("NaN") && !text.contains("inf"));
    }

    #[test]
    fn what_matters_most_has_its_name() {
        let flag = |at: f64, name: &str| Flag { at, name: name.to_owned() };
        let flags: Vec<Flag> =
            (1..=9).rev().map(|n| flag(1000.0 + 40.0 * f64::from(n), &format!("×{n}"))).collect();
        let chart = Chart { flags, ..chart() };
        let line = |width| {
            let text = chart.draw_terminal(width, 20, false);
            text.lines().nth(3).unwrap().replace(' ', "")
        };
        assert_eq!(line(250), "▼×1▼×2▼×3▼×4▼×5▼×6▼×7▼×8▼×9");
        assert!(line(60).contains("▼×9") && !line(60).contains("×8"), "{}", line(60));
        let drawn = drawing::svg(&chart, Size { width: 900, height: 500 });
        let named = |n: u32| drawn.contains(&format!("×{n}"));
        assert!(named(9) && named(8) && !(1..=9).all(named));
    }

    #[test]
    fn a_terminal_keeps_to_its_size() {
        for (width, height) in [(40, 12), (90, 24)] {
            let text = chart().draw_terminal(width, height, false);
            assert_eq!(text.lines().count(), usize::from(height), "{text}");
            assert!(text.lines().all(|line| line.chars().count() <= usize::from(width)), "{text}");
            for word in ["frequency (kHz)", "THD 1 %", "level (dBV)"] {
                assert!(text.contains(word), "{word} in\n{text}");
            }
        }
    }
}

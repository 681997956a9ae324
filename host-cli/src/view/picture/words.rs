//! Whatever is named or told: marks, title, legend, counts.

use svg::node::element::Group;

use super::super::Mark;
use super::super::shapes::{dashed, line, text};
use super::super::style::{
    FORBIDDEN, INK, LABEL_SIZE, LAST, MARK, MINOR_MARK, OFFENCE, TITLE_SIZE, TRACE, fit, width,
};
use super::sheet::Sheet;

/// The length of a line in the legend.
const SAMPLE: f64 = 24.0;

impl Sheet<'_> {
    /// Levels and the trigger instant, with their names outside the field.
    pub(super) fn marks(&self) -> Group {
        let mut group = Group::new();
        if self.overlay.records() > 0 {
            let trigger = self.x(0.0);
            group = group
                .add(dashed(line(trigger, self.top, trigger, self.bottom, MARK)))
                .add(text("trigger", trigger, self.top - 8.0, "middle").set("fill", MARK));
        }
        let mut marks: Vec<&Mark> = self.overlay.meta.marks.iter().collect();
        marks.retain(|mark| mark.value.is_finite());
        marks.sort_by(|a, b| b.value.total_cmp(&a.value));
        let places = spread(
            &marks.iter().map(|mark| self.y(mark.value)).collect::<Vec<_>>(),
            16.0,
            self.bottom,
        );
        for (mark, place) in marks.into_iter().zip(places) {
            let y = self.y(mark.value);
            let (colour, dashes) = if mark.minor { (MINOR_MARK, "2 4") } else { (MARK, "6 4") };
            group = group
                .add(
                    dashed(line(self.left, y, self.right, y, colour))
                        .set("stroke-dasharray", dashes),
                )
                .add(
                    text(&self.overlay.mark_text(mark), self.right + 10.0, place + 4.5, "start")
                        .set("fill", colour),
                );
        }
        group
    }

    /// Title, condition, and what was found.
    pub(super) fn head(&self) -> Group {
        let meta = &self.overlay.meta;
        let right = f64::from(self.size.width) - 18.0;
        let (legend, legend_left) = self.legend(right);
        let found = fit(&self.overlay.found(), LABEL_SIZE, right - 22.0);
        let room = right - 22.0 - width(&found, LABEL_SIZE) - 24.0;
        Group::new()
            .add(
                text(&fit(&meta.title, TITLE_SIZE, legend_left - 22.0 - 24.0), 22.0, 30.0, "start")
                    .set("fill", INK)
                    .set("font-size", TITLE_SIZE)
                    .set("font-weight", 600),
            )
            .add(text(&fit(&meta.condition, LABEL_SIZE, room), 22.0, 52.0, "start"))
            .add(text(&found, right, 52.0, "end"))
            .add(legend)
    }

    /// What the lines are, and where this begins.
    fn legend(&self, right: f64) -> (Group, f64) {
        let mut entries = match self.overlay.records() {
            0 => vec![],
            1 if self.overlay.meta.mean_of.is_some() => vec![("mean", LAST, 2.0, 1.0)],
            1 => vec![("record", LAST, 2.0, 1.0)],
            _ => vec![("last record", LAST, 2.0, 1.0), ("all records", TRACE, 8.0, 0.5)],
        };
        if !self.overlay.offending.is_empty() {
            entries.push(("not as expected", OFFENCE, 2.0, 1.0));
        }
        if !self.overlay.bounds.is_empty() {
            entries.push(("outside the mask", FORBIDDEN, 8.0, 0.3));
        }
        let mut group = Group::new();
        let mut end = right;
        for (label, colour, thickness, opacity) in entries {
            let start = end - width(label, LABEL_SIZE);
            let sample = line(start - SAMPLE - 8.0, 25.5, start - 8.0, 25.5, colour)
                .set("stroke-width", thickness)
                .set("stroke-opacity", opacity);
            group = group.add(sample).add(text(label, start, 30.0, "start"));
            end = start - SAMPLE - 30.0;
        }
        (group, end)
    }
}

/// Moves places, given from the top, apart until each is `gap` from the next and none is below
/// `bottom`.
fn spread(places: &[f64], gap: f64, bottom: f64) -> Vec<f64> {
    let mut spread: Vec<f64> = Vec::with_capacity(places.len());
    for place in places {
        let least = spread.last().map_or(f64::NEG_INFINITY, |last| last + gap);
        spread.push(place.max(least));
    }
    let mut most = bottom;
    for place in spread.iter_mut().rev() {
        *place = place.min(most);
        most = *place - gap;
    }
    spread
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn names_stay_apart_and_on_the_sheet() {
        assert_eq!(spread(&[10.0, 50.0], 16.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[10.0, 12.0, 20.0], 16.0, 100.0), [10.0, 26.0, 42.0]);
        assert_eq!(spread(&[90.0, 95.0, 99.0], 16.0, 100.0), [68.0, 84.0, 100.0]);
        assert!(spread(&[], 16.0, 100.0).is_empty());
    }
}

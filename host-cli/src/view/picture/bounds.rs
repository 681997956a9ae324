//! Where records should not be, and those that are there.

use std::fmt::Write as _;

use svg::node::element::{Group, Path};

use super::super::overlay::Bound;
use super::super::style::{FORBIDDEN, OFFENCE};
use super::sheet::Sheet;

impl Sheet<'_> {
    /// The bounds, and a tint beyond them.
    pub(super) fn bounds(&self) -> Group {
        self.overlay.bounds.iter().fold(Group::new(), |group, bound| {
            let (outline, area) = self.outline(bound);
            let tint = Path::new().set("d", area).set("fill", FORBIDDEN).set("fill-opacity", 0.16);
            let line = Path::new()
                .set("d", outline)
                .set("fill", "none")
                .set("stroke", FORBIDDEN)
                .set("stroke-width", 1.4);
            group.add(tint).add(line)
        })
    }

    /// A bound as a line, and the area on its wrong side.
    fn outline(&self, bound: &Bound) -> (String, String) {
        let (start, end) = (self.overlay.window.start, self.overlay.window.end);
        let corners = within(&bound.corners, start, end);
        let mut line = String::new();
        for (index, (time, value)) in corners.iter().enumerate() {
            let command = if index == 0 { 'M' } else { 'L' };
            // Writing to a string cannot fail.
            let _ = write!(line, "{command}{:.2} {:.2}", self.x(*time), self.y(*value));
        }
        let edge = if bound.is_upper { self.top } else { self.bottom };
        let mut area = line.clone();
        if let (Some((first, _)), Some((last, _))) = (corners.first(), corners.last()) {
            let _ = write!(area, "L{:.2} {edge}L{:.2} {edge}Z", self.x(*last), self.x(*first));
        }
        (line, area)
    }

    /// Records that are not as they should be, over all others.
    pub(super) fn offences(&self) -> Group {
        let offending = &self.overlay.offending;
        let opacity = (3.0 / (offending.len() as f64).sqrt()).clamp(0.35, 0.9);
        let group = Group::new().set("fill", "none").set("stroke-linejoin", "round");
        offending.iter().fold(group, |group, trace| {
            group.add(
                self.trace(trace)
                    .set("stroke", OFFENCE)
                    .set("stroke-width", 1.4)
                    .set("stroke-opacity", format!("{opacity:.2}")),
            )
        })
    }
}

/// The part of a line from one time to another.
fn within(corners: &[(f64, f64)], start: f64, end: f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for pair in corners.windows(2) {
        let &[(from, a), (to, b)] = pair else { continue };
        if to < start || from > end {
            continue;
        }
        let at = |time: f64| {
            let part = if to > from { (time - from) / (to - from) } else { 1.0 };
            (time, a + part * (b - a))
        };
        let (first, last) = (
            if from < start { at(start) } else { (from, a) },
            if to > end { at(end) } else { (to, b) },
        );
        if kept.last() != Some(&first) {
            kept.push(first);
        }
        kept.push(last);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn a_line_is_cut_where_the_picture_ends() {
        let line = [(-10.0, 0.0), (0.0, 10.0), (0.0, 4.0), (10.0, 4.0), (20.0, 0.0)];
        let cut = [(-5.0, 5.0), (0.0, 10.0), (0.0, 4.0), (10.0, 4.0), (15.0, 2.0)];
        assert_eq!(within(&line, -5.0, 15.0), cut);
        assert!(within(&line, 30.0, 40.0).is_empty());
    }
}

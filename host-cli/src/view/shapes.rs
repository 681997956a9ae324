//! What drawings are made of.

use svg::node::element::{Line, Rectangle, Text};

pub(super) fn rectangle(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", x)
        .set("y", y)
        .set("width", width)
        .set("height", height)
        .set("fill", fill)
}

pub(super) fn line(x1: f64, y1: f64, x2: f64, y2: f64, stroke: &str) -> Line {
    let place = |value: f64| format!("{value:.2}");
    Line::new()
        .set("x1", place(x1))
        .set("y1", place(y1))
        .set("x2", place(x2))
        .set("y2", place(y2))
        .set("stroke", stroke)
}

pub(super) fn dashed(line: Line) -> Line {
    line.set("stroke-dasharray", "6 4").set("stroke-width", 1.2)
}

pub(super) fn text(content: &str, x: f64, y: f64, anchor: &str) -> Text {
    // What XML cannot hold is nothing to read either.
    let legible =
        |letter: &char| !letter.is_control() && !matches!(letter, '\u{fffe}' | '\u{ffff}');
    Text::new(content.chars().filter(legible).collect::<String>())
        .set("x", format!("{x:.1}"))
        .set("y", format!("{y:.1}"))
        .set("text-anchor", anchor)
        .set("stroke", "none")
}

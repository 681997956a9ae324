//! Pictures of signals whose look is known.

use super::*;
use crate::error::Error;

fn meta(before: usize, after: usize) -> Meta {
    Meta {
        title: "bench <1> & \"2\"".to_owned(),
        condition: "rising edge through 0.5 V".to_owned(),
        rate: Some(1000.0),
        unit: Unit::Volts,
        before,
        after,
        marks: vec![Mark::level("level", 0.5), Mark::minor("arms below", 0.4)],
        tally: Tally { events: 3, held_off: 2, forced: 1 },
        mean_of: None,
    }
}

/// A step from 0 to 1 whose crossing of 0.5 is at the trigger instant.
fn step(overlay: &mut Overlay) {
    let (before, after) = (overlay.meta.before, overlay.meta.after);
    let values = (0..before + after).map(|index| if index < before { 0.0 } else { 1.0 });
    overlay.add(values, before as f64 - 0.5);
}

fn svg_of(overlay: &Overlay) -> String {
    picture::svg(overlay, Size::default()).unwrap()
}

#[test]
fn terminal_keeps_to_its_size_and_names_everything() {
    let mut overlay = Overlay::new(meta(50, 50));
    step(&mut overlay);
    for (width, height) in [(40, 12), (80, 24), (200, 60)] {
        let text = overlay.draw_terminal(width, height, false);
        assert_eq!(text.lines().count(), usize::from(height));
        assert!(text.lines().all(|line| line.chars().count() <= usize::from(width)), "{text}");
        assert!(!text.contains('\x1b'));
        for word in ["▼ trigger", "time from the trigger (ms)", "1 record"] {
            assert!(text.contains(word), "{word} in\n{text}");
        }
    }
    let text = overlay.draw_terminal(80, 24, false);
    for word in ["level 500.0 mV", "arms below 400.0 mV", "2 held off", "1 forced", "0.5┤"] {
        assert!(text.contains(word), "{word} in\n{text}");
    }
}

#[test]
fn terminal_shows_the_step_at_the_trigger() {
    let mut overlay = Overlay::new(Meta { marks: Vec::new(), ..meta(50, 50) });
    step(&mut overlay);
    let text = overlay.draw_terminal(80, 24, false);
    let lines: Vec<Vec<char>> = text.lines().map(|line| line.chars().collect()).collect();
    let trigger = lines[2].iter().position(|c| *c == '▼').unwrap();
    let is_dotted = |row: usize, column: usize| {
        lines[row].get(column).is_some_and(|c| ('\u{2801}'..='\u{28ff}').contains(c))
    };
    // The field's first row has the high level, its last the low.
    let (top, bottom) = (3, 19);
    assert!(is_dotted(top, trigger + 5) && !is_dotted(top, trigger - 5), "{text}");
    assert!(!is_dotted(bottom, trigger + 5) && is_dotted(bottom, trigger - 5), "{text}");
}

#[test]
fn colours_are_ended_on_their_line() {
    let mut overlay = Overlay::new(meta(50, 50));
    for _ in 0..60 {
        step(&mut overlay);
    }
    let text = overlay.draw_terminal(80, 24, true);
    assert!(text.contains("\x1b[36m"));
    for line in text.lines().filter(|line| line.contains('\x1b')) {
        assert!(line.rfind("\x1b[0m").or(line.rfind("\x1b[39m")) >= line.rfind("\x1b[3"), "{line}");
    }
}

#[test]
fn a_spike_of_one_sample_in_millions_is_drawn() {
    let mut overlay = Overlay::new(meta(0, 1_000_000));
    let values = (0..1_000_000).map(|index| if index == 777_777 { 9.0 } else { 0.0 });
    overlay.add(values, 0.0);
    let (low, high) = overlay.values();
    assert!(high > 9.0 && low < 0.0);
    let trace = &overlay.recent[0];
    assert!(trace.points.len() <= 4 * trace::COLUMNS);
    assert!(trace.points.iter().any(|point| point.time == 777_777.0 && point.value == 9.0));
    let cells = overlay.grid.resample(100, 50, low, high);
    let tall = (0..100)
        .filter(|column| (0..50).all(|row| row < 3 || cells[row * 100 + column] > 0 || row > 46));
    assert_eq!(tall.collect::<Vec<_>>(), [77]);
}

#[test]
fn every_record_counts_once_where_it_was() {
    let mut overlay = Overlay::new(meta(50, 50));
    for _ in 0..500 {
        step(&mut overlay);
    }
    overlay.add(vec![0.0; 100], 49.5);
    let (low, high) = overlay.values();
    let cells = overlay.grid.resample(100, 100, low, high);
    let column = |column: usize| (0..100).map(|row| cells[row * 100 + column]).collect::<Vec<_>>();
    let sorted = |mut counts: Vec<u32>| {
        counts.retain(|count| *count > 0);
        counts.sort_unstable();
        counts.dedup();
        counts
    };
    assert_eq!(sorted(column(10)), [501]);
    assert_eq!(sorted(column(90)), [1, 500]);
}

#[test]
fn records_are_aligned_to_a_fraction_of_a_sample() {
    // The same ramp, sampled at different phases, lies on one line.
    let mut overlay = Overlay::new(meta(10, 10));
    for phase in 0..10 {
        let lead = f64::from(phase) / 10.0;
        overlay.add((0..20).map(|index| f64::from(index) - 10.0 + lead), 10.0 - lead);
    }
    for point in overlay.recent.iter().flat_map(|trace| &trace.points) {
        assert!((point.time - point.value).abs() < 1e-12);
    }
}

#[test]
fn memory_does_not_grow_with_records() {
    let mut overlay = Overlay::new(meta(5, 5));
    for index in 0..10_000 {
        overlay.add((0..10).map(|i| f64::from(i * index)), 5.0);
    }
    assert_eq!(overlay.records(), 10_000);
    assert_eq!(overlay.recent.len(), 64);
}

#[test]
fn values_without_meaning_break_the_line_and_nothing_else() {
    let mut overlay = Overlay::new(meta(5, 5));
    overlay.add([f64::NAN; 10], 5.0);
    overlay.add([0.0, 1.0, f64::INFINITY, f64::NEG_INFINITY, 2.0, f64::NAN, 3.0], 3.0);
    overlay.add([], 0.0);
    overlay.add([1.0], f64::NAN);
    let (low, high) = overlay.values();
    assert!(low.is_finite() && high < 3.5);
    let drawing = svg_of(&overlay);
    assert!(!drawing.contains("NaN") && !drawing.contains("inf"));
    overlay.draw_terminal(80, 24, true);
}

#[test]
fn odd_overlays_are_drawn_all_the_same() {
    let mut overlays = vec![Overlay::new(meta(0, 0)), Overlay::new(meta(3, 4))];
    for values in [[0.0; 4], [1e-30; 4], [-1e30, 1e30, 0.0, 1.0], [f64::MIN, f64::MAX, 0.0, 1.0]] {
        let mut overlay = Overlay::new(Meta { rate: None, unit: Unit::Values, ..meta(2, 2) });
        overlay.add(values, 2.0);
        overlay.add(values.map(|value| value * 0.5), 1.5);
        overlays.push(overlay);
    }
    for mut overlay in overlays {
        overlay.meta.title = "\u{1}control\n".to_owned();
        overlay.meta.marks.push(Mark::level("nowhere", f64::NAN));
        overlay.draw_terminal(0, 0, true);
        overlay.draw_terminal(u16::MAX, u16::MAX, false);
        let folder = tempfile::tempdir().unwrap();
        overlay.draw_png(&folder.path().join("odd.png"), Size::default(), false).unwrap();
    }
}

#[test]
fn the_drawing_is_escaped_and_labelled() {
    let mut overlay = Overlay::new(meta(50, 50));
    step(&mut overlay);
    step(&mut overlay);
    let drawing = svg_of(&overlay);
    for word in ["voltage (V)", "time from the trigger (ms)", "level 500.0 mV", "&lt;1&gt; &amp;"] {
        assert!(drawing.contains(word), "{word}");
    }
    for word in ["last record", "all records", "2 records · 3 events · 2 held off · 1 forced"] {
        assert!(drawing.contains(word), "{word}");
    }
}

#[test]
fn a_picture_of_many_records_is_not_large() {
    let mut overlay = Overlay::new(meta(1000, 1000));
    let mut state = 1_u32;
    for _ in 0..200 {
        overlay.add(
            (0..2000).map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                f64::from(state >> 16)
            }),
            1000.0,
        );
    }
    assert!(svg_of(&overlay).len() < 1_000_000);
}

#[test]
fn pixels_have_the_size_and_show_text() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture.png");
    let mut overlay = Overlay::new(meta(50, 50));
    step(&mut overlay);
    let size = Size { width: 640, height: 400 };
    overlay.draw_png(&path, size, false).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    let pixels = resvg::tiny_skia::Pixmap::decode_png(&bytes).unwrap();
    assert_eq!((pixels.width(), pixels.height()), (640, 400));
    // The title is the only thing as dark as ink up there.
    let dark = (0..200).flat_map(|x| (10..36).map(move |y| (x, y))).filter(|(x, y)| {
        pixels.pixel(*x, *y).is_some_and(|p| p.red() < 80 && p.green() < 90 && p.blue() < 90)
    });
    assert!(dark.count() > 100);
}

#[test]
fn a_file_there_is_kept_and_a_size_out_of_range_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture.svg");
    let overlay = Overlay::new(meta(5, 5));
    overlay.draw_svg(&path, Size::default(), false).unwrap();
    let again = overlay.draw_svg(&path, Size::default(), false);
    assert!(matches!(again, Err(Error::Usage { .. })));
    overlay.draw_svg(&path, Size::default(), true).unwrap();
    for (width, height) in [(0, 0), (100, 100), (100_000, 500)] {
        let refused = overlay.draw_png(&path, Size { width, height }, true);
        assert!(matches!(refused, Err(Error::Usage { .. })));
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

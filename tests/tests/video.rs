//! Picture signals as their standards have them, sampled with noise and slopes: every line and field
//! is found where it begins, and nothing else is.
//!
//! Timings: ITU-R BT.470-6 and BT.1700 (625/50: line 64 µs, pulses of a line 4.7 µs, equalising
//! 2.35 µs, broad 27.3 µs, 5 of each; 525/59.94: line 63.556 µs, 4.7, 2.3 and 27.1 µs, 6 of each),
//! from a secondary source; numbering of lines from memory.

use proptest::prelude::*;
use stillwave::{
    Block, Condition, EventKind, Level, Sample, Side, Video, VideoField, VideoFormat,
    VideoStandard, VideoWhen,
};
use stillwave_tests::dice::Dice;

/// The pulses of a frame: the half line in which each begins, and its width in seconds.
fn pulses(standard: VideoStandard) -> Vec<(u32, f64)> {
    let (count, halves, narrow, broad, fields) = match standard {
        VideoStandard::Lines625 => (5, 1250, 2.35e-6, 27.3e-6, [0, 625]),
        VideoStandard::Lines525 => (6, 1050, 2.3e-6, 27.1e-6, [6, 531]),
    };
    let near_field = |half: u32| {
        let after = fields.iter().map(|first| (half + halves - first) % halves).min().unwrap();
        let before = fields.iter().map(|first| (first + halves - half) % halves).min().unwrap();
        (after, before)
    };
    (0..halves)
        .filter_map(|half| match near_field(half) {
            (after, _) if after < count => Some((half, broad)),
            (after, before) if after < 2 * count || before <= count => Some((half, narrow)),
            _ => half.is_multiple_of(2).then_some((half, 4.7e-6)),
        })
        .collect()
}

/// A picture signal, and where each of its pulses begins, in samples, with its half line.
struct Signal {
    /// From 0 (the tips of the pulses) over 0.3 (black) to 1.
    values: Vec<f64>,
    begins: Vec<(u32, f64)>,
}

#[derive(Clone, Copy, Debug)]
struct Scene {
    standard: VideoStandard,
    /// Samples a second.
    rate: f64,
    /// How much faster the sender's clock is.
    fast: f64,
    /// Half lines into a frame at which the recording begins, and how long it is.
    from: u32,
    halves: u32,
    noise: f64,
    /// Short dips of the picture between the pulses.
    dips: bool,
    seed: u64,
}

impl Scene {
    fn signal(self) -> Signal {
        let Self { standard, rate, fast, from, halves, noise, dips, seed } = self;
        let mut dice = Dice::new(seed);
        let mut fraction = || dice.below(1 << 30) as f64 / f64::from(1 << 30);
        let half_line = standard.line_seconds() / 2.0 * rate * (1.0 - fast);
        let frame = pulses(standard);
        let total = 2 * u32::from(standard.lines());
        let length = (f64::from(halves) * half_line) as usize;
        // A picture of bars, then the pulses with slopes of 0.25 µs, then noise.
        let mut values: Vec<f64> = (0..length)
            .map(|n| 0.3 + 0.08 * ((n as f64 / (5e-6 * rate)) as u64 % 9) as f64)
            .collect();
        let slope = (0.25e-6 * rate).max(0.6);
        let mut begins = vec![];
        let lowered = |values: &mut Vec<f64>, begin: f64, width: f64| {
            let (first, last) = (begin - 2.0 * slope, begin + width + 2.0 * slope);
            let span = first.max(0.0) as usize..(last.max(0.0) as usize).min(length);
            for (n, value) in values.iter_mut().enumerate().take(span.end).skip(span.start) {
                let t = n as f64;
                let into = ((t - begin) / slope + 0.5).clamp(0.0, 1.0);
                let back = ((t - begin - width) / slope + 0.5).clamp(0.0, 1.0);
                let low = into.min(1.0 - back);
                let blank = if into > 0.0 || back < 1.0 { value.min(0.3) } else { *value };
                *value = blank * (1.0 - low);
            }
        };
        for count in 0..halves + total {
            let half = (from + count) % total;
            let at = (f64::from(count) + 0.37) * half_line;
            if let Some((_, width)) = frame.iter().find(|(begin, _)| *begin == half) {
                lowered(&mut values, at, width * rate);
                begins.push((half, at));
            }
            if dips && fraction() < 0.02 {
                lowered(&mut values, at + (0.3 + 0.3 * fraction()) * half_line, 0.3e-6 * rate);
            }
            if at > length as f64 {
                break;
            }
        }
        for value in &mut values {
            *value += noise * (fraction() + fraction() + fraction() - 1.5);
        }
        Signal { values, begins }
    }
}

/// What is found, in blocks of such lengths.
fn found<T: Sample>(
    samples: &[T],
    video: &mut Video<T>,
    mut lengths: impl Iterator<Item = usize>,
) -> Vec<(u16, VideoField, f64)> {
    let (mut found, mut at) = (vec![], 0);
    while at < samples.len() {
        let end = (at + lengths.next().unwrap_or(usize::MAX / 2)).min(samples.len());
        let channels = [&samples[at..end]];
        let block = Block::new(at as u64, &channels);
        while let Some(event) = video.next(&block) {
            let EventKind::Video { line, field } = event.kind else { panic!("{event:?}") };
            found.push((line, field, event.at.samples()));
        }
        at = end;
    }
    found
}

/// The pulses after the first one that begins a field with the last line before it in the recording.
fn known(scene: Scene, signal: &Signal) -> &[(u32, f64)] {
    let field = |half| match scene.standard {
        VideoStandard::Lines625 => half == 0 || half == 625,
        VideoStandard::Lines525 => half == 6 || half == 531,
    };
    let frame = pulses(scene.standard);
    let of_line = |half| frame.iter().any(|&(begin, width)| begin == half && width == 4.7e-6);
    let line = signal.begins.iter().position(|&(half, _)| of_line(half)).unwrap_or(usize::MAX);
    let first = (line..signal.begins.len()).find(|&i| field(signal.begins[i].0));
    first.map_or(&[], |first| &signal.begins[first + 1..])
}

macro_rules! finds_all {
    ($name:ident, $sample:ty, $scale:expr, $level:expr, $hysteresis:expr) => {
        fn $name(scene: Scene, inverted: bool, lengths: &[usize]) -> Result<(), TestCaseError> {
            let signal = scene.signal();
            let (scale, offset): (f64, f64) = $scale;
            let sample = |&v: &f64| {
                let v = if inverted { 0.3 - v } else { v };
                (v * scale + offset).round() as $sample
            };
            let samples: Vec<$sample> = signal.values.iter().map(sample).collect();
            let mut format = VideoFormat::new(scene.standard, scene.rate).unwrap();
            if inverted {
                format.sync = Side::High;
            }
            let level = Level::new($level as _, $hysteresis as _).unwrap();
            let known = known(scene, &signal);
            let expect = |wanted: &dyn Fn(u32) -> bool, when: VideoWhen| {
                let mut video = Video::new(level, format, when).unwrap();
                let found = found(&samples, &mut video, lengths.iter().copied().cycle());
                let expected: Vec<_> = known
                    .iter()
                    .filter(|(half, at)| wanted(*half) && *at + 2.0 < samples.len() as f64)
                    .collect();
                prop_assert_eq!(found.len(), expected.len(), "{:?}", when);
                for ((line, field, at), (half, begin)) in found.iter().zip(expected) {
                    prop_assert_eq!(u32::from(*line), half / 2 + 1);
                    let first = *half < u32::from(scene.standard.lines());
                    prop_assert_eq!(*field == VideoField::First, first);
                    prop_assert!((at - begin).abs() < 1.0 + 0.2e-6 * scene.rate, "{at} {begin}");
                }
                Ok(())
            };
            let (first, second) = match scene.standard {
                VideoStandard::Lines625 => (0, 625),
                VideoStandard::Lines525 => (6, 531),
            };
            expect(&|half| half % 2 == 0, VideoWhen::AnyLine)?;
            expect(&|half| half == 46, VideoWhen::Line(24))?;
            expect(&|half| half == first, VideoWhen::Field(VideoField::First))?;
            expect(&|half| half == second, VideoWhen::Field(VideoField::Second))?;
            expect(&|half| half == first || half == second, VideoWhen::AnyField)
        }
    };
}

finds_all!(in_u8, u8, (170.0, 60.0), 85, 12);
finds_all!(in_i16, i16, (20_000.0, -4_000.0), -1_000, 1_500);
finds_all!(in_u16, u16, (3_000.0, 900.0), 1_350, 220);
finds_all!(in_f32, f32, (700.0, 0.0), 105.0, 50.0);

fn scenes() -> impl Strategy<Value = Scene> {
    let standard = prop::sample::select(&[VideoStandard::Lines625, VideoStandard::Lines525][..]);
    let rate = prop::sample::select(&[2e6, 4.4e6, 13.5e6][..]);
    let run = (0..1050_u32, 1250..2900_u32, 0.0..0.03, any::<bool>(), any::<u64>());
    (standard, rate, -2e-3..2e-3, run).prop_map(|(standard, rate, fast, run)| {
        let (from, halves, noise, dips, seed) = run;
        Scene { standard, rate, fast, from, halves, noise, dips, seed }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn every_line_and_field_is_found(
        scene in scenes(),
        lengths in prop::collection::vec(1..5000_usize, 1..6),
    ) {
        in_u8(scene, false, &lengths)?;
        in_i16(scene, true, &lengths)?;
        in_u16(scene, false, &lengths)?;
        in_f32(scene, false, &lengths)?;
    }
}

#[test]
fn a_frame_has_its_pulses() {
    // 5 + 5 + 5 twice, and a line pulse in the other lines: 305 and 305, less the half lines.
    let of = |standard, width: f64| pulses(standard).iter().filter(|(_, w)| *w == width).count();
    assert_eq!(of(VideoStandard::Lines625, 27.3e-6), 10);
    assert_eq!(of(VideoStandard::Lines625, 2.35e-6), 20);
    assert_eq!(of(VideoStandard::Lines625, 4.7e-6), 305 + 305);
    assert_eq!(of(VideoStandard::Lines525, 27.1e-6), 12);
    assert_eq!(of(VideoStandard::Lines525, 2.3e-6), 24);
    assert_eq!(of(VideoStandard::Lines525, 4.7e-6), 254 + 253);
}

/// The pulses at the beginning and in the middle of lines, from the first number to the second: `L` a
/// line's, `e` equalising, `B` broad, `-` none. Written down by hand, apart from what signals are
/// made by here, as ITU-R BT.470-6 numbers the lines of 625/50 (from memory).
const LINES_625: [(u16, u16, &str); 12] = [
    (1, 2, "BB"),
    (3, 3, "Be"),
    (4, 5, "ee"),
    (6, 310, "L-"),
    (311, 312, "ee"),
    (313, 313, "eB"),
    (314, 315, "BB"),
    (316, 317, "ee"),
    (318, 318, "e-"),
    (319, 622, "L-"),
    (623, 623, "Le"),
    (624, 625, "ee"),
];

/// The same for 525/59.94, as ITU-R BT.1700 numbers its lines (from memory).
const LINES_525: [(u16, u16, &str); 12] = [
    (1, 3, "ee"),
    (4, 6, "BB"),
    (7, 9, "ee"),
    (10, 262, "L-"),
    (263, 263, "Le"),
    (264, 265, "ee"),
    (266, 266, "eB"),
    (267, 268, "BB"),
    (269, 269, "Be"),
    (270, 271, "ee"),
    (272, 272, "e-"),
    (273, 525, "L-"),
];

/// Two frames of 128 samples a line, from line `from` on. Broad pulses begin the first field with line
/// `first` and the second in the middle of line `middle`, which comes before `first` here: from the
/// next line on, numbers are known. `last` is the last line that begins in the first field.
fn numbers_as_in_a_table(
    (standard, rate): (VideoStandard, f64),
    table: &[(u16, u16, &str)],
    from: u16,
    [first, last, middle]: [u16; 3],
) {
    let frame: Vec<(u16, &str)> = table
        .iter()
        .flat_map(|&(begin, end, halves)| (begin..=end).map(move |line| (line, halves)))
        .collect();
    assert_eq!(frame.len(), usize::from(standard.lines()));
    let lines = frame.iter().cycle().skip(usize::from(from) - 1).take(2 * frame.len());
    let mut samples = vec![90_u8; 50];
    let (mut all, mut fields) = (vec![], vec![]);
    for &(line, halves) in lines {
        let at = samples.len();
        let field = if line <= last { VideoField::First } else { VideoField::Second };
        all.push((line, field, at));
        if line == first {
            fields.push((line, VideoField::First, at));
        } else if line == middle {
            fields.push((line, VideoField::Second, at + 64));
        }
        for pulse in halves.bytes() {
            let width = match pulse {
                b'L' => 9,
                b'e' => 5,
                b'B' => 55,
                _ => 0,
            };
            samples.extend([vec![0_u8; width], vec![90; 64 - width]].concat());
        }
    }
    let format = VideoFormat::new(standard, rate).unwrap();
    let events = |when: VideoWhen| -> Vec<(u16, VideoField, usize)> {
        let mut video = Video::new(Level::<u8>::new(45, 10).unwrap(), format, when).unwrap();
        let found = found(&samples, &mut video, std::iter::empty());
        found.into_iter().map(|(line, field, at)| (line, field, at.ceil() as usize)).collect()
    };
    assert_eq!(events(VideoWhen::AnyLine), all[usize::from(middle - from) + 1..]);
    // The second field of the first frame is what makes the others known.
    assert_eq!(fields.len(), 4);
    assert_eq!(events(VideoWhen::AnyField), fields[1..]);
}

#[test]
fn lines_have_the_numbers_of_their_standards() {
    let standard = (VideoStandard::Lines625, 2e6);
    numbers_as_in_a_table(standard, &LINES_625, 300, [1, 313, 313]);
    let standard = (VideoStandard::Lines525, 128.0 * 4.5e6 / 286.0);
    numbers_as_in_a_table(standard, &LINES_525, 255, [4, 263, 266]);
}

#[test]
fn the_scan_is_found_again_after_a_gap() {
    let scene = Scene {
        standard: VideoStandard::Lines625,
        rate: 2e6,
        fast: 0.0,
        from: 600,
        halves: 2000,
        noise: 0.0,
        dips: false,
        seed: 1,
    };
    let signal = scene.signal();
    let samples: Vec<u8> = signal.values.iter().map(|v| (v * 200.0) as u8).collect();
    let format = VideoFormat::new(scene.standard, scene.rate).unwrap();
    let mut video = Video::new(Level::new(30, 10).unwrap(), format, VideoWhen::Line(320)).unwrap();
    let channels = [&samples[..]];
    let block = Block::new(0, &channels);
    let count = |video: &mut Video<u8>| std::iter::from_fn(|| video.next(&block)).count();
    assert_eq!(count(&mut video), 2);
    video.gap();
    assert_eq!(video.next(&Block::new(samples.len() as u64, &channels)).unwrap().kind, {
        EventKind::Video { line: 320, field: VideoField::Second }
    });
}

/// The recording begins a line before the pulses of a field.
#[test]
fn one_line_before_a_field_is_enough() {
    for (standard, field) in [(VideoStandard::Lines625, 625), (VideoStandard::Lines525, 531)] {
        for before in 5..14 {
            let scene = Scene {
                standard,
                rate: 2e6,
                fast: 0.0,
                from: field - before,
                halves: 1250,
                noise: 0.0,
                dips: false,
                seed: 0,
            };
            in_u8(scene, false, &[1]).unwrap();
        }
    }
}

#[test]
fn settings_out_of_range_are_refused() {
    let refused = |standard, rate| VideoFormat::new(standard, rate).unwrap_err().to_string();
    assert!(refused(VideoStandard::Lines625, 0.5e6).starts_with("half line is 16:"));
    assert!(refused(VideoStandard::Lines525, f64::NAN).starts_with("half line is 0:"));
    let format = VideoFormat::new(VideoStandard::Lines525, 4e6).unwrap();
    let line = |line| Video::new(Level::<u8>::new(9, 0).unwrap(), format, VideoWhen::Line(line));
    assert!(line(0).is_err() && line(526).is_err());
    assert!(line(1).is_ok() && line(525).is_ok());
}

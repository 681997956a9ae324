//! The chip and the PC find the same: the tool and the firmware, run in the emulator, on the same
//! recordings, compared line by line.
//!
//! Without the chip's tools (`tools/install-emulation`) these tests are skipped with a word on
//! standard error; with `STILLWAVE_CHIP=required` in the environment they then fail.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

use differential::measures;
use stillwave::{
    Band, Comparison, Composition, ConfigError, Corner, CountConfig, CountSince, Coupling,
    DelayConfig, DropoutConfig, EdgeConfig, EdgeSlope, Holdoff, I2cConfig, I2cWhen, Input, Inputs,
    IntervalConfig, Level, LineState, PATTERN_LINES, PatternConfig, PatternLine, PatternWhen,
    PulseConfig, PulsePolarity, QualifiedConfig, RuntConfig, SequenceConfig, Setup,
    SetupHoldConfig, Side, Span, SpiConfig, SpiFormat, Stay, TransitionConfig, Trigger, UartConfig,
    UartFormat, UartWhen, VideoConfig, VideoFormat, VideoStandard, VideoWhen, Wait, WindowConfig,
    WindowWhen,
};
use stillwave_tests::dice::Dice;

mod programs;
use programs::{TOOL, build_firmware, root, run, succeed, text};

const TARGET: &str = "thumbv7em-none-eabihf";

/// The same settings as the tool takes them and as the firmware does. Levels are counts and times
/// samples for both; widths are in 1/65536 of a sample for the firmware.
const SETTINGS: [(&str, &str); 12] = [
    ("--level 2048", "level=2048"),
    ("--level 2000 --hysteresis 300", "level=2000 hysteresis=300 block=7"),
    ("--level 0", "level=0"),
    (
        "--level 1500 --hysteresis 40 --slope falling --rate 100000",
        "level=1500 hysteresis=40 slope=falling rate=100000",
    ),
    (
        "--level 1501 --hysteresis 5 --slope either --rate 44100",
        "level=1501 hysteresis=5 slope=either rate=44100 block=1",
    ),
    (
        "--level 2048 --hysteresis 40 --holdoff 600sa",
        "level=2048 hysteresis=40 holdoff=600 block=4096",
    ),
    ("--level 2048 --every 3", "level=2048 every=3"),
    (
        "--level 1500 --hysteresis 40 --on pulse --shorter-than 100sa",
        "level=1500 hysteresis=40 on=pulse shorter-than=6553600 block=1",
    ),
    (
        "--level 2048 --hysteresis 9 --on pulse --polarity negative --longer-than 1.5sa",
        "level=2048 hysteresis=9 on=pulse polarity=negative longer-than=98304",
    ),
    (
        "--level 2048 --on pulse --within 1.5sa..112sa --rate 1000000",
        "level=2048 on=pulse within=98304..7340032 rate=1e6 block=1000",
    ),
    (
        "--level 2048 --hysteresis 50 --on pulse --polarity either --longer-than 100sa",
        "level=2048 hysteresis=50 on=pulse polarity=either longer-than=6553600",
    ),
    (
        "--level 2048 --on pulse --outside 2sa..111sa --rate 3",
        "level=2048 on=pulse outside=131072..7274496 rate=3",
    ),
];

/// Every condition of the catalogue, with bounds that some of the recordings' events keep.
fn catalogue() -> Result<Vec<Setup<u16>>, ConfigError> {
    let level = Level::new(2000, 60)?;
    let band = Band::new(1000, 3000, 25)?;
    let span = Span::from_parts;
    let within = Comparison::within(span(70_000), span(30_000_000))?;
    let outside = Comparison::outside(span(300_000), span(2_000_001))?;
    let longer = Comparison::LongerThan(span(100_001));
    Ok(vec![
        Setup::Edge(EdgeConfig { slope: EdgeSlope::Either, level }),
        Setup::Pulse(PulseConfig { polarity: PulsePolarity::Negative, level, width: within }),
        Setup::Pulse(PulseConfig { polarity: PulsePolarity::Either, level, width: outside }),
        Setup::Interval(IntervalConfig { slope: EdgeSlope::Rising, level, time: outside }),
        Setup::Interval(IntervalConfig { slope: EdgeSlope::Either, level, time: within }),
        Setup::Dropout(DropoutConfig { slope: EdgeSlope::Falling, level, after: 9 }),
        Setup::Dropout(DropoutConfig { slope: EdgeSlope::Either, level, after: 40 }),
        Setup::Transition(TransitionConfig { slope: EdgeSlope::Rising, band, time: longer }),
        Setup::Transition(TransitionConfig { slope: EdgeSlope::Either, band, time: within }),
        Setup::Runt(RuntConfig { polarity: PulsePolarity::Either, band, width: None }),
        Setup::Runt(RuntConfig { polarity: PulsePolarity::Negative, band, width: Some(outside) }),
        Setup::Window(WindowConfig { band, when: WindowWhen::Enters }),
        Setup::Window(WindowConfig { band, when: WindowWhen::Leaves }),
        Setup::Window(WindowConfig { band, when: WindowWhen::StaysInside(Stay::LongerThan(2)) }),
        Setup::Window(WindowConfig {
            band,
            when: WindowWhen::StaysOutside(Stay::ShorterThan(span(3 << 16))),
        }),
    ])
}

/// Wandering, so that it passes levels slowly, fast, and not quite.
fn wandering(seed: u64) -> Vec<u16> {
    let (mut dice, mut value) = (Dice::new(seed), 2_000_i64);
    let mut next = |_| {
        value = (value + dice.below(801) as i64 - 400).clamp(0, 4_095);
        value as u16
    };
    (0..30_000).map(&mut next).collect()
}

/// Every coupling, with corners at the ends and between.
fn couplings() -> impl Iterator<Item = Coupling> {
    [(1 << 31) - 1, 1 << 28, 50_000_000].map(Corner::from_parts).into_iter().flat_map(|corner| {
        [Coupling::Ac(corner), Coupling::LowReject(corner), Coupling::HighReject(corner)]
    })
}

#[test]
fn chip_and_pc_agree_on_every_condition() {
    let Some(firmware) = &*FIRMWARE else { return };
    let samples = wandering(3);
    let recording = write("wander", samples.iter().copied());
    let edge = |level| {
        Setup::Edge(EdgeConfig {
            slope: EdgeSlope::Either,
            level: Level { level, hysteresis: 20, channel: 0 },
        })
    };
    let coupled = couplings().map(|coupling| {
        // The mean is at the middle of all numbers where the coupling takes it away.
        let middle = if coupling.removes_mean() { 32_768 } else { 2_000 };
        (edge(middle), coupling)
    });
    let catalogue = catalogue().expect("settings in range").into_iter();
    for (setup, coupling) in catalogue.map(|setup| (setup, Coupling::Dc)).chain(coupled) {
        let mut pc = String::new();
        let condition = setup.build().expect("settings in range");
        let input = Input::Coupled { channel: 0, coupling };
        let condition = Inputs::new(condition, [input]).expect("a corner in range");
        let mut trigger = Trigger::new(condition, Holdoff::None).expect("no holdoff");
        trigger.push(&samples, |event| {
            pc += &serde_json::to_string(&event).expect("an event");
            pc += "\n";
        });
        let json = serde_json::to_string(&setup).expect("a setup");
        let coupling = serde_json::to_string(&coupling).expect("a coupling");
        let json = format!("setup={json} coupling={coupling}");
        let words = format!("file={} block=333 {json}", recording.display());
        assert!(pc.lines().count() > 20, "too little to compare: {json}");
        let chip = succeed(chip(firmware, &words));
        for (pc, chip) in pc.lines().zip(chip.lines()) {
            assert_eq!(pc, chip, "{json}");
        }
        assert_eq!(pc.lines().count(), chip.lines().count(), "{json}");
    }
}

/// Integer and floating-point samples alike: sums of counts are whole numbers, and what follows is
/// basic arithmetic in `f64` or `f32` and functions of `libm`, whose results do not depend on the
/// machine.
#[test]
fn chip_and_pc_measure_the_same_to_the_bit() {
    let Some(firmware) = &*FIRMWARE else { return };
    let said = succeed(chip(&firmware.with_file_name("measure"), ""));
    let mut lines = said.lines();
    let mut measured = 0;
    measures::all(|record, name, value| {
        let pc = match value {
            Ok(value) => format!("{record}: {name} {:016x}", value.to_bits()),
            Err(reason) => format!("{record}: {name} {reason}"),
        };
        assert_eq!(lines.next(), Some(pc.as_str()));
        measured += u64::from(value.is_ok());
    });
    assert_eq!(lines.next(), None);
    assert!(measured > 340, "only {measured} values");
}

/// Every condition on several channels or made of others, with settings under which something
/// happens in wandering signals; and one of a picture.
fn compositions() -> Result<Vec<Composition<u16>>, ConfigError> {
    let level = |channel| Level::new(2000, 60).map(|level| level.on_channel(channel));
    let edge = |channel, slope| Ok(Setup::Edge(EdgeConfig { slope, level: level(channel)? }));
    let (rising, either) = (EdgeSlope::Rising, EdgeSlope::Either);
    let wait = Wait { delay: 3, events: 2, timeout: Some(4000) };
    let mut lines = [PatternLine::default(); PATTERN_LINES];
    lines[0] = PatternLine { state: LineState::High, level: level(0)? };
    lines[1] = PatternLine { state: LineState::Low, level: level(2)? };
    let quiet = CountSince::Quiet(200);
    let other = CountSince::Other(edge(1, either)?);
    let within = Comparison::within(Span::from_parts(70_000), Span::from_parts(30_000_000))?;
    let spi = SpiFormat { bits: 5, ..SpiFormat::default() };
    let format = UartFormat { data_bits: 5, ..UartFormat::new(1.0, 6.5)? };
    let pause = UartWhen::Break(Span::samples(90));
    Ok(vec![
        Composition::Delay(DelayConfig {
            from: edge(0, rising)?,
            to: edge(1, either)?,
            time: within,
        }),
        Composition::Count(CountConfig { of: edge(0, either)?, events: 2, since: quiet }),
        Composition::Count(CountConfig { of: edge(0, either)?, events: 1, since: other }),
        Composition::Sequence(SequenceConfig {
            first: edge(0, rising)?,
            then: edge(1, rising)?,
            wait,
            reset: Some(edge(2, either)?),
        }),
        Composition::Pattern(PatternConfig { lines, when: PatternWhen::Enters }),
        Composition::Pattern(PatternConfig {
            lines,
            when: PatternWhen::Stays(Stay::LongerThan(7)),
        }),
        Composition::SetupHold(SetupHoldConfig {
            clock: edge(0, rising)?,
            data: edge(1, either)?,
            setup: Span::samples(40),
            hold: Span::samples(30),
        }),
        Composition::Qualified(QualifiedConfig {
            of: edge(0, either)?.into(),
            gate: level(1)?,
            side: Side::High,
        }),
        Composition::Uart(UartConfig { level: level(0)?, format, when: UartWhen::Any }),
        Composition::Uart(UartConfig { level: level(1)?, format, when: pause }),
        Composition::I2c(I2cConfig {
            clock: level(0)?,
            data: level(1)?,
            when: I2cWhen::Any,
            spikes: Span::ZERO,
        }),
        Composition::I2c(I2cConfig {
            clock: level(0)?,
            data: level(1)?,
            when: I2cWhen::Any,
            spikes: Span::from_parts(200_000),
        }),
        Composition::Spi(SpiConfig {
            clock: level(0)?,
            data: level(1)?,
            select: level(2)?,
            format: spi,
        }),
    ])
}

#[test]
fn chip_and_pc_agree_on_several_channels() {
    let Some(firmware) = &*FIRMWARE else { return };
    let channels: Vec<_> = (3..6).map(wandering).collect();
    for composition in compositions().expect("settings in range") {
        compare_composition(firmware, &composition, &channels);
    }
    // 2 MS/s: 128 samples a line; the pulses of an even field between some lines, many times.
    let pulse = |width, rest| [vec![300_u16; width], vec![1200; rest]].concat();
    let (line, narrow, broad) = (pulse(9, 119), pulse(5, 59), pulse(55, 9));
    let pulses = [narrow.repeat(5), broad.repeat(5), narrow.repeat(5), vec![1200; 64]].concat();
    let picture = [line.repeat(9), pulses].concat().repeat(4);
    let format = VideoFormat::new(VideoStandard::Lines625, 2e6).expect("a rate");
    let level = Level::new(750, 90).expect("a level");
    let video = Composition::Video(VideoConfig { level, format, when: VideoWhen::AnyLine });
    compare_composition(firmware, &video, &[picture]);
}

fn compare_composition(firmware: &Path, composition: &Composition<u16>, channels: &[Vec<u16>]) {
    let interleaved =
        (0..channels[0].len()).flat_map(|i| channels.iter().map(move |channel| channel[i]));
    let recording = write("several", interleaved);
    let json = serde_json::to_string(composition).expect("a composition");
    let file = recording.with_extension("json");
    fs::write(&file, &json).expect("a file");
    let slices: Vec<_> = channels.iter().map(Vec::as_slice).collect();
    let condition = composition.build().expect("settings in range");
    let mut trigger = Trigger::new(condition, Holdoff::None).expect("no holdoff");
    let mut pc = vec![];
    trigger.push_channels(&slices, |event| {
        pc.push(serde_json::to_string(&event).expect("an event"));
    });
    assert!(pc.len() > 10, "too little to compare: {} of {json}", pc.len());
    let (recording, file) = (recording.display(), file.display());
    let words = format!("file={recording} channels={} block=333 composition={file}", slices.len());
    let chip = succeed(chip(firmware, &words));
    let chip: Vec<_> = chip.lines().map(str::to_owned).collect();
    assert_eq!(pc, chip, "{json}");
}

#[test]
fn chip_and_pc_agree_on_the_recording_in_flash() {
    let recording = root().join("firmware-example/recordings/pulses.u16le");
    let found = compare(&recording, "");
    assert!(found.is_none_or(|found| found > 100), "only {found:?} events");
}

#[test]
fn chip_and_pc_agree_on_every_code() {
    let mut dice = Dice::new(1);
    let recording = write("noise", (0..20_000).map(|_| dice.bits() as u16));
    compare(&recording, &format!("file={}", recording.display()));
}

#[test]
fn chip_and_pc_agree_on_slow_slopes() {
    let mut dice = Dice::new(2);
    // Long enough for positions over 16 bits, and slow enough to linger at the levels.
    let walk = (0..150_000_i64).map(|i| {
        let triangle = (i % 2_000 - 1_000).abs() * 4;
        (triangle + dice.below(100) as i64).clamp(0, 4_095) as u16
    });
    let recording = write("slopes", walk);
    let found = compare(&recording, &format!("file={}", recording.display()));
    assert!(found.is_none_or(|found| found > 1_000), "only {found:?} events");
}

#[test]
fn the_chip_refuses_what_it_cannot_do() {
    let Some(firmware) = &*FIRMWARE else { return };
    let half = write("half", [0]);
    fs::write(&half, [1, 2, 3]).expect("a file of three bytes");
    for (words, message) in [
        ("hysteresis=-1", "hysteresis is -1: it must be 0 or more"),
        ("every=0", "every is 0: it must be 1 or more"),
        ("on=noise", "on= has a value that cannot be read"),
        ("file=nowhere.u16le", "file=: entity not found"),
        (&format!("file={}", half.display()), "file= ends in the middle of a sample"),
    ] {
        let output = run(chip(firmware, words));
        assert_eq!(output.status.code(), Some(2), "{words}");
        let said = text(&output.stderr);
        assert!(said.contains(message), "{words}: {said}");
    }
}

#[test]
fn nothing_in_the_engine_can_panic() {
    if FIRMWARE.is_some() {
        succeed(Command::new(root().join("tools/no-panic")));
    }
}

/// Compares all settings on one recording; `None` where there is no chip, else the events found.
fn compare(recording: &Path, word: &str) -> Option<usize> {
    let firmware = FIRMWARE.as_ref()?;
    let mut found = 0;
    for (options, words) in SETTINGS {
        let pc = succeed(tool(recording, options));
        let chip = succeed(chip(firmware, &format!("{words} {word}")));
        for (line, (pc, chip)) in pc.lines().zip(chip.lines()).enumerate() {
            assert_eq!(Line(pc), Line(chip), "line {} with {options}", line + 1);
        }
        assert_eq!(pc.lines().count(), chip.lines().count(), "lines with {options}");
        found += pc.lines().count();
    }
    Some(found)
}

/// A line of JSON whose numbers are compared as numbers: the chip prints exact decimals, the tool
/// the shortest that mean the same. No string in it holds a comma or a colon.
#[derive(Debug)]
struct Line<'a>(&'a str);

impl PartialEq for Line<'_> {
    fn eq(&self, other: &Self) -> bool {
        fn pieces(line: &str) -> impl Iterator<Item = &str> {
            line.split([',', ':', '{', '}'])
        }
        let same = |a: &str, b: &str| match (a.parse::<f64>(), b.parse::<f64>()) {
            (Ok(a), Ok(b)) => a == b,
            _ => a == b,
        };
        pieces(self.0).count() == pieces(other.0).count()
            && pieces(self.0).zip(pieces(other.0)).all(|(a, b)| same(a, b))
    }
}

fn tool(recording: &Path, options: &str) -> Command {
    let mut tool = Command::new(&*TOOL);
    tool.arg("scan").arg(recording).args(["--sample-type", "u16le", "--format", "json"]);
    tool.args(options.split_whitespace());
    tool
}

fn chip(firmware: &Path, words: &str) -> Command {
    let mut chip = Command::new(root().join("tools/chip-run"));
    chip.arg("m4").arg(firmware).args(words.split_whitespace());
    chip
}

/// The firmware, built; `None` where it cannot be.
static FIRMWARE: LazyLock<Option<PathBuf>> = LazyLock::new(|| {
    let emulator = ("qemu-system-arm", "--version", "qemu-system-arm is missing");
    build_firmware("qemu-m4", TARGET, &[emulator])
});

fn write(name: &str, samples: impl IntoIterator<Item = u16>) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.u16le"));
    let bytes: Vec<u8> = samples.into_iter().flat_map(u16::to_le_bytes).collect();
    fs::write(&path, bytes).expect("the recording can be written");
    path
}

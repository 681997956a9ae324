//! Cases for a chip and a PC: any condition on any type of samples, with a signal in which it finds
//! something, records, measurements, a decimator, and changes of mind on the way.

use crate::cases;
use crate::dice::Dice;
use crate::engine::holdoff;
use crate::kind::Kind;
use crate::multi::{Part, many};
use crate::serial::serial;
use crate::single;
use differential::{Act, CHANNELS, Case, RECORD_ROOM, SAMPLE_ROOM, Wire};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use stillwave::{
    Composition, Corner, Coupling, Holdoff, Level, Mode, RecordShape, Trigger, VideoConfig,
    VideoFormat, VideoStandard, VideoWhen,
};

/// A case and its samples, a channel each.
pub struct Job<T: Wire> {
    /// The settings.
    pub case: Case<T>,
    /// The channels, of one length.
    pub channels: Vec<Vec<T>>,
}

/// A condition, the channels to find it in, and the lengths of blocks.
type Found<T> = (Composition<T>, Vec<Vec<T>>, Vec<usize>);

/// Cases out of a seed.
pub struct Cases {
    runner: TestRunner,
    dice: Dice,
}

impl Cases {
    /// The cases of one seed.
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        let bytes: Vec<u8> = (0..4).flat_map(|_| dice.bits().to_le_bytes()).collect();
        let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
        Self { runner: TestRunner::new_with_rng(Config::default(), rng), dice }
    }

    /// The next case.
    ///
    /// # Panics
    /// Where a generator makes none.
    pub fn deal<T: Kind + Wire>(&mut self) -> Job<T> {
        // Where nothing is found in a few signals, nothing is a case too.
        let mut found = self.found();
        for _ in 0..3 {
            if events(&found) == 0 {
                found = self.found();
            }
        }
        let (composition, mut channels, lengths) = found;
        let most = SAMPLE_ROOM * 4 / size_of::<T>() / channels.len();
        // What takes a chip long tells no more than its first part.
        let most = most.min(9000 / channels.len());
        for channel in &mut channels {
            channel.truncate(most);
        }
        let dice = &mut self.dice;
        let (length, wide) = (channels[0].len() as u64, channels.len());
        let shape = shape(dice, wide);
        let mut acts: Vec<_> = (0..dice.below(4))
            .map(|_| (dice.below(length.max(1)) as u32, act(dice, wide)))
            .collect();
        acts.sort_by_key(|(place, _)| *place);
        let hold = self.draw(cases::hold());
        let dice = &mut self.dice;
        let decimators = ["every", "envelope", "boxcar", "cic", "fir", "average", "fading", "sinx"];
        let kind = dice.pick(&["u8", "u16", "i16", "i32", "f32"]);
        let how = dice.pick(&decimators);
        let decimate = format!("{how}:{}:{kind}", 1 + dice.below(20));
        let case = Case {
            composition,
            coupling: coupling(dice),
            holdoff: holdoff(hold),
            shape,
            mode: mode(dice),
            channels: wide as u8,
            start: dice.pick(&[0, 0, (1 << 32) - 500, (1 << 53) - 500, (1 << 63) - 500]),
            blocks: lengths.iter().map(|length| *length as u16).collect(),
            acts: acts.into_iter().collect(),
            measured: (dice.below(4) as u32, dice.below(12) == 0),
            decimate: decimate.as_str().try_into().expect("short words"),
        };
        Job { case, channels }
    }

    fn found<T: Kind>(&mut self) -> Found<T> {
        match self.dice.below(12) {
            0 => self.draw(edge()),
            1 => self.draw(single::pulses().prop_map(one)),
            2 => self.draw(single::intervals().prop_map(one)),
            3 => self.draw(single::dropouts().prop_map(one)),
            4 => self.draw(single::transitions().prop_map(one)),
            5 => self.draw(single::runts().prop_map(one)),
            6 => self.draw(single::windows().prop_map(one)),
            7..=9 => self.draw(several()),
            10 => self.draw(lines()),
            _ => picture(&mut self.dice),
        }
    }

    fn draw<V: std::fmt::Debug>(&mut self, strategy: impl Strategy<Value = V>) -> V {
        strategy.new_tree(&mut self.runner).expect("a case").current()
    }
}

/// How often a condition fires on its channels, if it can be made.
fn events<T: Kind>((composition, channels, _): &Found<T>) -> u64 {
    let Ok(condition) = composition.build() else { return 0 };
    let mut trigger = Trigger::new(condition, Holdoff::None).expect("no holdoff");
    let slices: Vec<_> = channels.iter().map(Vec::as_slice).collect();
    trigger.push_channels(&slices, |_| {});
    trigger.events()
}

fn one<T: Kind>(case: single::Single<T>) -> Found<T> {
    (case.setup(0).into(), vec![case.samples], case.lengths)
}

fn edge<T: Kind>() -> impl Strategy<Value = Found<T>> {
    cases::edges(6, 300).prop_map(|case| {
        let cases::Case { asked, level, hysteresis, samples, lengths, .. } = case;
        let setup = Part::<T> { asked, level, hysteresis, channel: 0 }.setup();
        (setup.into(), vec![samples], lengths)
    })
}

fn several<T: Kind>() -> impl Strategy<Value = Found<T>> {
    many(4, 100).prop_map(|case| (case.composition(), case.channels, case.lengths))
}

fn lines<T: Kind>() -> impl Strategy<Value = Found<T>> {
    serial().prop_map(|case| (case.composition(), case.channels, case.lengths))
}

/// Lines of a picture at 2 MS/s, 128 samples each, of which some are not as they should be; an even
/// field begins between them.
fn picture<T: Kind>(dice: &mut Dice) -> Found<T> {
    let [level, hysteresis] = [40, 3].map(|steps| T::near(T::ZERO, T::ZERO, steps).widen());
    let mut samples: Vec<T> = vec![];
    let mut pulse = |dice: &mut Dice, width: u64, rest: u64| {
        let wrong = if dice.below(30) == 0 { dice.below(9) } else { 0 };
        let steps = [-6, 6].map(|steps| T::near(level, hysteresis, steps));
        samples.extend((0..width + wrong).map(|_| steps[0]));
        samples.extend((0..rest).map(|_| steps[1]));
    };
    for _ in 0..=dice.below(3) {
        (0..9).for_each(|_| pulse(dice, 9, 119));
        (0..5).for_each(|_| pulse(dice, 5, 59));
        (0..5).for_each(|_| pulse(dice, 55, 9));
        (0..5).for_each(|_| pulse(dice, 5, 59));
        pulse(dice, 0, 64);
    }
    let format = VideoFormat::new(VideoStandard::Lines625, 2e6).expect("a rate");
    let when = dice.pick(&[VideoWhen::AnyLine, VideoWhen::AnyField]);
    let level = Level { level, hysteresis, channel: 0 };
    let lengths = vec![1 + dice.below(700) as usize, dice.below(90) as usize];
    (Composition::Video(VideoConfig { level, format, when }), vec![samples], lengths)
}

/// Records, a few of which are refused.
fn shape(dice: &mut Dice, channels: usize) -> RecordShape {
    let most = (RECORD_ROOM / CHANNELS / channels) as u64;
    let (pre, post) = (dice.below(most), dice.below(most));
    match dice.below(40) {
        0 => RecordShape { pre: 0, post: 0 },
        1 => RecordShape { pre: 0, post: 4 * RECORD_ROOM + 1 },
        2..20 => RecordShape { pre: pre as usize / 8, post: 1 + post as usize / 8 },
        _ => RecordShape { pre: pre as usize, post: 1 + post as usize },
    }
}

fn mode(dice: &mut Dice) -> Mode {
    let after = dice.below(900);
    dice.pick(&[Mode::Normal, Mode::Normal, Mode::Auto { after }, Mode::Single])
}

fn act(dice: &mut Dice, channels: usize) -> Act {
    match dice.below(8) {
        0..3 => Act::Gap(dice.pick(&[0, 1, 77, 1 << 32, 1 << 53])),
        3 => Act::Run,
        4 => Act::Stop,
        5 => Act::Holdoff(Holdoff::Samples(dice.below(300))),
        6 => Act::Shape(shape(dice, channels)),
        _ => Act::Mode(mode(dice)),
    }
}

fn coupling(dice: &mut Dice) -> Coupling {
    let corner = Corner::from_parts(dice.pick(&[1 << 20, 1 << 25, 1 << 29, (1 << 31) - 1, 0]));
    match dice.below(12) {
        0 => Coupling::Ac(corner),
        1 => Coupling::LowReject(corner),
        2 => Coupling::HighReject(corner),
        _ => Coupling::Dc,
    }
}

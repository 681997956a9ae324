//! Records of several channels before the oracle and before the engine.

use crate::cases::Case;
use crate::dice::Dice;
use crate::engine::{Desk, found, holdoff, mode};
use crate::kind::Kind;
use crate::oracle::{Found, Hold, Holdoff, Kept, Pace, Recorder};
use crate::plan::{Step, plan};
use stillwave::{Acquisition, Counters, Record, RecordShape, Trigger};

/// What happens between two samples.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub enum Act {
    Gap(u64),
    Run,
    Stop,
    Pace(Pace),
    Shape(usize, usize),
    Hold(Hold),
    /// A condition of the same settings takes over, which knows nothing of what was.
    Anew,
}

/// An acquisition of one to three channels, one of them the trigger's.
#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Recording<T: Kind> {
    pub case: Case<T>,
    pub actions: Vec<(usize, Act)>,
    pub shape: (usize, usize),
    pub pace: Pace,
    pub channels: usize,
    pub source: usize,
    /// Memory for each channel.
    pub depth: usize,
}

impl<T: Kind> Recording<T> {
    /// The signal on the trigger's channel, anything on the others.
    fn streams(&self) -> Vec<Vec<T>> {
        let other = |channel| {
            let mut dice = Dice::new(channel as u64);
            self.case.samples.iter().map(|_| T::noise(&mut dice)).collect()
        };
        (0..self.channels)
            .map(|c| if c == self.source { self.case.samples.clone() } else { other(c) })
            .collect()
    }
}

/// Every accepted event, every record, every count, and whether it still runs.
pub type Outcome = (Vec<Found>, Vec<Kept<u32>>, Counters, bool);

/// What the rules find, sample by sample.
pub fn by_oracle<T: Kind>(recording: &Recording<T>) -> Outcome {
    let Recording { case, actions, shape: (pre, post), pace, .. } = recording;
    let streams = recording.streams();
    let (mut detector, mut holdoff) = (case.detector(), Holdoff::new(case.hold));
    let mut recorder = Recorder::new(*pre, *post, *pace);
    let (mut events, mut counters) = (Vec::new(), Counters::default());
    let mut position = case.start;
    (counters.gaps, counters.lost) = (1, case.start);
    recorder.gap(position);
    for step in plan(case.samples.len(), &[1], actions) {
        match step {
            Step::Block(one) => {
                for index in one {
                    let event = detector.sample(position, case.samples[index].exact());
                    let accepted = event.filter(|_| holdoff.accepts(position));
                    counters.events += u64::from(event.is_some());
                    counters.held_off += u64::from(event != accepted);
                    events.extend(accepted);
                    let frame: Vec<_> = streams.iter().map(|s| s[index].bits()).collect();
                    recorder.sample(position, &frame, accepted);
                    position += 1;
                }
            }
            Step::Act(Act::Gap(lost)) => {
                (counters.gaps, counters.lost) = (counters.gaps + 1, counters.lost + lost);
                position += lost;
                detector.gap();
                recorder.gap(position);
            }
            Step::Act(Act::Run) => recorder.run(position),
            Step::Act(Act::Stop) => recorder.stop(),
            Step::Act(Act::Pace(pace)) => recorder.set_pace(pace),
            Step::Act(Act::Shape(pre, post)) => recorder.set_shape(position, pre, post),
            Step::Act(Act::Hold(hold)) => holdoff = Holdoff::new(hold),
            Step::Act(Act::Anew) => detector = case.detector(),
        }
    }
    let tally = recorder.tally;
    counters.records = tally.records;
    counters.forced = tally.forced;
    counters.unrecorded = tally.unrecorded;
    counters.abandoned = tally.abandoned;
    (events, recorder.kept, counters, recorder.running)
}

/// A record of the engine; its number, place and shape are as its samples say.
fn kept<T: Kind>(record: &Record<'_, T>, number: usize) -> Kept<u32> {
    assert_eq!(record.number, number as u64);
    assert_eq!(record.at.position, record.start + record.trigger_index() as u64);
    assert_eq!(
        record.at,
        record.event.map_or(stillwave::Instant::at(record.at.position), |e| e.at)
    );
    assert_eq!(record.samples().len(), record.channel(record.channels() - 1).len());
    assert!(record.channel(record.channels()).is_empty());
    let bits = |channel| record.channel(channel).iter().map(|x: &T| x.bits()).collect();
    let channels = (0..record.channels()).map(bits).collect();
    Kept { position: record.at.position, event: record.event.map(found), channels }
}

/// What the engine finds, block by block.
///
/// # Panics
/// Where the engine refuses a setting.
pub fn by_engine<T: Kind>(recording: &Recording<T>) -> Outcome {
    let Recording { case, actions, shape: (pre, post), pace, channels, source, depth } = recording;
    let streams = recording.streams();
    let trigger = Trigger::new(case.condition(*source as u8), holdoff(case.hold)).unwrap();
    let shape = RecordShape::new(*pre, *post).unwrap();
    let buffer = vec![T::MAX; depth * channels + channels - 1];
    let mut acquisition =
        Acquisition::with_channels(trigger, shape, mode(*pace), *channels, buffer).unwrap();
    let (mut events, mut records) = (Vec::new(), Vec::new());
    let mut desks = vec![Desk::default(); *channels];
    acquisition.gap(case.start);
    for step in plan(case.samples.len(), &case.lengths, actions) {
        match step {
            Step::Block(range) => {
                let blocks = desks.iter_mut().zip(&streams);
                let blocks: Vec<_> = blocks.map(|(d, s)| d.lay(&s[range.clone()])).collect();
                acquisition.push_channels(
                    &blocks,
                    |event| events.push(found(event)),
                    |record| records.push(kept(&record, records.len())),
                );
            }
            Step::Act(Act::Gap(lost)) => acquisition.gap(lost),
            Step::Act(Act::Run) => acquisition.run(),
            Step::Act(Act::Stop) => acquisition.stop(),
            Step::Act(Act::Pace(pace)) => acquisition.set_mode(mode(pace)).unwrap(),
            Step::Act(Act::Shape(pre, post)) => {
                acquisition.set_shape(RecordShape::new(pre, post).unwrap()).unwrap();
            }
            Step::Act(Act::Hold(hold)) => acquisition.set_holdoff(holdoff(hold)).unwrap(),
            Step::Act(Act::Anew) => acquisition.set_condition(case.condition(*source as u8)),
        }
    }
    (events, records, acquisition.counters(), acquisition.is_running())
}

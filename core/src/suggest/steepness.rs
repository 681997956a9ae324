//! The steepness of a signal where its trigger fires.

use super::replay::Replay;
use crate::measure::Running;
use crate::{
    Band, Block, Comparison, Condition, Edge, EventKind, Holdoff, Instant, Level, Sample, Slope,
    Span, Transition, Trigger,
};

/// Properties of the accepted events of a trigger.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Steepness {
    /// The accepted events, and those held off.
    pub(super) accepted: u64,
    pub(super) held_off: u64,
    /// The number of samples that the signal takes for one count there, as a root mean square; 0 if
    /// it is not known.
    pub(super) samples_a_count: f64,
    /// The intervals between accepted events.
    pub(super) intervals: Option<Intervals>,
}

/// The intervals between the accepted events of a trigger, in samples.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Intervals {
    /// The mean interval.
    pub mean: f64,
    /// The standard deviation of the intervals; 0 for a single one.
    pub deviation: f64,
    /// The shortest interval.
    pub shortest: f64,
    /// The longest interval.
    pub longest: f64,
}

impl Steepness {
    /// Computes it from the time that the signal takes from half a hysteresis before the level to
    /// half a hysteresis past it, at events that the trigger accepts.
    pub(super) fn of<T: Sample, R: Replay<T>>(
        signal: &mut R,
        slope: Slope,
        level: Level<T>,
        holdoff: Holdoff,
    ) -> Result<Self, R::Error> {
        let Ok(edge) = Edge::new(slope, level) else { return Ok(Self::default()) };
        let Ok(mut trigger) = Trigger::new(edge, holdoff) else { return Ok(Self::default()) };
        let [middle, hysteresis] = [level.level, level.hysteresis].map(T::wide_to_f64);
        let mut transitions = transitions(slope, middle, hysteresis);
        let (mut squares, mut count) = (0.0, 0.0);
        let (mut accepted, mut last, mut position) = (0, None::<u64>, 0);
        let (mut intervals, mut before) = (Running::default(), None::<Instant>);
        signal.replay(|samples| {
            let channels = [samples];
            let block = Block::new(position, &channels);
            let mut pending = trigger.next(&block);
            let mut take = |up_to: u64, last: &mut Option<u64>| {
                while let Some(event) = pending.filter(|event| event.at.position <= up_to) {
                    accepted += 1;
                    if let Some(before) = before.replace(event.at) {
                        intervals.push(Ok(event.at.since(before).to_samples()));
                    }
                    *last = Some(event.at.position);
                    pending = trigger.next(&block);
                }
            };
            while let Some((transitions, height)) = &mut transitions
                && let Some(event) = transitions.next(&block)
            {
                take(event.at.position, &mut last);
                let EventKind::Transition { time, .. } = event.kind else { continue };
                // The edge of the trigger lies within the transition that it belongs to.
                let begin = event.at.samples() - time.to_samples();
                if last.take().is_some_and(|last| last as f64 >= begin) {
                    let time = time.to_samples() / *height;
                    squares += time * time;
                    count += 1.0;
                }
            }
            take(u64::MAX, &mut last);
            position = block.end();
        })?;
        let samples_a_count = if count > 0.0 { libm::sqrt(squares / count) } else { 0.0 };
        let spread = (intervals.mean(), intervals.minimum(), intervals.maximum());
        let intervals = match spread {
            (Ok(mean), Ok(shortest), Ok(longest)) => {
                let deviation = intervals.standard_deviation().unwrap_or(0.0);
                Some(Intervals { mean, deviation, shortest, longest })
            }
            _ => None,
        };
        Ok(Self { accepted, held_off: trigger.held_off(), samples_a_count, intervals })
    }
}

/// Transitions about a level, and their height; `None` if the hysteresis is less than two counts.
fn transitions<T: Sample>(
    slope: Slope,
    middle: f64,
    hysteresis: f64,
) -> Option<(Transition<T>, f64)> {
    let wide = |value: f64| T::wide_from_f64(value);
    let (low, high) = (wide(middle - hysteresis / 2.0)?, wide(middle + hysteresis / 2.0)?);
    // Armed where the trigger is: a hysteresis before the level itself.
    let band = Band::new(low, high, wide(hysteresis / 2.0)?).ok()?;
    let height = T::wide_to_f64(high) - T::wide_to_f64(low);
    let any = Comparison::LongerThan(Span::ZERO);
    let transition = Transition::new(slope, band, any).ok()?;
    (height > 0.0).then_some((transition, height))
}

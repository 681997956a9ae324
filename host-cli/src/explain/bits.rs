//! How long the bits of an asynchronous line are.

use super::spread::Spread;
use crate::error::Error;
use crate::plan::{Coupled, Described, Line, TriggerPlan};
use crate::quantity::format_si;
use stillwave::{
    AnyCondition, Comparison, Holdoff, PulseConfig, PulsePolarity, Sample, Setup, Side, Trigger,
};

/// The times that the line is away from rest: whole numbers of bits.
pub(super) struct Bits<T: Sample> {
    stays: Trigger<Coupled<AnyCondition<T>>>,
    lengths: Spread,
    /// A bit as it is asked for, in samples.
    asked: f64,
}

/// More bits than a character has are away from rest in breaks only.
const MOST_BITS: f64 = 9.6;
/// Fewer stays say nothing.
const FEWEST: u64 = 8;
/// How far bits may be off before it is told. Receivers tolerate a little more.
const TOLD: f64 = 0.03;

impl<T: Sample> Bits<T> {
    /// Of a plan that looks for characters.
    pub(super) fn of(plan: &TriggerPlan<T>) -> Result<Option<Self>, Error> {
        let Some(Line { level, idle, bit }) = plan.setup.description().line() else {
            return Ok(None);
        };
        let width = Comparison::ANY;
        // At rest it may stay for any time.
        let polarity = match idle {
            Side::High => PulsePolarity::Negative,
            Side::Low => PulsePolarity::Positive,
        };
        let setup = Setup::Pulse(PulseConfig { polarity, level, width });
        let stays = Trigger::new(plan.coupled(setup.build()?)?, Holdoff::None)?;
        Ok(Some(Self { stays, lengths: Spread::default(), asked: bit.to_samples() }))
    }

    pub(super) fn see(&mut self, channels: &[&[T]]) {
        let lengths = &mut self.lengths;
        self.stays.push_channels(channels, |event| {
            if let Some(time) = event.kind.time() {
                lengths.add(time.to_samples());
            }
        });
    }

    /// The length that makes whole numbers of bits of what the line does, in samples; `None` where
    /// nothing does, or where a few lengths alone come, of which a bit may be any part.
    pub(super) fn found(&self) -> Option<f64> {
        // Of lengths from a fiftieth to fifty times what is asked, in steps of 0.4 %.
        let tried = || (-980..=980).map(|step| self.asked * (f64::from(step) * 0.004).exp());
        let least = tried().filter_map(|bit| self.misfit(bit)).fold(f64::INFINITY, f64::min);
        if least > 0.12 {
            return None;
        }
        // Half a bit fits as well.
        let fits = |bit: &f64| self.misfit(*bit).is_some_and(|misfit| misfit < 1.5 * least + 0.01);
        let rough = tried().filter(fits).max_by(f64::total_cmp)?;
        // A straight line: slopes that differ make all stays longer by the same.
        let (mut n, mut x, mut y, mut xx, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let mut came = [0_u64; MOST_BITS as usize + 1];
        for (length, count) in self.lengths.values() {
            let bits = (length / rough).round();
            if (1.0..MOST_BITS).contains(&bits) {
                if let Some(came) = came.get_mut(bits as usize) {
                    *came += count;
                }
                let count = count as f64;
                (n, x, y) = (n + count, x + count * bits, y + count * length);
                (xx, xy) = (xx + count * bits * bits, xy + count * bits * length);
            }
        }
        // One bit, and two other lengths.
        let often = |count: &u64| *count as f64 > 0.02 * n;
        if !often(&came[1]) || came.iter().filter(|count| often(count)).count() < 3 {
            return None;
        }
        let across = n * xx - x * x;
        (across > 0.0).then(|| (n * xy - x * y) / across)
    }

    /// How far stays are from whole numbers of bits, in bits on average; a quarter is chance.
    fn misfit(&self, bit: f64) -> Option<f64> {
        let (mut off, mut all) = (0.0, 0);
        for (length, count) in self.lengths.values().filter(|(length, _)| *length < MOST_BITS * bit)
        {
            let bits = length / bit;
            off += (bits - bits.round().max(1.0)).abs().min(0.5) * count as f64;
            all += count;
        }
        (all >= FEWEST).then(|| off / all as f64)
    }

    /// What they come to, and what to do.
    pub(super) fn words(&self, rate: Option<f64>) -> Option<(String, String)> {
        let (found, rate) = (self.found()?, rate?);
        if (found / self.asked - 1.0).abs() < TOLD {
            return None;
        }
        let show = |samples: f64| format_si(samples / rate, "s", 3);
        Some((
            format!("the bits are {} long, not {}", show(found), show(self.asked)),
            format!("--baud {:.0}", rate / found),
        ))
    }
}

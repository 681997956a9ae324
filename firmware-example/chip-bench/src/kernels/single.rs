//! What stands by itself.

use core::hint::black_box;

use stillwave::{Monitor, measure::measure};

use super::{Kernel, Run};
use crate::signal::{HYSTERESIS, LEVEL};

pub(super) const ALL: &[Kernel] =
    &[Kernel::new("latch", latch, 1), Kernel::new("monitor", monitor, size_of::<Monitor<u16>>())];

/// Those of a record of 1000 samples.
pub(super) const OF_RECORDS: &[Kernel] =
    &[Kernel { name: "measure", run: Run::Counts(measurements), samples: RECORD, state: 0 }];

const RECORD: usize = 1000;

/// The least a rising-edge trigger can do, written by hand: the yardstick for the
/// engine. No instants, no positions, no holdoff.
#[inline(never)]
fn latch(samples: &[u16]) -> u64 {
    let mut armed = false;
    let mut edges: u32 = 0;
    for &sample in samples {
        if armed {
            if sample >= LEVEL {
                armed = false;
                edges += 1;
            }
        } else if sample < LEVEL - HYSTERESIS {
            armed = true;
        }
    }
    edges.into()
}

/// The count of clipped samples.
#[inline(never)]
fn monitor(samples: &[u16]) -> u64 {
    Monitor::new(0, 4095).map_or(0, |mut monitor| {
        monitor.push(samples);
        monitor.quality().clipped
    })
}

/// All basic measurements.
#[inline(never)]
fn measurements(samples: &[u16]) -> u64 {
    let record = samples.get(..RECORD).unwrap_or(samples);
    black_box(measure(record)).samples
}

use crate::signal::{HYSTERESIS, LEVEL};

/// The least a rising-edge trigger can do, written by hand: the yardstick for the
/// engine. No instants, no positions, no holdoff.
#[inline(never)]
pub fn latch(samples: &[u16]) -> u32 {
    let mut armed = false;
    let mut edges = 0;
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
    edges
}

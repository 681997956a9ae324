use stillwave::Monitor;

/// The engine's count of clipped samples.
#[inline(never)]
pub fn monitor(samples: &[u16]) -> u64 {
    Monitor::new(0, 4095).map_or(0, |mut monitor| {
        monitor.push(samples);
        monitor.quality().clipped
    })
}

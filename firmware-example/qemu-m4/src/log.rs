//! What the run tells a developer, where the `log` feature is on.

use stillwave::Event;

#[cfg(feature = "log")]
use defmt_semihosting as _;

/// The run begins.
pub(crate) fn begin(block: usize) {
    #[cfg(feature = "log")]
    defmt::info!("blocks of {=usize} samples", block);
    let _ = block;
}

/// An event was accepted.
pub(crate) fn event(event: Event) {
    #[cfg(feature = "log")]
    defmt::debug!("{}", event);
    let _ = event;
}

/// The recording is over.
pub(crate) fn end(samples: u64, events: u64, held_off: u64) {
    #[cfg(feature = "log")]
    defmt::info!(
        "{=u64} samples, {=u64} events, {=u64} of them held off",
        samples,
        events,
        held_off
    );
    let _ = (samples, events, held_off);
}

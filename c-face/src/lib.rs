//! Stillwave for C and C++: `include/stillwave.h` and a static library.
//!
//! Triggers chosen at run time, records with a pre-trigger, and measurements, on 16-bit samples.
//! Every call returns a [`StillwaveStatus`]; a null pointer, a wrong size, an acquisition that was
//! never started or was copied is an error and not a crash. There is no heap: the caller gives the
//! memory of the acquisition and of its records.
//!
//! All `unsafe` is in [`face`], which does nothing else.
#![cfg_attr(target_os = "none", no_std)]

mod counters;
mod event;
pub mod face;
mod fault;
pub mod measurements;
mod record;
pub mod settings;
mod status;

pub use counters::StillwaveCounters;
pub use event::StillwaveEvent;
pub use face::{STILLWAVE_WORDS, StillwaveAcquisition, StillwaveOnEvent, StillwaveOnRecord};
pub use fault::StillwaveFault;
pub use measurements::{StillwaveMeasurements, StillwaveValue};
pub use record::StillwaveRecord;
pub use settings::StillwaveSettings;
pub use status::StillwaveStatus;

/// No panic can be reached, which the tests prove on the linked program; the compiler wants this
/// all the same.
#[cfg(all(target_os = "none", not(test)))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    loop {
        core::hint::spin_loop();
    }
}

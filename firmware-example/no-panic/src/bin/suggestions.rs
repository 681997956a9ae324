//! Suggested settings, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::Sample;
use stillwave::suggest::{Means, suggest};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    all::<u8>(0);
    all::<i16>(0);
    all::<u16>(0);
    all::<i32>(0);
    all::<f32>(0.0);
    loop {
        core::hint::spin_loop();
    }
}

fn all<T: Sample>(sample: T) {
    let samples = [sample; 64];
    let mut signal: &[T] = black_box(&samples);
    let Ok(found) = suggest(&mut signal, black_box(Means { filters: true }));
    black_box(found.overview);
    if let Some(proposal) = found.proposal {
        black_box(proposal.jitter.total());
        black_box(proposal);
    }
}

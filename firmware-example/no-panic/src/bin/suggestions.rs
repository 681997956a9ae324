//! Suggested settings, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use no_panic as _;
use stillwave::Sample;
use stillwave::suggest::{Means, suggest};

#[cortex_m_rt::entry]
fn main() -> ! {
    all::<u8>(0);
    all::<i16>(0);
    all::<u16>(0);
    all::<i32>(0);
    all::<f32>(0.0);
    loop {
        cortex_m::asm::wfi();
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

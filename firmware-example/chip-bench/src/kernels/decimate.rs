use core::hint::black_box;

use stillwave::{
    ConfigError,
    decimate::{Average, Boxcar, Cic, Decimator, Envelope, Every, Fir, Weight},
};

/// Samples for an output of the envelope and the boxcar.
const STEP: u32 = 1000;

/// A kernel of one decimator, set up anew for each block.
macro_rules! decimator {
    ($(#[$doc:meta])* $name:ident, $sample:ty, $make:expr) => {
        $(#[$doc])*
        #[inline(never)]
        pub fn $name(samples: &[$sample]) -> u64 {
            run($make, samples).unwrap_or(0)
        }
    };
}

decimator!(
    /// Every tenth sample.
    every, u16, Every::new(10)
);
decimator!(
    /// The least and the largest of 1000.
    envelope, u16, Envelope::new(STEP)
);
decimator!(
    /// The same in 8 bits.
    envelope8, u8, Envelope::new(STEP)
);
decimator!(
    /// The sum of 1000.
    boxcar, u16, Boxcar::new(STEP)
);
decimator!(
    /// The same in 8 bits.
    boxcar8, u8, Boxcar::new(STEP)
);
decimator!(
    /// Order 3, one of 8.
    cic, u16, Cic::<u16>::new(3, 8)
);
decimator!(
    /// 32 weights, one of 8.
    fir, u16, Fir::<u16, _, _>::new([1024; 32], 8, 2, [0; 32])
);

fn run<D: Decimator>(
    decimator: Result<D, ConfigError>,
    samples: &[D::Input],
) -> Result<u64, ConfigError> {
    let mut decimator = decimator?;
    decimator.push(samples, |output| {
        black_box(output);
    });
    Ok(decimator.output())
}

/// A record of 1000 samples taken into the mean of some.
#[inline(never)]
pub fn average(samples: &[u16]) -> u64 {
    let record = samples.get(..1000).unwrap_or(samples);
    Average::<u16, _>::new(Weight::Plain, [0; 999]).map_or(0, |mut average| {
        average.push(record, black_box(0x1234));
        black_box(&average);
        average.count()
    })
}

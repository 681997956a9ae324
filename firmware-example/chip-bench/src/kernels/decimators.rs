//! Every decimator.

use core::hint::black_box;

use stillwave::{
    ConfigError,
    decimate::{Average, Boxcar, Cic, Decimator, Envelope, Every, Fir, Weight},
};

use super::{Kernel, Run};

/// Samples for an output of the envelope and the boxcar.
const STEP: u32 = 1000;

/// A kernel of each decimator.
macro_rules! kernels {
    ($($kernel:ident $name:ident: $decimator:ty = $make:expr;)+) => {
        pub(super) const ALL: &[Kernel] = &[$({
            #[inline(never)]
            fn run(samples: &[<$decimator as Decimator>::Input]) -> u64 {
                push::<$decimator>($make, samples).unwrap_or(0)
            }
            Kernel::$kernel(stringify!($name), run, size_of::<$decimator>())
        },)+
            Kernel {
                name: "average",
                run: Run::Counts(average),
                samples: RECORD,
                state: size_of::<Average<u16, [u32; 0]>>(),
            },
        ];
    };
}

kernels!(
    new every: Every<u16> = Every::new(10);
    // The least and the largest of 1000.
    new envelope: Envelope<u16> = Envelope::new(STEP);
    of_bytes envelope8: Envelope<u8> = Envelope::new(STEP);
    // The sum of 1000.
    new boxcar: Boxcar<u16> = Boxcar::new(STEP);
    of_bytes boxcar8: Boxcar<u8> = Boxcar::new(STEP);
    // Order 3, one of 8.
    new cic: Cic<u16> = Cic::new(3, 8);
    // 32 weights, one of 8.
    new fir: Fir<u16, [i16; 32], [u16; 32]> = Fir::new([1024; 32], 8, 2, [0; 32]);
);

fn push<D: Decimator>(
    decimator: Result<D, ConfigError>,
    samples: &[D::Input],
) -> Result<u64, ConfigError> {
    let mut decimator = decimator?;
    decimator.push(samples, |output| {
        black_box(output);
    });
    Ok(decimator.output())
}

const RECORD: usize = 1000;

/// A record taken into the mean of some.
#[inline(never)]
fn average(samples: &[u16]) -> u64 {
    let record = samples.get(..RECORD).unwrap_or(samples);
    // Lent, as copies of it would not fit into a small chip.
    let mut memory = [0; RECORD - 1];
    Average::<u16, _>::new(Weight::Plain, &mut memory[..]).map_or(0, |mut average| {
        average.push(record, black_box(0x1234));
        black_box(&average);
        average.count()
    })
}

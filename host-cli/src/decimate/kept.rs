//! Which bits are kept: sums have more than samples, and files have 32.

use stillwave::Sample;
use stillwave::decimate::{Boxcar, Cic, Counts, Decimator, Fir, LowPass};

use super::Pipe;
use super::pipe::Bands;
use crate::error::Error;
use crate::quantity::counted;

/// The most weights of a filter: more would take more memory than a recording should.
const MOST_TAPS: usize = 1 << 20;

/// A sample type, with the way its sums are kept.
pub trait Kept: Sample {
    /// Sums of `step` samples.
    ///
    /// # Errors
    /// A step whose sums do not fit.
    fn boxcar(step: u32) -> Result<Pipe<Self>, Error>;

    /// Sums of moving sums.
    ///
    /// # Errors
    /// An order or a step out of range; samples that are no whole numbers.
    fn cic(order: u32, step: u32) -> Result<Pipe<Self>, Error>;

    /// A low pass.
    ///
    /// # Errors
    /// A step or an attenuation out of range.
    fn fir(step: u32, attenuation: f64) -> Result<Pipe<Self>, Error>;
}

/// How outputs relate to counts.
fn gained(bits: u32, gain: f64) -> String {
    let bits = counted(bits.into(), "bit");
    format!("{bits} gained: outputs are {gain} times the counts")
}

/// The words for outputs that are samples again.
const ROUNDED: &str = "rounded to counts, as there are no more than 32 bits";

/// Samples of 8 and 16 bits: everything fits `i32`.
macro_rules! narrow {
    ($($sample:ty)*) => {$(
        impl Kept for $sample {
            fn boxcar(step: u32) -> Result<Pipe<Self>, Error> {
                let of = counted(step.into(), "sample");
                let boxcar = Boxcar::<Self>::new(step)?;
                let gain = boxcar.gain();
                let what =
                    format!("sums of {of}, {}", gained(boxcar.gained_bits(), gain));
                Ok(Pipe::new(boxcar, |_, sum| sum, gain, what))
            }

            fn cic(order: u32, step: u32) -> Result<Pipe<Self>, Error> {
                let of = counted(step.into(), "sample");
                let what = |bits, gain| {
                    format!("CIC of order {order} for {of}, {}", gained(bits, gain))
                };
                if let Ok(cic) = Cic::<Self, i32>::new(order, step) {
                    let (bits, gain) = (cic.gained_bits(), cic.gain());
                    return Ok(Pipe::new(cic, |_, output| output, gain, what(bits, gain)));
                }
                let cic = Cic::<Self, i64>::new(order, step)?;
                // With a bit for the sign, what is over 32 is rounded off.
                let over = (Self::BITS + cic.gained_bits()).saturating_sub(31);
                let (kept, gain) = (cic.gained_bits() - over, cic.gain() / f64::from(over).exp2());
                let round = move |_: &_, output: i64| {
                    ((output + ((1_i64 << over) >> 1)) >> over) as i32
                };
                Ok(Pipe::new(cic, round, gain, what(kept, gain)))
            }

            fn fir(step: u32, attenuation: f64) -> Result<Pipe<Self>, Error> {
                let (low_pass, mut taps) = room(step, attenuation, 60.0, 0_i16)?;
                low_pass.fill_q15(&mut taps)?;
                // As many as averaging so many samples of noise would give.
                let bits = (step.ilog2() / 2).min(8);
                let memory = vec![0; taps.len()];
                let what = format!("low pass of {} weights, {}", taps.len(), {
                    gained(bits, f64::from(1_u32 << bits))
                });
                let fir = Fir::<Self, _, _>::new(taps, step, bits, memory)?;
                let gain = fir.gain();
                Ok(with_bands(Pipe::new(fir, |_, output| output, gain, what), low_pass))
            }
        }
    )*};
}

narrow!(u8 i8 u16 i16);

/// Samples of 32 bits: files have no room for more.
macro_rules! wide {
    ($($sample:ty)*) => {$(
        impl Kept for $sample {
            fn boxcar(step: u32) -> Result<Pipe<Self>, Error> {
                let of = counted(step.into(), "sample");
                let what = format!("means of {of}, {ROUNDED}");
                Ok(Pipe::new(Boxcar::<Self>::new(step)?, Boxcar::mean, 1.0, what))
            }

            fn cic(order: u32, step: u32) -> Result<Pipe<Self>, Error> {
                let of = counted(step.into(), "sample");
                let what = format!("CIC of order {order} for {of}, {ROUNDED}");
                Ok(Pipe::new(cic64::<Self>(order, step)?, Cic::mean, 1.0, what))
            }

            fn fir(step: u32, attenuation: f64) -> Result<Pipe<Self>, Error> {
                let (low_pass, mut taps) = room(step, attenuation, 60.0, 0_i16)?;
                low_pass.fill_q15(&mut taps)?;
                let what = format!("low pass of {} weights, {ROUNDED}", taps.len());
                let memory = vec![0; taps.len()];
                let fir = Fir::<Self, _, _>::new(taps, step, 0, memory)?;
                Ok(with_bands(Pipe::new(fir, Fir::mean, 1.0, what), low_pass))
            }
        }
    )*};
}

wide!(u32 i32);

fn cic64<T: Counts>(order: u32, step: u32) -> Result<Cic<T, i64>, Error> {
    Ok(Cic::new(order, step)?)
}

impl Kept for f32 {
    fn boxcar(step: u32) -> Result<Pipe<f32>, Error> {
        let of = counted(step.into(), "sample");
        let what = format!("means of {of}");
        Ok(Pipe::new(Boxcar::<f32>::new(step)?, Boxcar::mean, 1.0, what))
    }

    fn cic(_: u32, _: u32) -> Result<Pipe<f32>, Error> {
        Err(Error::usage(
            "--how cic adds up whole numbers, and these samples are floating point",
            "use --how boxcar or --how fir",
        ))
    }

    fn fir(step: u32, attenuation: f64) -> Result<Pipe<f32>, Error> {
        let (low_pass, mut taps) = room(step, attenuation, 110.0, 0.0_f32)?;
        low_pass.fill(&mut taps)?;
        let what = format!("low pass of {} weights", taps.len());
        let memory = vec![0.0; taps.len()];
        let fir = Fir::<f32, _, _>::new(taps, step, 0, memory)?;
        Ok(with_bands(Pipe::new(fir, |_, output| output, 1.0, what), low_pass))
    }
}

/// The low pass, and room for its weights.
fn room<W: Clone>(
    step: u32,
    attenuation: f64,
    most: f64,
    zero: W,
) -> Result<(LowPass, Vec<W>), Error> {
    if step < 2 {
        return Err(Error::usage(
            "--how fir with --by 1 has nothing to take away",
            "give 2 or more",
        ));
    }
    if !(30.0..=most).contains(&attenuation) {
        return Err(Error::usage(
            format!("--attenuation is {attenuation} dB"),
            format!("give 30 to {most} for samples of this type"),
        ));
    }
    let low_pass = LowPass::for_step(step, attenuation)?;
    if low_pass.taps() > MOST_TAPS {
        return Err(Error::usage(
            format!("--how fir with --by {step} takes {} weights", low_pass.taps()),
            "decimate in two steps, the first with --how boxcar or cic",
        ));
    }
    Ok((low_pass, vec![zero; low_pass.taps()]))
}

fn with_bands<T>(mut pipe: Pipe<T>, low_pass: LowPass) -> Pipe<T> {
    let LowPass { pass, stop, attenuation } = low_pass;
    pipe.bands = Some(Bands { pass, ripple: low_pass.ripple(), stop, attenuation });
    pipe
}

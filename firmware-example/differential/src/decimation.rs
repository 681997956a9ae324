//! Decimators by name, whatever their types.

use stillwave::Sample;
use stillwave::decimate::{
    Average, Boxcar, Cic, Counts, Decimator, Envelope, Every, Fir, LowPass, SinX, Weight,
};

/// Samples converted at once.
const SOME: usize = 64;
/// Samples in a record.
const RECORD: usize = 100;
/// Room for the weights of a filter.
const TAPS: usize = 400;

/// Hands over all blocks, one after the other.
pub type Blocks<'a> = &'a mut dyn FnMut(&mut dyn FnMut(&[u16]));
/// Takes an output: one number twice, or two.
pub type Out<'a> = &'a mut dyn FnMut([i64; 2]);

/// Sends a recording through what `HOW:STEP:TYPE` says: `every`, `envelope`, `boxcar`, `cic`, `fir`,
/// `average`, `fading` or `sinx`; `u8`, `u16`, `i16`, `i32` or `f32`. `None` where there is no such
/// thing.
pub fn run(what: &str, blocks: Blocks<'_>, out: Out<'_>) -> Option<()> {
    let mut words = what.split(':');
    let (how, step) = (words.next()?, words.next()?.parse().ok()?);
    match words.next()? {
        "u8" => whole(how, step, |x| (x >> 4) as u8, blocks, out),
        "u16" => whole(how, step, |x| x, blocks, out),
        "i16" => whole(how, step, |x| x.wrapping_sub(2048) as i16, blocks, out),
        "i32" => whole(how, step, |x| (i32::from(x) - 2048) << 15, blocks, out),
        "f32" => real(how, step, blocks, out),
        _ => None,
    }
}

fn whole<T: Counts + Into<i64>>(
    how: &str,
    step: u32,
    sample: fn(u16) -> T,
    blocks: Blocks<'_>,
    out: Out<'_>,
) -> Option<()>
where
    T::Wide: Into<i64>,
{
    let once = |x: T| [x.into(); 2];
    match how {
        "every" => through(Every::new(step).ok()?, sample, blocks, |x| out(once(x))),
        "envelope" => through(Envelope::new(step).ok()?, sample, blocks, |extent| {
            out([extent.minimum.into(), extent.maximum.into()]);
        }),
        "boxcar" => {
            through(Boxcar::new(step).ok()?, sample, blocks, |sum: T::Wide| out([sum.into(); 2]));
        }
        "cic" => {
            through(Cic::<T, i64>::new(3, step).ok()?, sample, blocks, |output| out([output; 2]));
        }
        "fir" => {
            let mut room = [0; TAPS];
            let taps = LowPass::for_step(step, 50.0).ok()?.fill_q15(&mut room).ok()?;
            let fir = Fir::<T, _, _>::new(&*taps, step, 3, [T::default(); TAPS]).ok()?;
            through(fir, sample, blocks, |output: T::Wide| out([output.into(); 2]));
        }
        _ => return records(how, sample, blocks, out),
    }
    Some(())
}

fn real(how: &str, step: u32, blocks: Blocks<'_>, out: Out<'_>) -> Option<()> {
    // Some are no numbers.
    let sample = |x: u16| if x % 509 == 7 { f32::INFINITY } else { f32::from(x) * 0.37 - 700.0 };
    let bits = |x: f32| i64::from(if x.is_nan() { u32::MAX } else { x.to_bits() });
    match how {
        "every" => through(Every::new(step).ok()?, sample, blocks, |x| out([bits(x); 2])),
        "envelope" => through(Envelope::new(step).ok()?, sample, blocks, |extent| {
            out([bits(extent.minimum), bits(extent.maximum)]);
        }),
        "boxcar" => through(Boxcar::new(step).ok()?, sample, blocks, |sum| out([bits(sum); 2])),
        "fir" => {
            let mut room = [0.0; TAPS];
            let taps = LowPass::for_step(step, 80.0).ok()?.fill(&mut room).ok()?;
            let fir = Fir::<f32, _, _>::new(&*taps, step, 0, [0.0; TAPS]).ok()?;
            through(fir, sample, blocks, |output| out([bits(output); 2]));
        }
        _ => return records(how, sample, blocks, out),
    }
    Some(())
}

/// Through a decimator.
fn through<D: Decimator>(
    mut decimator: D,
    sample: fn(u16) -> D::Input,
    blocks: Blocks<'_>,
    mut out: impl FnMut(D::Output),
) {
    blocks(&mut |block| {
        for some in block.chunks(SOME) {
            let mut samples = [D::Input::default(); SOME];
            samples.iter_mut().zip(some).for_each(|(to, &from)| *to = sample(from));
            decimator.push(samples.get(..some.len()).unwrap_or(&[]), &mut out);
        }
    });
}

/// Record after record into a mean; or the values between the samples of each.
fn records<T: Sample>(
    how: &str,
    sample: fn(u16) -> T,
    blocks: Blocks<'_>,
    out: Out<'_>,
) -> Option<()> {
    let weight = match how {
        "fading" => Weight::Exponential { shift: 3 },
        "average" | "sinx" => Weight::Plain,
        _ => return None,
    };
    let sin_x = SinX::new(6).ok()?;
    let mut average = Average::<T, _>::new(weight, [T::Fine::default(); RECORD]).ok()?;
    let (mut record, mut filled, mut number) = ([T::default(); RECORD], 0, 0_u32);
    blocks(&mut |block| {
        for &x in block {
            if let Some(to) = record.get_mut(filled) {
                *to = sample(x);
            }
            filled += 1;
            if filled == RECORD {
                filled = 0;
                let lead = number.wrapping_mul(7919) % 65537;
                number = number.wrapping_add(1);
                if how == "sinx" {
                    let at = 10.0 + f64::from(lead) / 1000.0;
                    out([sin_x.value(&record, at).map_or(-1, number_of); 2]);
                } else {
                    average.push(&record, lead);
                }
            }
        }
    });
    for column in 0..average.len() {
        out([average.value(column).map_or(-1, number_of); 2]);
    }
    Some(())
}

/// All bits of a number; any that is none is one.
fn number_of(x: f64) -> i64 {
    if x.is_nan() { i64::MAX } else { x.to_bits().cast_signed() }
}

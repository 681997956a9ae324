//! `view`: all records on top of each other, aligned on the event.

use std::process::ExitCode;

use stillwave::decimate::{Average, SinX, Weight};
use stillwave::{Sample, Scale};

use super::drawing::{draw, meta};
use crate::acquire::{ChannelPlan, Records};
use crate::args::{ViewArgs, from_one};
use crate::error::Error;
use crate::input::Reader;
use crate::quantity::counted;
use crate::view::{Overlay, Tally};
use crate::{interrupt, printed, report, with_reader};

pub(super) fn run(args: &ViewArgs) -> Result<ExitCode, Error> {
    let mut channels = ChannelPlan::new(&args.job)?;
    if let Some(numbers) = &args.xy {
        channels.recorded = Some(two_channels(args, numbers)?);
        let recording = channels.open(&args.job.input)?;
        return with_reader!(recording, reader => super::xy::view(args, &channels, reader));
    }
    let channels = channels.or_trigger_alone();
    let recording = channels.open(&args.job.input)?;
    if args.spectrum {
        return with_reader!(recording, reader => super::spectrum::view(args, &channels, reader));
    }
    with_reader!(recording, reader => view(args, &channels, reader))
}

fn view<T: Sample + Into<f64>>(
    args: &ViewArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let mut records = Records::new(reader, channels, &args.job)?;
    let [calibration] = records.calibrations[..] else {
        return Err(Error::usage(
            format!("--record names {} channels, a picture shows one", records.channels.len()),
            "name one",
        ));
    };
    printed::text(&report::record_heading(&records))?;
    let mut overlay = Overlay::new(meta(&records, &calibration));
    let scale = calibration.scale.unwrap_or(Scale::VOLTS);
    let columns = records.shape.len().saturating_sub(1);
    let mut average = Average::<T, _>::new(Weight::Plain, vec![T::Fine::default(); columns])?;
    let outcome = records.each(|record| {
        if args.average {
            average.push(record.samples(), record.at.lead);
        } else {
            show(&mut overlay, record.samples(), -record.offset(0), scale, args.sinx);
        }
        Ok(())
    })?;
    if average.count() > 0 {
        let mean: Vec<f32> =
            (0..average.len()).filter_map(|j| Some(average.value(j)? as f32)).collect();
        // Its first column is one sample behind the first of a record.
        let offset = records.shape.pre as f64 - 1.0;
        show(&mut overlay, &mean, offset, scale, args.sinx);
        let of = counted(average.count(), "record");
        overlay.meta.title = format!("{}, mean of {of}", overlay.meta.title);
        overlay.meta.mean_of = Some(average.count());
    }
    overlay.meta.tally = Tally {
        events: outcome.counters.events,
        held_off: outcome.counters.held_off,
        forced: outcome.counters.forced,
    };
    if overlay.records() == 0 {
        report::no_record_note(&outcome, records.shape, "show");
    } else {
        draw(args, &overlay)?;
    }
    printed::text(&report::record_summary(&outcome, &records.calibration))?;
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}

/// Points that a picture has use for.
const POINTS: usize = 1024;
/// Samples on either side that sin(x)/x looks at.
const LOBES: usize = 8;

/// Adds a record whose trigger is `offset` samples behind its first sample.
fn show<T: Sample + Into<f64>>(
    overlay: &mut Overlay,
    samples: &[T],
    offset: f64,
    scale: Scale,
    is_curved: bool,
) {
    let finer = (POINTS / samples.len().max(1)).clamp(1, 16);
    match SinX::new(LOBES as u32) {
        Ok(between) if is_curved && finer > 1 => {
            let points = 0..=samples.len().saturating_sub(1) * finer;
            let longer = continued(samples);
            let base = base(samples);
            let value = |point: usize| {
                let at = LOBES as f64 + point as f64 / finer as f64;
                between.value(&longer, at).map(|x| x + base)
            };
            let values = points.map(|point| value(point).map_or(f64::NAN, |x| scale.volts(x)));
            overlay.add_finer(values, finer, offset);
        }
        _ => overlay.add(samples.iter().map(|&sample| scale.volts(sample.into())), offset),
    }
}

/// The samples from their [`base`], with as many before and behind them as sin(x)/x looks at: what is
/// there, turned half round about the first and the last, so that the curve goes on as it came.
fn continued<T: Sample + Into<f64>>(samples: &[T]) -> Vec<f32> {
    let last = samples.len().saturating_sub(1) as isize;
    let at = |index: isize| samples.get(index.clamp(0, last) as usize).map_or(0.0, |&x| x.into());
    let (reach, base) = (LOBES as isize, base(samples));
    let values = (-reach..=last + reach).map(|index| {
        let end = index.clamp(0, last);
        (2.0 * at(end) - at(2 * end - index) - base) as f32
    });
    values.collect()
}

/// What is taken off, so that the digits of an `f32` suffice: the first sample that is a number.
fn base<T: Sample + Into<f64>>(samples: &[T]) -> f64 {
    samples.iter().find(|x| x.is_finite()).map_or(0.0, |&x| x.into())
}

/// The channels of `--xy`, counted from 0.
fn two_channels(args: &ViewArgs, numbers: &[usize]) -> Result<Vec<usize>, Error> {
    if args.job.record.record.is_some() {
        return Err(Error::usage("--record has no use with --xy", "leave it out"));
    }
    match *numbers {
        [x, y] if x != y => Ok(vec![from_one("--xy", x)?, from_one("--xy", y)?]),
        _ => Err(Error::usage("--xy is of two channels", "name two, such as --xy 1,2")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_goes_on_at_its_ends_as_it_came() {
        let ramp: Vec<i16> = (0..20).map(|i| 100 + 7 * i).collect();
        let longer: Vec<f32> = (-8_i16..28).map(|i| f32::from(7 * i)).collect();
        assert_eq!(continued(&ramp), longer);
        // Too few to turn round: held.
        assert_eq!(continued(&[5_u8]), [0.0; 17]);
        // What is no number is a gap, and no more.
        let gaps = [f32::NAN, f32::INFINITY, 3.0, 4.0];
        assert_eq!(continued(&gaps)[10..12], [0.0, 1.0]);

        let sine = |t: f64| 1000.0 * (t * 0.9).sin();
        let samples: Vec<f32> = (0..40).map(|i| sine(f64::from(i)) as f32).collect();
        let (longer, between) = (continued(&samples), SinX::new(8).unwrap());
        let off = |samples: &[f32], before: f64| {
            let at = |n: u32| f64::from(n) / 16.0;
            let off = |n| between.value(samples, before + at(n)).unwrap() - sine(at(n));
            (0..=39 * 16).map(|n| off(n).abs()).fold(0.0, f64::max)
        };
        assert!(off(&longer, 8.0) < 0.6 * off(&samples, 0.0), "{}", off(&longer, 8.0));
    }
}

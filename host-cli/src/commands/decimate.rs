//! `decimate`: fewer samples, in another file.

use std::ops::ControlFlow;
use std::path::Path;
use std::process::ExitCode;

use stillwave::{PARTS_PER_SAMPLE, Scale};

use crate::args::{DecimateArgs, HowName, RecordFormat, from_one};
use crate::calibration::Calibration;
use crate::decimate::{Kept, Pipe, pipe};
use crate::error::Error;
use crate::export::{ChannelContext, Context, Samples, StreamWriter, Times, wav_zero};
use crate::input::{self, Info, Reader};
use crate::quantity::{Level, counted, format_si, number_of};
use crate::{interrupt, note, printed, report, stream, with_reader};

pub(super) fn run(args: &DecimateArgs) -> Result<ExitCode, Error> {
    let format = format(args)?;
    let channels = args.channel.as_ref().map(|channels| {
        channels.iter().map(|&n| from_one("--channel", n)).collect::<Result<Vec<_>, _>>()
    });
    let options = args.input.open_options(channels.transpose()?)?;
    let recording = input::open(&args.input.file, &options)?;
    with_reader!(recording, reader => decimate(args, format, reader))
}

fn decimate<T: Kept>(
    args: &DecimateArgs,
    format: RecordFormat,
    mut reader: Reader<T>,
) -> Result<ExitCode, Error>
where
    Samples: From<Vec<T>>,
{
    let first = reader.selected().first().copied().unwrap_or(0);
    let calibration = Calibration::new(&args.scale, reader.info(), first)?;
    let mut pipes = Vec::new();
    for _ in reader.selected() {
        pipes.push(pipe::<T>(args)?);
    }
    let Some(pipe) = pipes.first() else {
        return Err(Error::usage("the recording has no channel", "choose another"));
    };
    printed::text(&report::recording(reader.info()))?;
    printed::text(&description(pipe, reader.info()))?;
    if args.how == HowName::Every && args.by > 1 {
        let half = match reader.info().rate {
            Some(rate) => format_si(rate / f64::from(args.by) / 2.0, "Hz", 4),
            None => "half the new rate".to_owned(),
        };
        note::one(format_args!(
            "every has no filter: what is over {half} appears at a lower frequency; --how fir takes \
             it away"
        ));
    }
    let (grid, span) = (pipe.grid, u64::from(pipe.grid.span()));
    let has_parts = pipe.parts.len() > 1;
    let times = Times {
        first: grid.instant(0).samples(),
        step: grid.step().into(),
        rate: calibration.rate,
        start: calibration.start_time,
    };

    let mut context = context(args, &reader, &pipes)?;
    let empty: Vec<Samples> = pipes.iter_mut().flat_map(|pipe| pipe.push(&[])).collect();
    let scales = volts_of(&empty, &mut context, format, &args.out);
    let mut writer = StreamWriter::create(&args.out, format, &empty, times, &context)?;
    note::all(writer.notices().to_vec());
    let read = stream::blocks(&mut reader, &calibration, 0, &mut |channels| {
        let outputs = pipes.iter_mut().zip(channels).flat_map(|(pipe, samples)| pipe.push(samples));
        writer.put(in_volts(outputs, &scales)).map(|()| ControlFlow::Continue(()))
    })?;
    writer.put(in_volts(pipes.iter_mut().flat_map(Pipe::finish), &scales))?;

    let outputs = writer.frames();
    if outputs == 0 {
        if interrupt::came() {
            return Ok(interrupt::status());
        }
        return Err(Error::usage(
            format!(
                "{}: {} are too few for one output of --by {}",
                reader.info().name,
                counted(read.frames, "sample"),
                args.by
            ),
            "give a smaller --by",
        ));
    }
    let used = match outputs.checked_sub(1) {
        Some(last) => grid.first(last).saturating_add(span).min(read.frames),
        None => 0,
    };
    let left = match read.frames - used {
        0 => String::new(),
        _ if has_parts => String::new(),
        n => format!("; {n} at the end are too few for another"),
    };
    let kind = empty.first().map(ToString::to_string).unwrap_or_default();
    let name = writer.finish()?;
    let outputs = counted(outputs, "sample");
    printed::text(&format!("written    {name}: {outputs} of {kind}{left}"))?;
    let options = read_with(args, format, reader.info(), &empty, &pipes, context.rate)?;
    if !options.is_empty() {
        printed::text(&format!("read with  {options}"))?;
    }
    report::quality_notes(&read);
    Ok(interrupt::status())
}

/// What makes volts of outputs that are written as such. They are floating point, which is read as
/// volts: options could say that of one channel only.
fn volts_of(
    outputs: &[Samples],
    context: &mut Context,
    format: RecordFormat,
    out: &Path,
) -> Vec<Option<Scale>> {
    let mut counts = Vec::new();
    let mut scales = Vec::new();
    for (output, channel) in outputs.iter().zip(&mut context.channels) {
        let scale = channel.scale.filter(|_| output.is_float());
        if scale.is_some() {
            channel.scale = Some(Scale::VOLTS);
        } else if output.is_float() {
            counts.extend(channel.name.as_deref());
        }
        scales.push(scale);
    }
    if !counts.is_empty() && format != RecordFormat::Csv {
        note::one(format_args!(
            "{}: {} will be read as volts, though these are counts; write CSV, which says so, or add \
             --bits and --vref",
            out.display(),
            counts.join(", ")
        ));
    }
    scales
}

fn in_volts(outputs: impl Iterator<Item = Samples>, scales: &[Option<Scale>]) -> Vec<Samples> {
    outputs.zip(scales).map(|(output, scale)| output.in_volts(*scale)).collect()
}

/// The options with which the file has the volts and times of the recording, where it does not say
/// them itself.
fn read_with<T: Kept>(
    args: &DecimateArgs,
    format: RecordFormat,
    info: &Info,
    outputs: &[Samples],
    pipes: &[Pipe<T>],
    rate: Option<f64>,
) -> Result<String, Error> {
    let mut options = Vec::new();
    if let (RecordFormat::Npy, Some(rate)) = (format, rate) {
        options.push(format!("--rate {}", short(rate)));
    }
    let (Some(bits), Some(vref), Some(pipe), Some(output)) =
        (args.scale.bits, args.scale.vref, pipes.first(), outputs.first())
    else {
        return Ok(options.join(" "));
    };
    // CSV is in volts, and so is floating point.
    if format == RecordFormat::Csv || output.is_float() {
        return Ok(options.join(" "));
    }
    let scale = Scale::of_converter(bits, vref.0)?.amplified(pipe.gain)?;
    let shifted = if format == RecordFormat::Wav { wav_zero(output) } else { 0.0 };
    let is_signed = info.sample_type.kind.codes().is_some_and(|(lowest, _)| lowest < 0);
    let bits = if shifted == 0.0 {
        // Half of what has a sign is below zero.
        let sign = !is_signed && matches!(output, Samples::I32(_));
        (bits + pipe.gain.log2().ceil() as u32 + u32::from(sign)).min(32)
    } else {
        8 * output.sample_bytes() as u32
    };
    options.push(format!("--bits {bits}"));
    options.push(format!("--vref {}V", short(scale.volts_per_count * f64::from(bits).exp2())));
    let zero = match args.scale.zero {
        Some(Level::Counts(zero)) => zero * pipe.gain,
        _ => 0.0,
    };
    if zero + shifted != 0.0 {
        options.push(format!("--zero {}", short(zero + shifted)));
    }
    if let Some(probe) = args.scale.probe {
        options.push(format!("--probe {}", probe.0));
    }
    Ok(options.join(" "))
}

/// A number without the noise of its arithmetic.
fn short(value: f64) -> f64 {
    format!("{value:.12e}").parse().unwrap_or(value)
}

/// The format that the options say, or the ending of the file's name.
fn format(args: &DecimateArgs) -> Result<RecordFormat, Error> {
    RecordFormat::asked("--out", &args.out, args.save_as)?.ok_or_else(|| {
        Error::usage(
            format!("--out {}: the name does not say what to write", args.out.display()),
            "end it with .wav, .csv, .npy or .sigmf, or add --save-as",
        )
    })
}

/// What is done, and where its results are.
fn description<T>(pipe: &Pipe<T>, info: &Info) -> String {
    let grid = pipe.grid;
    let rate = match info.rate {
        Some(rate) => format!("to {}: ", format_si(grid.rate(rate), "S/s", 4)),
        None => String::new(),
    };
    let frequency = |part: f64| match info.rate {
        Some(rate) => format_si(part * rate, "Hz", 4),
        None => format!("{part:.4} of the rate"),
    };
    let bands = pipe.bands.map(|bands| {
        format!(
            "\npasses     to {} within {:.3} dB; from {} on it is {} dB down",
            frequency(bands.pass),
            bands.ripple,
            frequency(bands.stop),
            bands.attenuation
        )
    });
    let delay = grid.delay().parts() as f64 / PARTS_PER_SAMPLE as f64;
    let seconds = info.rate.map(|rate| format!(" ({})", format_si(delay / rate, "s", 4)));
    let delay = number_of(delay, "sample");
    format!(
        "decimated  {rate}{}{}\ndelay      {delay}{}, taken off: the first new sample is there",
        pipe.what,
        bands.unwrap_or_default(),
        seconds.unwrap_or_default()
    )
}

/// What the file says besides the samples.
fn context<T: Kept>(
    args: &DecimateArgs,
    reader: &Reader<T>,
    pipes: &[Pipe<T>],
) -> Result<Context, Error> {
    let info = reader.info();
    let mut channels = Vec::new();
    for (&channel, pipe) in reader.selected().iter().zip(pipes) {
        let scale = Calibration::new(&args.scale, info, channel)?.scale;
        let scale = scale.map(|scale| scale.amplified(pipe.gain)).transpose()?;
        let own = info.channels.get(channel).and_then(|c| c.bare_name());
        let own = own.map_or_else(|| format!("channel {}", channel + 1), str::to_owned);
        for part in pipe.parts {
            channels.push(ChannelContext { name: Some(format!("{own}{part}")), scale });
        }
    }
    let grid = pipes.first().map(|pipe| pipe.grid);
    Ok(Context {
        rate: grid.and_then(|grid| Some(grid.rate(info.rate?))),
        channels,
        source: file_name(&info.name),
        what: pipes.first().map(|pipe| {
            let first = pipe.grid.instant(0).samples();
            let first = number_of(first, "sample");
            format!("Decimated: {}; the first sample is at {first} of what was", pipe.what)
        }),
        overwrite: args.overwrite,
    })
}

fn file_name(name: &str) -> String {
    Path::new(name).file_name().map_or(name.to_owned(), |n| n.to_string_lossy().into_owned())
}

//! `view --spectrum`: the mean power of all records over frequency.

use std::process::ExitCode;

use stillwave::measure::{Distortion, Reason, Spectrum};
use stillwave::{Monitor, Sample};

use super::drawing::{draw, title};
use crate::acquire::{ChannelPlan, Records};
use crate::args::ViewArgs;
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::Reader;
use crate::measured::{Unit, why_no_tone};
use crate::quantity::counted;
use crate::transform::Transformer;
use crate::view::chart::{Chart, Flag, Look, Measure, Series};
use crate::{interrupt, note, printed, report, stream};

/// Places across the picture; of what falls upon one, the highest is shown.
const COLUMNS: usize = 1024;
/// Decibels shown under the highest, at most.
const DEEPEST: f64 = 160.0;

pub(super) fn view<T: Sample>(
    args: &ViewArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let mut records = Records::new(reader, channels, &args.job)?;
    let calibration = records.one_channel()?;
    printed::text(&report::record_heading(&records))?;
    let mut transformer = Transformer::new(args.window.into());
    let mut mean = Powers::default();
    let (lowest, highest) = stream::end_codes::<T>(&calibration);
    let monitor = Monitor::new(lowest, highest)?;
    let outcome = records.each(|record| {
        let mut monitor = monitor;
        monitor.push(record.samples());
        mean.clipped += u64::from(monitor.quality().clipped > 0);
        mean.add(transformer.spectrum(record.samples()), record.samples().len());
        Ok(())
    })?;
    for (reason, count) in &mean.left_out {
        note::one(format_args!("no spectrum of {}: {reason}", counted(*count, "record")));
    }
    if mean.count == 0 && outcome.counters.records > 0 {
        note::one("there is no spectrum to show; give a longer --post");
    } else if mean.count == 0 {
        report::no_record_note(&outcome, records.shape, "show");
    } else {
        let sums: Vec<f64> = mean.sums.iter().map(|sum| sum / mean.count as f64).collect();
        let spectrum =
            Spectrum::new(&sums, mean.samples, args.window.into()).map_err(|reason| {
                Error::usage(
                    format!("a record has no spectrum: {reason}"),
                    "take longer ones with --post",
                )
            })?;
        let condition = records.plan.describe();
        let chart = chart(&spectrum, &mean, &calibration, title(&records), condition);
        draw(args, &chart)?;
    }
    printed::text(&report::record_summary(&outcome, &records.calibration))?;
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}

/// The power of each bin, over all records.
#[derive(Default)]
struct Powers {
    samples: usize,
    count: u64,
    sums: Vec<f64>,
    most: Vec<f64>,
    /// Records with samples at the converter's end codes: what they lack is in all that is found.
    clipped: u64,
    left_out: std::collections::BTreeMap<String, u64>,
}

impl Powers {
    fn add(&mut self, spectrum: Result<Spectrum<'_>, Reason>, samples: usize) {
        let spectrum = match spectrum {
            Ok(spectrum) => spectrum,
            Err(reason) => {
                *self.left_out.entry(reason.to_string()).or_default() += 1;
                return;
            }
        };
        self.samples = samples;
        self.count += 1;
        self.sums.resize(spectrum.bins(), 0.0);
        self.most.resize(spectrum.bins(), 0.0);
        for (bin, (sum, most)) in self.sums.iter_mut().zip(&mut self.most).enumerate() {
            let power = spectrum.power(bin);
            *sum += power;
            *most = most.max(power);
        }
    }
}

fn chart(
    spectrum: &Spectrum<'_>,
    powers: &Powers,
    calibration: &Calibration,
    title: String,
    condition: String,
) -> Chart {
    // An RMS of 0 dB, in counts.
    let (reference, unit) = match (calibration.scale, calibration.codes) {
        (Some(scale), _) => (1.0 / scale.volts_per_count.abs(), "dB re 1 V RMS"),
        (None, Some((least, greatest))) => {
            ((greatest - least) / 8.0_f64.sqrt(), "dB re a full-scale sine")
        }
        (None, None) => (1.0, "dB re 1"),
    };
    let rate = calibration.rate.unwrap_or(1.0);
    let width = spectrum.window().noise_bandwidth();
    let line = |power: &[f64]| -> Vec<(f64, f64)> {
        let level = |power: f64| 10.0 * (power * width / reference / reference).log10();
        columns(power)
            .map(|(bin, power)| (spectrum.frequency(bin) * rate, level(power)))
            .filter(|(_, level)| level.is_finite())
            .collect()
    };
    let (all, mean) = (
        line(&powers.most),
        line(&powers.sums.iter().map(|sum| sum / powers.count as f64).collect::<Vec<_>>()),
    );
    let highest = all.iter().map(|(_, level)| *level).fold(f64::NEG_INFINITY, f64::max);
    let lowest = mean.iter().map(|(_, level)| *level).fold(f64::INFINITY, f64::min);
    let (high, low) = if highest.is_finite() {
        let high = ((highest + 3.0) / 10.0).ceil() * 10.0;
        (high, ((lowest - 3.0) / 10.0).floor().max((high - DEEPEST) / 10.0) * 10.0)
    } else {
        (0.0, -100.0)
    };
    let (mut summary, flags) = match spectrum.distortion() {
        Ok(found) => (words(&found, calibration), flags(&found, spectrum, calibration)),
        Err(reason) => (format!("no tone: {}", why_no_tone(reason)), Vec::new()),
    };
    if powers.clipped > 0 {
        summary = format!("CLIPPED in {} · {summary}", counted(powers.clipped, "record"));
    }
    let mut series =
        vec![Series { name: "mean of all records".to_owned(), look: Look::Line, points: mean }];
    if powers.count > 1 {
        let name = "highest of all".to_owned();
        series.insert(0, Series { name, look: Look::Faint, points: all });
    }
    Chart {
        title,
        condition,
        summary,
        across: Measure {
            name: "frequency".to_owned(),
            unit: if calibration.rate.is_some() { "Hz" } else { "cycles a sample" }.to_owned(),
            prefixed: calibration.rate.is_some(),
            whole: false,
            low: 0.0,
            high: rate / 2.0,
        },
        up: Measure {
            name: "level".to_owned(),
            unit: unit.to_owned(),
            prefixed: false,
            whole: false,
            low: low.min(high - 10.0),
            high,
        },
        series,
        flags,
    }
}

fn frequency(cycles: f64, calibration: &Calibration) -> String {
    match calibration.rate {
        Some(rate) => Unit::Frequency.show(cycles * rate, calibration),
        None => format!("{cycles:.5}"),
    }
}

/// What was found in words.
fn words(found: &Distortion, calibration: &Calibration) -> String {
    let level =
        calibration.scale.map_or(found.level, |scale| found.level * scale.volts_per_count.abs());
    let show = |value: stillwave::measure::Value, unit: Unit| {
        value.map_or_else(|reason| reason.to_string(), |value| unit.show(value, calibration))
    };
    format!(
        "tone {} RMS at {} · THD {} · SINAD {} · SNR {}",
        Unit::Difference.show(level, calibration),
        frequency(found.frequency, calibration),
        show(found.thd, Unit::Fraction),
        show(found.sinad, Unit::Decibels),
        show(found.snr, Unit::Decibels),
    )
}

/// Where the strongest harmonic is, the tone, and the other harmonics by their strength: where there
/// is room for few names, those first have them.
fn flags(found: &Distortion, spectrum: &Spectrum<'_>, calibration: &Calibration) -> Vec<Flag> {
    let rate = calibration.rate.unwrap_or(1.0);
    let tone = Flag { at: found.frequency * rate, name: frequency(found.frequency, calibration) };
    let mut harmonics: Vec<(f64, Flag)> = (2..=10)
        .map(|multiple| {
            let at = found.harmonic(multiple);
            let bin = (at / spectrum.frequency(1)).round() as usize;
            let near = bin.saturating_sub(1)..=bin + 1;
            let power = near.map(|bin| spectrum.power(bin)).fold(0.0, f64::max);
            (power, Flag { at: at * rate, name: format!("×{multiple}") })
        })
        .collect();
    harmonics.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    let mut flags: Vec<Flag> = harmonics.into_iter().map(|(_, flag)| flag).collect();
    // The tone is the highest of all, and in words as well.
    flags.insert(1, tone);
    flags
}

/// The highest power of each column, with its bin.
fn columns(power: &[f64]) -> impl Iterator<Item = (usize, f64)> + '_ {
    let wide = power.len().div_ceil(COLUMNS).max(1);
    power.chunks(wide).enumerate().map(move |(column, chunk)| {
        let highest = chunk.iter().copied().enumerate().max_by(|(_, a), (_, b)| a.total_cmp(b));
        let (index, power) = highest.unwrap_or_default();
        (column * wide + index, power)
    })
}

//! `view --xy`: one channel over another, and the phase between them.

use std::process::ExitCode;

use stillwave::measure::{Lissajous, Reason, Running, SineFit};
use stillwave::{Sample, Scale};

use super::drawing::draw;
use crate::acquire::{ChannelPlan, Records};
use crate::args::ViewArgs;
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{Info, Reader};
use crate::quantity::{be, counted};
use crate::view::chart::{Chart, Look, Measure, Series};
use crate::{interrupt, printed, report};

/// Points drawn of all records but the last, and of that.
const MOST_POINTS: usize = 60_000;
/// Points of the ellipse.
const STEPS: usize = 240;
/// By so much of the ellipse's residual, over the sine of the phase, may harmonics shift it.
const BIAS: f64 = 2.9;
/// Points farther from the ellipse than this part of its size are no two sines of one frequency.
const NO_ELLIPSE: f64 = 0.1;
/// A channel that has more beside its sine than this part of it has no phase.
const NO_SINE: f64 = 0.5;

/// The ellipse of a record, and by how many degrees harmonics may shift its phase.
///
/// From a cycle on it is that of the channels' sines of the first channel's frequency (IEEE Std 1057,
/// sine fits; from memory), which harmonics hardly change: over c cycles, one of a part h of the sine
/// shifts its phase by h/(π·c) at most. Of less than a cycle it is the conic through the points.
fn ellipse<T: Sample>(x: &[T], y: &[T]) -> Result<(Lissajous, f64), Reason> {
    let Ok(a) = SineFit::of(x) else {
        let fit = Lissajous::of(x, y)?;
        if fit.residual >= NO_ELLIPSE {
            return Err(Reason::NoTone);
        }
        // A harmonic of the worst kind and phase; by trials, from 5° to 175°.
        return Ok((fit, (BIAS * fit.residual / fit.sine()).to_degrees()));
    };
    let b = SineFit::three_parameters(y, a.frequency)?;
    let beside = |fit: &SineFit| fit.residual_rms / fit.rms();
    let [across, up] = [&a, &b].map(beside);
    // Written so that what is not a number fails too.
    let are_sines = across < NO_SINE && up < NO_SINE;
    if !are_sines {
        return Err(Reason::NoTone);
    }
    let fit = Lissajous {
        phase: turned((a.phase - b.phase).to_degrees()),
        centre: (a.offset, b.offset),
        amplitudes: (a.amplitude, b.amplitude),
        residual: across.hypot(up),
    };
    let cycles = a.frequency * x.len().min(y.len()) as f64;
    Ok((fit, ((across + up) / (std::f64::consts::PI * cycles)).to_degrees()))
}

pub(super) fn view<T: Sample>(
    args: &ViewArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let mut records = Records::new(reader, channels, &args.job)?;
    let [across, up] = records.calibrations[..] else {
        return Err(Error::usage("--xy is of two channels", "name two, such as --xy 1,2"));
    };
    let names = names(records.info(), [records.channels[0], records.channels[1]]);
    printed::text(&report::record_heading(&records))?;
    let mut all: Vec<(f64, f64)> = Vec::new();
    let mut last = Vec::new();
    let mut fit = None;
    let mut phase = Phase::default();
    let outcome = records.each(|record| {
        let (x, y) = (record.channel(0), record.channel(1));
        let points = x.iter().zip(y).map(|(&x, &y)| (volts(x, &across), volts(y, &up)));
        last = points.clone().take(MOST_POINTS).collect();
        let room = MOST_POINTS.saturating_sub(all.len());
        all.extend(points.take(room));
        // Not joined to the next record.
        all.push((f64::NAN, f64::NAN));
        let found = ellipse(x, y);
        phase.add(&found, across.inverts() != up.inverts());
        fit = Some(found);
        Ok(())
    })?;
    let file = records.info().name.clone();
    if let Some(fit) = fit {
        let mut series =
            vec![Series { name: "last record".into(), look: Look::Line, points: last }];
        if outcome.counters.records > 1 {
            let name = "all records".to_owned();
            series.insert(0, Series { name, look: Look::Faint, points: all });
        }
        if let Ok((ellipse, _)) = &fit {
            let points = (0..=STEPS).map(|step| {
                let (x, y) = ellipse.point(step as f64 / STEPS as f64);
                (in_volts(x, &across), in_volts(y, &up))
            });
            let name = "fitted ellipse".to_owned();
            series.push(Series { name, look: Look::Fitted, points: points.collect() });
        }
        let summary = match fit {
            Ok(_) => phase.words(),
            Err(Reason::NoTone | Reason::NotConverged) => {
                "no ellipse: not two sines of one frequency".to_owned()
            }
            Err(reason) => format!("no ellipse: {reason}"),
        };
        let chart = Chart {
            title: format!("{file}, {} over {}", names[1], names[0]),
            condition: records.plan.describe(),
            summary,
            across: measure(&series, |point| point.0, &names[0], &across),
            up: measure(&series, |point| point.1, &names[1], &up),
            series,
            flags: Vec::new(),
        };
        draw(args, &chart)?;
        printed::text(&format!("phase      {}", chart.summary))?;
    } else {
        report::no_record_note(&outcome, records.shape, "show");
    }
    printed::text(&report::record_summary(&outcome, &records.calibration))?;
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}

/// What channels are called, without a unit, since an axis has its own.
fn names(info: &Info, channels: [usize; 2]) -> [String; 2] {
    let names = channels.map(|channel| {
        let own = info.channels.get(channel).and_then(|c| c.bare_name());
        own.map_or_else(|| format!("channel {}", channel + 1), str::to_owned)
    });
    if names[0] != names[1] {
        return names;
    }
    channels.map(|channel| format!("{} (channel {})", names[0], channel + 1))
}

/// Phases over records, about the first, so that ±180° is one place.
#[derive(Default)]
struct Phase {
    first: Option<f64>,
    about: Running,
    sine: Running,
    off: Running,
    strange: u64,
}

impl Phase {
    fn add(&mut self, found: &Result<(Lissajous, f64), Reason>, inverted: bool) {
        let Ok((fit, off)) = found else {
            self.strange += 1;
            return;
        };
        let phase = if inverted { fit.phase + 180.0 } else { fit.phase };
        let first = *self.first.get_or_insert(phase);
        self.about.push(Ok(turned(phase - first)));
        self.sine.push(Ok(fit.sine()));
        self.off.push(Ok(*off));
    }

    fn words(&self) -> String {
        let (Some(first), Ok(mean)) = (self.first, self.about.mean()) else {
            return "no ellipse".to_owned();
        };
        let spread = self.about.standard_deviation();
        let spread = spread.map_or(String::new(), |spread| format!(" ± {spread:.2}°"));
        let sine = self.sine.mean().unwrap_or(0.0);
        let off = match self.off.mean().unwrap_or(f64::NAN) {
            off if off >= 90.0 || off.is_nan() => " (harmonics: any)".to_owned(),
            off => format!(" (harmonics: up to {off:.2}°)"),
        };
        let strange = match self.strange {
            0 => String::new(),
            n => format!(" ({} {} no ellipse)", counted(n, "record"), be(n)),
        };
        let phase = turned(first + mean);
        let how = if phase < 0.0 { "leads" } else { "lags" };
        let phase = phase.abs();
        format!("the second channel {how} by {phase:.2}°{spread}{off}, its sine {sine:.4}{strange}")
    }
}

/// From over −180 to 180 degrees.
fn turned(degrees: f64) -> f64 {
    degrees - 360.0 * ((degrees / 360.0) - 0.5).ceil()
}

fn volts<T: Sample>(x: T, calibration: &Calibration) -> f64 {
    in_volts(T::wide_to_f64(x.widen()), calibration)
}

fn in_volts(counts: f64, calibration: &Calibration) -> f64 {
    calibration.scale.unwrap_or(Scale::VOLTS).volts(counts)
}

fn measure(
    series: &[Series],
    of: impl Fn(&(f64, f64)) -> f64,
    name: &str,
    calibration: &Calibration,
) -> Measure {
    let values = series.iter().flat_map(|series| &series.points).map(of).filter(|v| v.is_finite());
    let (low, high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    let room = if high > low { (high - low) * 0.06 } else { low.abs().max(1.0) * 0.1 };
    let (low, high) = if low > high { (0.0, 1.0) } else { (low - room, high + room) };
    Measure {
        name: name.to_owned(),
        unit: if calibration.scale.is_some() { "V" } else { "counts" }.to_owned(),
        prefixed: calibration.scale.is_some(),
        whole: false,
        low,
        high,
    }
}

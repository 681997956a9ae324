//! `survey`: events against a setting.

use std::io::Write;
use std::process::ExitCode;

use serde_json::json;
use stillwave::suggest::{Means, suggest};
use stillwave::{Level, Sample, Slope};

use super::drawing;
use crate::args::{Over, ReportFormat, SlopeName, SurveyArgs, from_one};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{self, Reader};
use crate::quantity::counted;
use crate::suggest::{Held, Typed, difference, level, nothing_moves, samples, time, voltage};
use crate::survey::{self, Point, Stretch};
use crate::{interrupt, note, printed, report, with_reader};

/// Does the command.
///
/// # Errors
/// Options that do not fit the recording; a recording that cannot be read.
pub(super) fn run(args: &SurveyArgs) -> Result<ExitCode, Error> {
    let channel = from_one("--channel", args.channel)?;
    let unused = match args.over {
        Over::Level => args.level.map(|_| "--level"),
        Over::Hysteresis => args.hysteresis.map(|_| "--hysteresis"),
        Over::Width => None,
    };
    if let Some(option) = unused {
        return Err(Error::usage(format!("{option} is what is varied"), "leave it out"));
    }
    let options = args.input.open_options(Some(vec![channel]))?;
    let recording = input::open(&args.input.file, &options)?;
    with_reader!(recording, reader => look(args, channel, reader))
}

fn look<T: Sample>(
    args: &SurveyArgs,
    channel: usize,
    mut reader: Reader<T>,
) -> Result<ExitCode, Error> {
    let info = reader.info().clone();
    let calibration = Calibration::new(&args.scale, &info, channel)?;
    let levels = [("--level", args.level), ("--hysteresis", args.hysteresis)];
    calibration.check_volts(&info, channel, &levels)?;
    let held = Held::new(&args.input, &mut reader, &calibration)?;
    let mut signal = held.signal(0);
    let found = suggest::<T, _>(&mut signal, Means { filters: false })?;
    let overview = found.overview;
    if overview.minimum >= overview.maximum {
        let (what, said) =
            (report::recording_channel(&info, channel), nothing_moves(&overview, &calibration));
        let nothing = Survey { args, calibration, points: Vec::new() };
        if args.report.format == ReportFormat::Table {
            printed::text(&format!("{what}\nsignal     {said}"))?;
        } else {
            nothing.write("")?;
            note::one(said);
        }
        nothing.draw(&info.name, String::new())?;
        report::quality_notes(&held.read);
        return Ok(interrupt::status());
    }
    // Where nothing is said, what is suggested.
    let middle = match args.level {
        Some(level) => T::wide_to_f64(calibration.level::<T>("--level", level)?),
        None => found.proposal.map_or(overview.middle(), |p| T::wide_to_f64(p.level.level)),
    };
    let hysteresis = match (args.hysteresis, found.proposal) {
        (Some(given), _) => T::wide_to_f64(calibration.difference::<T>("--hysteresis", given)?),
        (None, Some(proposal)) if args.over == Over::Width => {
            T::wide_to_f64(proposal.level.hysteresis)
        }
        (None, _) => 0.0,
    };
    let ends = (overview.minimum, overview.maximum);
    let points = match args.over {
        Over::Level => survey::over_levels(&mut signal, args.slope, ends, hysteresis, args.steps)?,
        Over::Hysteresis => {
            // Beyond the signal's end it is never armed again.
            let most = match args.slope {
                SlopeName::Rising => middle - ends.0,
                SlopeName::Falling => ends.1 - middle,
                SlopeName::Either => (middle - ends.0).max(ends.1 - middle),
            };
            survey::over_hysteresis(&mut signal, args.slope, middle, most.max(0.0), args.steps)?
        }
        Over::Width => {
            let [level, hysteresis] = [middle, hysteresis].map(T::wide_from_f64);
            let level = Level::new(level.unwrap_or(T::ZERO), hysteresis.unwrap_or(T::ZERO))?;
            survey::over_widths(&mut signal, direction(args.slope)?, level, args.steps)?
        }
    };
    if interrupt::came() {
        return Ok(interrupt::status());
    }
    let result = Survey { args, calibration, points };
    let what = result.what(middle, hysteresis);
    result.write(&format!("{}\nsurvey     {what}", report::recording_channel(&info, channel)))?;
    result.draw(&info.name, what)?;
    report::quality_notes(&held.read);
    Ok(interrupt::status())
}

fn direction(slope: SlopeName) -> Result<Slope, Error> {
    match slope {
        SlopeName::Rising => Ok(Slope::Rising),
        SlopeName::Falling => Ok(Slope::Falling),
        SlopeName::Either => Err(Error::usage(
            "--over width is of pulses that begin with one slope",
            "choose --slope rising or falling",
        )),
    }
}

/// The events of a stretch.
fn count(stretch: &Stretch) -> String {
    match (stretch.fewest, stretch.most) {
        (fewest, most) if fewest == most => most.to_string(),
        (fewest, most) => format!("{fewest} to {most}"),
    }
}

/// What a survey came to.
struct Survey<'a> {
    args: &'a SurveyArgs,
    calibration: Calibration,
    points: Vec<Point>,
}

impl Survey<'_> {
    /// A setting for people.
    fn show(&self, setting: f64) -> String {
        match self.args.over {
            Over::Level => level(&self.calibration, setting),
            Over::Hysteresis => difference(&self.calibration, setting),
            Over::Width => samples(&self.calibration, setting),
        }
    }

    /// A setting in volts or seconds where those are known.
    fn value(&self, setting: f64) -> f64 {
        let Calibration { scale, rate, .. } = self.calibration;
        match self.args.over {
            Over::Level => scale.map_or(setting, |scale| scale.volts(setting)),
            Over::Hysteresis => {
                scale.map_or(setting, |scale| setting * scale.volts_per_count.abs())
            }
            Over::Width => rate.map_or(setting, |rate| setting / rate),
        }
    }

    /// A setting as it is typed.
    fn typed(&self, setting: f64) -> Typed {
        let range = self.points.last().map_or(1.0, |last| last.setting)
            - self.points.first().map_or(0.0, |first| first.setting);
        match self.args.over {
            Over::Level => voltage(&self.calibration, setting, range / 100.0, true),
            Over::Hysteresis => voltage(&self.calibration, setting, range / 100.0, false),
            Over::Width => time(&self.calibration, setting, 3),
        }
    }

    fn name(&self) -> (&'static str, &'static str) {
        let volts = if self.calibration.scale.is_some() { "V" } else { "counts" };
        match self.args.over {
            Over::Level => ("level", volts),
            Over::Hysteresis => ("hysteresis", volts),
            Over::Width if self.calibration.rate.is_some() => ("width", "s"),
            Over::Width => ("width", "samples"),
        }
    }

    /// What is counted.
    fn what(&self, middle: f64, hysteresis: f64) -> String {
        let edges = match self.args.slope {
            SlopeName::Rising => "rising edges",
            SlopeName::Falling => "falling edges",
            SlopeName::Either => "edges of either slope",
        };
        let (count, middle) = (self.points.len(), level(&self.calibration, middle));
        let back = match hysteresis {
            0.0 => "no hysteresis".to_owned(),
            _ => format!("hysteresis {}", difference(&self.calibration, hysteresis)),
        };
        match self.args.over {
            Over::Level => format!("{edges} through {count} levels, {back}"),
            Over::Hysteresis => format!("{edges} through {middle}, {count} hystereses"),
            Over::Width => {
                let sign =
                    if self.args.slope == SlopeName::Falling { "negative" } else { "positive" };
                format!("{sign} pulses through {middle}, {back}, longer than {count} widths")
            }
        }
    }

    /// Noise may add or take a few edges; but one pulse of another width is what is looked for.
    fn stretches(&self) -> Vec<Stretch> {
        let slack = if self.args.over == Over::Width { 0 } else { 5 };
        survey::stretches(&self.points, slack)
    }

    /// The widest steady stretch, and the setting in the middle of it.
    fn steady(&self) -> Option<(Stretch, f64)> {
        let steady = survey::widest(&self.stretches())?;
        let [first, last] = [steady.first, steady.last].map(|n| self.points.get(n));
        let [first, last] = [first?.setting, last?.setting];
        Some((steady, f64::midpoint(first, last)))
    }

    fn write(&self, heading: &str) -> Result<(), Error> {
        let mut out = printed::Text;
        let mut line = |text: &str| {
            writeln!(out, "{text}").map_err(|source| Error::output("standard output", source))
        };
        let (name, _) = self.name();
        let steady = self.steady();
        let is_in = |n| steady.is_some_and(|(steady, _)| (steady.first..=steady.last).contains(&n));
        match self.args.report.format {
            ReportFormat::Json => {
                for (n, point) in self.points.iter().enumerate() {
                    let (value, events) = (self.value(point.setting), point.events);
                    line(&json!({name: value, "events": events, "steady": is_in(n)}).to_string())?;
                }
                return Ok(());
            }
            ReportFormat::Csv => {
                line(&format!("{name},events,steady"))?;
                for (n, point) in self.points.iter().enumerate() {
                    let (value, events) = (self.value(point.setting), point.events);
                    line(&format!("{value},{events},{}", is_in(n)))?;
                }
                return Ok(());
            }
            ReportFormat::Table => {}
        }
        line(heading)?;
        line(&format!("{:>13} {:>13} {:>15}", format!("{name} from"), "to", "events"))?;
        for stretch in self.stretches() {
            let [first, last] = [stretch.first, stretch.last]
                .map(|n| self.points.get(n).map_or(String::new(), |p| self.show(p.setting)));
            let events = count(&stretch);
            let row = format!("{first:>13} {last:>13} {events:>15}  {}", self.verdict(&stretch));
            line(row.trim_end())?;
        }
        line(&match steady {
            None => format!("steady     nowhere: the number of events changes with the {name}"),
            Some((steady, middle)) => {
                let events = match steady.most {
                    1 if steady.fewest == 1 => counted(1, "event"),
                    _ => format!("{} events", count(&steady)),
                };
                let ends = [steady.first, steady.last]
                    .map(|n| self.points.get(n).map_or(String::new(), |p| self.show(p.setting)));
                format!(
                    "steady     {events} from {} to {}: take {} {}",
                    ends[0],
                    ends[1],
                    self.option(),
                    self.typed(middle).text
                )
            }
        })
    }

    /// What a stretch is, beside the widest.
    fn verdict(&self, stretch: &Stretch) -> &'static str {
        let Some((steady, _)) = self.steady() else { return "" };
        let is_more = stretch.fewest > steady.most;
        match (stretch.steady, self.args.over) {
            (true, _) if stretch.first == steady.first => "steady, the widest",
            (true, _) => "steady",
            (false, Over::Width) => "pulses of these widths",
            (false, _) if is_more || stretch.most > steady.most + steady.most / 10 => {
                "noise or ripple fires too"
            }
            (false, _) => "some are missed",
        }
    }

    fn option(&self) -> &'static str {
        match self.args.over {
            Over::Level => "--level",
            Over::Hysteresis => "--hysteresis",
            Over::Width => "--longer-than or --shorter-than",
        }
    }

    fn draw(&self, title: &str, condition: String) -> Result<(), Error> {
        if self.points.len() < 2 {
            if self.args.picture.png.is_some() || self.args.picture.svg.is_some() {
                note::one("there is nothing to draw: no picture is written");
            }
            return Ok(());
        }
        let values: Vec<f64> = self.points.iter().map(|point| self.value(point.setting)).collect();
        let steady = self.steady();
        let flag = steady.map(|(_, middle)| (self.value(middle), self.typed(middle).text));
        let mut chart = survey::chart(
            &self.points,
            &values,
            steady.map(|(steady, _)| steady),
            self.name(),
            flag,
        );
        (chart.title, chart.condition) = (title.to_owned(), condition);
        let for_people = self.args.report.format == ReportFormat::Table;
        if !drawing::to_files(&self.args.picture, &chart, for_people)? && for_people {
            drawing::to_terminal(&chart, self.args.width, self.args.height)?;
        }
        Ok(())
    }
}

//! `check`: what is expected beside what is found.

use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use stillwave::{Sample, Scale};

use super::drawing::{meta, to_files};
use crate::acquire::{ChannelPlan, Records, Seen};
use crate::args::{CheckArgs, ReportFormat};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::expect::{Check, Corner, Corners, Expectation};
use crate::export::{OwnedRecord, Samples, Store, make_folder};
use crate::input::Reader;
use crate::report::{self, CheckReport, Checked};
use crate::view::{Bound, Overlay, Tally};
use crate::{interrupt, printed, with_reader};

pub(super) fn run(args: &CheckArgs) -> Result<ExitCode, Error> {
    let channels = ChannelPlan::new(&args.job)?.or_trigger_alone();
    let recording = channels.open(&args.job.input)?;
    with_reader!(recording, reader => check(args, &channels, reader))
}

fn check<T: Sample + Into<f64>>(
    args: &CheckArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error>
where
    Samples: From<Vec<T>>,
{
    let mut records = Records::new(reader, channels, &args.job)?;
    let calibration = records.one_channel()?;
    let expectation = Expectation::read(&args.expect, &calibration)?;
    let mut overlay = (args.picture.png.is_some() || args.picture.svg.is_some())
        .then(|| overlay(&records, &calibration, expectation.mask.as_ref()));
    let mut check = Check::<T>::new(expectation, &calibration, args.states.config(&calibration)?)?;
    let mut keep = args.keep.as_deref().map(|folder| store(folder, args, &records)).transpose()?;
    let for_people = args.report.format == ReportFormat::Table;
    if for_people {
        printed::text(&report::record_heading(&records))?;
        printed::text(&format!("expected   {}", args.expect.display()))?;
    }
    let failed = |source| Error::output("standard output", source);
    let out = BufWriter::new(printed::Text);
    let mut report = CheckReport::new(out, args.report.format, calibration);
    let scale = calibration.scale.unwrap_or(Scale::VOLTS);
    let scales = records.scales();
    let outcome = records.each_seen(&mut |seen| match seen {
        Seen::Event(event) => match check.event(event.at) {
            Some(finding) => {
                let at = Checked { record: None, crossing: event.at.samples() };
                report.write(at, &[finding]).map_err(failed)
            }
            None => Ok(()),
        },
        Seen::Record(record) => {
            let findings = check.record(record.samples(), record.first_time());
            let offends = findings.iter().any(|finding| !finding.passed);
            if let Some(overlay) = &mut overlay {
                let values = record.samples().iter().map(|&sample| scale.volts(sample.into()));
                overlay.add(values, -record.offset(0));
                if offends {
                    overlay.mark_offending();
                }
            }
            if let Some(keep) = keep.as_mut().filter(|_| offends) {
                keep.put(&OwnedRecord::from(record).in_volts(&scales))?;
            }
            let at = Checked { record: Some(record.number + 1), crossing: record.at.samples() };
            report.write(at, &findings).map_err(failed)
        }
    })?;
    let accepted = outcome.counters.events - outcome.counters.held_off;
    let tested = check.finish(accepted);
    report.finish(&tested, accepted, None).and_then(|mut out| out.flush()).map_err(failed)?;
    if let Some(path) = &args.junit {
        let name = &records.info().name;
        report::write_junit(path, args.picture.overwrite, name, &tested, &calibration)?;
    }
    if let Some(overlay) = &mut overlay {
        overlay.meta.tally = Tally {
            events: outcome.counters.events,
            held_off: outcome.counters.held_off,
            forced: outcome.counters.forced,
        };
        to_files(&args.picture, overlay, for_people)?;
    }
    let kept = keep.map(Store::finish).transpose()?.flatten();
    if for_people {
        printed::text(&format!("\n{}", report::record_summary(&outcome, &records.calibration)))?;
        if let Some(kept) = kept {
            printed::text(&format!("kept       {kept}"))?;
        }
        let verdict = if tested.passed() { "as expected" } else { "NOT as expected" };
        printed::text(&format!("verdict    {verdict}"))?;
    }
    if tested.records == 0 {
        report::no_record_note(&outcome, records.shape, "check");
    }
    report::quality_notes(&outcome.read);
    Ok(match interrupt::status() {
        ExitCode::SUCCESS if !tested.passed() => ExitCode::from(1),
        status => status,
    })
}

fn overlay<T: Sample>(
    records: &Records<T>,
    calibration: &Calibration,
    mask: Option<&Corners>,
) -> Overlay {
    let mut overlay = Overlay::new(meta(records, calibration));
    if let Some(mask) = mask {
        for (is_upper, corners) in [(true, &mask.upper), (false, &mask.lower)] {
            let corners = corners.iter().map(|&Corner { time, level }| (time, level)).collect();
            overlay.add_bound(Bound { is_upper, corners });
        }
    }
    overlay
}

/// Where records that fail are kept.
fn store<T: Sample>(folder: &Path, args: &CheckArgs, records: &Records<T>) -> Result<Store, Error> {
    make_folder(folder)?;
    let base: PathBuf = folder.join("record");
    Store::new(&base, Some(args.save_as), args.save_as, records.context(args.picture.overwrite))
}

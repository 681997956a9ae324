//! `capture`: a record of the samples around each event, on disk.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use stillwave::Sample;

use crate::acquire::{ChannelPlan, Records};
use crate::args::{CaptureArgs, RecordFormat};
use crate::error::Error;
use crate::export::{self, ChannelContext, Context, OwnedRecord, Samples, SigmfWriter};
use crate::input::Reader;
use crate::{interrupt, note, report, with_reader};

pub(super) fn run(args: &CaptureArgs) -> Result<ExitCode, Error> {
    let channels = ChannelPlan::new(&args.job)?;
    let recording = channels.open(&args.job.input)?;
    with_reader!(recording, reader => capture(args, &channels, reader))
}

fn capture<T: Sample>(
    args: &CaptureArgs,
    channels: &ChannelPlan,
    reader: Reader<T>,
) -> Result<ExitCode, Error>
where
    Samples: From<Vec<T>>,
{
    let mut records = Records::new(reader, channels, &args.job)?;
    super::print(&records.heading())?;
    let mut store = Store::new(args, context(&records, args.overwrite))?;
    let outcome = records.each(|record| store.put(&record.into()))?;
    let written = store.finish()?;
    super::print(&report::record_summary(&outcome, &records.calibration))?;
    if let Some(written) = written {
        super::print(&format!("written    {written}"))?;
    }
    report::quality_notes(&outcome.read);
    Ok(interrupt::status())
}

/// What the files say besides the samples.
fn context<T: Sample>(records: &Records<T>, overwrite: bool) -> Context {
    let info = records.info();
    let channels = records
        .channels
        .iter()
        .zip(&records.calibrations)
        .map(|(&channel, calibration)| ChannelContext {
            name: info.channels.get(channel).and_then(|c| c.name.clone()),
            scale: calibration.scale,
        })
        .collect();
    Context { rate: info.rate, channels, source: info.name.clone(), overwrite }
}

/// Where records go.
enum Store {
    /// A file each, numbered from 1.
    Files { write: Write, ending: &'static str, base: PathBuf, context: Context, range: Range },
    /// One recording of all, begun with the first.
    Sigmf { writer: Option<Box<SigmfWriter>>, base: PathBuf, context: Context, records: u64 },
}

/// Writes one record, and tells what it could not say in that format.
type Write = fn(&OwnedRecord, &Path, &Context) -> Result<Vec<String>, Error>;

/// The first and last file written.
type Range = Option<(PathBuf, PathBuf)>;

impl Store {
    fn new(args: &CaptureArgs, context: Context) -> Result<Self, Error> {
        let base = args.out.clone();
        if base.file_name().is_none() {
            return Err(Error::usage(
                format!("--out \"{}\" is no name for files", base.display()),
                "give a folder and the beginning of a name, such as records/pulse",
            ));
        }
        let files = |write: Write, ending, base| Self::Files {
            write,
            ending,
            base,
            context: context.clone(),
            range: None,
        };
        Ok(match args.save_as {
            RecordFormat::Wav => files(export::wav, "wav", base),
            RecordFormat::Csv => {
                files(|r, p, c| export::csv(r, p, c).map(|()| vec![]), "csv", base)
            }
            RecordFormat::Npy => {
                files(|r, p, c| export::npy(r, p, c).map(|()| vec![]), "npy", base)
            }
            RecordFormat::Sigmf => Self::Sigmf { writer: None, base, context, records: 0 },
        })
    }

    fn put(&mut self, record: &OwnedRecord) -> Result<(), Error> {
        match self {
            Self::Files { write, ending, base, context, range } => {
                let path = numbered(base, record.number + 1, ending);
                let notices = write(record, &path, context)?;
                if let Some((_, last)) = range {
                    *last = path;
                } else {
                    // One file is like another: said once.
                    note::all(notices);
                    *range = Some((path.clone(), path));
                }
            }
            Self::Sigmf { writer, base, context, records } => {
                if writer.is_none() {
                    *writer = Some(Box::new(SigmfWriter::create(base, context)?));
                }
                if let Some(writer) = writer {
                    writer.add(record)?;
                    *records += 1;
                }
            }
        }
        Ok(())
    }

    /// Completes what is open; what was written, for people.
    fn finish(self) -> Result<Option<String>, Error> {
        match self {
            Self::Files { range: None, .. } | Self::Sigmf { writer: None, .. } => Ok(None),
            Self::Files { range: Some((first, last)), .. } if first == last => {
                Ok(Some(first.display().to_string()))
            }
            Self::Files { range: Some((first, last)), .. } => {
                Ok(Some(format!("{} to {}", first.display(), last.display())))
            }
            Self::Sigmf { writer: Some(writer), records, .. } => {
                let (data, meta) = writer.finish()?;
                let records =
                    if records == 1 { "1 record".into() } else { format!("{records} records") };
                Ok(Some(format!("{} and {} ({records})", meta.display(), data.display())))
            }
        }
    }
}

/// `base-0001.ending`: a name that sorts in order up to ten thousand.
fn numbered(base: &Path, number: u64, ending: &str) -> PathBuf {
    let mut name = base.file_name().unwrap_or_default().to_owned();
    name.push(format!("-{number:04}.{ending}"));
    base.with_file_name(name)
}

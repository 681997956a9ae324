//! `demo`: the whole job on a recording of an invented scene.

use std::path::Path;
use std::process::ExitCode;

use clap::Parser;

use crate::args::{Cli, DemoArgs};
use crate::demo::scene;
use crate::error::Error;
use crate::export::make_folder;
use crate::printed;
use crate::shell::command;

/// What does a command of a command line.
type Run = fn(&Cli) -> Result<ExitCode, Error>;

pub(super) fn run(args: &DemoArgs, run: Run) -> Result<ExitCode, Error> {
    let step = |verb: &str, recording: &Path, trigger: &[&str], more: &[&str]| {
        run(&typed(verb, recording, trigger, more)?)
    };
    let folder = args.folder.as_deref().unwrap_or(Path::new("stillwave-demo"));
    // The demo's own folder is made anew; in any other there may be something to be kept.
    let overwrite = args.overwrite || args.folder.is_none();
    make_folder(folder)?;
    let recording = folder.join("pulses.npy");
    let picture = folder.join("pulses.png");
    printed::text(&format!(
        "A control signal sends a pulse of 1.5 ms every 20 ms. It was seen to twitch: in ten seconds,\n\
         something is wrong with one pulse, or with two. (An invented scene, computed.)\n\n\
         The recording, as a 12-bit converter would take it: {}\n",
        recording.display()
    ))?;
    scene::write(&recording, overwrite)?;

    say("Expected: pulses of 1.5 ms. Is one narrower?")?;
    let half = ["--level", "1.6V", "--hysteresis", "0.4V"];
    let narrow = [&["--on", "pulse", "--shorter-than", "1.2ms"], &half[..]].concat();
    step("scan", &recording, &narrow, &[])?;

    say("Is there one that rises, but not to its full height?")?;
    let runt = ["--on", "runt", "--low", "0.8V", "--high", "2V", "--hysteresis", "0.4V"];
    step("scan", &recording, &runt, &[])?;

    say("All others on top of each other: they stand still, and the narrow one stands out.")?;
    let record = ["--pre", "0.5ms", "--post", "2.5ms"];
    let name = picture.display().to_string();
    let asked: &[&str] = if overwrite { &["--overwrite"] } else { &[] };
    step("view", &recording, &half, &[&record[..], asked, &["--png", &name]].concat())?;
    step("view", &recording, &half, &[&record[..], &["--width", "96", "--height", "20"]].concat())?;

    say("And in numbers:")?;
    step("measure", &recording, &half, &record)?;

    let file = recording.display().to_string();
    let around = ["--pre", "25ms", "--post", "25ms"];
    let words = [&["stillwave", "view", &file], &SCALE[..], &runt, &around].concat();
    printed::text(&format!(
        "\nLook at {}. Then see the runt between its neighbours:\n{}\n\n{CAUTION}",
        picture.display(),
        command(words),
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// Said where a person is about to measure.
const CAUTION: &str = "\
Before you connect a probe to something real: its ground clip may be connected to mains earth. Clip
it to ground only, never to a live node, and keep to the ratings of probe and board.";

/// What the converter of the scene is.
const SCALE: [&str; 6] = ["--rate", "100kS/s", "--bits", "12", "--vref", "3.3V"];

/// One sentence of the story.
fn say(text: &str) -> Result<(), Error> {
    printed::text(&format!("\n── {text}"))
}

/// A command as if it had been typed; shows how it would be.
fn typed(verb: &str, recording: &Path, trigger: &[&str], more: &[&str]) -> Result<Cli, Error> {
    let recording = recording.display().to_string();
    let words = [&["stillwave", verb, &recording], &SCALE[..], trigger, more].concat();
    printed::text(&format!("$ {}", command(words.iter().copied())))?;
    Cli::try_parse_from(&words)
        .map_err(|error| Error::usage(format!("the demo's own command: {error}"), "report it"))
}

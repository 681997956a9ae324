//! `view --average` and `--sinx`: one mean of many records, and a curve through few samples.

mod program;

use program::program;
use std::f64::consts::TAU;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A noisy sine of 7.3 samples a cycle.
fn recording(folder: &Path) {
    let mut noise = 1_u32;
    let samples = (0..20_000).map(|i| {
        noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let sine = 2048.0 + 1000.0 * (f64::from(i) * TAU / 7.3).sin();
        (sine + f64::from(noise >> 23) - 256.0) as u16
    });
    fs::write(folder.join("in.raw"), samples.flat_map(u16::to_le_bytes).collect::<Vec<_>>())
        .unwrap();
}

/// The picture, and the points of all its lines.
fn picture(folder: &Path, options: &str) -> (String, Vec<usize>) {
    let mut command = Command::new(program());
    command.current_dir(folder).args([
        "view",
        "in.raw",
        "--sample-type",
        "u16le",
        "--svg",
        "p.svg",
    ]);
    command.args("--level 2048 --hysteresis 600 --post 20sa --pre 10sa --overwrite".split(' '));
    let output = command.args(options.split_whitespace()).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let svg = fs::read_to_string(folder.join("p.svg")).unwrap();
    let paths = svg.split(" d=\"").skip(1).filter_map(|rest| rest.split_once('"'));
    let points = paths.map(|(path, _)| path.matches('L').count()).collect();
    (svg, points)
}

#[test]
fn a_mean_is_one_line_and_says_of_how_many() {
    let folder = tempfile::tempdir().unwrap();
    recording(folder.path());
    let (all, _) = picture(folder.path(), "");
    assert!(!all.contains("mean of"));
    let (mean, straight) = picture(folder.path(), "--average");
    assert!(mean.contains("mean of"), "the title names the mean");
    assert!(mean.contains(">\nmean\n<") && !mean.contains("1 record "), "{mean}");
    let (_, curved) = picture(folder.path(), "--average --sinx");
    // Sixteen points for each of 29 samples.
    let most = |points: &[usize]| points.iter().copied().max().unwrap_or(0);
    assert!(most(&curved) > 10 * most(&straight).max(20), "{curved:?} {straight:?}");
}

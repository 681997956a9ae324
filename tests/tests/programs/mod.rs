//! Programs that tests start.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// The tool: the one that `STILLWAVE_PROGRAM` names, or built as it is now, since tests of one package
/// do not build another's program. By itself it asks less of its crates than all packages together
/// do, and they are built a second time; `cargo test --workspace` has it before the first test runs.
pub(crate) static TOOL: LazyLock<PathBuf> = LazyLock::new(|| {
    if let Some(tool) = std::env::var_os("STILLWAVE_PROGRAM") {
        return tool.into();
    }
    let mut build = Command::new(env!("CARGO"));
    build.args(["build", "--quiet", "--package", "stillwave-cli", "--profile", "test"]);
    build.args(["--message-format", "json-render-diagnostics"]);
    let messages = succeed(build);
    let program = messages.lines().rev().find_map(|line| {
        let message: serde_json::Value = serde_json::from_str(line).ok()?;
        message.get("executable")?.as_str().map(PathBuf::from)
    });
    program.expect("cargo names the program it built")
});

/// Whether all is there that it takes to build a package for a chip and to run it: a toolchain for
/// its target, and programs, each with an option by which it shows that it works, and what to say
/// where it does not. With `STILLWAVE_CHIP=required` in the environment that is a failure, and a
/// word on standard error otherwise.
pub(crate) fn chip_tools(package: &str, target: &str, tools: &[(&str, &str, &str)]) -> bool {
    let works = |command: &mut Command| command.output().is_ok_and(|out| out.status.success());
    let missing = tools.iter().find(|(tool, option, _)| !works(Command::new(tool).arg(option)));
    let missing = missing.map(|(_, _, missing)| *missing).or_else(|| {
        let check = ["--check", target];
        let builds = works(Command::new(root().join("tools/chip-cargo")).args(check));
        (!builds).then_some("no toolchain can build for the chip")
    });
    let Some(missing) = missing else { return true };
    assert!(
        std::env::var("STILLWAVE_CHIP").as_deref() != Ok("required"),
        "STILLWAVE_CHIP=required, but {missing}"
    );
    // Past the capture of a passing test's output.
    let note = format!("skipped, {package} was not run: {missing}");
    let _ = writeln!(std::io::stderr(), "{note} (see tools/install-emulation)");
    false
}

/// A program of the firmware's workspace, built for its target; `None` as [`chip_tools`].
pub(crate) fn build_firmware(
    package: &str,
    target: &str,
    tools: &[(&str, &str, &str)],
) -> Option<PathBuf> {
    if !chip_tools(package, target, tools) {
        return None;
    }
    let mut build = Command::new(root().join("tools/chip-cargo"));
    build.args(["build", "--locked", "--quiet", "--release", "-p", package, "--target", target]);
    succeed(build);
    Some(root().join(format!("firmware-example/target/{target}/release/{package}")))
}

pub(crate) fn run(mut command: Command) -> Output {
    command.output().unwrap_or_else(|error| panic!("{command:?}: {error}"))
}

/// The standard output of a command that must succeed.
pub(crate) fn succeed(command: Command) -> String {
    let named = format!("{command:?}");
    let output = run(command);
    assert!(output.status.success(), "{named}: {}", text(&output.stderr));
    text(&output.stdout)
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

pub(crate) fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
}

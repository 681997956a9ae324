//! Other programs that a test starts.

use std::io::Write as _;
use std::process::Command;

/// Whether `program` is there and works, as its option `-V` shows. Where it does not, standard error
/// says that `what` is skipped; with `STILLWAVE_CHIP=required` in the environment, as in CI, that is
/// a failure.
pub(crate) fn is_there(program: &str, what: &str) -> bool {
    if Command::new(program).arg("-V").output().is_ok_and(|out| out.status.success()) {
        return true;
    }
    assert!(
        std::env::var("STILLWAVE_CHIP").as_deref() != Ok("required"),
        "STILLWAVE_CHIP=required, but {program} is missing"
    );
    // Past the capture of a passing test's output.
    let _ = writeln!(std::io::stderr(), "skipped, {what}: {program} is missing");
    false
}

//! The outcome of a check as `JUnit` XML, for automation.

use std::path::Path;

use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};

use super::check::{expected, found, why};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::expect::Tested;
use crate::export::WholeFile;

/// Writes a test case for each thing expected of the recording `name`.
///
/// # Errors
/// A file that is there already (and not to be overwritten), or cannot be written.
pub fn write_junit(
    path: &Path,
    overwrite: bool,
    name: &str,
    tested: &Tested,
    calibration: &Calibration,
) -> Result<(), Error> {
    let mut suite = TestSuite::new(name);
    for tally in &tested.tallies {
        let said = format!(
            "expected {}, found {}{}",
            expected(tally, calibration),
            found(tally, calibration),
            why(tally)
        );
        let status = if tally.passed() {
            TestCaseStatus::success()
        } else {
            let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
            status.set_message(said.clone()).set_type("not as expected");
            status
        };
        let mut case = TestCase::new(tally.subject.key(), status);
        case.set_classname(name).set_system_out(said);
        suite.add_test_case(case);
    }
    let mut report = Report::new("stillwave check");
    report.add_test_suite(suite);
    let mut file = WholeFile::create(path, overwrite)?;
    let text = report.to_string().map_err(|error| file.error(std::io::Error::other(error)))?;
    // The schema (`tools/foreign/junit-10.xsd`) allows this attribute for a suite, but not for the
    // outermost element, which comes first.
    let text = text.replacen(" skipped=\"0\"", "", 1);
    file.put(text.as_bytes())?;
    file.finish()
}

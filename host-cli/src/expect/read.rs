//! An expectation out of its file.

use std::ops::Range;
use std::path::Path;

use stillwave::expect::Limit;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::value::{Fault, samples, tolerance, value};
use super::{Corner, Corners, Expectation};
use crate::calibration::Calibration;
use crate::error::{Error, Place};
use crate::measured::{QUANTITIES, Unit, find};
use crate::settings;

impl Expectation {
    /// Reads the file at `path`, for a recording of that calibration.
    ///
    /// # Errors
    /// A file that cannot be read; what is no TOML, or no expectation: with its line.
    pub fn read(path: &Path, calibration: &Calibration) -> Result<Self, Error> {
        let name = path.display().to_string();
        let text = settings::read(path, "an expectation, as stillwave expect drafts one")?;
        let file = File { name: &name, text: &text, calibration };
        file.expectation()
    }
}

/// A file that is being read.
struct File<'a> {
    name: &'a str,
    text: &'a str,
    calibration: &'a Calibration,
}

type Node<'t> = Spanned<DeValue<'t>>;

impl File<'_> {
    fn expectation(&self) -> Result<Expectation, Error> {
        let table = DeTable::parse(self.text).map_err(|error| {
            let remedy = "correct it; the format is TOML".to_owned();
            self.fault(error.span().unwrap_or(0..0), (error.message().to_owned(), remedy))
        })?;
        let mut expectation = Expectation::default();
        for (key, node) in table.get_ref() {
            match (key.get_ref().as_ref(), node.get_ref()) {
                ("mask", DeValue::Table(mask)) => {
                    expectation.mask = Some(self.mask(mask, node.span())?);
                }
                ("events", DeValue::Table(events)) => self.events(events, &mut expectation)?,
                (name @ ("mask" | "events"), _) => {
                    return Err(self.is_not(node, &format!("a table: write [{name}]")));
                }
                (name, _) => {
                    let Some(index) = find(name) else {
                        return Err(self.unknown(key.span(), name));
                    };
                    let unit = QUANTITIES.get(index).map_or(Unit::Ratio, |q| q.unit);
                    expectation.limits.push((index, self.limit(node, unit)?));
                }
            }
        }
        // As they are shown, whatever their order in the file.
        expectation.limits.sort_by_key(|(index, _)| *index);
        let Expectation { limits, mask, count, apart } = &expectation;
        if limits.is_empty() && mask.is_none() && count.is_none() && apart.is_none() {
            let problem = "nothing is expected here".to_owned();
            let remedy = "state something such as frequency = \"49 Hz..51 Hz\"".to_owned();
            return Err(Error::input(self.name, Place::Whole, problem, remedy));
        }
        Ok(expectation)
    }

    fn events(&self, table: &DeTable<'_>, expectation: &mut Expectation) -> Result<(), Error> {
        for (key, node) in table {
            match key.get_ref().as_ref() {
                "count" => expectation.count = Some(self.limit(node, Unit::Count)?),
                "apart" => expectation.apart = Some(self.limit(node, Unit::Time)?),
                name => return Err(self.no_such(key.span(), name, "count or apart")),
            }
        }
        Ok(())
    }

    /// A range `A..B`, a nominal value with a tolerance, or one or two bounds.
    fn limit(&self, node: &Node<'_>, unit: Unit) -> Result<Limit, Error> {
        let limit = match node.get_ref() {
            DeValue::Table(table) => return self.limit_of_table(table, node.span(), unit),
            DeValue::String(text) => match text.split_once("..") {
                Some((least, greatest)) => Limit::range(
                    self.text_value(node, least, unit)?,
                    self.text_value(node, greatest, unit)?,
                ),
                None if unit == Unit::Count => {
                    let value = self.text_value(node, text, unit)?;
                    Limit::range(value, value)
                }
                None => return Err(self.is_not(node, LIMIT)),
            },
            DeValue::Integer(_) | DeValue::Float(_) if unit == Unit::Count => {
                let value = self.value(node, unit)?;
                Limit::range(value, value)
            }
            _ => return Err(self.is_not(node, LIMIT)),
        };
        limit.map_err(|_| self.fault(node.span(), out_of_order()))
    }

    fn limit_of_table(
        &self,
        table: &DeTable<'_>,
        span: Range<usize>,
        unit: Unit,
    ) -> Result<Limit, Error> {
        let (mut nominal, mut off, mut least, mut greatest) = (None, None, None, None);
        for (key, node) in table {
            match key.get_ref().as_ref() {
                "nominal" => nominal = Some(self.value(node, unit)?),
                "tolerance" => off = Some(node),
                "at_least" => least = Some(self.value(node, unit)?),
                "at_most" => greatest = Some(self.value(node, unit)?),
                name => {
                    let known = "nominal with tolerance, at_least or at_most";
                    return Err(self.no_such(key.span(), name, known));
                }
            }
        }
        let limit = match (nominal, off, least, greatest) {
            (Some(nominal), Some(off), None, None) => {
                let text = self.scalar(off)?;
                let off = tolerance(&text, nominal, unit, self.calibration)
                    .map_err(|fault| self.fault(off.span(), fault))?;
                Limit::nominal(nominal, off)
            }
            (None, None, None, None) => return Err(self.fault(span, is_not("{ }", LIMIT))),
            (None, None, least, greatest) => Limit { least, greatest }.validated(),
            _ => {
                let problem = "nominal goes with tolerance, and both alone".to_owned();
                let remedy =
                    "write { nominal = …, tolerance = … } or { at_least = …, at_most = … }";
                return Err(self.fault(span, (problem, remedy.to_owned())));
            }
        };
        limit.map_err(|_| self.fault(span, out_of_order()))
    }

    fn mask(&self, table: &DeTable<'_>, span: Range<usize>) -> Result<Corners, Error> {
        let mut mask = Corners::default();
        for (key, node) in table {
            match key.get_ref().as_ref() {
                "upper" => mask.upper = self.corners(node)?,
                "lower" => mask.lower = self.corners(node)?,
                name => return Err(self.no_such(key.span(), name, "upper or lower")),
            }
        }
        if mask.upper.is_empty() && mask.lower.is_empty() {
            let fault = ("the mask has no bound".to_owned(), format!("add upper = {CORNERS}"));
            return Err(self.fault(span, fault));
        }
        if let Some(above) = self.crossing(&mask) {
            let problem = format!("the upper bound is below the lower one, {above}");
            return Err(self.fault(span, (problem, "move one of them".to_owned())));
        }
        Ok(mask)
    }

    fn corners(&self, node: &Node<'_>) -> Result<Vec<Corner>, Error> {
        let DeValue::Array(array) = node.get_ref() else {
            return Err(self.is_not(node, CORNERS));
        };
        let mut corners: Vec<Corner> = Vec::new();
        for pair in array {
            let Some([time, level]) = pair
                .get_ref()
                .as_array()
                .and_then(|pair| pair.get(0..2))
                .filter(|_| pair.get_ref().as_array().is_some_and(|pair| pair.len() == 2))
            else {
                return Err(self.is_not(pair, "a corner such as [\"1 ms\", \"0.5 V\"]"));
            };
            let text = self.scalar(time)?;
            let at =
                samples(&text, self.calibration).map_err(|fault| self.fault(time.span(), fault))?;
            if corners.last().is_some_and(|last| last.time > at) {
                let problem = format!("\"{text}\" is earlier than the corner before it");
                return Err(
                    self.fault(time.span(), (problem, "put corners in order of time".into()))
                );
            }
            corners.push(Corner { time: at, level: self.value(level, Unit::Level)? });
        }
        if corners.len() < 2 {
            let fault = ("a bound has two corners at least".to_owned(), "add one".to_owned());
            return Err(self.fault(node.span(), fault));
        }
        Ok(corners)
    }

    /// Where the bounds of a mask are in the wrong order, if anywhere.
    fn crossing(&self, mask: &Corners) -> Option<String> {
        let corners = mask.upper.iter().chain(&mask.lower);
        let wrong = corners.map(|corner| corner.time).find(|&time| {
            let levels = level_at(&mask.upper, time).zip(level_at(&mask.lower, time));
            levels.is_some_and(|(upper, lower)| upper < lower)
        });
        wrong.map(|time| {
            let sign = if time < 0.0 { "\u{2212}" } else { "" };
            format!("{sign}{} from the trigger", self.calibration.show_time(time.abs()))
        })
    }

    fn value(&self, node: &Node<'_>, unit: Unit) -> Result<f64, Error> {
        self.text_value(node, &self.scalar(node)?, unit)
    }

    fn text_value(&self, node: &Node<'_>, text: &str, unit: Unit) -> Result<f64, Error> {
        value(text, unit, self.calibration).map_err(|fault| self.fault(node.span(), fault))
    }

    /// A quantity: a text, or a bare number.
    fn scalar(&self, node: &Node<'_>) -> Result<String, Error> {
        match node.get_ref() {
            DeValue::String(text) => Ok(text.to_string()),
            DeValue::Integer(number) => Ok(number.as_str().to_owned()),
            DeValue::Float(number) => Ok(number.as_str().to_owned()),
            _ => Err(self.is_not(node, "a quantity such as \"2.5 V\"")),
        }
    }

    fn unknown(&self, span: Range<usize>, name: &str) -> Error {
        let names: Vec<_> = QUANTITIES.iter().map(|quantity| quantity.key).collect();
        let problem = format!("there is no quantity \"{name}\"");
        let remedy = format!("name one of {}, or write [mask] or [events]", names.join(", "));
        self.fault(span, (problem, remedy))
    }

    fn no_such(&self, span: Range<usize>, name: &str, known: &str) -> Error {
        self.fault(span, (format!("\"{name}\" has no meaning here"), format!("write {known}")))
    }

    fn is_not(&self, node: &Node<'_>, what: &str) -> Error {
        let span = node.span();
        let text = self.text.get(span.clone()).unwrap_or_default();
        let short: String = text.chars().take(40).collect();
        self.fault(span, is_not(&short, what))
    }

    fn fault(&self, span: Range<usize>, (problem, remedy): Fault) -> Error {
        let before = self.text.as_bytes().get(..span.start).unwrap_or_default();
        let line = 1 + memchr::memchr_iter(b'\n', before).count() as u64;
        Error::input(self.name, Place::Line(line), problem, remedy)
    }
}

const LIMIT: &str = "a limit such as \"1 V..2 V\", { nominal = \"1 V\", tolerance = \"5 %\" } or { at_most = \"2 V\" }";
const CORNERS: &str = "[[\"0 ms\", \"3.2 V\"], [\"2 ms\", \"3.2 V\"]]";

fn is_not(text: &str, what: &str) -> Fault {
    (format!("{} is not {what}", text.replace('\n', " ")), "correct it".to_owned())
}

fn out_of_order() -> Fault {
    ("this limit lets nothing through".to_owned(), "put the lower value first".to_owned())
}

/// The level of a bound at a time; at a step the later one.
fn level_at(corners: &[Corner], time: f64) -> Option<f64> {
    let at = corners.iter().rposition(|corner| corner.time <= time)?;
    let from = corners.get(at)?;
    match corners.get(at + 1) {
        Some(to) => {
            let part = (time - from.time) / (to.time - from.time);
            Some(from.level + part * (to.level - from.level))
        }
        None => (from.time == time).then_some(from.level),
    }
}

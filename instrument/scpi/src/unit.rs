//! One unit of a message, made ready for the parser. Standards are cited from memory.

use heapless::String;
use microscpi::Error;

use crate::value::{Limit, choose, number_end};

/// Bytes in the longest message.
pub const LONGEST_MESSAGE: usize = 256;
/// The longest header that there may be.
const LONGEST_HEADER: usize = 96;

/// The longest unit: a quotation mark on either side of each value.
type Text = String<{ LONGEST_HEADER + 2 * LONGEST_MESSAGE }>;

/// Where the last unit's header was, up to its last colon: the next begins there (SCPI-1999, volume
/// 1, 6.2.4).
#[derive(Default)]
pub(crate) struct Path(String<LONGEST_HEADER>);

/// A unit.
pub(crate) struct Unit {
    /// With its whole header, and suffixed numbers in quotation marks, which the parser's crate
    /// would not take otherwise. No message has others.
    pub(crate) text: Text,
    /// How many values it has.
    pub(crate) values: usize,
    /// Of a query: the limit asked for, in place of what is.
    pub(crate) limit: Option<Limit>,
    /// Of a format: the length beside its type; no number where it is none.
    pub(crate) length: Option<f64>,
    /// Whether it is to measure anew, and then to fetch.
    pub(crate) anew: bool,
}

impl Unit {
    /// Reads one; `None` where there is nothing in it.
    pub(crate) fn read(text: &str, path: &mut Path) -> Result<Option<Self>, Error> {
        // All that IEEE 488.2 has for white space (7.4.1.2).
        let is_white = |c: char| c <= ' ';
        let text = text.trim_matches(is_white);
        if text.is_empty() {
            return Ok(None);
        }
        let (header, values) = text.split_once(is_white).unwrap_or((text, ""));
        let values = values.trim_matches(is_white);
        let header = whole_header(header, path)?;

        // What the parser's crate, whose commands have a fixed number of values, would not take.
        let limit = if has_limits(&header) { Limit::named(values) } else { None };
        let values = if limit.is_some() { "" } else { values };
        let (values, length) = match values.split_once(',') {
            Some((kind, length)) if is_format(&header) && !length.contains(',') => {
                (kind, Some(length.trim().parse().unwrap_or(f64::NAN)))
            }
            _ => (values, None),
        };
        let (verb, rest) = header.split_at(header.find([':', '?']).unwrap_or(header.len()));
        let is = |word| verb.eq_ignore_ascii_case(word);
        // MEASure needs something to measure.
        let anew = is("READ") || (is("MEAS") || is("MEASURE")) && rest.starts_with(':');
        let mut unit = Self {
            text: Text::new(),
            values: if values.is_empty() { 0 } else { values.split(',').count() },
            limit,
            length,
            anew,
        };
        let verb = if anew { "FETC" } else { verb };
        unit.write(verb, rest, values).ok_or(Error::TooMuchData)?;
        Ok(Some(unit))
    }

    fn write(&mut self, verb: &str, rest: &str, values: &str) -> Option<()> {
        let text = &mut self.text;
        text.push_str(verb).ok()?;
        text.push_str(rest).ok()?;
        if !values.is_empty() {
            for (index, value) in values.split(',').enumerate() {
                text.push(if index == 0 { ' ' } else { ',' }).ok()?;
                let value = value.trim();
                let has_suffix = value
                    .starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c))
                    && number_end(value) < value.len();
                let mark = if has_suffix { "\"" } else { "" };
                for part in [mark, value, mark] {
                    text.push_str(part).ok()?;
                }
            }
        }
        text.push('\n').ok()
    }
}

/// Whether it is a query of a number, which also has limits.
fn has_limits(header: &str) -> bool {
    let Some(header) = header.strip_suffix('?') else { return false };
    let mut nodes = header.rsplit(':');
    let (last, before) = (nodes.next().unwrap_or_default(), nodes.next().unwrap_or_default());
    let names = [("LEV", "LEVEL"), ("HYST", "HYSTERESIS"), ("HOLD", "HOLDOFF"), ("TIME", "TIME")];
    match choose(last, names) {
        // Others are measured.
        Some(3) => choose(before, [("SWE", "SWEEP")]).is_some(),
        found => found.is_some(),
    }
}

/// Whether it sets how records are sent.
fn is_format(header: &str) -> bool {
    let (first, rest) = header.split_once(':').unwrap_or((header, "DATA"));
    choose(first, [("FORM", "FORMAT")]).is_some() && rest.eq_ignore_ascii_case("DATA")
}

/// A header from the root on; those of common commands stand by themselves.
fn whole_header(header: &str, path: &mut Path) -> Result<String<LONGEST_HEADER>, Error> {
    if header.starts_with(":*") {
        return Err(Error::UndefinedHeader);
    }
    let mut whole = String::new();
    let too_long = |_| Error::UndefinedHeader;
    if !header.starts_with(['*', ':']) {
        whole.push_str(&path.0).map_err(too_long)?;
    }
    whole.push_str(header.strip_prefix(':').unwrap_or(header)).map_err(too_long)?;
    if !header.starts_with('*') {
        let end = whole.rfind(':').map_or(0, |colon| colon + 1);
        path.0.clear();
        path.0.push_str(whole.get(..end).unwrap_or_default()).map_err(too_long)?;
    }
    Ok(whole)
}

#[cfg(test)]
mod tests {
    use super::{Path, Unit};
    use crate::value::Limit;

    #[test]
    fn headers_go_on_where_the_last_was() {
        let mut path = Path::default();
        let mut read = |text| Unit::read(text, &mut path).unwrap().unwrap();
        assert_eq!(read(" TRIG:LEV  1.5 mV").text, "TRIG:LEV \"1.5 mV\"\n");
        assert_eq!(read("SLOP pos").text, "TRIG:SLOP pos\n");
        assert_eq!(read("*ESE 1, 2V").text, "*ESE 1,\"2V\"\n");
        let unit = read("LEV? max");
        assert_eq!((unit.text.as_str(), unit.limit), ("TRIG:LEV?\n", Some(Limit::Maximum)));
        assert_eq!(read("SLOP? max").text, "TRIG:SLOP? max\n");
        let unit = read(":FORM REAL, 32");
        assert_eq!((unit.text.as_str(), unit.length), ("FORM REAL\n", Some(32.0)));
        let unit = read(":MEAS:FREQ?");
        assert!(unit.anew && unit.text == "FETC:FREQ?\n");
        let unit = read(":read?");
        assert!(unit.anew && unit.text == "FETC?\n");
        let unit = read(":MEAS?");
        assert!(!unit.anew && unit.text == "MEAS?\n");
        assert_eq!(read(":INIT").text, "INIT\n");
        assert_eq!(read("ABOR\r").text, "ABOR\n");
        assert!(Unit::read(" \t", &mut path).unwrap().is_none());
        assert!(Unit::read(&"A:".repeat(60), &mut path).is_err());
    }
}

//! `--on spi`.

use super::{Ask, Description, EventText, Mark, Sources, words};
use crate::args::{OrderName, Values};
use crate::error::Error;
use stillwave::{BitOrder, EdgeSlope, Sample, Side, Slope, SpiConfig, SpiFormat};

pub(super) const OPTIONS: &[&str] =
    &["--level", "--slope", "--data", "--select", "--word-bits", "--order", "--value", "--mask"];

pub(super) fn config<T: Sample>(ask: &Ask<'_>) -> Result<SpiConfig<T>, Error> {
    let data = ask.args.several.data.ok_or_else(|| ask.missing("--data", "--data 2"))?;
    let select =
        ask.args.several.select.ok_or_else(|| ask.missing("--select", "--select 3:low"))?;
    let format = SpiFormat { active: select.word.map_or(Side::Low, Ask::side), ..format(ask)? };
    Ok(SpiConfig {
        clock: ask.level()?,
        data: ask.other("--data", data)?,
        select: ask.other("--select", select)?,
        format,
    })
}

fn format(ask: &Ask<'_>) -> Result<SpiFormat, Error> {
    let serial = &ask.args.serial;
    let sampling = match ask.slope() {
        EdgeSlope::Rising => Slope::Rising,
        EdgeSlope::Falling => Slope::Falling,
        EdgeSlope::Either => {
            return Err(Error::usage(
                "--slope either has no use with --on spi",
                "choose rising (modes 0 and 3) or falling (modes 1 and 2)",
            ));
        }
    };
    let bits = serial.word_bits.unwrap_or(8);
    if !(1..=32).contains(&bits) {
        return Err(Error::usage(format!("--word-bits {bits}"), "give 1 to 32"));
    }
    let all = u32::MAX >> (32 - u32::from(bits));
    let one = |option: &str, values: Values| {
        values.one().filter(|&value| value <= all).ok_or_else(|| {
            Error::usage(
                format!("{option} is not one word of {bits} bits"),
                format!("give one value up to 0x{all:X}"),
            )
        })
    };
    ask.only(serial.mask.is_some(), serial.value.is_some(), "--mask", "--value")?;
    let word = serial.value.map(|value| one("--value", value)).transpose()?;
    let mask = serial.mask.map(|mask| one("--mask", mask)).transpose()?;
    let order = match serial.order.unwrap_or(OrderName::Msb) {
        OrderName::Msb => BitOrder::MostSignificantFirst,
        OrderName::Lsb => BitOrder::LeastSignificantFirst,
    };
    Ok(SpiFormat {
        sampling,
        bits,
        order,
        word: word.unwrap_or(0),
        mask: if word.is_some() { mask.unwrap_or(all) } else { 0 },
        ..SpiFormat::default()
    })
}

impl<T: Sample> Description<T> for SpiConfig<T> {
    fn noun(&self) -> &'static str {
        "word"
    }

    fn describe(&self, sources: &Sources) -> String {
        let format = &self.format;
        let what = match format.mask {
            0 => format!("any word of {} bits", format.bits),
            mask => format!("word 0x{:X} in the bits 0x{mask:X}", format.word & mask),
        };
        let side = words::side(format.active);
        let lines = [self.clock, self.data, self.select];
        let [clock, data, select] = lines.map(|line| sources.level_in_words(&line));
        format!("{what} on SPI, clock {clock}, data {data}, while {select} is {side}")
    }

    fn marks(&self, _: &Sources) -> Vec<Mark> {
        words::line_marks(&self.clock)
    }
}

pub(super) fn event_text(word: u32) -> EventText {
    EventText { value: Some(word), ..EventText::new("spi", format!("SPI 0x{word:X}")) }
}

//! Options that say how counts become volts.

use clap::Args;

use crate::quantity::{Level, Ratio, Voltage};

/// How counts become volts.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Scale")]
pub struct ScaleArgs {
    /// The converter's bits: one count is VREF / 2^BITS
    #[arg(long, value_name = "N", requires = "vref")]
    pub bits: Option<u32>,
    /// The converter's reference voltage, its full scale: 3.3V
    #[arg(long, value_name = "VOLTAGE")]
    pub vref: Option<Voltage>,
    /// The counts at 0 V, where the input is biased: 2048
    #[arg(long, value_name = "COUNTS")]
    pub zero: Option<Level>,
    /// The probe's or divider's attenuation: 1:1, 10:1, 100 (caution: see --help)
    ///
    /// Caution: the ground clip of a probe, and the ground of a board on a USB cable, may be
    /// mains earth. Connect the clip to ground only, never to a live node. For work on mains or
    /// other dangerous voltages use an isolating differential probe rated for the voltage and
    /// the place, know your probe's rating, and follow local codes; leave it to licensed people
    /// where they say so.
    #[arg(long, value_name = "RATIO", verbatim_doc_comment)]
    pub probe: Option<Ratio>,
}

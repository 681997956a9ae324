//! Options that say how counts become volts.

use clap::Args;

use crate::quantity::{Level, Ratio, Voltage};

/// How counts become volts.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Scale")]
pub struct ScaleArgs {
    /// Number of bits of the converter. One count is VREF / 2^BITS
    #[arg(long, value_name = "N", requires = "vref")]
    pub bits: Option<u32>,
    /// Reference voltage of the converter, which is its full scale: 3.3V
    #[arg(long, value_name = "VOLTAGE")]
    pub vref: Option<Voltage>,
    /// Counts at 0 V, if the input has a bias: 2048
    #[arg(long, value_name = "COUNTS")]
    pub zero: Option<Level>,
    /// Attenuation of the probe or divider: 1:1, 10:1, 100 (caution: see --help)
    ///
    /// Caution: the ground clip of a probe, and the ground of a board on a USB cable, may be
    /// connected to mains earth. Connect the clip to ground only, never to a live node. Know the
    /// rating of your probe. For work on mains or other dangerous voltages, use an isolating
    /// differential probe rated for the voltage and the location. Follow local codes, and leave
    /// to licensed people what the codes reserve to them.
    #[arg(long, value_name = "RATIO", verbatim_doc_comment)]
    pub probe: Option<Ratio>,
}

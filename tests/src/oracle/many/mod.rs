//! The rules for what happens on several channels, or after something else.

mod count;
mod delay;
mod pattern;
mod qualified;
mod sequence;
mod setup_hold;
mod side;
mod watch;

pub use count::{Count, Since};
pub use delay::Delay;
pub use pattern::{Must, Pattern, Until};
pub use qualified::Qualified;
pub use sequence::Sequence;
pub use setup_hold::SetupHold;
pub use side::Side;
pub use watch::{On, Seen, Sight, Watcher};

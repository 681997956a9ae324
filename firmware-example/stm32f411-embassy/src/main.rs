//! Stillwave in firmware of async tasks, on an STM32F411 board.
//!
//! ```text
//! PA0 ─► ADC, running on its own ─► DMA, in a ring ─► capture ─► records, measured ─► report ─► PA2
//! ```
//! PA0 takes 0 to 3.3 V and nothing else: anything from outside goes through the divider, and by the
//! cautions, of the folder's README.
//!
//! 83 333 samples a second. A line a record goes out by USART2 at 115 200 baud. What the ring lost,
//! because the processor was away for too long, the engine is told of.

#![no_std]
#![no_main]

use core::fmt::Write as _;
use core::panic::PanicInfo;

use cortex_m as _; // the critical section that tasks share
use embassy_executor::Spawner;
use embassy_stm32::adc::{Adc, AdcChannel as _, CONTINUOUS, Exten, RingBufferedAdc, SampleTime};
use embassy_stm32::mode::Async;
use embassy_stm32::peripherals::{ADC1, DMA1_CH6, DMA2_CH0};
use embassy_stm32::usart::{Config, UartTx};
use embassy_stm32::{bind_interrupts, dma};
use embassy_sync::blocking_mutex::raw::ThreadModeRawMutex;
use embassy_sync::channel::Channel;
use heapless::String;
use stillwave::measure::Meter;
use stillwave::{
    Acquisition, ConfigError, Edge, Holdoff, Level, Mode, Record, RecordShape, Slope, Trigger,
};

bind_interrupts!(struct Interrupts {
    DMA2_STREAM0 => dma::InterruptHandler<DMA2_CH0>;
    DMA1_STREAM6 => dma::InterruptHandler<DMA1_CH6>;
});

/// Samples handed to the engine at once: half of the ring.
const BLOCK: usize = 512;
/// Samples before and after the trigger.
const SHAPE: (usize, usize) = (200, 600);

/// What is told of a record.
struct Found {
    number: u64,
    position: u64,
    /// In counts; none where there are no samples.
    peak_to_peak: Option<u32>,
    /// In hundredths of a sample; none where there is no complete cycle.
    period: Option<u32>,
    /// Records that nobody was told of, since the report was too slow.
    untold: u32,
}

/// From capture to report.
static FOUND: Channel<ThreadModeRawMutex, Found, 4> = Channel::new();

#[embassy_executor::main]
async fn main(spawner: Spawner) {
    let board = embassy_stm32::init(embassy_stm32::Config::default());
    let adc = Adc::new(board.ADC1);
    let ring = cortex_m::singleton!(: [u16; 2 * BLOCK] = [0; 2 * BLOCK]);
    let (Some(ring), Ok(uart)) =
        (ring, UartTx::new(board.USART2, board.PA2, board.DMA1_CH6, Interrupts, Config::default()))
    else {
        return;
    };
    // 84 cycles to sample and 12 to convert, at 8 MHz.
    let input = (board.PA0.degrade_adc(), SampleTime::CYCLES84);
    let samples = adc.into_ring_buffered(
        board.DMA2_CH0,
        ring,
        Interrupts,
        [input].into_iter(),
        CONTINUOUS,
        Exten::DISABLED,
    );
    // Each is asked for once: there is room.
    if let (Ok(capture), Ok(report)) = (capture(samples), report(uart)) {
        spawner.spawn(capture);
        spawner.spawn(report);
    }
}

/// Samples in, records out.
#[embassy_executor::task]
async fn capture(mut samples: RingBufferedAdc<'static, ADC1>) {
    // The settings are constants in range.
    if let Ok(mut acquisition) = acquisition() {
        let (mut block, mut untold) = ([0; BLOCK], 0);
        loop {
            match samples.read(&mut block).await {
                Ok(_) => acquisition.push(&block, |record| tell(&record, &mut untold)),
                // How many were lost, the ring does not know.
                Err(_) => acquisition.gap(0),
            }
        }
    }
}

/// A rising edge through the middle of 12 bits, at most ten times a second.
fn acquisition() -> Result<Acquisition<Edge<u16>, [u16; SHAPE.0 + SHAPE.1]>, ConfigError> {
    let edge = Edge::new(Slope::Rising, Level::new(2048, 100)?)?;
    let trigger = Trigger::new(edge, Holdoff::Samples(8333))?;
    let shape = RecordShape::new(SHAPE.0, SHAPE.1)?;
    Acquisition::new(trigger, shape, Mode::Normal, [0; SHAPE.0 + SHAPE.1])
}

/// Measures a record, and hands on what it found without waiting.
fn tell(record: &Record<'_, u16>, untold: &mut u32) {
    let measured = Meter::default().measure(record.samples());
    let found = Found {
        number: record.number,
        position: record.at.position,
        peak_to_peak: measured.peak_to_peak.ok().map(|counts| counts as u32),
        period: measured.timing.period.ok().map(|samples| (samples * 100.0) as u32),
        untold: *untold,
    };
    if FOUND.try_send(found).is_err() {
        *untold += 1;
    }
}

/// A line a record.
#[embassy_executor::task]
async fn report(mut uart: UartTx<'static, Async>) {
    loop {
        let found = FOUND.receive().await;
        let mut line = String::<128>::new();
        // There is room for the longest numbers; and a line cut short is no reason to stop.
        let _ = write_line(&mut line, &found);
        let _ = uart.write(line.as_bytes()).await;
    }
}

fn write_line(line: &mut String<128>, found: &Found) -> core::fmt::Result {
    write!(line, "record {} at sample {}: ", found.number, found.position)?;
    if let Some(counts) = found.peak_to_peak {
        write!(line, "{counts} counts from peak to peak")?;
    }
    match found.period {
        Some(period) => write!(line, ", {}.{:02} samples a period", period / 100, period % 100)?,
        None => write!(line, ", no period")?,
    }
    writeln!(line, " ({} untold)\r", found.untold)
}

#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    cortex_m::peripheral::SCB::sys_reset()
}

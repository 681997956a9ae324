//! The bench instrument on a board with an STM32F411 and a crystal of 25 MHz: the same application
//! on another family. Built in CI; it was not run on a board. Settings are not kept.
//!
//! | | |
//! |---|---|
//! | PA0 | from the divider |
//! | PA1 to PA3, PA4 to PA6, PB0 to PB2 | knobs LEVEL, TIME, VOLTS: A, B, button |
//! | PB8, PB9 | display: SCL, SDA |
//! | PA9, PA10 | serial port: TX, RX |
//!
//! PA0 takes 0 to 3.3 V and nothing else: anything from outside goes through the divider, and by the
//! cautions, of the folder's README.

#![no_std]
#![no_main]

mod port;

use core::panic::PanicInfo;

#[rtic::app(device = stm32f4xx_hal::pac, peripherals = true)]
mod app {
    use board::WAITING;
    use embedded_hal_nb::serial::Read as _;
    use heapless::spsc::{Consumer, Producer, Queue};
    use ssd1306::mode::{BufferedGraphicsMode, DisplayConfig as _};
    use ssd1306::prelude::{DisplayRotation, DisplaySize128x64, I2CInterface};
    use ssd1306::{I2CDisplayInterface, Ssd1306};
    use stillwave::Event;
    use stillwave_app::store::Nothing;
    use stillwave_app::{Action, Capture, FrontEnd, Knob, Panel};
    use stillwave_link::Station;
    use stm32f4xx_hal::adc::Adc;
    use stm32f4xx_hal::adc::config::{AdcConfig, Clock, Continuous, Dma, SampleTime, Sequence};
    use stm32f4xx_hal::dma::config::DmaConfig;
    use stm32f4xx_hal::dma::{DMAError, PeripheralToMemory, Stream0, StreamsTuple, Transfer};
    use stm32f4xx_hal::gpio::{AnyPin, Input};
    use stm32f4xx_hal::i2c::I2c;
    use stm32f4xx_hal::pac::{ADC1, DMA2, I2C1, TIM2, TIM5, USART1};
    use stm32f4xx_hal::prelude::*;
    use stm32f4xx_hal::rcc::Config;
    use stm32f4xx_hal::serial::{self, Rx, Serial};
    use stm32f4xx_hal::timer::{CounterUs, Event as Tick, Flag};

    use crate::port::Port;

    /// Samples in a block.
    const BLOCK: usize = 2_048;
    /// Samples in the longest record: eight divisions of 5 ms at 600 kS/s, and one more on either
    /// side.
    const LONGEST: usize = 24_002;
    /// The converter's clock of 24 MHz over 28 cycles to sample and 12 to convert (reference manual
    /// RM0383, 11.12.4).
    const RATE: u32 = 24_000_000 / 40;

    type Samples = &'static mut [u16; BLOCK];
    type Sampling = Transfer<Stream0<DMA2>, 0, Adc<ADC1>, PeripheralToMemory, Samples>;
    type Display = Ssd1306<
        I2CInterface<I2c<I2C1>>,
        DisplaySize128x64,
        BufferedGraphicsMode<DisplaySize128x64>,
    >;

    #[shared]
    struct Shared {
        capture: Capture<'static>,
        /// Events that found the queue full.
        events_dropped: u32,
    }

    #[local]
    struct Local {
        panel: Panel<AnyPin<Input>, AnyPin<Input>, AnyPin<Input>>,
        tick: CounterUs<TIM2>,
        milliseconds: u64,
        actions_in: Producer<'static, Action>,
        actions: Consumer<'static, Action>,
        sampling: Sampling,
        spare: Option<Samples>,
        events_in: Producer<'static, Event>,
        events: Consumer<'static, Event>,
        receiver: Rx<USART1>,
        bytes_in: Producer<'static, u8>,
        port: Port,
        station: Station<'static, Nothing, 4096>,
        display: Display,
        clock: CounterUs<TIM5>,
    }

    #[init(local = [
        blocks: [[u16; BLOCK]; 3] = [[0; BLOCK]; 3],
        recording: [u16; LONGEST] = [0; LONGEST],
        shown: [u16; LONGEST] = [0; LONGEST],
        action_queue: Queue<Action, 32> = Queue::new(),
        event_queue: Queue<Event, 64> = Queue::new(),
        byte_queue: Queue<u8, WAITING> = Queue::new(),
    ])]
    fn init(cx: init::Context) -> (Shared, Local) {
        let device = cx.device;
        let clocks = Config::hse(25.MHz()).sysclk(96.MHz()).pclk1(48.MHz()).pclk2(96.MHz());
        let mut rcc = device.RCC.freeze(clocks);
        let a = device.GPIOA.split(&mut rcc);
        let b = device.GPIOB.split(&mut rcc);
        let panel = Panel::new(
            Knob::new(
                a.pa1.into_pull_up_input().erase(),
                a.pa2.into_pull_up_input().erase(),
                a.pa3.into_pull_up_input().erase(),
            ),
            Knob::new(
                a.pa4.into_pull_up_input().erase(),
                a.pa5.into_pull_up_input().erase(),
                a.pa6.into_pull_up_input().erase(),
            ),
            Knob::new(
                b.pb0.into_pull_up_input().erase(),
                b.pb1.into_pull_up_input().erase(),
                b.pb2.into_pull_up_input().erase(),
            ),
        );
        let mut tick = device.TIM2.counter_us(&mut rcc);
        tick.start(1.millis()).expect("a time that the timer can make");
        tick.listen(Tick::Update);
        let mut clock = device.TIM5.counter_us(&mut rcc);
        clock.start(u32::MAX.micros()).expect("a time that the timer can make");

        let speed = serial::Config::default().baudrate(921_600.bps());
        let serial = Serial::<USART1, u8>::new(device.USART1, (a.pa9, a.pa10), speed, &mut rcc);
        let (sender, mut receiver) = serial.expect("a speed that the clock can make").split();
        receiver.listen();

        let bus = I2c::new(device.I2C1, (b.pb8, b.pb9), 400.kHz(), &mut rcc);
        let wires = I2CDisplayInterface::new(bus);
        let mut display = Ssd1306::new(wires, DisplaySize128x64, DisplayRotation::Rotate0)
            .into_buffered_graphics_mode();
        // Without a display the link still works.
        let _ = display.init();

        let front = FrontEnd::of_diagram(RATE).expect("a scale in range");
        let station = Station::new(front, LONGEST, Nothing);
        let arrangement = station.bench().arrangement().expect("settings in range");
        let capture = Capture::new(arrangement, front.highest, cx.local.recording, cx.local.shown)
            .expect("memory for the longest record");

        let how = AdcConfig::default()
            .clock(Clock::Pclk2_div_4)
            .continuous(Continuous::Continuous)
            .dma(Dma::Continuous);
        let mut adc = Adc::new(device.ADC1, true, how, &mut rcc);
        adc.configure_channel(&a.pa0.into_analog(), Sequence::One, SampleTime::Cycles_28);
        let [first, second, spare] = cx.local.blocks;
        let how = DmaConfig::default()
            .transfer_complete_interrupt(true)
            .memory_increment(true)
            .double_buffer(true);
        let streams = StreamsTuple::new(device.DMA2, &mut rcc);
        let mut sampling =
            Transfer::init_peripheral_to_memory(streams.0, adc, first, Some(second), how);
        sampling.start(Adc::start_conversion);

        let (actions_in, actions) = cx.local.action_queue.split();
        let (events_in, events) = cx.local.event_queue.split();
        let (bytes_in, received) = cx.local.byte_queue.split();
        let local = Local {
            panel,
            tick,
            milliseconds: 0,
            actions_in,
            actions,
            sampling,
            spare: Some(spare),
            events_in,
            events,
            receiver,
            bytes_in,
            port: Port { received, sender },
            station,
            display,
            clock,
        };
        (Shared { capture, events_dropped: 0 }, local)
    }

    /// A block of samples is there.
    #[task(
        binds = DMA2_STREAM0,
        priority = 2,
        shared = [capture, events_dropped],
        local = [sampling, spare, events_in]
    )]
    fn block(cx: block::Context) {
        let block::LocalResources { sampling, spare, events_in, .. } = cx.local;
        let Some(buffer) = spare.take() else { return };
        let (block, late) = match sampling.next_transfer(buffer) {
            Ok((block, _)) => (block, false),
            Err(
                DMAError::NotReady(block) | DMAError::SmallBuffer(block) | DMAError::Overrun(block),
            ) => (block, true),
        };
        let block::SharedResources { capture, events_dropped, .. } = cx.shared;
        (capture, events_dropped).lock(|capture, dropped| {
            if late {
                // At least this one; the hardware does not say how many more.
                capture.gap(BLOCK as u64);
            } else {
                capture.push(&block[..], |event| {
                    *dropped += u32::from(events_in.enqueue(event).is_err());
                });
            }
        });
        *spare = Some(block);
    }

    /// A millisecond has passed.
    #[task(binds = TIM2, priority = 3, local = [panel, tick, milliseconds, actions_in])]
    fn knobs(cx: knobs::Context) {
        let knobs::LocalResources { panel, tick, milliseconds, actions_in, .. } = cx.local;
        tick.clear_flags(Flag::Update);
        *milliseconds += 1;
        panel.poll(*milliseconds, |action| {
            // Full only where the main loop hangs: then nothing helps.
            let _ = actions_in.enqueue(action);
        });
    }

    /// A byte has come.
    #[task(binds = USART1, priority = 4, local = [receiver, bytes_in])]
    fn received(cx: received::Context) {
        while let Ok(byte) = cx.local.receiver.read() {
            // One that finds no room makes its frame a damaged one, which is counted.
            let _ = cx.local.bytes_in.enqueue(byte);
        }
    }

    /// All that can wait.
    #[idle(
        shared = [capture, events_dropped],
        local = [actions, events, port, station, display, clock]
    )]
    fn idle(cx: idle::Context) -> ! {
        let idle::LocalResources { actions, events, port, station, display, clock, .. } = cx.local;
        let idle::SharedResources { capture, events_dropped, .. } = cx.shared;
        // The timer's 32 bits last 71 minutes: counted on here.
        let (mut last, mut time) = (0, 0_u64);
        let now = || {
            let ticks = clock.now().ticks();
            time += u64::from(ticks.wrapping_sub(last));
            last = ticks;
            time
        };
        board::idle(
            station,
            (actions, events),
            (capture, events_dropped),
            port,
            display,
            |display| _ = display.flush(),
            now,
        )
    }
}

#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    // Begins anew: an instrument that hangs is worse than one that blinks.
    cortex_m::peripheral::SCB::sys_reset()
}

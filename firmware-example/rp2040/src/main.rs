//! The bench instrument on an RP2040 board: wiring in the folder's README.
//!
//! | who | priority | does |
//! |---|---|---|
//! | `knobs` | 3 | looks at the knobs, every millisecond |
//! | `received` | 3 | takes bytes from the serial port |
//! | `block` | 2 | takes 2048 samples through the engine, every 4096 µs |
//! | `usb` | 1 | serves the computer at the USB socket |
//! | `idle` | - | settings, link, picture; sleeps in between |

#![no_std]
#![no_main]

mod display;
mod flash;
mod port;
mod sampler;
mod usb;

use core::panic::PanicInfo;

#[cfg(feature = "log")]
use defmt_rtt as _;

/// The second stage of the boot, for flash of the usual kind.
#[unsafe(link_section = ".boot2")]
#[used]
static BOOT2: [u8; 256] = rp2040_boot2::BOOT_LOADER_W25Q080;

#[rtic::app(device = rp2040_hal::pac)]
mod app {
    use board::WAITING;
    use embedded_io::Read as _;
    use heapless::spsc::{Consumer, Producer, Queue};
    use rp2040_hal::clocks::{Clock as _, init_clocks_and_plls};
    use rp2040_hal::fugit::{ExtU32 as _, RateExtU32 as _};
    use rp2040_hal::gpio::bank0::{Gpio0, Gpio1};
    use rp2040_hal::gpio::{DynPinId, FunctionSioInput, FunctionUart, Pin, Pins, PullDown, PullUp};
    use rp2040_hal::timer::{Alarm as _, Alarm0, Timer};
    use rp2040_hal::uart::{DataBits, Reader, StopBits, UartConfig, UartPeripheral};
    use rp2040_hal::usb::UsbBus;
    use rp2040_hal::{Adc, Sio, Watchdog, adc::AdcPin, pac};
    use stillwave::Event;
    use stillwave_app::store::Flash;
    use stillwave_app::{Action, Capture, FrontEnd, Knob, Panel};
    use stillwave_link::Station;
    use usb_device::bus::UsbBusAllocator;

    use crate::display::{CHUNK, Display, KILOHERTZ};
    use crate::flash::{BoardFlash, SETTINGS};
    use crate::port::{Port, Uart};
    use crate::sampler::{BLOCK, RATE, Ring, Sampler, Taken};
    use crate::usb::Usb;

    /// Samples in the longest record: eight divisions of 10 ms, and one more on either side.
    const LONGEST: usize = 40_002;
    /// The crystal's frequency.
    const CRYSTAL: u32 = 12_000_000;

    type Input = Pin<DynPinId, FunctionSioInput, PullUp>;
    type UartPins = (Pin<Gpio0, FunctionUart, PullDown>, Pin<Gpio1, FunctionUart, PullDown>);

    #[shared]
    struct Shared {
        capture: Capture<'static>,
        /// Events that found the queue full.
        events_dropped: u32,
        usb: Usb,
    }

    #[local]
    struct Local {
        panel: Panel<Input, Input, Input>,
        alarm: Alarm0,
        actions_in: Producer<'static, Action>,
        actions: Consumer<'static, Action>,
        sampler: Sampler,
        copy: &'static mut [u16; BLOCK],
        events_in: Producer<'static, Event>,
        events: Consumer<'static, Event>,
        reader: Reader<pac::UART0, UartPins>,
        bytes_in: Producer<'static, u8>,
        uart: Uart<pac::UART0, UartPins>,
        station: Station<'static, Flash<BoardFlash>, 4096>,
        display: Display,
        timer: Timer,
        block_timer: Timer,
        knobs_timer: Timer,
    }

    #[init(local = [
        adc: Option<Adc> = None,
        ring: Ring = Ring::new(),
        copy_memory: [u16; BLOCK] = [0; BLOCK],
        recording: [u16; LONGEST] = [0; LONGEST],
        shown: [u16; LONGEST] = [0; LONGEST],
        action_queue: Queue<Action, 32> = Queue::new(),
        event_queue: Queue<Event, 256> = Queue::new(),
        byte_queue: Queue<u8, WAITING> = Queue::new(),
        usb_bus: Option<UsbBusAllocator<UsbBus>> = None,
        on_its_way: [u8; CHUNK] = [0; CHUNK],
    ])]
    fn init(cx: init::Context) -> (Shared, Local) {
        let pac::Peripherals {
            ADC,
            CLOCKS,
            DMA,
            #[cfg(not(feature = "large-display"))]
            I2C0,
            IO_BANK0,
            PADS_BANK0,
            PLL_SYS,
            PLL_USB,
            SIO,
            #[cfg(feature = "large-display")]
            SPI0,
            TIMER,
            UART0,
            USBCTRL_DPRAM,
            USBCTRL_REGS,
            WATCHDOG,
            XOSC,
            mut RESETS,
            ..
        } = cx.device;
        let mut watchdog = Watchdog::new(WATCHDOG);
        let clocks = init_clocks_and_plls(
            CRYSTAL,
            XOSC,
            CLOCKS,
            PLL_SYS,
            PLL_USB,
            &mut RESETS,
            &mut watchdog,
        )
        .unwrap_or_else(|_| unreachable!("the crystal of every such board"));
        let timer = Timer::new(TIMER, &mut RESETS, &clocks);
        let sio = Sio::new(SIO);
        let pins = Pins::new(IO_BANK0, PADS_BANK0, sio.gpio_bank0, &mut RESETS);

        let panel = Panel::new(
            Knob::new(
                pins.gpio6.into_pull_up_input().into_dyn_pin(),
                pins.gpio7.into_pull_up_input().into_dyn_pin(),
                pins.gpio8.into_pull_up_input().into_dyn_pin(),
            ),
            Knob::new(
                pins.gpio9.into_pull_up_input().into_dyn_pin(),
                pins.gpio10.into_pull_up_input().into_dyn_pin(),
                pins.gpio11.into_pull_up_input().into_dyn_pin(),
            ),
            Knob::new(
                pins.gpio12.into_pull_up_input().into_dyn_pin(),
                pins.gpio13.into_pull_up_input().into_dyn_pin(),
                pins.gpio14.into_pull_up_input().into_dyn_pin(),
            ),
        );
        let mut ticks = timer;
        let mut alarm = ticks.alarm_0().expect("taken once");
        alarm.enable_interrupt();
        let _ = alarm.schedule(1.millis());

        let uart = UartPeripheral::new(
            UART0,
            (pins.gpio0.into_function(), pins.gpio1.into_function()),
            &mut RESETS,
        )
        .enable(
            UartConfig::new(921_600.Hz(), DataBits::Eight, None, StopBits::One),
            clocks.peripheral_clock.freq(),
        )
        .expect("a speed that the clock can make");
        let (mut reader, writer) = uart.split();
        reader.enable_rx_interrupt();

        let bus = UsbBus::new(USBCTRL_REGS, USBCTRL_DPRAM, clocks.usb_clock, true, &mut RESETS);
        let bus = cx.local.usb_bus.insert(UsbBusAllocator::new(bus));
        let usb = Usb::new(bus).expect("descriptors of the usual kind");

        #[cfg(not(feature = "large-display"))]
        let display = crate::display::open(rp2040_hal::I2C::i2c0(
            I2C0,
            pins.gpio4.reconfigure(),
            pins.gpio5.reconfigure(),
            KILOHERTZ.kHz(),
            &mut RESETS,
            &clocks.system_clock,
        ));
        #[cfg(feature = "large-display")]
        let display = crate::display::open(
            rp2040_hal::Spi::<_, _, _, 8>::new(
                SPI0,
                (pins.gpio19.into_function(), pins.gpio18.into_function()),
            )
            .init(
                &mut RESETS,
                clocks.peripheral_clock.freq(),
                KILOHERTZ.kHz(),
                embedded_hal::spi::MODE_0,
            ),
            crate::display::Lines {
                select: pins.gpio17.reconfigure(),
                data: pins.gpio20.reconfigure(),
                reset: pins.gpio21.reconfigure(),
            },
            cx.local.on_its_way,
            timer,
        );

        let front = FrontEnd::of_diagram(RATE).expect("a scale in range");
        let memory = Flash::new(BoardFlash, SETTINGS);
        let station = Station::new(front, LONGEST, memory);
        let arrangement = station.bench().arrangement().expect("settings in range");
        let capture = Capture::new(arrangement, front.highest, cx.local.recording, cx.local.shown)
            .expect("memory for the longest record");

        let adc = cx.local.adc.insert(Adc::new(ADC, &mut RESETS));
        let mut probe =
            AdcPin::new(pins.gpio26.into_floating_input()).expect("a pin of the converter");
        let fifo = adc
            .build_fifo()
            .clock_divider(0, 0)
            .set_channel(&mut probe)
            .enable_dma()
            .start_paused();
        let (actions_in, actions) = cx.local.action_queue.split();
        let (events_in, events) = cx.local.event_queue.split();
        let (bytes_in, received) = cx.local.byte_queue.split();
        let sampler =
            Sampler::start(DMA, &mut RESETS, fifo, cx.local.ring, || timer.get_counter().ticks());
        let local = Local {
            panel,
            alarm,
            actions_in,
            actions,
            sampler,
            copy: cx.local.copy_memory,
            events_in,
            events,
            reader,
            bytes_in,
            uart: Uart { received, writer },
            station,
            display,
            timer,
            block_timer: timer,
            knobs_timer: timer,
        };
        (Shared { capture, events_dropped: 0, usb }, local)
    }

    /// A block of samples is there.
    #[task(
        binds = DMA_IRQ_0,
        priority = 2,
        shared = [capture, events_dropped],
        local = [sampler, copy, events_in, block_timer]
    )]
    fn block(cx: block::Context) {
        let block::LocalResources { sampler, copy, events_in, block_timer, .. } = cx.local;
        let Taken { lost, block } = sampler.take(copy, || block_timer.get_counter().ticks());
        let block::SharedResources { capture, events_dropped, .. } = cx.shared;
        (capture, events_dropped).lock(|capture, dropped| {
            if let Some(lost) = lost {
                capture.gap(lost);
            }
            if let Some(block) = block {
                capture
                    .push(block, |event| *dropped += u32::from(events_in.enqueue(event).is_err()));
            }
        });
    }

    /// A millisecond has passed.
    #[task(binds = TIMER_IRQ_0, priority = 3, local = [panel, alarm, actions_in, knobs_timer])]
    fn knobs(cx: knobs::Context) {
        let knobs::LocalResources { panel, alarm, actions_in, knobs_timer, .. } = cx.local;
        alarm.clear_interrupt();
        let _ = alarm.schedule(1.millis());
        let milliseconds = knobs_timer.get_counter().ticks() / 1_000;
        panel.poll(milliseconds, |action| {
            // Full only where the main loop hangs: then nothing helps.
            let _ = actions_in.enqueue(action);
        });
    }

    /// Bytes have come.
    #[task(binds = UART0_IRQ, priority = 3, local = [reader, bytes_in])]
    fn received(cx: received::Context) {
        let received::LocalResources { reader, bytes_in, .. } = cx.local;
        let mut bytes = [0; 32];
        if let Ok(count) = reader.read(&mut bytes) {
            for &byte in bytes.get(..count).unwrap_or_default() {
                // One that finds no room makes its frame a damaged one, which is counted.
                let _ = bytes_in.enqueue(byte);
            }
        }
    }

    /// The computer at the USB socket asks or takes something.
    #[task(binds = USBCTRL_IRQ, priority = 1, shared = [usb])]
    fn usb(mut cx: usb::Context) {
        cx.shared.usb.lock(Usb::poll);
    }

    /// All that can wait.
    #[idle(
        shared = [capture, events_dropped, usb],
        local = [actions, events, uart, station, display, timer]
    )]
    fn idle(cx: idle::Context) -> ! {
        let idle::LocalResources { actions, events, uart, station, display, timer, .. } = cx.local;
        let idle::SharedResources { capture, events_dropped, usb, .. } = cx.shared;
        let mut port = Port { uart, usb };
        let now = || timer.get_counter().ticks();
        board::idle(
            station,
            (actions, events),
            (capture, events_dropped),
            &mut port,
            display,
            |display| _ = display.flush(),
            now,
        )
    }
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    #[cfg(feature = "log")]
    defmt::error!("{}", defmt::Display2Format(info));
    let _ = info;
    // Begins anew: an instrument that hangs is worse than one that blinks.
    cortex_m::peripheral::SCB::sys_reset()
}

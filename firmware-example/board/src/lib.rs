//! The main loop of every board of the bench instrument.

#![no_std]

use core::convert::Infallible;

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_io::{Read, ReadReady, Write, WriteReady};
use heapless::spsc::Consumer;
use rtic_core::Mutex;
use stillwave::Event;
use stillwave_app::{Action, Capture, Keep};
use stillwave_link::Station;

/// Bytes received and not yet read.
pub const WAITING: usize = 512;

/// All that can wait: settings, link, picture; sleeps in between.
///
/// Interrupts bring actions and events, and share the capture and the number of events that found
/// their queue full. `show` makes the display show what was drawn; `now` tells µs.
pub fn idle<K, P, D, const N: usize>(
    station: &mut Station<'static, K, N>,
    (actions, events): (&mut Consumer<'static, Action>, &mut Consumer<'static, Event>),
    (mut capture, mut events_dropped): (impl Mutex<T = Capture<'static>>, impl Mutex<T = u32>),
    port: &mut P,
    display: &mut D,
    mut show: impl FnMut(&mut D),
    mut now: impl FnMut() -> u64,
) -> !
where
    K: Keep,
    P: Read<Error = Infallible> + ReadReady + Write + WriteReady,
    D: DrawTarget<Color = BinaryColor>,
{
    loop {
        while let Some(action) = actions.dequeue() {
            station.act(action);
        }
        while station.has_room()
            && let Some(event) = events.dequeue()
        {
            station.event(event);
        }
        let dropped = events_dropped.lock(|dropped| *dropped);
        let Ok(()) = station.turn(now() / 1_000, dropped, port, |bench, wanted, back| {
            capture.lock(|capture| {
                if let Some(shot) = back {
                    capture.give_back(shot);
                }
                (bench.meet(capture, wanted), capture.counts())
            })
        });
        if station.draw(display).unwrap_or(false) {
            show(display);
        }
        // With interrupts held back, so that none is served before the clock is read.
        cortex_m::interrupt::disable();
        let asleep = now();
        cortex_m::asm::wfi();
        station.slept(asleep, now());
        // SAFETY: no critical section is left early: none is entered here.
        unsafe { cortex_m::interrupt::enable() };
    }
}

//! The board's own USB socket, as a serial port.

use board::WAITING;
use heapless::Deque;
use rp2040_hal::usb::UsbBus;
use usb_device::bus::UsbBusAllocator;
use usb_device::device::{StringDescriptors, UsbDevice, UsbDeviceBuilder, UsbVidPid};
use usb_device::prelude::UsbDeviceState;
use usbd_serial::{SerialPort, USB_CLASS_CDC};

/// What pid.codes has for devices that are not for sale.
const FOR_TESTS: UsbVidPid = UsbVidPid(0x1209, 0x0001);
/// Bytes in the largest packet.
const PACKET: u8 = 64;

/// Bytes both ways.
pub struct Usb {
    device: UsbDevice<'static, UsbBus>,
    serial: SerialPort<'static, UsbBus, [u8; 128], [u8; 512]>,
    received: Deque<u8, WAITING>,
}

impl Usb {
    /// The socket; `None` for descriptors that cannot be, which these are not.
    pub(crate) fn new(bus: &'static UsbBusAllocator<UsbBus>) -> Option<Self> {
        let serial = SerialPort::new_with_store(bus, [0; 128], [0; 512]);
        let strings = StringDescriptors::default()
            .manufacturer("Stillwave")
            .product("Bench instrument")
            .serial_number("0");
        let device = UsbDeviceBuilder::new(bus, FOR_TESTS)
            .strings(&[strings])
            .ok()?
            .max_packet_size_0(PACKET)
            .ok()?
            .device_class(USB_CLASS_CDC)
            .build();
        Some(Self { device, serial, received: Deque::new() })
    }

    /// Serves the computer, at each interrupt; which comes again until all is read.
    pub(crate) fn poll(&mut self) {
        self.device.poll(&mut [&mut self.serial]);
        let mut bytes = [0; PACKET as usize];
        while let Ok(count @ 1..) = self.serial.read(&mut bytes) {
            for &byte in bytes.get(..count).unwrap_or_default() {
                // One that finds no room makes its frame a damaged one, which is counted.
                let _ = self.received.push_back(byte);
            }
        }
    }

    /// Whether a program has the port open.
    pub(crate) fn is_open(&self) -> bool {
        self.device.state() == UsbDeviceState::Configured && self.serial.dtr()
    }

    /// Whether bytes have come.
    pub(crate) fn has_received(&self) -> bool {
        !self.received.is_empty()
    }

    /// Takes bytes that have come.
    pub(crate) fn read(&mut self, bytes: &mut [u8]) -> usize {
        let come = core::iter::from_fn(|| self.received.pop_front());
        bytes.iter_mut().zip(come).map(|(place, byte)| *place = byte).count()
    }

    /// Sends as many as there is room for.
    pub(crate) fn write(&mut self, bytes: &[u8]) -> usize {
        let count = self.serial.write(bytes).unwrap_or(0);
        // The first packet; the interrupt of each sends the next.
        let _ = self.serial.flush();
        count
    }
}

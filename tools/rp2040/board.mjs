// The board around an emulated RP2040: a waveform at the converter's pin, knobs, a display, a
// serial port, and flash that can be written.
//
// The emulator's faults that matter here are mended here, not in the firmware.

import { LogLevel, ConsoleLogger, RP2040, USBCDC } from 'rp2040js';

import { Display, LargeDisplay } from './display.mjs';
import { FLASH, parts } from './elf.mjs';
import { bootRom } from './rom.mjs';

const DMA_IRQ_0 = 11;
const SECOND = 1e9;

/** Puts a program's parts where they belong. */
function load(chip, path) {
  for (const { address, bytes } of parts(path)) {
    if (address < FLASH || address + bytes.length > FLASH + chip.flash.length) {
      throw new Error(`${path}: a part at 0x${address.toString(16)}, outside the flash`);
    }
    chip.flash.set(bytes, address - FLASH);
  }
}

/** A board that runs `firmware` (an ELF file) with `signal` at its probe. */
export class Board {
  /**
   * @param {string} firmware
   * @param {(n: number) => number} signal the converter's code at its n-th sample
   * @param {{ flash?: Uint8Array, paced?: boolean }} options what was in the flash when the power
   *   went off; whether the display's bus takes its time
   */
  constructor(firmware, signal, { flash, paced = false } = {}) {
    const chip = new RP2040();
    chip.logger = new ConsoleLogger(LogLevel.Error);
    this.chip = chip;
    this.samples = 0;
    this.received = [];
    if (flash) chip.flash.set(flash);
    load(chip, firmware);
    this.rom = bootRom(chip);

    const { adc, clock } = chip;
    const done = clock.createAlarm(() => adc.completeADCRead(signal(this.samples++), false));
    adc.onADCRead = () => done.schedule(2000);
    // Reading the FIFO must lower its interrupt.
    const read = adc.readUint32.bind(adc);
    adc.readUint32 = (offset) => {
      const value = read(offset);
      if (offset === 0x0c) adc.checkInterrupts();
      return value;
    };

    // A handler begins at an even address: the bit that says Thumb is not part of it.
    const { core } = chip;
    const enter = core.exceptionEntry.bind(core);
    core.exceptionEntry = (exception) => {
      enter(exception);
      core.PC &= ~1;
    };

    this.display = new Display();
    const bus = chip.i2c[0];
    const bits = 9 * (SECOND / 400e3);
    const written = clock.createAlarm(() => bus.completeWrite(true));
    bus.onConnect = (address) => bus.completeConnect(address === 0x3c);
    bus.onWriteByte = (byte) => {
      this.display.byte(byte);
      if (paced) written.schedule(bits);
      else bus.completeWrite(true);
    };
    bus.onStop = () => {
      this.display.stop();
      bus.completeStop();
    };
    // The other display, on boards that are built for it. It takes no time.
    this.large = new LargeDisplay();
    chip.spi[0].onTransmit = (byte) => {
      this.large.byte(byte, chip.gpio[20].outputValue);
      chip.spi[0].completeTransmit(0);
    };
    chip.uart[0].onByte = (byte) => this.received.push(byte);
    // Pulled up, as nobody touches them.
    for (let pin = 6; pin <= 14; pin++) chip.gpio[pin].setInputValue(true);

    this.busy = 0;
    this.latency = { blocks: 0, longest: 0, sum: 0, service: 0 };
    this.watchBlocks();
    const start = chip.readUint32(FLASH + 0x100);
    chip.core.SP = start;
    chip.core.PC = FLASH;
  }

  /** Cycles from a block's completion to the first instruction that serves it, and to its end. */
  watchBlocks() {
    const { core } = this.chip;
    const set = core.setInterrupt.bind(core);
    this.asked = null;
    this.served = null;
    core.setInterrupt = (irq, value) => {
      if (irq === DMA_IRQ_0 && value && this.asked === null && this.served === null) this.asked = this.cycles;
      set(irq, value);
    };
    this.cycles = 0;
  }

  /** Runs for so many emulated seconds. */
  run(seconds) {
    const { chip, latency } = this;
    const { core, clock } = chip;
    const end = clock.nanos + seconds * SECOND;
    while (clock.nanos < end) {
      const cycle = SECOND / chip.clkSys;
      if (core.waiting) {
        const nanos = Math.min(clock.nanosToNextAlarm, end - clock.nanos);
        if (nanos <= 0 && clock.nextAlarm === null) break;
        this.cycles += nanos / cycle;
        clock.tick(nanos);
        continue;
      }
      if (core.PC < 0x4000) this.rom(core);
      const cycles = core.executeInstruction();
      this.busy += cycles;
      this.cycles += cycles;
      clock.tick(cycles * cycle);
      if (this.asked !== null && core.IPSR === DMA_IRQ_0 + 16) {
        const waited = this.cycles - this.asked;
        latency.blocks++;
        latency.sum += waited;
        latency.longest = Math.max(latency.longest, waited);
        this.served = this.cycles;
        this.asked = null;
      } else if (this.served !== null && core.IPSR !== DMA_IRQ_0 + 16 && core.IPSR === 0) {
        latency.service = Math.max(latency.service, this.cycles - this.served);
        this.served = null;
      }
    }
  }

  /** Bytes to the serial port: at its speed, 921 600 baud. */
  send(bytes) {
    for (const byte of bytes) {
      this.chip.uart[0].feedByte(byte);
      this.run(10 / 921600);
    }
  }

  /** Plugs a computer into the USB socket, which opens the port; what it is sent is in `byUsb`. */
  plugUsb() {
    const { usbCtrl, clock } = this.chip;
    // A computer takes its time before it asks.
    const send = usbCtrl.sendSetupPacket.bind(usbCtrl);
    const waiting = [];
    const ask = clock.createAlarm(() => send(waiting.shift()));
    usbCtrl.sendSetupPacket = (packet) => {
      // That the port is open concerns the interface, not the device.
      if (packet[0] === 0x20) packet[0] = 0x21;
      waiting.push(packet);
      ask.schedule(1e6);
    };
    this.byUsb = [];
    this.toUsb = [];
    this.armed = null;
    const cdc = new USBCDC(usbCtrl);
    cdc.onSerialData = (bytes) => this.byUsb.push(...bytes);
    // Nothing is sent to an endpoint that does not wait, nor before there is something.
    usbCtrl.onEndpointRead = (endpoint, size) => {
      if (endpoint !== 0) {
        this.armed = { endpoint, size };
        this.giveUsb();
      }
    };
  }

  giveUsb() {
    if (!this.armed || !this.toUsb.length) return;
    const { endpoint, size } = this.armed;
    this.armed = null;
    this.chip.usbCtrl.endpointReadDone(endpoint, Uint8Array.from(this.toUsb.splice(0, size)));
  }

  /** Bytes to the USB socket. */
  sendUsb(bytes) {
    this.toUsb.push(...bytes);
    this.giveUsb();
  }

  /** Turns a knob by so many detents, slowly; its contacts are at pins `first` and the next. */
  turn(first, detents, seconds = 0.2) {
    const order = detents > 0 ? [0, 1] : [1, 0];
    for (let i = 0; i < Math.abs(detents); i++) {
      for (const [contact, level] of [[order[0], false], [order[1], false], [order[0], true], [order[1], true]]) {
        this.chip.gpio[first + contact].setInputValue(level);
        this.run(seconds / 4);
      }
    }
  }

  /** Presses a knob's button. */
  press(pin, seconds = 0.1) {
    this.chip.gpio[pin].setInputValue(false);
    this.run(seconds);
    this.chip.gpio[pin].setInputValue(true);
    this.run(0.1);
  }
}

export const KNOB = { level: 6, time: 9, volts: 12 };
export const BUTTON = { level: 8, time: 11, volts: 14 };

// The computer's end of the link, written from instrument/link/LINK.md.

import { crc32 } from 'node:zlib';

const VERSION = 1;

class Reader {
  constructor(bytes) {
    [this.bytes, this.at] = [bytes, 0];
  }
  u8() {
    if (this.at >= this.bytes.length) throw new Error('a message ends early');
    return this.bytes[this.at++];
  }
  unsigned() {
    let [value, shift] = [0n, 0n];
    for (;;) {
      const byte = this.u8();
      value |= BigInt(byte & 0x7f) << shift;
      if (byte < 0x80) return Number(value);
      shift += 7n;
    }
  }
  signed() {
    const value = this.unsigned();
    return value % 2 ? -(value + 1) / 2 : value / 2;
  }
  f64() {
    const bytes = Uint8Array.from({ length: 8 }, () => this.u8());
    return new DataView(bytes.buffer).getFloat64(0, true);
  }
  bool() {
    return this.u8() === 1;
  }
}

const event = (r) => ({ position: r.unsigned(), lead: r.unsigned(), rising: r.bool() });
const settings = (r) => ({
  level_mv: r.signed(),
  hysteresis_mv: r.unsigned(),
  slope: ['rising', 'falling', 'either'][r.unsigned()],
  holdoff_us: r.unsigned(),
  time_us: r.unsigned(),
  volts_mv: r.unsigned(),
  centre_mv: r.signed(),
  mode: ['auto', 'normal', 'single'][r.unsigned()],
});
const COUNTERS = [
  'position', 'events', 'held_off', 'records', 'forced', 'passed_over', 'overruns', 'lost', 'clipped',
  'frames_dropped', 'records_cut', 'events_dropped', 'frames_damaged', 'frames_missing',
];
const MESSAGES = [
  (r) => ({ hello: { rate: r.unsigned(), highest: r.unsigned(), longest: r.unsigned(), volts_per_count: r.f64(), zero: r.f64() } }),
  (r) => ({ settings: settings(r), running: r.bool() }),
  (r) => ({ event: event(r) }),
  (r) => ({ record: { number: r.unsigned(), len: r.unsigned(), start: r.unsigned(), event: r.bool() ? event(r) : null } }),
  (r) => {
    const [number, first, length] = [r.unsigned(), r.unsigned(), r.unsigned()];
    const samples = Array.from({ length: length / 2 }, () => r.u8() | (r.u8() << 8));
    return { samples: { number, first, samples } };
  },
  (r) => ({ counters: { ...Object.fromEntries(COUNTERS.map((name) => [name, r.unsigned()])), load: r.u8() } }),
];

function unstuff(bytes) {
  const plain = [];
  for (let at = 0; at < bytes.length; ) {
    const code = bytes[at];
    plain.push(...bytes.slice(at + 1, at + code));
    at += code;
    if (code < 0xff && at < bytes.length) plain.push(0);
  }
  return Uint8Array.from(plain);
}

function stuff(bytes) {
  const out = [];
  let run = [];
  for (const byte of [...bytes, 0]) {
    if (byte) run.push(byte);
    if (!byte || run.length === 254) {
      out.push(run.length + 1, ...run);
      run = [];
    }
  }
  return out;
}

/** The messages in what was received; throws where a frame is not as it should be. */
export function messages(bytes) {
  const found = [];
  let frame = [];
  let next = null;
  for (const byte of bytes) {
    if (byte) {
      frame.push(byte);
      continue;
    }
    if (frame.length) {
      const plain = unstuff(frame);
      const view = new DataView(plain.buffer);
      const end = plain.length - 4;
      if (crc32(plain.subarray(0, end)) !== view.getUint32(end, true)) throw new Error('a wrong CRC');
      if (plain[0] !== VERSION) throw new Error(`version ${plain[0]}`);
      const number = view.getUint16(1, true);
      if (next !== null && number !== next) throw new Error(`frame ${number} comes in place of ${next}`);
      next = (number + 1) % 65536;
      const reader = new Reader(plain.subarray(3, end));
      found.push(MESSAGES[reader.unsigned()](reader));
      if (reader.at !== end - 3) throw new Error('a message is too long');
    }
    frame = [];
  }
  return found;
}

const ORDERS = { hello: 0, run: 2, stop: 3, records: 4, events: 5, automatic: 6 };

/** Makes frames for the board. */
export class Orders {
  number = 0;
  frame(name, ...values) {
    const plain = [VERSION, this.number % 256, this.number >> 8, ORDERS[name], ...values];
    this.number++;
    const crc = crc32(Uint8Array.from(plain));
    const tail = [0, 8, 16, 24].map((shift) => (crc >>> shift) & 0xff);
    return [...stuff([...plain, ...tail]), 0];
  }
}

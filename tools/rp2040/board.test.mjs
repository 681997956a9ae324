// The firmware on an emulated board, held to what the tool finds, to pictures that were looked at,
// and to what its knobs are said to do. Driven by tests/tests/board.rs:
//     FIRMWARE=… STILLWAVE=… node --test tools/rp2040/
// STILLWAVE_BLESS=1 writes the pictures anew; look at each of them then.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';

import { PNG } from 'pngjs';

import { Board, BUTTON, KNOB } from './board.mjs';
import { FLASH, parts } from './elf.mjs';
import { messages, Orders } from './link.mjs';
import { uf2 } from './uf2.mjs';

const { FIRMWARE, STILLWAVE, STILLWAVE_BLESS } = process.env;
assert.ok(FIRMWARE && STILLWAVE, 'FIRMWARE and STILLWAVE name the two programs');
const RATE = 500e3;
const BLOCK = 2048;
// As in instrument/app/src/front_end.rs: 0 V and a volt at the probe, in counts.
const [ZERO, VOLT] = [2065.21, 93.873];

const volts = (v) => Math.max(0, Math.min(4095, Math.round(ZERO + VOLT * v)));
const sine = (hz, amplitude) => (n) => volts(amplitude * Math.sin((2 * Math.PI * hz * n) / RATE));

class Bench extends Board {
  constructor(signal, options) {
    // The signal can be changed while it runs.
    const source = { signal };
    super(FIRMWARE, (n) => source.signal(n), options);
    this.source = source;
    this.orders = new Orders();
  }
  order(name, ...values) {
    this.send(this.orders.frame(name, ...values));
  }
  said() {
    return messages(this.received);
  }
  last(kind) {
    return this.said().findLast((message) => message[kind])?.[kind];
  }
  settings() {
    return this.last('settings');
  }
  running() {
    return this.said().findLast((message) => message.settings).running;
  }
  counters() {
    this.run(0.55);
    return this.last('counters');
  }
}

/** The tool's events in these samples, as the board tells them. */
function scan(samples, ...options) {
  const folder = mkdtempSync(join(tmpdir(), 'stillwave-'));
  try {
    const file = join(folder, 'samples.u16le');
    writeFileSync(file, new Uint8Array(Uint16Array.from(samples).buffer));
    const arguments_ = ['scan', file, '--sample-type', 'u16le', '--format', 'json', ...options];
    const lines = execFileSync(STILLWAVE, arguments_, { maxBuffer: 1 << 28 }).toString().trim().split('\n');
    return lines.map((line) => JSON.parse(line)).map(({ position, crossing, slope }) => {
      return { position, lead: Math.round((position - crossing) * 65536), rising: slope === 'rising' };
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** What a display shows is the picture of that name, but for the processor's load. */
function expectPicture(board, name) {
  const path = new URL(`pictures/${name}.png`, import.meta.url);
  const shown = board.display.png();
  if (STILLWAVE_BLESS) writeFileSync(path, shown);
  const [wanted, found] = [readFileSync(path), shown].map((png) => PNG.sync.read(png));
  const [scale, load] = [4, { from: 76, to: 108, rows: 6 }];
  let differ = 0;
  for (let y = 0; y < 64; y++) {
    for (let x = 0; x < 128; x++) {
      if (y < load.rows && x >= load.from && x < load.to) continue;
      const at = 4 * (y * scale * wanted.width + x * scale);
      differ += wanted.data[at] !== found.data[at];
    }
  }
  if (differ) writeFileSync(join(tmpdir(), `${name}.png`), shown);
  assert.equal(differ, 0, `${differ} pixels of ${name} differ: see ${join(tmpdir(), name)}.png`);
}

test('a UF2 file holds the whole program', () => {
  const program = parts(FIRMWARE);
  const file = uf2(program);
  const [direct, dropped] = [new Uint8Array(1 << 21), new Uint8Array(1 << 21)];
  for (const { address, bytes } of program) direct.set(bytes, address - FLASH);
  for (let at = 0; at < file.length; at += 512) {
    dropped.set(file.subarray(at + 32, at + 288), file.readUInt32LE(at + 12) - FLASH);
    assert.equal(file.readUInt32LE(at + 20), at / 512);
  }
  assert.ok(file.length > 100e3 && Buffer.compare(direct, dropped) === 0);
});

test('it triggers where the tool does', () => {
  // A sine with noise that crosses the level and the hysteresis several times.
  let seed = 1;
  const noise = () => ((seed = (seed * 48271) % 2147483647) / 2147483647 - 0.5) * 0.4;
  const samples = [];
  const board = new Bench((n) => {
    samples[n] ??= volts(2 * Math.sin((2 * Math.PI * 777 * n) / RATE) + noise());
    return samples[n];
  });
  board.run(0.02);
  board.order('events', 1);
  board.run(0.3);
  const rising = board.said().flatMap(({ event }) => event ?? []);
  board.press(BUTTON.level);
  board.run(0.1);
  assert.equal(board.settings().slope, 'falling');
  const all = board.said().flatMap(({ event }) => event ?? []);
  const falling = all.filter((event) => !event.rising);

  const level = ['--level', '2065', '--hysteresis', '19'];
  for (const [found, slope] of [[rising, 'rising'], [falling, 'falling']]) {
    assert.ok(found.length > 60, `${found.length} events`);
    const [first, last] = [found[0].position, found.at(-1).position];
    const wanted = scan(samples, ...level, '--slope', slope);
    assert.deepEqual(found, wanted.filter(({ position }) => position >= first && position <= last));
  }
  const { overruns, events_dropped, frames_dropped } = board.counters();
  assert.deepEqual({ overruns, events_dropped, frames_dropped }, { overruns: 0, events_dropped: 0, frames_dropped: 0 });
});

test('records hold the samples around their events', () => {
  const signal = sine(777, 2);
  const board = new Bench(signal);
  board.order('records', 1);
  board.run(0.4);
  const said = board.said();
  const heads = said.flatMap(({ record }) => record ?? []);
  assert.ok(heads.length >= 3);
  for (const { number, start, len, event } of heads.slice(0, -1)) {
    const parts = said.flatMap(({ samples }) => (samples?.number === number ? samples.samples : []));
    assert.equal(parts.length, len);
    assert.deepEqual(parts, Array.from({ length: len }, (_, i) => signal(start + i)));
    // Two of eight divisions of 1 ms before it, and a sample more.
    assert.equal(event.position - start, 1001);
  }
});

test('a computer at the USB socket has the link, and the same records', () => {
  const signal = sine(777, 2);
  const board = new Bench(signal);
  board.plugUsb();
  board.run(0.1);
  const before = board.received.length;
  board.sendUsb(board.orders.frame('records', 1));
  board.sendUsb(board.orders.frame('events', 1));
  board.sendUsb(board.orders.frame('hello'));
  board.run(0.1);
  // What comes at the other port meanwhile is not listened to: an order, and half of one.
  const stop = new Orders().frame('stop');
  board.send([...stop, ...stop.slice(0, 5)]);
  board.run(0.1);
  board.sendUsb(board.orders.frame('hello'));
  board.run(1.1);
  const said = messages(board.byUsb);
  const hello = said.find((message) => message.hello).hello;
  assert.equal(hello.rate, RATE);
  assert.ok(said.findLast((message) => message.settings).running);
  const heads = said.flatMap(({ record }) => record ?? []);
  assert.ok(heads.length >= 10, `${heads.length} records`);
  for (const { number, start, len } of heads.slice(0, -1)) {
    const parts = said.flatMap(({ samples }) => (samples?.number === number ? samples.samples : []));
    assert.deepEqual(parts, Array.from({ length: len }, (_, i) => signal(start + i)));
  }
  assert.ok(said.filter((message) => message.event).length > 700);
  const { overruns, frames_dropped, events_dropped, frames_damaged } = said.findLast((m) => m.counters).counters;
  assert.deepEqual([overruns, frames_dropped, events_dropped, frames_damaged], [0, 0, 0, 0]);
  assert.equal(board.received.length, before, 'the other port is silent');
});

test('knobs move what they are said to move', () => {
  const board = new Bench(sine(1000, 2));
  board.run(0.1);
  const before = board.settings();
  // A tenth of a division of 5 V a detent.
  board.turn(KNOB.level, 3);
  assert.equal(board.settings().level_mv, before.level_mv + 1500);
  board.turn(KNOB.level, -5);
  assert.equal(board.settings().level_mv, before.level_mv - 1000);
  board.turn(KNOB.time, -2);
  assert.equal(board.settings().time_us, 200);
  board.press(BUTTON.time);
  board.turn(KNOB.time, 4);
  assert.equal(board.settings().holdoff_us, 100);
  board.turn(KNOB.volts, -1);
  assert.equal(board.settings().volts_mv, 2000);
  // Fast detents go farther.
  board.turn(KNOB.level, 10, 0.02);
  board.run(0.1);
  assert.ok(board.settings().level_mv > -1000 + 10 * 200 * 2);
});

test('automatic set-up, and what the display shows', () => {
  const board = new Bench(sine(1000, 1.5));
  board.run(0.7);
  expectPicture(board, 'at-first');
  board.press(BUTTON.level, 0.8);
  board.run(0.7);
  const { volts_mv, time_us, level_mv, hysteresis_mv } = board.settings();
  assert.deepEqual({ volts_mv, time_us, hysteresis_mv }, { volts_mv: 1000, time_us: 500, hysteresis_mv: 149 });
  assert.ok(Math.abs(level_mv) <= 11, `${level_mv} mV`);
  expectPicture(board, 'set-up');
  board.turn(KNOB.level, 8);
  board.press(BUTTON.level);
  board.run(0.7);
  expectPicture(board, 'falling-at-0.8');
});

test('auto goes on, normal waits, single stops', () => {
  const board = new Bench(sine(1000, 2));
  board.run(0.1);
  board.source.signal = () => volts(0.5);
  let before = board.counters();
  let after = board.counters();
  assert.ok(after.forced > before.forced && after.records > before.records);

  board.press(BUTTON.time, 0.8);
  assert.equal(board.settings().mode, 'normal');
  before = board.counters();
  after = board.counters();
  assert.equal(after.records, before.records);
  board.source.signal = sine(1000, 2);
  assert.ok(board.counters().records > before.records);

  board.source.signal = () => volts(0.5);
  board.press(BUTTON.time, 0.8);
  assert.equal(board.settings().mode, 'single');
  assert.equal(board.running(), true);
  before = board.counters();
  board.source.signal = sine(1000, 2);
  after = board.counters();
  assert.equal(after.records, before.records + 1);
  assert.equal(board.running(), false);
  expectPicture(board, 'single-done');
  board.press(BUTTON.volts);
  assert.equal(board.counters().records, before.records + 2);
});

test('settings outlast the power, and what flash costs is counted', () => {
  const first = new Bench(sine(1000, 2));
  first.run(0.1);
  first.turn(KNOB.level, 2);
  first.turn(KNOB.volts, -1);
  const set = first.settings();
  first.run(3.5);
  const second = new Bench(sine(1000, 2), { flash: first.chip.flash });
  second.run(0.1);
  assert.deepEqual(second.settings(), set);
  assert.equal(set.level_mv, 1000);

  // Every sample is accounted for, taken or lost, up to the blocks under way.
  for (const board of [first, second]) {
    const { position, lost, overruns } = board.counters();
    assert.ok(board.samples - position <= RATE * 0.55 + 2 * BLOCK);
    assert.equal(position % BLOCK, 0);
    assert.equal(lost % BLOCK, 0);
    assert.equal(lost > 0, overruns > 0);
  }
});

test('an overrun is counted, to the sample', () => {
  const board = new Bench(sine(1000, 2));
  board.run(0.1);
  const before = board.counters();
  // The processor stands still for 30 ms, as while a sector is erased.
  board.chip.clock.tick(30e6);
  const after = board.counters();
  assert.equal(after.overruns, before.overruns + 1);
  // Seven blocks of 4.096 ms at least, of which the last may yet be read.
  const blocks = (after.lost - before.lost) / BLOCK;
  assert.ok(blocks >= 5 && blocks <= 7, `${blocks} blocks`);
  // Positions have gone on: the next events are where the samples say.
  board.order('events', 1);
  board.run(0.1);
  const { event } = board.said().findLast((message) => message.event);
  assert.equal(event.position % 500, 0);
});

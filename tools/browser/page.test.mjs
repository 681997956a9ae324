// A web page sends lines of SCPI to `live --scpi`, as any page can that a person has open. The tool
// must close the connection, say so, and turn no knob.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { after, before, test } from 'node:test';
import { chromium } from 'playwright-core';

const SENT_AWAY = 'SCPI: a browser was sent away: a web page tried to reach the board';
const LIMIT = { timeout: 60_000 };

let folder, program, port, browser, website;
// What the program says on its standard error.
const said = [];

// Waits for a line after the first `from` lines.
async function saidSo(line, from) {
  for (let tries = 0; tries < 200; tries += 1) {
    if (said.slice(from).some((other) => other.includes(line))) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  assert.fail(`not said: ${line}\n${said.slice(from).join('\n')}`);
}

// Asks one question as a program for instruments would.
function ask(message) {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(`${message}\n`));
    socket.setTimeout(10_000, () => socket.destroy(new Error(`no answer to ${message}`)));
    socket.once('error', reject);
    createInterface({ input: socket }).once('line', (line) => {
      socket.destroy();
      resolve(line);
    });
  });
}

before(async () => {
  folder = await mkdtemp(join(tmpdir(), 'stillwave-browser-'));
  // A minute of a square wave at 10 kS/s.
  const samples = Uint8Array.from({ length: 600_000 }, (_, n) => (n % 100 < 50 ? 200 : 50));
  await writeFile(join(folder, 'square.u8'), samples);
  const options = ['--headless', '--scpi', '127.0.0.1:0', '--play', 'square.u8'];
  options.push('--sample-type', 'u8', '--rate', '10kS/s', '--bits', '8', '--vref', '3.3V');
  program = spawn(process.env.STILLWAVE_PROGRAM, ['live', ...options], {
    cwd: folder,
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  createInterface({ input: program.stderr }).on('line', (line) => said.push(line));
  await saidSo('SCPI at 127.0.0.1:', 0);
  port = Number(said.join('\n').match(/SCPI at 127\.0\.0\.1:(\d+)/)[1]);

  // The page is from another origin, as one from anywhere is.
  website = createServer((_, response) => {
    response.setHeader('Content-Type', 'text/html');
    response.end('<!doctype html><title>A page</title><body></body>');
  });
  await new Promise((resolve) => website.listen(0, '127.0.0.1', resolve));
  const args = ['--no-sandbox', '--disable-gpu', '--no-first-run'];
  args.push('--disable-background-networking', '--disable-component-update', '--disable-sync');
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM, headless: true, args });
}, LIMIT);

after(async () => {
  await browser?.close();
  website?.close();
  program?.kill();
  if (folder) await rm(folder, { recursive: true });
}, LIMIT);

// Opens the page and runs `attack` in it; what the page learned.
async function inPage(attack) {
  const page = await browser.newPage();
  try {
    await page.goto(`http://127.0.0.1:${website.address().port}/`);
    return await page.evaluate(attack, `http://127.0.0.1:${port}/`);
  } finally {
    await page.close();
  }
}

// Each is a way by which a page sends without being asked for permission.
const ATTACKS = {
  'a POST of text/plain': async (url) => {
    const request = { method: 'POST', mode: 'no-cors', body: 'TRIG:LEV 0.25\r\nTRIG:LEV 0.25\r\n' };
    try {
      await fetch(url, { ...request, headers: { 'Content-Type': 'text/plain' } });
      return 'answered';
    } catch (error) {
      return error.name;
    }
  },
  'a GET whose path is SCPI': async (url) => {
    try {
      await fetch(`${url}TRIG:LEV%200.25`, { mode: 'no-cors' });
      return 'answered';
    } catch (error) {
      return error.name;
    }
  },
  'a WebSocket': (url) =>
    new Promise((resolve) => {
      const socket = new WebSocket(url.replace('http', 'ws'));
      socket.onopen = () => resolve('answered');
      socket.onerror = () => resolve('TypeError');
    }),
};

for (const [name, attack] of Object.entries(ATTACKS)) {
  test(`${name} turns no knob`, LIMIT, async () => {
    assert.equal(await ask('*RST;:TRIG:LEV 1.5;LEV?'), '1.5');
    const [settings, before] = [await ask('TRIG:LEV?;HYST?;SLOP?;HOLD?'), said.length];
    // The browser's word for a connection that was closed without an answer.
    assert.equal(await inPage(attack), 'TypeError');
    await saidSo(SENT_AWAY, before);
    assert.equal(await ask('TRIG:LEV?;HYST?;SLOP?;HOLD?'), settings);
    assert.equal(await ask('SYST:ERR?'), '0,"No error"');
  });
}

test('a form that the page sends turns no knob', LIMIT, async () => {
  assert.equal(await ask('TRIG:LEV 1.5;LEV?'), '1.5');
  const before = said.length;
  const page = await browser.newPage();
  await page.goto(`http://127.0.0.1:${website.address().port}/`);
  const failed = page.waitForEvent('requestfailed', (request) => request.method() === 'POST');
  await page.evaluate((url) => {
    const form = document.createElement('form');
    Object.assign(form, { action: url, method: 'POST', enctype: 'text/plain' });
    const field = document.createElement('textarea');
    Object.assign(field, { name: 'x', value: '\nTRIG:LEV 0.25\n' });
    form.append(field);
    document.body.append(form);
    form.submit();
  }, `http://127.0.0.1:${port}/`);
  const reason = (await failed).failure().errorText;
  assert.match(reason, /ERR_(EMPTY_RESPONSE|CONNECTION_(RESET|CLOSED))/);
  await page.close();
  await saidSo(SENT_AWAY, before);
  assert.equal(await ask('TRIG:LEV?'), '1.5');
});

test('without a browser the same line turns the knob', LIMIT, async () => {
  assert.equal(await ask('TRIG:LEV 1.5;LEV?'), '1.5');
  assert.equal(await ask('TRIG:LEV 0.25;LEV?'), '0.25');
});

// The board that is built for the large display: what that shows is the picture that was looked at.
//     FIRMWARE=… node --test tools/rp2040/large.test.mjs
// STILLWAVE_BLESS=1 writes the picture anew; look at it then.

import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { test } from 'node:test';

import { PNG } from 'pngjs';

import { Board } from './board.mjs';

test('the large display', () => {
  const sine = (n) => Math.round(2065 + 939 * Math.sin((2 * Math.PI * 1000 * n) / 500e3));
  const board = new Board(process.env.FIRMWARE, sine);
  board.run(1.5);
  assert.ok(board.large.pictures > 5, 'it is drawn again and again');
  const path = new URL('pictures/large.png', import.meta.url);
  const shown = board.large.png();
  if (process.env.STILLWAVE_BLESS) writeFileSync(path, shown);
  const [wanted, found] = [readFileSync(path), shown].map((png) => PNG.sync.read(png).data);
  // But for the processor's load, in the first row of words.
  const from = 2 * 30 * 480 * 4;
  assert.deepEqual(found.subarray(from), wanted.subarray(from));
});

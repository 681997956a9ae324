// A minute of the board's life (or so many seconds): no overrun, and what it costs.
//     FIRMWARE=… node tools/rp2040/soak.mjs [SECONDS]

import { Board } from './board.mjs';
import { messages } from './link.mjs';

const seconds = Number(process.argv[2] ?? 60);
if (!process.env.FIRMWARE) throw new Error('FIRMWARE names the program');
const signal = (n) => Math.round(2065 + 190 * Math.sin((2 * Math.PI * 1000 * n) / 500e3));
const began = Date.now();

// The bus of the display paced as 400 kHz are, for as long as it takes to be representative.
const paced = new Board(process.env.FIRMWARE, signal, { paced: true });
paced.run(2);
const share = (100 * paced.busy) / paced.cycles;
const { blocks, sum, longest, service } = paced.latency;
const micros = (cycles) => `${(cycles / 125).toFixed(1)} µs`;
console.log(`processor busy      ${share.toFixed(0)} % of 125 MHz, with the display's bus at its speed`);
console.log(`interrupt latency   ${(sum / blocks).toFixed(0)} cycles on average, ${longest.toFixed(0)} at most (${micros(longest)})`);
console.log(`a block's service   ${service.toFixed(0)} cycles at most (${micros(service)} of 4096 µs)`);

const board = new Board(process.env.FIRMWARE, signal);
board.run(seconds);
const { counters } = messages(board.received).findLast((message) => message.counters);
console.log(`${seconds} s emulated in ${((Date.now() - began) / 1000).toFixed(0)} s: ${JSON.stringify(counters)}`);
if (counters.overruns || counters.lost || counters.position < (seconds - 1) * 500e3) process.exit(1);

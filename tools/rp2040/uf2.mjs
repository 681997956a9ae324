// Turns a program into a UF2 file, which the board takes by drag and drop:
//     node tools/rp2040/uf2.mjs PROGRAM FILE.uf2
// The format (from memory): 512 bytes a block, of which 256 go to the flash.

import { writeFileSync } from 'node:fs';

import { parts } from './elf.mjs';

const [BEGIN, SECOND, END] = [0x0a324655, 0x9e5d5157, 0x0ab16f30];
const FAMILY_IS_SAID = 0x2000;
const RP2040 = 0xe48bff56;
const PAGE = 256;

/** A program's parts as the bytes of a UF2 file. */
export function uf2(program) {
  const pages = new Map();
  for (const { address, bytes } of program) {
    bytes.forEach((byte, i) => {
      const at = address + i;
      const page = at - (at % PAGE);
      if (!pages.has(page)) pages.set(page, new Uint8Array(PAGE));
      pages.get(page)[at - page] = byte;
    });
  }
  const file = Buffer.alloc(512 * pages.size);
  [...pages].sort(([a], [b]) => a - b).forEach(([address, data], number) => {
    const block = file.subarray(512 * number, 512 * (number + 1));
    const head = [BEGIN, SECOND, FAMILY_IS_SAID, address, PAGE, number, pages.size, RP2040];
    head.forEach((word, i) => block.writeUInt32LE(word, 4 * i));
    block.set(data, 32);
    block.writeUInt32LE(END, 508);
  });
  return file;
}

if (process.argv[1] === import.meta.filename) {
  const [program, file] = process.argv.slice(2);
  if (!file) throw new Error('name the program and the file to write');
  writeFileSync(file, uf2(parts(program)));
}

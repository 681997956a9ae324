// The parts of an ELF file that are to be loaded, and where.

import { readFileSync } from 'node:fs';

export const FLASH = 0x10000000;

/** Each part as its address and bytes. */
export function parts(path) {
  const elf = readFileSync(path);
  const view = new DataView(elf.buffer, elf.byteOffset, elf.length);
  const [headers, size, count] = [view.getUint32(28, true), view.getUint16(42, true), view.getUint16(44, true)];
  const found = [];
  for (let i = 0; i < count; i++) {
    const word = (offset) => view.getUint32(headers + i * size + offset, true);
    const [kind, offset, address, length] = [word(0), word(4), word(12), word(16)];
    if (kind === 1 && length > 0) found.push({ address, bytes: elf.subarray(offset, offset + length) });
  }
  return found;
}

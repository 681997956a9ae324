// The part of the boot ROM that the firmware calls: writing flash (RP2040 datasheet, 2.8.3). Each
// function is done here when the processor arrives at its address.

const TABLE = 0x100;
const LOOKUP = 0x40;
const FIRST = 0x200;

const code = (name) => name.charCodeAt(0) | (name.charCodeAt(1) << 8);

/** Puts the ROM's pointers in place; gives what to call where the processor is in the ROM. */
export function bootRom(chip) {
  const { flash } = chip;
  const functions = {
    IF: () => {},
    EX: () => {},
    RE: ([from, length]) => flash.fill(0xff, from, from + length),
    RP: ([from, data, length]) => {
      for (let i = 0; i < length; i++) flash[from + i] &= chip.readUint8(data + i);
    },
    FC: () => {},
    CX: () => {},
  };
  const names = Object.keys(functions);
  const places = new Map(names.map((name, i) => [FIRST + 4 * i, functions[name]]));
  const addresses = new Map(names.map((name, i) => [code(name), FIRST + 4 * i]));
  chip.bootrom[0x14 / 4] = TABLE;
  chip.bootrom[0x18 / 4] = LOOKUP | 1;
  return (core) => {
    const at = core.PC;
    const { registers } = core;
    if (at === LOOKUP) {
      const address = addresses.get(registers[1] & 0xffff);
      if (address === undefined) throw new Error(`no such function in the ROM: ${registers[1].toString(16)}`);
      registers[0] = address | 1;
    } else {
      const place = places.get(at);
      if (!place) throw new Error(`nothing in the ROM at 0x${at.toString(16)}`);
      place([registers[0] >>> 0, registers[1] >>> 0, registers[2] >>> 0]);
    }
    core.PC = registers[14] & ~1;
  };
}

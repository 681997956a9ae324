// An SSD1306 display at the other end of the bus (its datasheet, chapters 8 and 10): what its
// memory holds is what it shows.

import { PNG } from 'pngjs';

const [WIDTH, HEIGHT] = [128, 64];
// How many bytes follow a command that sets something; all others are alone.
const FOLLOWING = { 0x20: 1, 0x21: 2, 0x22: 2, 0x81: 1, 0x8d: 1, 0xa8: 1, 0xad: 1, 0xd3: 1, 0xd5: 1, 0xd9: 1, 0xda: 1, 0xdb: 1 };

export class Display {
  constructor() {
    this.memory = new Uint8Array((WIDTH * HEIGHT) / 8);
    this.columns = [0, WIDTH - 1];
    this.pages = [0, HEIGHT / 8 - 1];
    this.column = 0;
    this.page = 0;
    this.on = false;
    this.bytes = 0;
    this.command = [];
    this.control = null;
  }

  byte(byte) {
    if (this.control === null) this.control = byte;
    else if (this.control === 0x40) this.data(byte);
    else this.order(byte);
  }

  stop() {
    this.control = null;
  }

  order(byte) {
    this.command.push(byte);
    const [first, ...values] = this.command;
    if (values.length < (FOLLOWING[first] ?? 0)) return;
    if (first === 0x21) [this.columns, this.column] = [values, values[0]];
    if (first === 0x22) [this.pages, this.page] = [values, values[0]];
    if (first === 0xae || first === 0xaf) this.on = first === 0xaf;
    this.command = [];
  }

  // Along a row of bytes, then the next (horizontal addressing).
  data(byte) {
    this.memory[this.page * WIDTH + this.column] = byte;
    this.bytes++;
    if (this.column++ < this.columns[1]) return;
    this.column = this.columns[0];
    this.page = this.page < this.pages[1] ? this.page + 1 : this.pages[0];
  }

  lit(x, y) {
    return this.on && (this.memory[(y >> 3) * WIDTH + x] >> (y & 7)) % 2 === 1;
  }

  /** Enlarged, for eyes. */
  png(scale = 4) {
    const png = new PNG({ width: WIDTH * scale, height: HEIGHT * scale, colorType: 0 });
    for (let y = 0; y < png.height; y++) {
      for (let x = 0; x < png.width; x++) {
        const at = 4 * (y * png.width + x);
        png.data.fill(this.lit(Math.floor(x / scale), Math.floor(y / scale)) ? 255 : 0, at, at + 3);
        png.data[at + 3] = 255;
      }
    }
    return PNG.sync.write(png, { colorType: 0 });
  }
}

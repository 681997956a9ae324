// Displays at the other end of a bus: what their memory holds is what they show.

import { PNG } from 'pngjs';

const [WIDTH, HEIGHT] = [128, 64];
const LARGE = 240;
// How many bytes follow a command that sets something; all others are alone.
const FOLLOWING = { 0x20: 1, 0x21: 2, 0x22: 2, 0x81: 1, 0x8d: 1, 0xa8: 1, 0xad: 1, 0xd3: 1, 0xd5: 1, 0xd9: 1, 0xda: 1, 0xdb: 1 };

/** An SSD1306 (its datasheet, chapters 8 and 10). */
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
    return png(WIDTH, HEIGHT, scale, (x, y) => this.lit(x, y));
  }
}

function png(width, height, scale, lit) {
  const png = new PNG({ width: width * scale, height: height * scale, colorType: 0 });
  for (let y = 0; y < png.height; y++) {
    for (let x = 0; x < png.width; x++) {
      const at = 4 * (y * png.width + x);
      png.data.fill(lit(Math.floor(x / scale), Math.floor(y / scale)) ? 255 : 0, at, at + 3);
      png.data[at + 3] = 255;
    }
  }
  return PNG.sync.write(png, { colorType: 0 });
}

/** An ST7789 display of 240 × 240 pixels (its datasheet, chapter 9), as far as the board speaks to it:
 * a window, and two bytes a pixel, along a row and then the next. */
export class LargeDisplay {
  constructor() {
    this.pixels = new Uint16Array(LARGE * LARGE);
    this.columns = [0, LARGE - 1];
    this.rows = [0, LARGE - 1];
    this.on = false;
    this.pictures = 0;
    this.order(0);
  }

  byte(byte, isData) {
    if (isData) this.data(byte);
    else this.order(byte);
  }

  order(byte) {
    this.ordered = byte;
    this.values = [];
    if (byte === 0x28 || byte === 0x29) this.on = byte === 0x29;
    if (byte === 0x2c) [this.x, this.y] = [this.columns[0], this.rows[0]];
  }

  data(byte) {
    this.values.push(byte);
    const [a, b, c, d] = this.values;
    if (this.ordered === 0x2c && this.values.length === 2) {
      this.pixels[this.y * LARGE + this.x] = (a << 8) | b;
      this.values = [];
      if (this.x++ < this.columns[1]) return;
      this.x = this.columns[0];
      if (this.y++ < this.rows[1]) return;
      this.y = this.rows[0];
      this.pictures++;
    }
    if (this.values.length !== 4) return;
    if (this.ordered === 0x2a) this.columns = [(a << 8) | b, (c << 8) | d];
    if (this.ordered === 0x2b) this.rows = [(a << 8) | b, (c << 8) | d];
  }

  png(scale = 2) {
    return png(LARGE, LARGE, scale, (x, y) => this.on && this.pixels[y * LARGE + x] > 0);
  }
}

// Small PNG pictures without a profile, 8 bits a channel. Ref: png
import { deflateSync } from 'node:zlib';

function crc32(bytes) {
  let crc = ~0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let i = 0; i < 8; ++i) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return ~crc >>> 0;
}

function chunk(name, data) {
  const whole = Buffer.alloc(12 + data.length);
  whole.writeUInt32BE(data.length, 0);
  whole.write(name, 4, 'latin1');
  data.copy(whole, 8);
  whole.writeUInt32BE(crc32(whole.subarray(4, 8 + data.length)), 8 + data.length);
  return whole;
}

/// `colourAt(x, y)`: three bytes. `said`: chunks that say what the colours are.
export function plainPng(width, height, colourAt, said = []) {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 2, 0, 0, 0], 8);
  const rows = Buffer.alloc(height * (1 + 3 * width));
  for (let y = 0; y < height; ++y)
    for (let x = 0; x < width; ++x) rows.set(colourAt(x, y), y * (1 + 3 * width) + 1 + 3 * x);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', head),
    ...said,
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/// Says that the colours are sRGB, and holds no profile.
export const declaration = chunk('sRGB', Buffer.from([0]));

/// Grey, and said to be sRGB.
export const declaredSrgb = (width, height) => plainPng(width, height, () => [150, 150, 150], [declaration]);

// Files that pose as photographs and masks.
import zlib from 'node:zlib';
import { answered } from './server.mjs';

const number = (value, bytes, little) => {
  const buffer = Buffer.alloc(bytes);
  little ? buffer.writeUIntLE(value, 0, bytes) : buffer.writeUIntBE(value, 0, bytes);
  return buffer;
};
const be32 = (value) => number(value, 4, false);
const be16 = (value) => number(value, 2, false);
const le32 = (value) => number(value, 4, true);
const le16 = (value) => number(value, 2, true);

function crc(bytes) {
  let sum = ~0;
  for (const byte of bytes) {
    sum ^= byte;
    for (let k = 0; k < 8; ++k) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return ~sum >>> 0;
}

/// A PNG (W3C Recommendation, second edition) of grey zeros, small on disk whatever it claims.
function png(width, height, { interlaced = 0, rows = height, chunks = [] } = {}) {
  const chunk = (type, data) => {
    const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
    return Buffer.concat([be32(data.length), body, be32(crc(body))]);
  };
  const packed = zlib.deflateSync(Buffer.alloc(Math.min(rows, 20000) * (Math.ceil(width / 8) + 1)), { level: 9 });
  return Buffer.concat([
    Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'),
    chunk('IHDR', Buffer.concat([be32(width), be32(height), Buffer.from([1, 0, 0, 0, interlaced])])),
    ...chunks.map(([type, data]) => chunk(type, data)),
    chunk('IDAT', packed),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/// The head of a JPEG (ITU-T T.81) of that frame type: 0xC0 baseline, 0xC2 progressive.
const jpeg = (width, height, frame) =>
  Buffer.concat([
    Buffer.from([0xff, 0xd8, 0xff, 0xdb, 0, 67, 0]),
    Buffer.alloc(64, 1),
    Buffer.from([0xff, frame]),
    be16(11),
    Buffer.from([8]),
    be16(height),
    be16(width),
    Buffer.from([1, 1, 0x11, 0]),
    Buffer.from([0xff, 0xc4, 0, 20, 0, 0, 1, ...Array(15).fill(0), 0, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0]),
    Buffer.alloc(200, 0x55),
    Buffer.from([0xff, 0xd9]),
  ]);

/// A little-endian TIFF 6.0 with these entries: [tag, type, count, value].
function tiff(entries, tail = Buffer.alloc(0)) {
  return Buffer.concat([
    Buffer.from('II*\0', 'latin1'),
    le32(8),
    le16(entries.length),
    ...entries.map(([tag, type, count, value]) => Buffer.concat([le16(tag), le16(type), le32(count), le32(value)])),
    le32(0),
    tail,
  ]);
}
const plainTiff = (width, height, more = []) => tiff([[256, 4, 1, width], [257, 4, 1, height], [258, 3, 1, 8], [259, 3, 1, 1], [262, 3, 1, 1], [273, 4, 1, 200], [277, 3, 1, 1], [278, 4, 1, height], [279, 4, 1, width * height > 4e9 ? 0xffffffff : width * height], ...more], Buffer.alloc(4000, 90));

const files = () => {
  const bomb = png(20000, 20000);
  return [
    ['ico.png', Buffer.concat([Buffer.from([0, 0, 1, 0, 1, 0, 255, 255, 0, 0, 1, 0, 32, 0]), le32(40), le32(22), le32(40), le32(0x7fffffff), le32(0x7fffffff), Buffer.alloc(30, 255)])],
    ['sgi.tif', Buffer.concat([be16(474), Buffer.from([1, 2]), be16(3), be16(65535), be16(65535), be16(65535), Buffer.alloc(600, 255)])],
    ['dds.tif', Buffer.concat([Buffer.from('DDS ', 'latin1'), le32(124), le32(0x1007), le32(65535), le32(65535), Buffer.alloc(400, 255)])],
    ['gif.png', Buffer.from('GIF89a\xff\xff\xff\xff\xf7\x00\x00,', 'latin1')],
    ['bmp.tif', Buffer.concat([Buffer.from('BM', 'latin1'), Buffer.alloc(60, 255)])],
    ['psd.png', Buffer.concat([Buffer.from('8BPS', 'latin1'), Buffer.alloc(100, 1)])],
    ['bomb.png', bomb],
    ['bomb-interlaced.png', png(20000, 20000, { interlaced: 1, rows: 100 })],
    ['endless.png', png(0x7fffffff, 0x7fffffff, { rows: 1 }).subarray(0, 3000)],
    ['profile-bomb.png', png(8, 8, { chunks: [['iCCP', Buffer.concat([Buffer.from('x\0\0', 'latin1'), zlib.deflateSync(Buffer.alloc(64 << 20), { level: 9 })])]] })],
    ['text-bomb.png', png(8, 8, { chunks: [['zTXt', Buffer.concat([Buffer.from('x\0\0', 'latin1'), zlib.deflateSync(Buffer.alloc(64 << 20), { level: 9 })])]] })],
    ['zero.png', png(0, 0)],
    ['cut.png', png(800, 800).subarray(0, 60)],
    ['progressive.jpg', jpeg(20000, 20000, 0xc2)],
    ['baseline.jpg', jpeg(65535, 65535, 0xc0)],
    ['cut.jpg', jpeg(800, 800, 0xc0).subarray(0, 90)],
    ['huge.tif', plainTiff(0x7fffffff, 0x7fffffff)],
    ['large.tif', plainTiff(60000, 60000)],
    ['half.tif', plainTiff(2000, 2000)],
    ['samples.tif', plainTiff(100, 100, [[277, 3, 1, 65535]])],
    ['loop.tif', Buffer.concat([Buffer.from('II*\0', 'latin1'), le32(8), le16(0), le32(8)])],
    ['nothing.tif', Buffer.alloc(0)],
    ['nul.tif', Buffer.alloc(5000)],
    ['exr.exr', Buffer.concat([Buffer.from([0x76, 0x2f, 0x31, 0x01, 2, 0, 0, 0]), Buffer.from('dataWindow\0box2i\0', 'latin1'), le32(16), le32(0), le32(0), le32(0x7fffffff), le32(0x7fffffff), Buffer.alloc(100)])],
    ['is it foxed?.png', png(64, 64)],
    ['m.null?RES=10000x10000&x=.png', Buffer.from('x')],
    ['a%20b;c|d$(e)`f`.png', png(64, 64)],
  ];
};

export async function pictures(server, fail) {
  let count = 0;
  for (const [name, body] of files())
    for (const stage of ['before', 'mask']) {
      const query = { sheet: 'chart', name, called: `${stage} ${name}`, stage, by: 'A. Conservator' };
      const reply = await server.ask('PUT', 'api/photograph', { query, body, seconds: 120 });
      // A well-made small mask is a mask, whatever it is called.
      answered(reply, [200, 400, 413, 503], `${stage} ${name}`, fail);
      if (reply.status === 200 && (stage !== 'mask' || body.length > 5000 || !/foxed|%20/.test(name))) fail(`${stage} ${name} was taken: ${reply.text.slice(0, 200)}`);
      if (reply.status === 200) {
        const id = JSON.parse(reply.text).id;
        answered(await server.ask('GET', `api/photograph/${id}`), [200], `${name} opened again`, fail);
      }
      ++count;
    }
  for (const name of ['../x.png', '/etc/x.png', 'a/b.png', '.png', '..', '']) {
    answered(await server.ask('PUT', 'api/photograph', { query: { sheet: 'chart', name, by: 'x' }, body: 'x' }), [400, 404], `a photograph called ${name}`, fail);
    ++count;
  }
  return count;
}

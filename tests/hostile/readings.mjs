// Files that pose as readings.
import { answered } from './server.mjs';

const fine = [200, 400, 413, 503];
const mb = 1 << 20;

/// About `size` bytes of one part again and again, in pieces.
function again(part, size) {
  const piece = part.repeat(Math.max(1, Math.floor(65536 / part.length)));
  return Array.from({ length: Math.floor(size / piece.length) }, () => piece);
}

const bands = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const heading = `name,scale,${bands.join(',')}\n`;

/// As many different rows as fill `size` bytes.
function rows(size) {
  const pieces = [heading];
  let held = 0;
  for (let n = 0; held < size; ) {
    let piece = '';
    for (let k = 0; k < 500; ++k, ++n) piece += `sheet ${n},fraction,${bands.map((nm, b) => (0.3 + 0.0001 * ((n * 7 + b * 31 + nm) % 5000)).toFixed(4)).join(',')}\n`;
    pieces.push(piece);
    held += piece.length;
  }
  return pieces;
}

const forms = () => [
  ['png.csv', ['\x89PNG\r\n\x1a\n', ...again('\0', 100000)]],
  ['nul.csv', again('\0', 100000)],
  ['random.csv', [Buffer.from(Array.from({ length: 100000 }, (_, i) => (i * 7919 + (i >> 3) * 104729) & 255))]],
  ['utf16.csv', [Buffer.from('\ufeffname,scale,400,500,600,700\nx,fraction,0.1,0.2,0.3,0.4\n', 'utf16le')]],
  ['quote.csv', [heading, '"', ...again('a', mb)]],
  ['wide.csv', ['name', ...again(',400', 4 * mb)]],
  ['wide-blank.csv', again(' ', 4 * mb)],
  ['short-rows.csv', ['name,L*,a*,b*,light,observer\n', ...again('x,50,1,1,D65,10\n', 8 * mb)]],
  ['bands.csv', ['name,scale,', bands.join(','), '\n', ...again(`x,fraction${',1'.repeat(36)}\n`, 3 * mb)]],
  ['laughs.cxf', [`<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha">${Array.from({ length: 20 }, (_, i) => `<!ENTITY b${i} "${`&${i ? `b${i - 1}` : 'a'};`.repeat(10)}">`).join('')}]><CxF xmlns="http://colorexchangeformat.com/CxF3-core">&b19;</CxF>`]],
  ['deep.cxf', ['<CxF>', ...again('<a>', 2 * mb)]],
  ['many.cxf', ['<CxF>', ...again('<a/>', 8 * mb), '</CxF>']],
  ['external.cxf', ['<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a SYSTEM "file:///etc/passwd">]><CxF>&a;</CxF>']],
  ['header.cgats', ['CGATS.17\n', ...again('ORIGINATOR "x"\n', 4 * mb)]],
  ['words.cgats', ['CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\n', ...again('1\n', 8 * mb), 'END_DATA\n']],
  ['fields.cgats', ['CGATS.17\nBEGIN_DATA_FORMAT\n', ...again('F ', 4 * mb), '\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n']],
  ['duplicate.jdx', ['##TITLE=x\n##JCAMP-DX=4.24\n##DATA TYPE=UV/VIS SPECTRUM\n##XUNITS=NANOMETERS\n##YUNITS=REFLECTANCE\n##FIRSTX=1\n##LASTX=900000000\n##NPOINTS=900000000\n##XFACTOR=1\n##YFACTOR=1\n##XYDATA=(X++(Y..Y))\n', ...again('1A0000S99999999Z99999999\n', mb), '##END=\n']],
  ['blocks.jdx', again('##TITLE=x\n##DATA TYPE=UV/VIS SPECTRUM\n##XUNITS=NANOMETERS\n##YUNITS=REFLECTANCE\n##FIRSTX=400\n##DELTAX=0.01\n##XFACTOR=1\n##YFACTOR=1\n##XYDATA=(X++(Y..Y))\n400A0000S9999\n##END=\n', 4 * mb)],
  ['records.jdx', ['##TITLE=x\n', ...again('##A=1\n', 4 * mb)]],
  ['kept.csv', [`{"schema":"mendtone.kept_readings",${'['.repeat(100000)}`]],
  ['kept2.csv', ['{"schema":"mendtone.kept_readings","columns":["name"],"readings":[', ...again('[],', 8 * mb), '0]}']],
];

export async function readings(server, fail) {
  let count = 0;
  for (const [name, body] of forms())
    for (const call of ['api/readings/preview', 'api/readings']) {
      const query = { name, by: 'A. Conservator' };
      const reply = await server.ask('POST', call, { query, body, seconds: 120 });
      answered(reply, fine, `${call} ${name}`, fail);
      ++count;
    }
  for (const name of ['../x.csv', 'a/b.csv', '..', '', 'x\u0000.csv', 'x'.repeat(5000)]) {
    answered(await server.ask('POST', 'api/readings/preview', { query: { name }, body: heading }), [400, 404, 414, 431], `a file called ${name.slice(0, 20)}`, fail);
    ++count;
  }
  return count;
}

export async function largeReadings(server, fail) {
  const whole = rows(64 * mb - 600000);
  const query = { name: 'large.csv', by: 'A. Conservator' };
  const preview = await server.ask('POST', 'api/readings/preview', { query, body: whole, seconds: 300 });
  answered(preview, [200], '64 MB of readings', fail);
  if (!/"count":2\d{5},/.test(preview.text)) fail(`64 MB of readings: ${preview.text.slice(0, 100)}`);
  // Several at once wait for each other, or are told to come again.
  const size = 16 * mb;
  const bombs = [
    ['commas.csv', again(',', 63 * mb)],
    ['rows.csv', ['name,L*,a*,b*,light,observer\n', ...again('x,50,1,1,D65,10\n', size)]],
    ['marks.cxf', ['<CxF>', ...again('<a b=""/>', size), '</CxF>']],
    ['lines.jdx', ['##TITLE=x\n##XYDATA=(X++(Y..Y))\n', ...again('1\n', size)]],
    ['large-too.csv', whole],
  ];
  const replies = await Promise.all(bombs.map(([name, body]) => server.ask('POST', 'api/readings/preview', { query: { name }, body, seconds: 300 })));
  replies.forEach((reply, i) => answered(reply, fine, bombs[i][0], fail));
  // Named larger than it is, and larger than may be.
  const headed = (bytes) => server.head(`POST /${server.secret}/api/readings/preview?name=x.csv`, `Content-Length: ${bytes}\r\n`);
  const claims = await Promise.all([headed(64 * mb + 1), headed('9'.repeat(17)), headed('9'.repeat(40)), headed(-1)].map((head) => server.raw(head)));
  claims.forEach((text, i) => {
    if (!/^HTTP\/1\.1 4\d\d /.test(text)) fail(`a claimed length ${i}: ${text.slice(0, 60)}`);
  });
  return 1 + bombs.length + claims.length;
}

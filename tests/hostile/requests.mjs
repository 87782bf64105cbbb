// Requests and connections that no browser makes.
import fs from 'node:fs';
import net from 'node:net';
import path from 'node:path';
import { chance } from './server.mjs';

const replies = (text) => [...text.matchAll(/HTTP\/1\.1 (\d\d\d) /g)].map((found) => Number(found[1]));

export async function requests(server, fail) {
  const at = `127.0.0.1:${server.port}`;
  const page = `/${server.secret}/`;
  const refused = [
    [`GET ${page} HTTP/1.1\r\nHost: evil.example\r\n\r\n`, 'another Host'],
    [`GET ${page} HTTP/1.1\r\n\r\n`, 'no Host'],
    [`GET ${page} HTTP/1.1\r\nHost: ${at}\r\nHost: ${at}\r\n\r\n`, 'two Hosts'],
    [`GET ${page} HTTP/1.1\r\nHost: ${at}\r\nOrigin: http://evil.example\r\n\r\n`, 'another Origin'],
    [`GET ${page}api/record HTTP/1.1\r\nHost: ${at}\r\nSec-Fetch-Site: cross-site\r\n\r\n`, 'from another site'],
    [`GET / HTTP/1.1\r\nHost: ${at}\r\n\r\n`, 'no secret'],
    [`GET /${'x'.repeat(server.secret.length)}/ HTTP/1.1\r\nHost: ${at}\r\n\r\n`, 'another secret'],
    [`POST ${page}api/keep HTTP/1.1\r\nHost: ${at}\r\nContent-Length: 2\r\n\r\n{}`, 'without the page\'s field'],
    [server.head(`GET ${page}../../etc/passwd`), 'climbing'],
    [server.head(`GET ${page}%2e%2e%2f%2e%2e%2fetc%2fpasswd`), 'climbing in disguise'],
    [server.head(`GET ${page}api/report/..%2f..%2fetc/passwd`), 'climbing in a report'],
    [server.head(`GET ${page}api/map/1/1/..%5c..%5cx`), 'climbing in a map'],
    [server.head(`TRACE ${page}`), 'TRACE'],
    [server.head(`CONNECT ${at}`), 'CONNECT'],
    [server.head(`DELETE ${page}api/record`), 'DELETE'],
    [server.head(`POST ${page}api/keep`, 'Transfer-Encoding: chunked\r\n') + '2\r\n{}\r\n0\r\n\r\n', 'chunked'],
    [server.head(`POST ${page}api/keep`, 'Content-Length: 2\r\nTransfer-Encoding: chunked\r\n') + '0\r\n\r\n', 'two lengths of two kinds'],
    [server.head(`POST ${page}api/keep`, 'Content-Length: 2\r\nContent-Length: 50\r\n') + '{}', 'two lengths'],
    [server.head(`POST ${page}api/keep`, 'Content-Length: 2\r\nContent-Encoding: gzip\r\n') + '{}', 'packed'],
    [server.head(`GET ${page}api/photograph/99999999999999999999`), 'a number too large'],
    [server.head(`GET ${page}api/photograph/1/tile/999999999999/-1/0`), 'a tile that is none'],
    [server.head(`GET ${page}api/result/-1`), 'a result below 0'],
    [server.head(`GET ${page}api/find?words=%ff%fe`), 'words that are no UTF-8'],
    [server.head(`GET ${page}api/find?words=a&words=b`), 'a word twice'],
    [server.head(`GET ${page}api/find?words=%00`), 'a NUL'],
    ['\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03', 'TLS'],
    ['GET\r\n\r\n', 'no request'],
    ['\r\n\r\n\r\n\r\n', 'blank lines'],
    [`GET ${page} HTTP/9.9\r\nHost: ${at}\r\n\r\n`, 'another HTTP'],
    [`GET ${page}${'a'.repeat(100000)} HTTP/1.1\r\nHost: ${at}\r\n\r\n`, 'a long address'],
    [server.head(`GET ${page}`, 'X-A: b\r\n'.repeat(20000)), 'many fields'],
    [`GET ${page} HTTP/1.1\r\nHost: ${at}\r\nX: ${'a'.repeat(1 << 20)}`, 'a head without end'],
    [`GET ${page} HTTP/1.1\r\nHost : ${at}\r\n\r\n`, 'a blank before the colon'],
    ['\0'.repeat(5000), 'nothing but NUL'],
  ];
  await Promise.all(
    refused.map(async ([bytes, what]) => {
      const text = await server.raw(Buffer.from(bytes, 'latin1'));
      const found = replies(text);
      if (found.length > 1 || found.some((status) => status < 400)) fail(`${what}: ${text.slice(0, 80)}`);
      if (text.includes(server.secret) || text.includes('root:')) fail(`${what}: tells too much`);
    }),
  );
  return refused.length;
}

/// The corpus of the bench's own tests for this server's address: whole, cut off and spoilt.
export async function corpus(server, fail, folder) {
  const random = chance(1894);
  let count = 0;
  const files = fs.readdirSync(folder).map((name) => [name, fs.readFileSync(path.join(folder, name), 'latin1')]);
  const all = [];
  for (const [name, text] of files) {
    const ours = text.replaceAll('secret-of-the-test-0123456789abcdefghijklmn', server.secret).replaceAll(':4711', `:${server.port}`);
    all.push([name, ours], [name, ours.slice(0, ours.length >> 1)], [name, ours + ours]);
    for (let k = 0; k < 8; ++k) {
      const bytes = [...ours];
      for (let n = 1 + random(4); n > 0 && bytes.length; --n) bytes[random(bytes.length)] = String.fromCharCode(random(256));
      all.push([name, bytes.join('')]);
    }
  }
  for (let i = 0; i < all.length; i += 40) {
    const some = all.slice(i, i + 40);
    const texts = await Promise.all(some.map(([, text]) => server.raw(Buffer.from(text, 'latin1'), 2)));
    texts.forEach((text, k) => {
      ++count;
      // A head that was cut off within its lengths is no request; any other gets words.
      if (text && !/^HTTP\/1\.1 \d\d\d /.test(text)) fail(`${some[k][0]}: ${text.slice(0, 60)}`);
      if (text.includes('a fault of the program')) fail(`${some[k][0]}: ${text.slice(0, 300)}`);
    });
  }
  return count;
}

/// Connections that wait, dribble a head or a body, or vanish amid one.
export async function connections(server, fail) {
  const open = [];
  const connect = (first) =>
    new Promise((told) => {
      const socket = net.connect(server.port, '127.0.0.1', () => {
        if (first) socket.write(first);
        told(socket);
      });
      socket.on('error', () => told(socket));
      open.push(socket);
    });
  const upload = server.head(`POST /${server.secret}/api/readings/preview?name=x.csv`, `Content-Length: ${1 << 20}\r\n`);
  const picture = server.head(`PUT /${server.secret}/api/photograph?sheet=chart&name=x.tif&by=x`, `Content-Length: ${1 << 24}\r\n`);
  await Promise.all([
    ...Array.from({ length: 300 }, () => connect('')),
    ...Array.from({ length: 100 }, () => connect('GET /')),
    ...Array.from({ length: 20 }, () => connect(upload)),
    ...Array.from({ length: 10 }, () => connect(picture)),
  ]);
  for (let k = 0; k < 10; ++k) {
    for (const socket of open.slice(300)) if (!socket.destroyed) socket.write('a');
    await new Promise((go) => setTimeout(go, 100));
  }
  const meanwhile = await server.ask('GET', 'api/record', { seconds: 60 });
  if (meanwhile.status !== 200) fail(`while ${open.length} connections dribble, the record answers ${meanwhile.status}`);
  for (const socket of open) socket.resetAndDestroy ? socket.resetAndDestroy() : socket.destroy();
  return open.length;
}

// JSON that must be refused, at every call that takes any.
import { answered } from './server.mjs';

const refusals = [400, 413];
const verbs = ['tone', 'difference', 'tissue', 'colorant', 'swatch', 'wash', 'correct', 'image-check', 'image-tone', 'image-change'];
const levels = 100000;

/// Every call that takes JSON: [method, call, query].
const calls = [
  ['POST', 'api/keep', {}],
  ['POST', 'api/correct-all', {}],
  ['POST', 'api/withdraw', {}],
  ['POST', 'api/rank', {}],
  ['POST', 'api/colours', {}],
  ['POST', 'api/fill-picture', {}],
  ...verbs.map((verb) => ['POST', 'api/compute', { verb }]),
  ...[...verbs, 'report', 'series'].map((verb) => ['POST', 'api/jobs', { verb }]),
];

export async function deepJson(server, fail) {
  const texts = ['['.repeat(levels), '{"a":'.repeat(levels), `{"columns":${'['.repeat(levels)}${']'.repeat(levels)}}`, `{"parameters":{"a":${'['.repeat(65)}${']'.repeat(65)}}}`];
  let count = 0;
  for (const [method, call, query] of calls)
    for (const text of texts) {
      const reply = await server.json(method, call, text, query);
      answered(reply, refusals, `${call} ${query.verb ?? ''} ${text.slice(0, 20)}`, fail);
      if (reply.status === 400 && !/levels deep/.test(reply.text)) fail(`${call}: says ${reply.text.slice(0, 200)}`);
      ++count;
    }
  return count;
}

export async function jsonBombs(server, fail) {
  const mb = 1 << 20;
  const fit = (text) => text.repeat(Math.floor((mb - 100) / text.length));
  const texts = [
    `[${fit('[],')}0]`,
    `[${fit('0,')}0]`,
    `{${Array.from({ length: 60000 }, (_, i) => `"n${i}":0`).join(',')}}`,
    '{"kind":"sheet","kind":"stock"}',
    '{"columns":{"name":1e999}}',
    '{"columns":{"name":"\\u0000"},"kind":"sheet","by":"x"}',
    '{"columns":{"name":"\\ud800"}}',
    `"${fit('\\\\')}`,
    fit(' '),
    'nul',
    '',
    '\ufeff{}',
    'NaN',
    '[1,2',
    '{"kind":["sheet"],"by":{},"columns":[]}',
    '{"kind":"sheet","by":"x","columns":{"width_mm":"1e400","name":"w"}}',
    '{"labs":[[1e300,0,0]]}',
    '{"photograph":18446744073709551615,"mask":18446744073709551615,"max_px":18446744073709551615}',
    '{"viewing":{"observer_deg":1e300,"lights":[1,[],{}]}}',
    '{"sources":{"files":["/etc/passwd"]}}',
    '{"before":{"file":"/dev/zero"},"after":{"file":"/proc/self/mem"}}',
    '{"recipe_file":"/etc/passwd","recipe":-9223372036854775808}',
    '{"plies":1e308,"top":-1e308,"at_most":1e9,"seed":-1}',
    '{"question":{"trials":99999999999999999999}}',
  ];
  let count = 0;
  for (const [method, call, query] of calls)
    for (const text of texts) {
      // A job says later what was wrong with it; it is started, and nothing more is asked here.
      const allowed = call === 'api/jobs' ? [...refusals, 202, 503] : refusals;
      const fine = call === 'api/colours' && text.includes('labs') ? [...allowed, 200] : allowed;
      answered(await server.json(method, call, text, query), fine, `${call} ${query.verb ?? ''} ${text.slice(0, 60)}`, fail);
      ++count;
    }
  const bytes = Buffer.from([0x7b, 0x22, 0xff, 0xfe, 0x22, 0x3a, 0x31, 0x7d]);
  answered(await server.ask('POST', 'api/keep', { body: bytes }), refusals, 'bytes that are no UTF-8', fail);
  return count + 1;
}

/// What was kept once could end every later reading of the record. And names that mean something to a
/// shell, a path, a page or a spreadsheet are only names.
export async function entries(server, fail) {
  let count = 0;
  const keep = (kind, columns) => {
    ++count;
    return server.json('POST', 'api/keep', { kind, by: 'A. Conservator', columns });
  };
  const deep = `{"a":${'['.repeat(levels)}`;
  for (const [kind, columns] of [
    ['stock', { name: 'deep', dry_g_ml: deep }],
    ['stock', { name: 'text', dry_g_ml: '{"a":"x"}' }],
    ['stock', { name: 'object', dry_g_ml: { a: 'x' } }],
    ['stock', { name: 'list', dry_g_ml: [1] }],
    ['stock', { name: 'huge', dry_g_ml: '{"a":1e999}' }],
  ])
    answered(await keep(kind, columns), [400], `${kind} ${columns.name}`, fail);
  answered(await keep('sheet', { name: 'chart' }), [200], 'a sheet', fail);
  for (const outline of ['[1,2]', '[[1,2]]', '[[[1]]]', '[[["1",2]]]', deep, [1, 2], '{}'])
    answered(await keep('spot', { name: 'margin', sheet: 'chart', outline }), [400], `outline ${String(outline).slice(0, 20)}`, fail);
  const names = ['<script>alert(1)</script>', '"><img src=x onerror=alert(1)>', '../../etc/passwd', 'a/b', '%2e%2e%2f', '=HYPERLINK("x")', "'; DROP TABLE sheet; --", '$(touch pwned)', '\u202egnp.exe', '\u{1F5FA}\ufe0f', 'x'.repeat(10000), '#1', '--record', ' ', '.', '..', 'NUL', 'a\nb\tc'];
  for (const name of names) answered(await keep('sheet', { name }), [200, 400], `a sheet called ${name.slice(0, 30)}`, fail);
  for (const name of names) {
    answered(await server.ask('GET', 'api/sheet', { query: { sheet: name } }), [200, 400, 404, 414], `the sheet ${name.slice(0, 30)}`, fail);
    answered(await server.ask('GET', 'api/find', { query: { words: name.slice(0, 1000) } }), [200, 400], `find ${name.slice(0, 30)}`, fail);
    count += 2;
  }
  const record = await server.ask('GET', 'api/record');
  answered(record, [200], 'the record afterwards', fail);
  if (!record.text.includes('"chart"')) fail('the sheet that was kept is not shown');
  if (!/^application\/json/.test(record.headers['content-type'])) fail('names are sent as something else than JSON');
  return count;
}
